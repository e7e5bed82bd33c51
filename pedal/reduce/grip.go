package reduce

import (
	"slices"
	"time"

	"pedalogue/pedal"
)

// playable tells whether what is chosen lies in two hands, on strings whose pedals can
// stand together.
func (c *chord) playable() bool {
	kept := 0
	for i, ch := range c.taken {
		kept += count(ch != leave && ch != early && !c.notes[i].twice)
	}
	if c.rolling && time.Duration(kept)*c.r.rollTime() > c.time {
		return false
	}
	stands := c.bound
	return c.assign(0, &stands, nil)
}

// assign gives notes strings, one after the other, and tells whether there is a way
// that lies in the hands.
func (c *chord) assign(i int, stands *[pedal.Letters]*pedal.Position, plucked []pluckedString) bool {
	if i == len(c.notes) {
		return c.held(plucked)
	}
	n := &c.notes[i]
	c.on[i] = pedal.String{}
	if c.taken[i] == leave {
		return c.assign(i+1, stands, plucked)
	}
	for _, s := range n.strings[c.taken[i]] {
		if !n.stays(s) && !(c.turning && n.turns && c.taken[i] == keep) {
			continue
		}
		rank := s.Rank()
		c.on[i] = s
		if !c.r.harp.Disced(pedal.StringName{Letter: s.Letter, Octave: s.Octave}) {
			if at, known := c.r.tuning[rank]; known && at != s.Position {
				continue
			}
			if c.assign(i+1, stands, c.with(plucked, i, rank)) {
				return true
			}
			continue
		}
		was := stands[s.Letter]
		if was != nil && *was != s.Position {
			continue
		}
		stands[s.Letter] = &s.Position
		ok := c.assign(i+1, stands, c.with(plucked, i, rank))
		stands[s.Letter] = was
		if ok {
			return true
		}
	}
	return false
}

// A pluckedString is a string that a hand must take.
type pluckedString struct {
	rank    int
	lower   bool // it is written on a lower staff
	changed bool // by an octave
	rolled  bool
}

func (c *chord) with(plucked []pluckedString, i, rank int) []pluckedString {
	if c.taken[i] == early {
		return plucked
	}
	n := &c.notes[i]
	return append(plucked[:len(plucked):len(plucked)], pluckedString{rank, n.staff > 1, c.taken[i] != keep, n.rolled})
}

// held tells whether strings lie in two hands, and no string is wanted by both staves. A
// rolled chord may be wider, if there is time for it.
func (c *chord) held(plucked []pluckedString) bool {
	slices.SortFunc(plucked, func(a, b pluckedString) int { return a.rank - b.rank })
	var all, grip []int
	rolled := 0
	for i, s := range plucked {
		if i > 0 && s.rank == plucked[i-1].rank {
			if s.lower != plucked[i-1].lower || s.changed || plucked[i-1].changed {
				return false
			}
			continue
		}
		if all = append(all, s.rank); s.rolled || c.rolling {
			rolled++
		} else {
			grip = append(grip, s.rank)
		}
	}
	if rolled > 1 && (!fits(all, c.rollSpan) || time.Duration(rolled)*c.r.rollTime() > c.time) {
		return false
	}
	return len(all) <= c.most && fits(grip, c.span)
}

// fits tells whether strings, from low to high, can be shared between two hands.
func fits(grip []int, span int) bool {
	if len(grip) < 2 {
		return true
	}
	for k := max(0, len(grip)-fingers); k <= min(fingers, len(grip)); k++ {
		low, high := grip[:k], grip[k:]
		if (k < 2 || low[k-1]-low[0] < span) && (len(high) < 2 || high[len(high)-1]-high[0] < span) {
			return true
		}
	}
	return false
}
