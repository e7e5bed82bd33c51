package pedal

import (
	"math/bits"
	"slices"
	"time"
)

// long ago: a pedal that was freed then can be moved at any time.
const longAgo = -forever

// A feetState is all that the past means to the time the feet have.
//
// What matters of a letter is whether the foot could make its next change in
// time left over in the past. Which change that will be need not be known: if
// the foot has had room for it, the letter is marked ready, and whatever change
// its next note needs costs no time any more. If its next note needs none, the
// room was not taken from anyone.
type feetState struct {
	ready uint8                  // bit of each letter that is ready, or that nothing has used yet
	busy  [2]time.Duration       // until when each foot has its changes fixed
	free  [Letters]time.Duration // of letters not ready: when the last note ends
	hot   [Letters]int32         // the first chord that leaves a foot time enough after the letter's last attack; 0 if passed
}

// A feetTable numbers the states of the feet that a search meets.
type feetTable struct {
	m     *music
	ahead []mentions
	cool  []int32 // for each chord the first later chord a foot time away
	states[feetState]

	out  []footOutcome
	part [2][]footPart
}

// A footPart is what one foot can do at a chord.
type footPart struct {
	busy   time.Duration
	ready  uint8
	rushed int
}

func newFeetTable(m *music, ahead []mentions) *feetTable {
	t := &feetTable{m: m, ahead: ahead, cool: make([]int32, len(m.chords)), states: newStates((*feetState).hash)}
	for k := range m.chords {
		t.cool[k] = m.after(k, m.at(k))
	}
	return t
}

func (s *feetState) hash() uint32 {
	h := uint64(s.busy[0]) ^ uint64(s.busy[1])*3 ^ uint64(s.ready)
	for l := range Letters {
		h = (h ^ uint64(s.free[l]) ^ uint64(s.hot[l])<<20) * 0x9e3779b97f4a7c15
		h ^= h >> 29
	}
	return uint32(h >> 32)
}

// begin is the state in which the letters set in pos have stood since the
// music started.
func (t *feetTable) begin(pos uint16) int32 {
	s := feetState{busy: [2]time.Duration{longAgo, longAgo}}
	for l := range Letter(Letters) {
		if pos>>(2*l)&3 == unset {
			s.ready |= 1 << l
			s.free[l] = longAgo
			continue
		}
		start := t.m.p.Moments[0].At
		s.free[l] = start
		for int(s.hot[l]) < len(t.m.chords) && t.m.at(int(s.hot[l]))-start < t.m.foot {
			s.hot[l]++
		}
	}
	if len(t.m.chords) > 0 {
		t.settle(&s, 0, pos)
	}
	return t.number(&s)
}

// letters are the bits of a foot's letters.
func (f Foot) letters() uint8 {
	if f == Left {
		return 1<<D | 1<<C | 1<<B
	}
	return 1<<E | 1<<F | 1<<G | 1<<A
}

// step returns what the feet can do at chord k, where a reading is played and
// the pedals of changed (low bits, as in moved) move for it. The result is valid
// until the next call.
func (t *feetTable) step(from int32, k int, pos, changed, fresh uint16, rd *reading) []footOutcome {
	s := t.old[from]
	var moving, played uint8
	for l := range Letters {
		moving |= uint8(changed>>(2*l)&1) << l
		if rd.mask>>(2*l)&3 != 0 {
			played |= 1 << l
		}
	}
	for f := range t.part {
		t.part[f] = t.changes(t.part[f][:0], &s, Foot(f), k, moving, played)
	}
	after := s
	after.ready &^= played
	for l := range Letter(Letters) {
		if played>>l&1 == 0 {
			continue
		}
		until := rd.until[l]
		if moving>>l&1 == 0 && fresh>>(2*l)&1 == 0 && s.ready>>l&1 == 0 {
			until = max(until, s.free[l])
		}
		after.free[l], after.hot[l] = until, t.cool[k]
	}
	t.out = t.out[:0]
	for _, left := range t.part[Left] {
		for _, right := range t.part[Right] {
			to := &t.made
			*to = after
			to.busy = [2]time.Duration{left.busy, right.busy}
			to.ready |= left.ready | right.ready
			for l := range Letters {
				if to.ready>>l&1 != 0 {
					to.free[l] = longAgo
				}
			}
			if k+1 < len(t.m.chords) {
				t.settle(to, k+1, pos)
			} else {
				*to = feetState{}
			}
			t.out = append(t.out, footOutcome{t.number(to), left.rushed + right.rushed})
		}
	}
	return t.out
}

// changes appends what one foot can do with the changes of a chord: make as
// many as there is room for, and put others that may be needed later in the gap
// before them, which is lost otherwise.
func (t *feetTable) changes(out []footPart, s *feetState, f Foot, k int, moving, played uint8) []footPart {
	due, foot := t.m.at(k), t.m.foot
	var now, ahead uint8 // changes that need room now; letters that could go into the gap
	rushed := 0
	for l := range Letter(Letters) {
		bit := uint8(1) << l
		switch {
		case f.letters()&bit == 0 || s.ready&bit != 0:
		case moving&bit != 0 && int(s.hot[l]) > k:
			rushed++
		case moving&bit != 0:
			now |= bit
		case played&bit == 0 && s.free[l] <= due-2*foot:
			ahead |= bit
		}
	}
	if now == 0 {
		return append(out, footPart{s.busy[f], 0, rushed})
	}
	all := now | ahead
	for set := all; ; set = (set - 1) & all {
		if busy, ok := s.fit(f, set, now, due, foot); ok {
			p := footPart{busy, set & ahead, rushed + bits.OnesCount8(now&^set)}
			out = addPart(out, p)
		}
		if set == 0 {
			return out
		}
	}
}

// fit makes the changes of a set of letters by due, each as early as it can, and
// returns when the foot is done.
func (s *feetState) fit(f Foot, set, now uint8, due, foot time.Duration) (busy time.Duration, ok bool) {
	var opens [4]time.Duration
	n := 0
	for l := range Letters {
		if set>>l&1 == 0 {
			continue
		}
		opens[n] = s.free[l]
		if now>>l&1 != 0 {
			opens[n] = min(opens[n], due-foot) // a note may go up to a foot's time early
		}
		n++
	}
	slices.Sort(opens[:n])
	busy = s.busy[f]
	for _, o := range opens[:n] {
		busy = max(busy, o) + foot
	}
	return busy, n == 0 || busy <= due
}

// addPart keeps the parts that no other is as good as in every way.
func addPart(list []footPart, p footPart) []footPart {
	better := func(a, b footPart) bool {
		return a.rushed <= b.rushed && a.busy <= b.busy && b.ready&^a.ready == 0
	}
	for _, o := range list {
		if better(o, p) {
			return list
		}
	}
	list = slices.DeleteFunc(list, func(o footPart) bool { return better(p, o) })
	return append(list, p)
}

// settle prepares the state for chord k, with the pedals at pos. It marks the
// letters ready whose next change fits into time that nothing else can want, and
// forgets what no longer matters.
//
// Time is wanted by the letters that are not ready: from when each is freed, or
// within the last foot time before the chord that first asks for one of them
// elsewhere. A letter used from chord k on wants no time before that chord.
func (t *feetTable) settle(s *feetState, k int, pos uint16) {
	foot := t.m.foot
	for f := range Foot(2) {
		var order [4]Letter
		n := 0
		edge := t.m.at(k)
		for l := range Letter(Letters) {
			if l.Foot() != f || s.ready>>l&1 != 0 {
				continue
			}
			soonest := int32(k)
			if k > 0 {
				soonest = max(soonest, t.ahead[k-1].other(l, pos>>(2*l)&3))
			}
			if int(soonest) == len(t.m.chords) {
				s.ready |= 1 << l // it will never move again
				s.free[l], s.hot[l] = longAgo, 0
				continue
			}
			if s.hot[l] <= soonest {
				s.hot[l] = 0
			}
			edge = min(edge, t.m.at(int(soonest))-foot)
			s.free[l] = max(s.free[l], s.busy[f])
			order[n] = l
			for i := n; i > 0 && s.free[order[i]] < s.free[order[i-1]]; i-- {
				order[i], order[i-1] = order[i-1], order[i]
			}
			n++
		}
		busy, done, until := s.busy[f], 0, s.busy[f]
		for i, l := range order[:n] {
			busy = max(busy, s.free[l]) + foot
			if busy > edge {
				break
			}
			if i+1 == n || busy <= s.free[order[i+1]] {
				done, until = i+1, busy
			}
		}
		for _, l := range order[:done] {
			s.ready |= 1 << l
			s.free[l], s.hot[l] = longAgo, 0
		}
		// A letter not ready is freed no earlier than the foot is, so the foot itself
		// only matters to changes that let a note go early.
		for _, l := range order[done:n] {
			s.free[l] = max(s.free[l], until)
		}
		if s.busy[f] = until; until <= edge {
			s.busy[f] = longAgo
		}
	}
}

func (t *feetTable) standsIn(a, b int32, k int, _, differ uint16, spare int) bool {
	if a == b && differ == 0 {
		return true
	}
	x, y := &t.list[a], &t.list[b]
	// Counted are changes that the plan of b makes in time and that of a need not:
	// at most the next one of each letter not ready in a.
	late := y.ready
	for d := differ; d != 0; d &= d - 1 {
		late |= 1 << (bits.TrailingZeros16(d) / 2)
	}
	late &^= x.ready
	if bits.OnesCount8(late) > spare {
		return false
	}
	waiting := ^x.ready & (1<<Letters - 1)
	for w := waiting &^ late; w != 0; w &= w - 1 {
		if l := bits.TrailingZeros8(w); x.free[l] > y.free[l] || x.hot[l] > y.hot[l] {
			late |= 1 << l
		}
	}
	if spare -= bits.OnesCount8(late); spare < 0 {
		return false
	}
	for f := range Foot(2) {
		if x.busy[f] <= y.busy[f] {
			continue
		}
		// The plan of b may start changes before the foot is free in a: as a rule
		// one, which is rushed in a.
		rest := waiting & f.letters() &^ late
		low := y.busy[f]
		if low == longAgo {
			low = t.m.at(k) - t.m.foot
		}
		for r := rest; r != 0; r &= r - 1 {
			low = min(low, y.free[bits.TrailingZeros8(r)])
		}
		n := bits.OnesCount8(rest)
		if x.busy[f]-low <= t.m.foot {
			n = min(n, 1)
		}
		spare -= n
	}
	return spare >= 0
}
