package pedal

import (
	"cmp"
	"context"
	"math/bits"
	"slices"
	"time"
)

// Limits of work that hold whatever the music, the same on every machine. Real
// parts stay far below them but for the fastest ones where feet count.
const (
	maxStates   = 1 << 14 // in one frontier
	maxWork     = 6 << 20 // steps from a state by a reading, in one search
	maxFeetWork = 2 << 20 // the same where feet count
	wideBeam    = 1 << 9  // states kept once proof is lost but work is left
	beam        = 32      // states kept in a frontier once the work is used up
	judges      = 64      // the cheapest states, against which all others must stand
)

// A search finds the cheapest plan for a music in one mode with every pass of a
// repeat free to spell its notes anew, unless allowed says otherwise.
type search struct {
	ctx    context.Context
	m      *music
	scale  *scale
	reader reader
	feet   feetModel // nil where feet do not count

	until time.Time // when to stop looking for proof; zero for never
	work  int       // steps taken so far, over all runs
	limit int       // of work

	ahead     []mentions // for each chord
	cur, next frontier
	order     []rank
	nodes     []node
	held      [Letters + 1]weight // multiples of the scale's weights
	change    [Letters + 1]weight
	notch     [2*Letters + 1]weight
	rushed    [2*Letters + 1]weight
}

// feetDepth says how much of the feet a search takes in.
type feetDepth uint8

const (
	noFeet     feetDepth = iota
	sketchFeet           // see sketch
	exactFeet            // see feetState
)

// A node is a step of a plan: the reading of a chord and the step before.
type node struct {
	parent int32
	draft  draft
}

// A solution is the outcome of a search.
type solution struct {
	ways  [][]int8 // for each chord and tone the way that plays it; -1 for none
	cost  total
	bound total // no solution costs less; equal to cost if the search was exhaustive
	cut   bool  // something was left out of the search
}

// A total is a whole cost: the unsounded tones, then all else.
type total struct {
	unsounded int
	weight    weight
}

func (a total) compare(b total) int {
	return cmp.Or(cmp.Compare(a.unsounded, b.unsounded), a.weight.compare(b.weight))
}

// strict clears what only breaks ties.
func (s *search) strict(t total) total {
	t.weight = s.scale.strict(t.weight)
	return t
}

func newSearch(ctx context.Context, m *music, mode Mode, depth feetDepth) (*search, error) {
	sc, err := newScale(mode, m.o.changePrice(), m.tones, len(m.chords))
	if err != nil {
		return nil, err
	}
	s := &search{ctx: ctx, m: m, scale: sc, limit: maxWork}
	if m.o.Effort > 0 {
		s.until = time.Now().Add(m.o.Effort)
	}
	allowed := make([]uint8, len(m.classes))
	for i, c := range m.classes {
		allowed[i] = 1<<c.n - 1
		if mode == Written {
			allowed[i] &= c.written
		}
	}
	s.reader = reader{m: m, scale: sc, allowed: allowed, feet: depth != noFeet}
	if depth != noFeet {
		s.look()
		s.limit = maxFeetWork
	}
	switch depth {
	case sketchFeet:
		s.feet = newSketchTable(m, s.ahead)
	case exactFeet:
		s.feet = newFeetTable(m, s.ahead)
	}
	for n := range s.held {
		s.held[n], s.change[n] = sc.held.times(n), sc.change.times(n)
	}
	for n := range s.notch {
		s.notch[n], s.rushed[n] = sc.notch.times(n), sc.rushed.times(n)
	}
	return s, nil
}

// run solves the music under the present restrictions.
func (s *search) run() (*solution, error) {
	sol := &solution{}
	s.look()
	s.nodes = append(s.nodes[:0], node{parent: -1})
	s.work += 16 * len(s.m.chords) // reading a chord is worth so many steps
	s.begin()
	unsounded := 0
	cut := -1 // the first chord at which something was left out
	var bound weight
	for k := range s.m.chords {
		if k%64 == 0 {
			if err := s.ctx.Err(); err != nil {
				return nil, err
			}
		}
		list, dropped, complete := s.reader.readings(&s.m.chords[k])
		unsounded += dropped
		low := s.cur.list[0].cost // no state costs less, here and later
		if s.spent() && len(s.cur.list)*len(list) > beam*beam {
			complete = false
			s.cur.list = s.cur.list[:min(beam, len(s.cur.list))]
			slices.SortStableFunc(list, func(a, b reading) int { return a.cost.compare(b.cost) })
			list = list[:min(beam, len(list))]
		}
		s.step(k, list)
		s.prune(k)
		if n := len(s.cur.list); n > maxStates || cut >= 0 && n > wideBeam {
			complete = false
			s.cur.list = s.cur.list[:wideBeam]
		}
		if !complete && cut < 0 {
			cut, bound = k, low
		}
		s.record(list)
	}
	end := s.finish()
	sol.cost = total{unsounded, end.cost}
	sol.bound = sol.cost
	sol.ways = s.trace(end.parent)
	if sol.cut = cut >= 0; sol.cut {
		rest, err := s.lowerBound(cut)
		if err != nil {
			return nil, err
		}
		if low := bound.plus(rest); low.less(end.cost) {
			sol.bound.weight = low
		}
	}
	return sol, nil
}

// begin makes the frontier before the first chord.
func (s *search) begin() {
	e := entry{parent: 0}
	if s.m.o.Start != nil {
		e.pos = pack(*s.m.o.Start)
	}
	if s.feet != nil {
		e.feet = s.feet.begin(e.pos)
	}
	s.cur.reset()
	s.cur.add(&e)
}

// step moves the frontier over a chord.
func (s *search) step(k int, list []reading) {
	s.next.reset()
	if s.feet != nil {
		s.feet.turn()
	}
	last := k+1 == len(s.m.chords)
	for i := range s.cur.list {
		from := &s.cur.list[i]
		held := from.heldLetters()
		for ri := range list {
			rd := &list[ri]
			changed, notches := moved(from.pos, rd.req, rd.mask)
			e := entry{parent: from.parent, reading: int32(ri)}
			e.pos = from.pos&^rd.mask | rd.req
			e.cost = from.cost.plus(rd.cost)
			if changed != 0 {
				e.cost = e.cost.plus(s.change[bits.OnesCount16(changed)]).plus(s.notch[notches]).
					plus(s.held[bits.OnesCount16(changed&held)])
			}
			if !last {
				for l := range e.release {
					r := rd.release[l]
					if changed>>(2*l)&1 == 0 {
						r = max(r, from.release[l])
					}
					if r > int32(k+1) && r > s.ahead[k].other(Letter(l), e.pos>>(2*l)&3) {
						e.release[l] = r
					}
				}
			}
			if s.feet == nil {
				s.next.add(&e)
				continue
			}
			for _, o := range s.feet.step(from.feet, k, e.pos, changed, set(rd.req)&^set(from.pos), rd) {
				f := e
				f.feet = o.feet
				f.cost = e.cost.plus(s.rushed[o.rushed])
				s.next.add(&f)
			}
		}
	}
	s.work += len(s.cur.list) * len(list)
	s.cur, s.next = s.next, s.cur
}

// prune sorts the frontier by cost and removes the states that a cheaper one
// can stand in for.
func (s *search) prune(k int) {
	list := s.cur.list
	if len(list) == 1 {
		return
	}
	s.order = s.order[:0]
	for i := range list {
		e := &list[i]
		e.held, e.wanted = e.heldLetters(), s.wanted(e.pos, k)
		s.order = append(s.order, rank{e.cost, int32(i)})
	}
	slices.SortFunc(s.order, func(a, b rank) int { return cmp.Or(a.cost.compare(b.cost), cmp.Compare(a.i, b.i)) })
	kept := s.next.list[:0]
next:
	for _, o := range s.order {
		e := &list[o.i]
		for j := range kept[:min(len(kept), judges)] {
			if s.standsIn(&kept[j], e, k) {
				continue next
			}
		}
		kept = append(kept, *e)
	}
	s.cur.list, s.next.list = kept, list
}

// A rank is an entry's place in the order of costs.
type rank struct {
	cost weight
	i    int32
}

// standsIn tells whether some plan from state a after chord k costs no more than
// the best plan from state b: it plays what that plan plays, and moves each pedal
// that stands elsewhere when that plan first uses it. A position of b that will
// be of no use before its pedal moves anyway saves b no change, only notches.
func (s *search) standsIn(a, b *entry, k int) bool {
	if b.cost.less(a.cost) {
		return false
	}
	x := a.pos ^ b.pos
	differ := (x | x>>1) & set(a.pos)
	wide := differ & (x>>1&^x | ^set(b.pos)) // two notches apart, or perhaps so
	again := differ & b.wanted               // a moves these once more than b
	cost := a.cost.plus(s.change[bits.OnesCount16(again)]).
		plus(s.notch[bits.OnesCount16(differ)+bits.OnesCount16(wide)])
	if a.held != 0 {
		held := bits.OnesCount16(a.held & again)
		for h := a.held &^ again; h != 0; h &= h - 1 {
			if l := bits.TrailingZeros16(h) / 2; a.release[l] > b.release[l] {
				held++
			}
		}
		cost = cost.plus(s.held[held])
	}
	if b.cost.less(cost) {
		return false
	}
	if s.feet == nil {
		return true
	}
	spare := 0 // changes that a can rush and still cost no more
	for spare+1 < len(s.rushed) && !b.cost.less(cost.plus(s.rushed[spare+1])) {
		spare++
	}
	return s.feet.standsIn(a.feet, b.feet, k, b.pos, again, spare)
}

// wanted returns the low bit of each letter that is not set, or that stands
// where it may still be of use after chord k.
func (s *search) wanted(pos uint16, k int) (low uint16) {
	for l := range Letter(Letters) {
		if at := pos >> (2 * l) & 3; at == unset || s.ahead[k].isAlive(l, at) {
			low |= 1 << (2 * l)
		}
	}
	return low
}

// spent tells whether the search has used up what it may use.
func (s *search) spent() bool {
	return s.work >= s.limit || !s.until.IsZero() && time.Now().After(s.until)
}

// record gives each state of the frontier its node.
func (s *search) record(list []reading) {
	for i := range s.cur.list {
		e := &s.cur.list[i]
		s.nodes = append(s.nodes, node{e.parent, list[e.reading].draft})
		e.parent = int32(len(s.nodes) - 1)
	}
}

// finish moves the frontier to the setting asked for at the end, if any, and
// returns the cheapest entry.
func (s *search) finish() entry {
	if s.m.o.End != nil {
		end := pack(*s.m.o.End)
		for i := range s.cur.list {
			e := &s.cur.list[i]
			changed, notches := moved(e.pos, end, 0x3fff)
			e.cost = e.cost.plus(s.change[bits.OnesCount16(changed)]).plus(s.notch[notches])
		}
	}
	return slices.MinFunc(s.cur.list, func(a, b entry) int { return a.cost.compare(b.cost) })
}

// trace follows the nodes back and says how every tone is played.
func (s *search) trace(n int32) [][]int8 {
	ways := make([][]int8, len(s.m.chords))
	slab := make([]int8, s.m.tones)
	for k := len(s.m.chords) - 1; k >= 0; k-- {
		ch := &s.m.chords[k]
		ways[k], slab = slab[:len(ch.tones):len(ch.tones)], slab[len(ch.tones):]
		for ti := range ch.tones {
			ways[k][ti] = int8(s.reader.choose(ch, &s.nodes[n].draft, ti))
		}
		n = s.nodes[n].parent
	}
	return ways
}

// lowerBound returns a cost that the chords from k on cannot undercut, whatever
// came before. It solves them stretch by stretch with all pedals free at the
// start of each: a stretch ends where its frontier grows too large.
func (s *search) lowerBound(k int) (weight, error) {
	var total weight
	const small = 256
	restart := func() {
		fresh := &entry{}
		if s.feet != nil {
			fresh.feet = s.feet.begin(unset)
		}
		s.cur.reset()
		s.cur.add(fresh)
	}
	restart()
	for ; k < len(s.m.chords); k++ {
		if k%64 == 0 {
			if err := s.ctx.Err(); err != nil {
				return weight{}, err
			}
		}
		list := []reading{{}} // to leave a chord out costs nothing
		if drafts, complete := s.reader.expand(&s.m.chords[k], 0, 0); complete && 0 < len(drafts) && len(drafts) <= small {
			list, _, _ = s.reader.readings(&s.m.chords[k])
		}
		s.step(k, list)
		s.prune(k)
		if len(s.cur.list) > small {
			total = total.plus(s.cur.list[0].cost)
			restart()
		}
	}
	best := slices.MinFunc(s.cur.list, func(a, b entry) int { return a.cost.compare(b.cost) })
	return total.plus(best.cost), nil
}
