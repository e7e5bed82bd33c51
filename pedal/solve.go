package pedal

import (
	"cmp"
	"context"
	"sync"
)

// Solve finds the plan for a passage that costs least in the mode of o. The
// plan says of itself how much of that is proved.
//
// A fault of the passage is an *Error where it has a moment. If ctx ends before
// the search does, Solve returns the error of ctx. The same passage and options
// give the same plan, unless Options.Effort cuts the search short.
func Solve(ctx context.Context, p *Passage, o Options) (*Plan, error) {
	m, err := prepare(p, o)
	if err != nil {
		return nil, err
	}
	written, err := m.asWritten(ctx)
	if err != nil || o.Mode == Written {
		return written, err
	}
	if plan := m.inMode(written, o.Mode); plan != nil {
		return plan, nil
	}
	m.read(o.Mode)
	return m.newRefinement(o.Mode).solve(ctx, m)
}

// fewChords are planned in less time than it takes to hand the work to others.
const fewChords = 32

// Plans returns the plans for all four modes, in the order of Modes: Written,
// Needed, Balanced, Free. Only that for Options.Mode is looked for once more for one
// that plays more alike, as Solve does. What is proved costs what Solve finds, but
// may be another plan of that cost, since the modes share what they can. As with Solve, the same passage and options give the same plans, whatever
// Options.Workers. A fault of the program panics with a *Panic.
func Plans(ctx context.Context, p *Passage, o Options) ([4]*Plan, error) {
	var plans [4]*Plan
	m, err := prepare(p, o)
	if err != nil {
		return plans, err
	}
	workers := o.Workers
	if workers <= 0 {
		workers = 2
	}
	if len(m.chords) < fewChords {
		workers = 1
	}
	var wait sync.WaitGroup
	var fault *Panic
	if workers > 1 {
		wait.Go(func() { fault = caught(func() { m.read(Free) }) }) // soon of use, as a rule
	}
	written, err := m.asWritten(ctx)
	wait.Wait()
	if fault != nil {
		panic(fault)
	}
	if err != nil {
		return plans, err
	}
	var made [4]*refinement
	var roots []*refinement
	for i, mode := range Modes() {
		if plans[i] = m.inMode(written, mode); plans[i] != nil {
			continue
		}
		m.read(mode)
		made[i] = m.newRefinement(mode)
		if mode == Balanced && made[i-1] != nil {
			made[i-1].next = made[i] // after needed
		} else {
			roots = append(roots, made[i])
		}
	}
	m.refine(ctx, roots, workers)
	for i, r := range made {
		if r == nil {
			continue
		}
		if r.panic != nil {
			panic(r.panic)
		}
		plans[i], err = r.plan, cmp.Or(err, r.err)
	}
	return plans, err
}

// asWritten returns the plan for mode Written. It comes first, as it is quickly
// found and tells where the music is in a hurry.
func (m *music) asWritten(ctx context.Context) (*Plan, error) {
	m.read(Written)
	r := m.newRefinement(Written)
	plan, err := r.solve(ctx, m)
	m.surveys[spellings(Written)] = nil
	if err == nil && r.search.feet != nil {
		m.care = r.search.feet.zones.handOn(plan)
	}
	return plan, err
}

// inMode returns the plan for another mode if it is sure to be this one, the best
// with every note as it is written; else nil. It is if nothing ranks above
// respelling that could get better by it, and nothing below that could.
func (m *music) inMode(written *Plan, mode Mode) *Plan {
	c := written.Cost
	same := mode == Written ||
		written.Proof.Minimal && c.Unsounded+c.Held+c.Rushed+c.Respelt == 0 && (mode == Needed || c.Changes == 0)
	if !same {
		return nil
	}
	plan := *written
	plan.Proof = prove(c, written.Proof.Bound, mode, m.o.prices())
	return &plan
}

// prove compares the cost of a plan with a bound that no plan undercuts.
func prove(cost, bound Cost, mode Mode, price prices) Proof {
	got, low := cost.vector(mode, price), bound.vector(mode, price)
	equal := 0
	for equal < len(got) && got[equal] == low[equal] {
		equal++
	}
	const all = len(got) - 1 // but for notches
	if mode != Balanced {
		bound.Switches = cost.Switches
	}
	proof := Proof{Minimal: equal >= all, Bound: bound}
	names := []string{"unsounded", "held", "rushed", "respelt", "changes"}
	switch {
	case mode == Balanced && equal >= all:
		names = []string{"unsounded", "held", "rushed", "respelt", "switches", "changes"}
	case mode == Balanced && equal == all-1:
		names = []string{"unsounded", "held", "rushed", "changes"}
	case mode == Balanced:
		names = names[:3] // of the sum none of its parts is proved
	case mode == Free:
		names[3], names[4] = "changes", "respelt"
	}
	proof.Covers = names[:min(equal, len(names))]
	return proof
}
