package pedal

import (
	"context"
	"fmt"
	"runtime/debug"
	"slices"
	"sync"
	"sync/atomic"
	"time"
)

// A refinement finds the plan for a mode step by step. It follows the feet, at
// first with little care, which can only make plans cheaper, then more and more
// exactly where the plan found so far rushes more than the search knew, until it
// does so nowhere.
type refinement struct {
	mode   Mode
	chosen bool          // its plan is the one to be played, not one to compare with
	begin  [2][]care     // the care to begin with
	effort time.Duration // what is left of Options.Effort
	search *search       // nil before the first step
	best   *draftPlan
	bound  Cost
	next   *refinement // begins after the first step, with the care found by then; nil if there is none

	// The outcome; all are nil until the last step is done.
	plan  *Plan
	err   error
	panic *Panic
}

// A Panic is what Plans panics with if one of its workers has: what that one
// panicked with, and where. Whoever recovers from the panics of a call so recovers
// from those of its workers too.
type Panic struct {
	Value any    // what the worker panicked with
	Stack []byte // as of debug.Stack
}

func (p *Panic) String() string { return fmt.Sprint(p.Value) }

// Trace returns the stack of the goroutine that panicked, as of debug.Stack.
func (p *Panic) Trace() []byte { return p.Stack }

// caught does something, and returns what it panicked with, if it has.
func caught(do func()) (p *Panic) {
	defer func() {
		if v := recover(); v != nil {
			p = &Panic{v, debug.Stack()}
		}
	}()
	do()
	return nil
}

func (m *music) newRefinement(mode Mode) *refinement {
	return &refinement{mode: mode, chosen: mode == m.o.Mode, begin: m.care, effort: m.o.Effort}
}

// solve takes all steps and returns the plan.
func (r *refinement) solve(ctx context.Context, m *music) (*Plan, error) {
	for !r.step(ctx, m) {
	}
	return r.plan, r.err
}

// step searches once, and tells whether that was the last time.
func (r *refinement) step(ctx context.Context, m *music) (last bool) {
	start, first := time.Now(), r.search == nil
	if first {
		if r.search, r.err = newSearch(ctx, m, r.mode, r.begin); r.err != nil {
			return true
		}
	}
	s, price := r.search, m.o.prices()
	if m.o.Effort > 0 {
		s.until = start.Add(r.effort)
	}
	sol, err := s.solve()
	if err != nil {
		r.err = err
		return true
	}
	low := s.scale.cost(sol.bound.weight, sol.bound.unsounded)
	if first || r.bound.less(low, r.mode, price) {
		r.bound = low
	}
	plan := m.outline(sol)
	if first || plan.Cost.less(r.best.Cost, r.mode, price) {
		r.best = plan
	}
	r.effort -= time.Since(start)
	if plan.Cost.Rushed != low.Rushed && !sol.cut &&
		(s.feet.zones.tighten(plan) || s.feet.zones.everywhere()) {
		return false
	}
	// Nothing to gain; or no hope to search what is larger still.
	if r.chosen {
		if r.err = r.harmonise(m); r.err != nil {
			return true
		}
	}
	m.finish(r.best)
	r.best.Proof = prove(r.best.Cost, r.bound, r.mode, price)
	r.plan = r.best.Plan
	return true
}

// refine takes all steps of these refinements and of those next to them. Workers,
// if more than one, take steps of each in turn, so that all have work to the end;
// one alone finishes what it has begun first, which takes less memory.
func (m *music) refine(ctx context.Context, roots []*refinement, workers int) {
	if len(roots) == 0 {
		return
	}
	queue := make(chan *refinement, Free+1)
	var open atomic.Int32
	begin := func(r *refinement) {
		open.Add(1)
		queue <- r
	}
	for _, r := range roots {
		begin(r)
	}
	work := func() {
		for r := range queue {
			last := r.safeStep(ctx, m)
			if next := r.next; next != nil {
				r.next, next.begin = nil, r.found()
				begin(next)
			}
			for !last && workers == 1 {
				last = r.safeStep(ctx, m)
			}
			if !last {
				queue <- r
				continue
			}
			r.search = nil // with all its memory
			if open.Add(-1) == 0 {
				close(queue)
			}
		}
	}
	var wait sync.WaitGroup
	for range workers - 1 {
		wait.Go(work)
	}
	work()
	wait.Wait()
}

// safeStep is step, but a panic is kept as the outcome.
func (r *refinement) safeStep(ctx context.Context, m *music) (last bool) {
	r.panic = caught(func() { last = r.step(ctx, m) })
	return last || r.panic != nil
}

// found returns the care that the search has come to so far.
func (r *refinement) found() [2][]care {
	if r.search == nil || r.search.feet == nil {
		return r.begin
	}
	c := r.search.feet.zones.needed()
	return [2][]care{slices.Clone(c[Left]), slices.Clone(c[Right])}
}
