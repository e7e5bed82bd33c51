package part

import (
	"context"
	"errors"
	"fmt"

	"pedalogue/pedal"
)

// Wishes say how a part is to be planned. The zero value is the default.
type Wishes struct {
	Options  pedal.Options
	Obey     bool     // make the pedals stand as the marks in the score say, wherever that costs no note
	Sections Sections // where full settings stand
}

// A Planned part has its pedals planned and laid out. Both have been checked:
// the plan against the passage, the page against the plan.
type Planned struct {
	Part    *Part
	Plan    *pedal.Plan
	Page    *Page
	Choices [4]pedal.Cost // what each mode costs, in the order of pedal.Modes; that of Plan is one of them
}

// Plan plans the pedals of the part and lays the marks out. It may add notes to
// the passage, which stand for no note of the score. An error knows its place;
// where it is ours and not the score's, it says that it is internal.
func (p *Part) Plan(ctx context.Context, w Wishes) (*Planned, error) {
	plans, err := pedal.Plans(ctx, p.Passage, w.Options)
	if err != nil {
		return nil, p.located(err)
	}
	if w.Obey {
		if plans, err = p.obey(ctx, plans, w.Options); err != nil {
			return nil, err
		}
	}
	done := &Planned{Part: p}
	for i, mode := range pedal.Modes() {
		done.Choices[i] = plans[i].Cost
		if mode == w.Options.Mode {
			done.Plan = plans[i]
		}
	}
	if err := pedal.Verify(p.Passage, w.Options, done.Plan); err != nil {
		return nil, p.located(internal(err))
	}
	if done.Page, err = layOut(p, done.Plan, w.Options.Instrument, p.sections(w.Sections)); err != nil {
		return nil, p.located(internal(err))
	}
	return done, nil
}

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
