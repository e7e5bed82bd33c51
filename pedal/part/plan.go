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
	Choices [4]pedal.Cost // what each mode costs, in the order of pedal.Modes
}

// Plan plans the pedals of the part and lays the marks out. It may add notes to
// the passage, which stand for no note of the score. An error knows its place;
// where it is ours and not the score's, it says that it is internal.
func (p *Part) Plan(ctx context.Context, w Wishes) (*Planned, error) {
	plan, choices, err := p.solveAll(ctx, w.Options)
	if err != nil {
		return nil, err
	}
	if w.Obey {
		if plan, err = p.obey(ctx, plan, w.Options); err != nil {
			return nil, err
		}
	}
	page, err := p.fit(ctx, plan, w.Options, p.sections(w.Sections))
	if err != nil {
		return nil, err
	}
	return &Planned{Part: p, Plan: page.Plan, Page: page, Choices: choices}, nil
}

// internal says that a fault is ours and not the score's.
func internal(err error) error {
	var fault *pedal.Error
	if errors.As(err, &fault) {
		return &pedal.Error{Moment: fault.Moment, Err: fmt.Errorf("internal error: %w", fault.Err)}
	}
	return fmt.Errorf("internal error: %w", err)
}

// solveAll plans the passage in every mode. It returns the plan of the mode that
// is asked for, which has been replayed against the passage, and what each mode
// costs.
func (p *Part) solveAll(ctx context.Context, o pedal.Options) (*pedal.Plan, [4]pedal.Cost, error) {
	var costs [4]pedal.Cost
	plans, err := pedal.Plans(ctx, p.Passage, o)
	if err != nil {
		return nil, costs, p.located(err)
	}
	var chosen *pedal.Plan
	for i, mode := range pedal.Modes() {
		costs[i] = plans[i].Cost
		if mode == o.Mode {
			chosen = plans[i]
		}
	}
	if err := pedal.Verify(p.Passage, o, chosen); err != nil {
		return nil, costs, p.located(internal(err))
	}
	return chosen, costs, nil
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
