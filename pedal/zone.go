package pedal

import (
	"cmp"
	"slices"
	"time"
)

// A care says how exactly a foot is followed just before a chord.
type care int32

const (
	// Not at all: every letter is ready.
	careless care = iota
	// Loosely: a letter is ready as soon as the foot has once had the time for its
	// change, whatever else it had to do in that time. What can go wrong is a
	// change of a letter plucked less than a foot time before, and a second change
	// that must be made in the very last foot time.
	loose
	// Exactly as the foot is.
	exact
)

// Zones are the chords before which the feet are followed exactly. Elsewhere they
// are taken to do what they can, so that a plan is never rushed less than the
// search knows. Where it turns out to be rushed more, a zone is made (see tighten);
// zones are few and short, even where the music is fast.
//
// What a search finds with less care costs no more than with more: it marks a
// letter ready that may not be, or forgets when a foot is free, and no plan costs
// more for that. In a zone, too, a letter is followed loosely as long as no chord
// of the zone can ask for its change.
type zones struct {
	m     *music
	care  [2][]care    // for each foot and chord
	found [2][]care    // the same, without what everywhere has added
	views [2][]horizon // what a foot sees of that
	reach []int32      // for each chord the last one up to which skip looks out for zones
}

// A horizon is what a foot sees of the zones from a chord on; where it is the same,
// the foot does the same.
type horizon struct {
	care care
	end  int32 // the last chord of the zone that the chord is in; -1 if it is in none
	next int32 // the first chord of the next zone; the first out of reach if that is out of reach
}

// newZones returns zones that begin with the care given, which stays as it is.
func newZones(m *music, begin [2][]care) zones {
	n := len(m.chords)
	z := zones{m: m, reach: make([]int32, n+1)}
	last := longAgo // when all notes so far have ended
	for k := range n {
		z.reach[k] = m.after(k-1, max(last, m.at(k)))
		for _, t := range m.chords[k].tones {
			last = max(last, t.until)
		}
	}
	z.reach[n] = int32(n)
	for f := range Foot(2) {
		z.care[f] = slices.Clone(begin[f])
		z.views[f] = make([]horizon, n+1)
		z.look(f)
	}
	return z
}

// skip tells whether letter i of a foot counts as ready before chord k, where it is
// followed loosely. If not, it puts the time at which the letter is free to the
// earliest that makes no difference to any chord, unless a zone is near that may
// tell the difference.
func (z *zones) skip(f Foot, s *footState, i, k int, soonest int32) bool {
	warm := z.m.after(k-1, s.free[i]) // the first chord with a whole foot time for the letter
	if warm == int32(k) {
		return true
	}
	if z.views[f][k].next <= warm {
		return false
	}
	s.free[i] = z.m.at(int(warm)-1) - z.m.pace.Foot + 1
	return warm <= soonest
}

// tighten takes more care where a plan rushes changes, if it can where the search
// did not know of it, and tells whether it found anything to tighten.
func (z *zones) tighten(d *draftPlan) bool {
	return z.tightenBut(slices.Clone(d.sol.rushed), d.tasks) || z.tightenBut(nil, d.tasks)
}

// tightenBut takes more care where changes are rushed but for those known.
func (z *zones) tightenBut(known [][2]uint8, tasks []task) bool {
	more := false
	for f := range Foot(2) {
		var made, rushed []*Move
		for i := range tasks {
			switch mv := &tasks[i].Move; {
			case mv.Letter.Foot() != f:
			case mv.Rushed:
				rushed = append(rushed, mv)
			default:
				made = append(made, mv)
			}
		}
		slices.SortFunc(made, func(a, b *Move) int { return cmp.Compare(a.Start, b.Start) })
		for _, mv := range rushed {
			if known != nil {
				if k, ok := z.m.chordAt(mv.Needed); ok {
					if k+1 < len(known) && known[k][f] == 0 && z.m.chords[k].restart && z.m.chords[k+1].moment == z.m.chords[k].moment {
						k++ // the chord there
					}
					if known[k][f] > 0 {
						known[k][f]--
						continue
					}
				}
			}
			// Plans found with more care may rush changes near by instead: loosely,
			// they are all looked at in one go.
			from, to := crowd(made, mv, z.m.pace.Foot)
			switch {
			case z.markAround(f, from, to):
				more = true
			case mv.WindowEnd >= mv.WindowStart:
				more = z.mark(f, from, to, exact) || more
			}
		}
		z.look(f)
	}
	return more
}

// crowd returns a time around a rushed change in which the foot had more to do
// than it could: as short a time as can be found. The changes that it made are
// given in the order in which it made them. Each takes the foot for a foot time
// from its start.
func crowd(made []*Move, rushed *Move, foot time.Duration) (from, to time.Duration) {
	from, to = rushed.WindowStart, max(rushed.WindowStart, rushed.WindowEnd)+foot
	var near []*Move // in one another's way
	for grown := true; grown; {
		grown = false
		near = append(near[:0], rushed)
		first, _ := slices.BinarySearchFunc(made, from, func(o *Move, from time.Duration) int {
			if o.Start+foot <= from {
				return -1
			}
			return 1
		})
		for _, o := range made[first:] {
			if o.Start >= to {
				break
			}
			near = append(near, o)
			if o.WindowStart < from || o.WindowEnd+foot > to {
				from, to = min(from, o.WindowStart), max(to, o.WindowEnd+foot)
				grown = true
			}
		}
	}
	for _, a := range near {
		for _, b := range near {
			start, end := min(a.WindowStart, rushed.WindowStart), max(b.WindowEnd, rushed.WindowEnd)+foot
			if end-start >= to-from {
				continue
			}
			var need time.Duration
			for _, o := range near {
				if o.WindowStart >= start && o.WindowEnd+foot <= end {
					need += foot
				}
			}
			if need > end-start {
				from, to = start, end
			}
		}
	}
	return from, to
}

// markAround follows a foot at least loosely around a time.
func (z *zones) markAround(f Foot, from, to time.Duration) (more bool) {
	return z.mark(f, from-6*z.m.pace.Foot, to+6*z.m.pace.Foot, loose)
}

// mark takes so much care at least before the chords after one time up to another.
func (z *zones) mark(f Foot, from, to time.Duration, c care) (more bool) {
	first, _ := slices.BinarySearch(z.m.times, from+1)
	for k := first; k < len(z.m.times) && z.m.times[k] <= to; k++ {
		if z.care[f][k] < c {
			z.care[f][k] = c
			more = true
		}
	}
	return more
}

// everywhere follows the feet exactly in the whole music; false if it was so.
func (z *zones) everywhere() (more bool) {
	for f := range Foot(2) {
		if z.found[f] == nil {
			z.found[f] = slices.Clone(z.care[f])
		}
		more = z.mark(f, longAgo, forever, exact) || more
		z.look(f)
	}
	return more
}

// look sets what a foot sees of the zones.
func (z *zones) look(f Foot) {
	n := int32(len(z.m.chords))
	end, next := int32(-1), n
	for k := n; k >= 0; k-- {
		c := z.care[f][k]
		switch in := c == exact; {
		case in && end < 0:
			end = k
		case !in && end >= 0:
			end, next = -1, k+1
		}
		z.views[f][k] = horizon{}
		if c != careless {
			z.views[f][k] = horizon{c, end, min(next, z.reach[k]+1)}
		}
	}
}

// needed returns the care that the search came to for reasons, without what
// everywhere has added.
func (z *zones) needed() [2][]care {
	if z.found[Left] != nil {
		return z.found
	}
	return z.care
}

// handOn returns with how much care a search in another mode does well to begin
// after one that has found this plan: as exactly as that came to, and loosely
// elsewhere; or, where less than one chord in 80 has a rushed change, loosely
// around those changes and elsewhere not at all. The zones are not used any more.
func (z *zones) handOn(plan *Plan) [2][]care {
	z.care = z.needed()
	if 80*plan.Cost.Rushed >= len(z.m.chords) {
		return z.care
	}
	for f := range z.care {
		for k, c := range z.care[f] {
			if c == loose {
				z.care[f][k] = careless
			}
		}
	}
	for i := range plan.Moves {
		if mv := &plan.Moves[i]; mv.Rushed {
			z.markAround(mv.Letter.Foot(), mv.WindowStart, mv.WindowEnd)
		}
	}
	return z.care
}
