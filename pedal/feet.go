package pedal

import (
	"math/bits"
	"slices"
	"time"
)

// long ago: a pedal that was freed then can be moved at any time.
const longAgo = -forever / 4

// A footState is all that the past means to the time one foot has. Letters are
// counted from the foot's first.
//
// What matters of a letter is whether the foot could make its next change in
// time left over in the past. Which change that will be need not be known: if
// the foot has had room for it, the letter is marked ready, and whatever change
// its next note needs costs no time any more. If its next note needs none, the
// room was not taken from anyone.
type footState struct {
	busy  time.Duration    // the foot has its changes fixed: the next one starts no earlier
	free  [4]time.Duration // of letters not ready: when the last note ends
	soft  [4]time.Duration // of letters not ready: when the last note may be let go; longAgo if that hinders no change to come
	pos   uint16           // how its pedals stand; its part of a packed setting
	ready uint8            // bit of each letter that is ready, or that nothing has used yet
	lent  uint8            // the same of those that are as good as ready in this very second
}

// A footDemand is what a reading asks of the letters of one foot.
type footDemand struct {
	req, mask uint16           // as in draft
	until     [4]time.Duration // when each letter's tones have ended
}

// A footOutcome is one way in which a foot can make the changes of a chord.
type footOutcome struct {
	state  int32 // index into feet.made
	rushed int
}

// Feet follow both feet through a search, each for itself, since they share
// nothing but the pedals' positions. See zones for how exactly.
type feet struct {
	m     *music
	ahead []*mentions
	zones zones

	made     [2]footStates    // after the chord that is being crossed
	known    [2][]outcomeSpan // for each state before the chord and demand of it what the foot can do, once asked
	outcomes []footOutcome
	gaps     []footGap
	numbers  []int32
	needed   []footState
}

// An outcomeSpan is a part of feet.outcomes; it is never empty once known.
type outcomeSpan struct{ from, to int32 }

// A footGap is what a foot can do before a chord.
type footGap struct {
	busy        time.Duration
	ready, lent uint8 // what is more so
	rushed      int
}

// span returns the foot's first letter and how many it has.
func (f Foot) span() (first Letter, n int) {
	if f == Left {
		return D, 3
	}
	return E, 4
}

// mask returns the bits of the foot's letters in a packed setting.
func (f Foot) mask() uint16 {
	if f == Left {
		return 0x003f
	}
	return 0x3fc0
}

func newFeet(m *music, ahead []*mentions, begin [2][]care) *feet {
	t := &feet{m: m, ahead: ahead}
	t.zones = newZones(m, begin)
	for f := range t.made {
		t.made[f].table = make([]int32, 64)
	}
	return t
}

// after is the first chord behind k that leaves a foot time enough from a time
// on.
func (m *music) after(k int, from time.Duration) int32 {
	const near = 8
	from += m.pace.Foot
	for k++; k < len(m.times) && m.times[k] < from; k++ {
		if k+near < len(m.times) && m.times[k+near] < from {
			i, _ := slices.BinarySearch(m.times[k+near:], from)
			return int32(k + near + i)
		}
	}
	return int32(k)
}

// begin is the state of a foot in which the letters set in pos have stood since
// the music started.
func (t *feet) begin(f Foot, pos uint16) footState {
	s := footState{busy: longAgo, pos: pos & f.mask()}
	if len(t.m.chords) == 0 {
		return s
	}
	first, n := f.span()
	start := t.m.p.Moments[0].At
	for i := range n {
		if pos>>(2*(int(first)+i))&3 == unset {
			s.makeReady(i)
		} else {
			s.free[i], s.soft[i] = start, start
		}
	}
	t.settle(f, &s, 0)
	return s
}

func (s *footState) makeReady(i int) {
	s.ready |= 1 << i
	s.free[i], s.soft[i] = longAgo, longAgo
}

// waiting returns the bit of each of the foot's n letters that is not ready.
func (s *footState) waiting(n int) uint8 { return ^(s.ready | s.lent) & (1<<n - 1) }

// letters returns the low bit, as in a packed setting, of each letter that is
// ready.
func (s *footState) letters(f Foot) uint16 {
	r := uint16(s.ready) // spread the bits
	r = r&1 | r&2<<1 | r&4<<2 | r&8<<3
	if f == Left {
		return r
	}
	return r << 6
}

// own returns the bit of each of the foot's letters whose low bit, as in a packed
// setting, is given.
func (f Foot) own(low uint16) uint8 {
	low &= f.mask()
	if f == Right {
		low >>= 6
	}
	return uint8(low&1 | low>>1&2 | low>>2&4 | low>>3&8)
}

// turn makes ready for a chord: from a front, with these readings.
func (t *feet) turn(from *front, l *listing) {
	for f := range t.made {
		t.made[f].reset()
		n := len(from.feet[f]) * len(l.demands[f])
		t.known[f] = slices.Grow(t.known[f][:0], n)[:n]
		clear(t.known[f])
	}
	t.outcomes = t.outcomes[:0]
}

// step returns what a foot can do at chord k, given the indices of the state
// before it and of the demand. The result is valid until the next call of turn.
func (t *feet) step(f Foot, from *front, state int32, k int, l *listing, demand uint16) []footOutcome {
	span := &t.known[f][int(state)*len(l.demands[f])+int(demand)]
	if span.to == 0 {
		span.from = int32(len(t.outcomes))
		t.find(f, &from.feet[f][state], k, &l.demands[f][demand])
		span.to = int32(len(t.outcomes))
	}
	return t.outcomes[span.from:span.to]
}

// find appends to t.outcomes what a foot can do at chord k.
func (t *feet) find(f Foot, s *footState, k int, d *footDemand) {
	_, n := f.span()
	after := *s
	after.pos = s.pos&^d.mask | d.req
	if s.waiting(n) == 0 && t.zones.care[f][k+1] == careless { // nothing to follow
		after.busy = longAgo
		t.outcomes = append(t.outcomes, footOutcome{t.made[f].number(f, &after), 0})
		return
	}
	x := s.pos ^ after.pos
	moving, played := f.own((x|x>>1)&set(s.pos)), f.own(d.mask)
	longer := (s.waiting(n) | s.lent) &^ (moving | f.own(^set(s.pos))) // what is played on
	for w := played; w != 0; w &= w - 1 {
		i := bits.TrailingZeros8(w)
		until, soft := d.until[i], t.m.at(k)+t.m.pace.Sounding
		if t.m.chords[k].restart {
			soft = t.m.at(k) // nothing is plucked
		}
		if longer>>i&1 != 0 {
			until, soft = max(until, s.free[i]), max(soft, s.soft[i])
		}
		after.free[i], after.soft[i] = until, min(until, soft)
	}
	after.ready, after.lent = after.ready&^played, after.lent&^played
	t.gaps = t.fill(t.gaps[:0], s, n, k, moving, played)
	for _, g := range t.gaps {
		to := after
		to.busy, to.lent = g.busy, to.lent|g.lent
		for r := g.ready; r != 0; r &= r - 1 {
			to.makeReady(bits.TrailingZeros8(r))
		}
		if k+1 < len(t.m.chords) {
			t.settle(f, &to, k+1)
		} else {
			to = footState{pos: to.pos}
		}
		t.outcomes = append(t.outcomes, footOutcome{t.made[f].number(f, &to), g.rushed})
	}
}

// fill appends what a foot of n letters can do with the changes of a chord: make
// as many as there is room for, and put others that may be needed later in the
// gap before them, which is lost otherwise.
//
// A change that comes before one for this chord starts a foot time before the last
// moment for that, which is too early to let a note of its own go for a later
// chord: so its letter must be free. Only where a move takes no time may it be let
// go, and lent to chords that come at the same second.
func (t *feet) fill(out []footGap, s *footState, n, k int, moving, played uint8) []footGap {
	due, pace := t.m.at(k), t.m.pace
	last := due - pace.Move // the last time to start a change for the chord
	sudden := pace.Move == 0 && k+1 < len(t.m.chords) && t.m.at(k+1) == due
	var now, ahead, lent uint8 // changes that need room now; letters that could go into the gap
	rushed := 0
	for w := s.waiting(n); w != 0; w &= w - 1 {
		i, bit := bits.TrailingZeros8(w), w&-w
		switch {
		case moving&bit != 0 && s.soft[i] > last:
			rushed++
		case moving&bit != 0:
			now |= bit
		case played&bit == 0 && s.free[i] <= last-pace.Foot:
			ahead |= bit
		case played&bit == 0 && sudden && s.soft[i] <= last-pace.Foot:
			lent |= bit
		}
	}
	if now == 0 {
		return append(out, footGap{s.busy, 0, 0, rushed})
	}
	all := now | ahead | lent
	for set := all; ; set = (set - 1) & all {
		if busy, ok := s.fit(set, now|lent, due, last, pace.Foot); ok {
			out = addGap(out, footGap{busy, set & ahead, set & lent, rushed + bits.OnesCount8(now&^set)})
		}
		if set == 0 {
			return out
		}
	}
}

// fit starts the changes of a set of letters one after another, each as early as
// it can, and returns when the foot can start another; ok is false if the last one
// comes too late. For changes in early, notes may go a foot time before due.
func (s *footState) fit(set, early uint8, due, last, foot time.Duration) (busy time.Duration, ok bool) {
	var opens [4]time.Duration
	n := 0
	for i := range s.free {
		if set>>i&1 == 0 {
			continue
		}
		opens[n] = s.free[i]
		if early>>i&1 != 0 {
			opens[n] = max(s.soft[i], min(opens[n], due-foot))
		}
		n++
	}
	slices.Sort(opens[:n])
	busy = s.busy
	for _, o := range opens[:n] {
		busy = max(busy, o) + foot
	}
	return busy, n == 0 || busy <= last+foot
}

// addGap keeps the gaps that no other is as good as in every way.
func addGap(list []footGap, p footGap) []footGap {
	better := func(a, b footGap) bool {
		return a.rushed <= b.rushed && a.busy <= b.busy && b.ready&^a.ready == 0 && b.lent&^(a.lent|a.ready) == 0
	}
	for _, o := range list {
		if better(o, p) {
			return list
		}
	}
	list = slices.DeleteFunc(list, func(o footGap) bool { return better(p, o) })
	return append(list, p)
}

// settle prepares a foot for chord k: it marks letters ready, and forgets what no
// longer matters.
func (t *feet) settle(f Foot, s *footState, k int) {
	first, n := f.span()
	foot := t.m.pace.Foot
	view := &t.zones.views[f][k]
	if view.care == careless {
		for i := range n {
			s.makeReady(i)
		}
		s.busy, s.lent = longAgo, 0
		return
	}
	if k > 0 && t.m.at(k) > t.m.at(k-1) {
		s.lent = 0
	}
	if s.lent != 0 {
		return
	}
	edge := t.m.at(k) // the first time that something can want
	for w := s.waiting(n); w != 0; w &= w - 1 {
		i := bits.TrailingZeros8(w)
		soonest := int32(k) // the chord that can first ask for the letter elsewhere
		if k > 0 {
			l := first + Letter(i)
			soonest = max(soonest, t.ahead[k-1].elsewhere[l][s.pos>>(2*l)&3])
		}
		if int(soonest) == len(t.m.chords) {
			s.makeReady(i) // it will never move again
			continue
		}
		if s.soft[i] <= max(s.busy, t.m.at(int(soonest))-foot) {
			s.soft[i] = longAgo
		}
		if soonest <= view.end {
			s.free[i] = max(s.free[i], s.busy)
		} else if t.zones.skip(f, s, i, k, soonest) {
			s.makeReady(i)
			continue
		}
		edge = min(edge, t.m.at(int(soonest))-foot)
	}
	if view.care == exact {
		s.useGap(n, foot, edge)
	}
	if s.busy <= edge {
		s.busy = longAgo
	}
}

// useGap marks the letters ready whose next change fits into time that nothing
// else can want. Time is wanted by the letters that are not ready: from when
// each is freed, or within the last foot time before the chord that first asks
// for one of them elsewhere. A letter used from the coming chord on wants no time
// before that chord.
func (s *footState) useGap(n int, foot, edge time.Duration) {
	var order [4]int
	waiting := 0
	for w := s.waiting(n); w != 0; w &= w - 1 {
		i := bits.TrailingZeros8(w)
		order[waiting] = i
		for j := waiting; j > 0 && s.free[order[j]] < s.free[order[j-1]]; j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
		waiting++
	}
	busy, done, until := s.busy, 0, s.busy
	for j, i := range order[:waiting] {
		busy = max(busy, s.free[i]) + foot
		if busy > edge {
			break
		}
		if j+1 == waiting || busy <= s.free[order[j+1]] {
			done, until = j+1, busy
		}
	}
	for _, i := range order[:done] {
		s.makeReady(i)
	}
	// A letter not ready is freed no earlier than the foot is, so the foot itself
	// only matters to changes that let a note go early.
	for _, i := range order[done:waiting] {
		s.free[i] = max(s.free[i], until)
	}
	s.busy = until
}

// late counts the changes that a plan going on from state x of a foot, after
// chord k, may rush although the plan it follows, from state y, makes them in
// time: at most the next one of each letter that is worse off in x, or that it
// must move once more (low bits of these letters in again). Beyond spare
// it need not count on.
func (t *feet) late(f Foot, x, y *footState, k int, again uint16, spare int) int {
	late := f.own(again)&^x.ready | y.lent&^(x.lent|x.ready)
	for i := range x.free { // what is ready comes before all else
		late |= uint8(uint64(y.free[i]-x.free[i])>>63|uint64(y.soft[i]-x.soft[i])>>63) << i
	}
	count := bits.OnesCount8(late)
	if x.busy <= y.busy || count > spare || k+1 == len(t.m.chords) {
		return count
	}
	// The plan from y may start changes before the foot is free in x: as a rule
	// one, which is rushed from x. Before the next chord it can be but one of each
	// letter, and after it one more at most, since the foot is free in x so soon.
	_, n := f.span()
	rest := x.waiting(n) &^ late
	low, next, foot := y.busy, t.m.at(k+1), t.m.pace.Foot
	if low == longAgo {
		low = next - foot
	}
	for r := rest; r != 0; r &= r - 1 {
		low = min(low, y.free[bits.TrailingZeros8(r)])
	}
	more := bits.OnesCount8(rest)
	if x.busy > next {
		more++
	}
	return count + min(more, int((x.busy-low+foot-1)/foot))
}

// number gives the entries of a front the foot's states that they need and no
// others, and returns these. The result is valid until the next call.
func (t *feet) number(f Foot, list []entry) []footState {
	made := t.made[f].list
	t.numbers = slices.Grow(t.numbers[:0], len(made))[:len(made)]
	clear(t.numbers)
	t.needed = t.needed[:0]
	for i := range list {
		n := &t.numbers[list[i].feet[f]]
		if *n == 0 {
			t.needed = append(t.needed, made[list[i].feet[f]])
			*n = int32(len(t.needed))
		}
		list[i].feet[f] = *n - 1
	}
	return t.needed
}
