package part

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"pedalogue/pedal"
)

// Wishes say how a part is to be planned. The zero value is the default.
type Wishes struct {
	Options  pedal.Options // of the planner
	Obey     bool          // make the pedals stand as the marks in the score say, wherever that costs no note
	Pins     []Pin         // what the player has decided
	Sections Sections      // where full settings stand
	Only     bool          // plan the mode of Options alone; Choices has 0 for the others
	Curve    bool          // find out what plans cost as changes get cheaper
}

// A Planned part has its pedals planned and laid out. Both have been checked:
// the plan against the passage, the page against the plan.
type Planned struct {
	Part    *Part         // what was planned; with Wishes.Obey a copy, whose passage has silent notes for what marks want
	Plan    *pedal.Plan   // in the mode that was asked for
	Page    *Page         // the plan as it is printed
	Choices [4]pedal.Cost // what each mode costs, in the order of pedal.Modes; that of Plan is one of them
	// What the plan would cost without pins; equal to its cost where there are none.
	WithoutPins pedal.Cost
	Curve       []pedal.Point // of the passage with all that is pinned and obeyed; nil where it is not wanted
}

// Plan plans the pedals of the part and lays the marks out. The part stays as it
// is. The error is a *musicxml.Error with its place: options that no plan can be
// made with, a pin that cannot be met, or a context that has ended. Where a fault is
// ours and not the score's, it says that it is internal.
func (p *Part) Plan(ctx context.Context, w Wishes) (*Planned, error) {
	if p = p.released(w.Options.Instrument); w.Obey || len(w.Pins) > 0 {
		p = p.copy()
	}
	plans, without, err := p.planned(ctx, w)
	if err != nil {
		return nil, err
	}
	done := &Planned{Part: p}
	for i, mode := range pedal.Modes() {
		if plans[i] == nil {
			continue
		}
		done.Choices[i] = plans[i].Cost
		if mode == w.Options.Mode {
			done.Plan, done.WithoutPins = plans[i], without[i].Cost
		}
	}
	if err := pedal.Verify(p.Passage, w.Options, done.Plan); err != nil {
		return nil, p.located(internal(err))
	}
	if done.Page, err = layOut(p, done.Plan, w, p.sections(w.Sections)); err != nil {
		return nil, p.located(internal(err))
	}
	done.Plan = done.Page.Plan // as it is marked
	if w.Curve {
		if done.Curve, err = pedal.Curve(ctx, p.Passage, w.Options); err != nil {
			return nil, p.located(err)
		}
	}
	return done, nil
}

// planned are the plans for the modes that are wanted, and those without pins.
func (p *Part) planned(ctx context.Context, w Wishes) (plans, without [4]*pedal.Plan, err error) {
	if len(w.Pins) > 0 {
		return p.pinned(ctx, w)
	}
	if plans, err = p.plans(ctx, w); err != nil {
		return plans, plans, p.located(err)
	}
	if w.Obey {
		plans, err = p.obey(ctx, plans, w.Options)
	}
	return plans, plans, err
}

// plans are the plans for the modes that are wanted, in the order of pedal.Modes;
// nil for the others.
func (p *Part) plans(ctx context.Context, w Wishes) (plans [4]*pedal.Plan, err error) {
	if !w.Only {
		return pedal.Plans(ctx, p.Passage, w.Options)
	}
	i := slices.Index(modes[:], w.Options.Mode)
	if i < 0 {
		i = 0 // which Solve refuses
	}
	plans[i], err = pedal.Solve(ctx, p.Passage, w.Options)
	return plans, err
}

var modes = pedal.Modes()

// internal says that a fault is ours and not the score's.
func internal(err error) error {
	var fault *pedal.Error
	if errors.As(err, &fault) {
		return &pedal.Error{Moment: fault.Moment, Err: fmt.Errorf("internal error: %w", fault.Err)}
	}
	return fmt.Errorf("internal error: %w", err)
}

// solve plans the passage; the plan has been replayed against it.
func (p *Part) solve(ctx context.Context, o pedal.Options) (*pedal.Plan, error) {
	plan, err := pedal.Solve(ctx, p.Passage, o)
	if err != nil {
		return nil, p.located(err)
	}
	if err := pedal.Verify(p.Passage, o, plan); err != nil {
		return nil, p.located(internal(err))
	}
	return plan, nil
}
