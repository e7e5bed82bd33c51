package pedal

import (
	"math/bits"
	"time"
)

// A sketch is the state of the feet as far as a simpler model knows it, in which
// a change that can be made before the last foot time is always made in time.
// What is left to go wrong are changes of a letter plucked less than a foot time
// before, and changes that must be made in the very last foot time, of which a
// foot can make one. So a plan is never rushed less than its sketch.
type sketch struct {
	hot  [Letters]int32 // the first chord for which a foot has time after the letter's last attack
	warm [Letters]int32 // the first chord for which a foot has time after the letter's last note ends
	busy [2]int32       // the first chord for which each foot has time after its last change
}

// A sketchTable numbers the sketches that a search meets.
type sketchTable struct {
	m     *music
	ahead []mentions
	cool  []int32 // for each chord the first later chord a foot time away
	out   [1]footOutcome
	states[sketch]
}

func newSketchTable(m *music, ahead []mentions) *sketchTable {
	t := &sketchTable{m: m, ahead: ahead, cool: make([]int32, len(m.chords)), states: newStates((*sketch).hash)}
	for k := range m.chords {
		t.cool[k] = m.after(k, m.at(k))
	}
	return t
}

// after is the first chord behind k that leaves a foot time enough from a time
// on.
func (m *music) after(k int, from time.Duration) int32 {
	k++
	for k < len(m.chords) && m.at(k)-from < m.foot {
		k++
	}
	return int32(k)
}

func (s *sketch) hash() uint32 {
	h := uint64(s.busy[0])<<32 | uint64(s.busy[1])
	for l := range Letters {
		h = (h ^ uint64(s.hot[l])<<32 ^ uint64(s.warm[l])) * 0x9e3779b97f4a7c15
		h ^= h >> 29
	}
	return uint32(h >> 32)
}

func (t *sketchTable) begin(pos uint16) int32 {
	var s sketch
	for l := range Letters {
		if pos>>(2*l)&3 != unset {
			s.hot[l] = t.m.after(-1, t.m.p.Moments[0].At)
			s.warm[l] = s.hot[l]
		}
	}
	return t.number(&s)
}

func (t *sketchTable) step(from int32, k int, pos, changed, fresh uint16, rd *reading) []footOutcome {
	s := &t.made
	*s = t.old[from]
	rushed := 0
	for c := changed; c != 0; c &= c - 1 {
		l := bits.TrailingZeros16(c) / 2
		f := Letter(l).Foot()
		switch {
		case int32(k) < s.hot[l]:
			rushed++
		case int32(k) >= s.warm[l]:
		case int32(k) < s.busy[f]:
			rushed++
		default:
			s.busy[f] = t.cool[k]
		}
	}
	next := int32(k + 1)
	for l := range Letter(Letters) {
		if rd.mask>>(2*l)&3 != 0 {
			warm := max(t.cool[k], t.m.after(k, rd.until[l]))
			if (changed|fresh)>>(2*l)&1 == 0 {
				warm = max(warm, s.warm[l])
			}
			s.hot[l], s.warm[l] = t.cool[k], warm
		}
		if s.warm[l] == 0 {
			continue
		}
		// Before the letter can be asked for at another position nothing moves it.
		soonest := max(next, t.ahead[k].other(l, pos>>(2*l)&3))
		if s.hot[l] <= soonest {
			s.hot[l] = 0
		}
		if s.warm[l] <= soonest {
			s.warm[l] = 0
		}
	}
	for f := range s.busy {
		if s.busy[f] <= next {
			s.busy[f] = 0
		}
	}
	t.out[0] = footOutcome{t.number(s), rushed}
	return t.out[:]
}

func (t *sketchTable) standsIn(a, b int32, k int, pos, differ uint16, spare int) bool {
	if a == b && differ == 0 {
		return true
	}
	x, y := &t.list[a], &t.list[b]
	for f := range x.busy {
		if x.busy[f] > y.busy[f] {
			spare-- // the one change that the foot has no time for in a
		}
	}
	for l := range Letter(Letters) {
		if x.warm[l] == 0 {
			continue
		}
		late := x.hot[l] > y.hot[l] || x.warm[l] > y.warm[l]
		if differ>>(2*l)&1 != 0 {
			to := pos >> (2 * l) & 3
			late = late || to == unset || x.warm[l] > t.ahead[k].at[l][to-1]
		}
		if late {
			spare--
		}
	}
	return spare >= 0
}
