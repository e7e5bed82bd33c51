package pedal

import (
	"context"
	"slices"
)

// A Point is what the plan for mode Balanced costs at one price of a change.
type Point struct {
	ChangePrice int  // the dearest of those looked at that gives this cost
	Cost        Cost // of the plan at that price
	Proved      bool // no plan costs less at this price
}

// curvePrices are the prices that a curve looks at, besides that of the options.
var curvePrices = []int{24, 16, 12, 10, 8, 6, 5, 4, 3, 2, 1}

// Curve returns what plans for mode Balanced cost as a change gets cheaper, the
// dearest price first, each cost once: so many respelt notes and switches each next
// change would save. Options.Mode is not looked at, and the plans are not those that
// play most alike. Faults are as Solve's.
//
// The dearer a change, the fewer there are, and the sum of all else only grows.
// Where two prices give the same plan, all between them do, and are not looked at.
func Curve(ctx context.Context, p *Passage, o Options) ([]Point, error) {
	o.Mode = Balanced
	m, err := prepare(p, o)
	if err != nil {
		return nil, err
	}
	if _, err := m.asWritten(ctx); err != nil {
		return nil, err
	}
	m.read(Balanced)
	c := &curve{m: m, prices: append([]int{o.prices().change}, curvePrices...)}
	slices.SortFunc(c.prices, func(a, b int) int { return b - a })
	c.prices = slices.Compact(c.prices)
	c.plans = make([]*Plan, len(c.prices))
	if err := c.between(ctx, 0, len(c.prices)-1); err != nil {
		return nil, err
	}
	var points []Point
	for i, plan := range c.plans {
		if n := len(points); plan != nil && (n == 0 || points[n-1].Cost != plan.Cost) {
			points = append(points, Point{c.prices[i], plan.Cost, plan.Proof.Minimal})
		}
	}
	return points, nil
}

// A curve is one in the making.
type curve struct {
	m      *music
	prices []int   // the dearest first
	plans  []*Plan // at each price; nil where there is no need of one
}

// between finds the plans from one price to another.
func (c *curve) between(ctx context.Context, from, to int) error {
	for _, i := range []int{from, to} {
		if c.plans[i] != nil {
			continue
		}
		if err := c.solve(ctx, i); err != nil {
			return err
		}
	}
	a, b := c.plans[from], c.plans[to]
	if to-from < 2 || a.Cost == b.Cost && a.Proof.Minimal && b.Proof.Minimal {
		return nil
	}
	middle := (from + to) / 2
	if err := c.between(ctx, from, middle); err != nil {
		return err
	}
	return c.between(ctx, middle, to)
}

// solve finds the plan at a price. It begins with the care for the feet that the one
// before has come to.
func (c *curve) solve(ctx context.Context, i int) error {
	m := *c.m
	m.o.ChangePrice = c.prices[i]
	r := m.newRefinement(Balanced)
	r.chosen = false
	plan, err := r.solve(ctx, &m)
	if err != nil {
		return err
	}
	c.plans[i], c.m.care = plan, r.found()
	return nil
}
