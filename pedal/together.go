package pedal

import (
	"cmp"
	"slices"
	"sort"
	"time"
)

// solve puts each change where it would be alone. Those that come into each other's
// way are settled together, and with whatever comes into the way of the outcome,
// until nothing does. Groups are small, and what is best for each of them by itself
// is best for all.
func (c *comfort) solve() {
	for i, w := range c.list {
		w.group = i
		c.alone(w)
	}
	byStart := slices.Clone(c.list)
	for {
		slices.SortStableFunc(byStart, func(a, b *want) int { return cmp.Compare(a.start, b.start) })
		grown := map[int]bool{}
		for i := 1; i < len(byStart); i++ {
			a, b := byStart[i-1].group, byStart[i].group
			if a == b || byStart[i].start >= byStart[i-1].start+c.m.pace.Foot {
				continue
			}
			grown[min(a, b)] = true
			delete(grown, max(a, b))
			for _, w := range c.list {
				if w.group == max(a, b) {
					w.group = min(a, b)
				}
			}
		}
		if len(grown) == 0 {
			return
		}
		groups := map[int][]*want{}
		for _, w := range c.list {
			if grown[w.group] {
				groups[w.group] = append(groups[w.group], w)
			}
		}
		for _, g := range groups {
			c.together(g)
		}
	}
}

// alone puts a change where it is best off if nothing is in its way.
func (c *comfort) alone(w *want) {
	for t := range tiers {
		if w.open>>t&1 == 0 {
			continue
		}
		if t == asLate {
			w.tier, w.at, w.start = t, -1, w.hi
			return
		}
		if list, first := c.places(w, t); len(list) > 0 {
			i := len(list) - 1
			if first {
				i = 0
			}
			c.fix(w, t, int(list[i]))
			return
		}
	}
}

// fix lets a change start at a moment.
func (c *comfort) fix(w *want, t tier, at int) {
	w.fixed, w.tier, w.at, w.start = true, t, at, c.m.p.Moments[at].At
}

// together settles a group of changes, given in the order of need. First it finds out
// how many can have each tier. Then each change, in that order, gets the best
// tier and the best place in it that leave as much to the others. What was shown to
// do so by the last outcome need not be tried.
func (c *comfort) together(ws []*want) {
	c.byLetter = [4][]*want{}
	for _, w := range ws {
		first, _ := w.Letter.Foot().span()
		c.byLetter[w.Letter-first] = append(c.byLetter[w.Letter-first], w)
		w.left, w.fixed = w.open, false
	}
	most, _ := c.best(len(ws))
	c.show()
	attained := func() bool {
		v, ok := c.best(len(ws))
		if ok = ok && v == most; ok {
			c.show()
		}
		return ok
	}
	for _, w := range ws {
		for t := range tiers {
			if w.open>>t&1 == 0 {
				continue
			}
			if w.tier, w.left = t, 1<<t; t == w.shown.tier || attained() {
				break
			}
		}
		list, first := c.places(w, w.tier)
		for i := range list {
			at := list[len(list)-1-i]
			if first {
				at = list[i]
			}
			if c.fix(w, w.tier, int(at)); w.start == w.shown.start || attained() {
				break
			}
		}
	}
	for _, w := range ws {
		if !w.fixed {
			c.latest(w, ws, attained)
		}
	}
}

// latest lets a change start as late as it can: at its end, or some foot times before
// another change that is settled or as late as it can be.
func (c *comfort) latest(w *want, ws []*want, attained func() bool) {
	first, last := w.lo, w.hi
	if w.tier == ahead {
		first, last = w.WindowStart, w.lo-1
	}
	starts := []time.Duration{last}
	for _, o := range ws {
		end := o.hi
		if o.fixed {
			end = o.start
		} else if o.tier == ahead {
			end = o.lo - 1
		}
		for range ws {
			if end -= c.m.pace.Foot; end >= first && end < last {
				starts = append(starts, end)
			}
		}
	}
	slices.Sort(starts)
	w.fixed, w.at = true, -1
	for _, s := range slices.Backward(starts) {
		if w.start = s; s == w.shown.start || attained() {
			return
		}
	}
}

// A label is some changes of a group settled, one after another.
type label struct {
	free  time.Duration // when the foot can start another
	value int64         // the worth of their tiers
	next  [4]int16      // for each letter the first change that is left
	last  int32         // index into comfort.steps; -1 for none
}

// A step is how a label was made from another.
type step struct {
	from   int32 // index into comfort.steps; -1 for none
	change *want
	shown  shown
}

// shown is a tier and a start with which all others can have theirs.
type shown struct {
	tier  tier
	start time.Duration
}

// show tells each change of the group what it has in the outcome of best.
func (c *comfort) show() {
	for i := c.outcome; i >= 0; i = c.steps[i].from {
		c.steps[i].change.shown = c.steps[i].shown
	}
}

// best returns the most that the tiers of the n changes of a group can be worth, as far
// as they are not decided. It makes them one after another, in every order that
// their windows allow, each in every tier at the soonest; a label gives way to one
// that has settled the same changes, is free no later and worth no less.
func (c *comfort) best(n int) (value int64, ok bool) {
	c.labels, c.steps, c.outcome = append(c.labels[:0], label{free: longAgo, last: -1}), c.steps[:0], -1
	for range n {
		c.next = c.next[:0]
		for i := range c.labels {
			c.extend(&c.labels[i])
		}
		slices.SortFunc(c.next, func(a, b label) int {
			return cmp.Or(slices.Compare(a.next[:], b.next[:]), cmp.Compare(a.free, b.free), cmp.Compare(b.value, a.value))
		})
		c.labels = c.labels[:0]
		for i := range c.next {
			l := &c.next[i]
			if k := len(c.labels); k == 0 || c.labels[k-1].next != l.next || c.labels[k-1].value < l.value {
				c.labels = append(c.labels, *l)
			}
		}
	}
	for i := range c.labels {
		if v := c.labels[i].value; !ok || v > value {
			value, ok, c.outcome = v, true, c.labels[i].last
		}
	}
	return value, ok
}

// extend makes one more change in every way.
func (c *comfort) extend(from *label) {
	for l, list := range c.byLetter {
		if int(from.next[l]) == len(list) {
			continue
		}
		w := list[from.next[l]]
		for t := range tiers {
			start, ok := c.soonest(w, t, from.free)
			if !ok {
				continue
			}
			to := *from
			to.next[l]++
			to.free, to.value = start+c.m.pace.Foot, from.value+worth[t]
			if c.leavesRoom(&to) {
				to.last = int32(len(c.steps))
				c.steps = append(c.steps, step{from.last, w, shown{t, start}})
				c.next = append(c.next, to)
			}
		}
	}
}

// leavesRoom tells whether no change that is left comes too late.
func (c *comfort) leavesRoom(l *label) bool {
	for i, list := range c.byLetter {
		if int(l.next[i]) < len(list) {
			w := list[l.next[i]]
			if last := w.hi; last < l.free || w.fixed && w.start < l.free {
				return false
			}
		}
	}
	return true
}

// soonest is when a change can start at the soonest in a tier, from a time on.
func (c *comfort) soonest(w *want, t tier, free time.Duration) (start time.Duration, ok bool) {
	switch {
	case w.fixed:
		return w.start, w.tier == t && w.start >= free
	case w.left>>t&1 == 0:
		return 0, false
	case t == asLate:
		start = max(free, w.lo)
		return start, start <= w.hi
	case t == ahead:
		start = max(free, w.WindowStart)
		return start, start < w.lo
	}
	list, _ := c.places(w, t)
	at := func(i int) time.Duration { return c.m.p.Moments[list[i]].At }
	i := sort.Search(len(list), func(i int) bool { return at(i) >= free })
	if i == len(list) {
		return 0, false
	}
	return at(i), true
}
