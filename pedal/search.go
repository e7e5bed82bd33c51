package pedal

import (
	"cmp"
	"context"
	"math/bits"
	"slices"
	"time"
)

// Limits of work that hold whatever the music, the same on every machine. Real
// parts stay far below them.
const (
	maxStates   = 1 << 14 // in one frontier
	maxWork     = 6 << 20 // steps from a state by a reading, in one search
	maxFeetWork = 2 << 20 // the same where feet count
	wideBeam    = 1 << 9  // states kept once proof is lost but work is left
	narrow      = 128     // states kept in a frontier where no proof is asked for
	beam        = 32      // states kept in a frontier once the work is used up
	judges      = 256     // the cheapest states, against which all others must stand
)

// A search finds the cheapest plan for a music in one mode with every pass of a
// repeat free to spell its notes anew, unless its reader is told otherwise. It
// can be run again and again under other restrictions, and remembers what it
// found (see memory).
type search struct {
	ctx    context.Context
	m      *music
	mode   Mode
	scale  *scale
	reader reader
	open   []uint8 // for each class the ways that the mode leaves open, as in reader
	feet   *feet   // nil where feet do not count
	habits *habits // nil where names do not count

	until  time.Time // when to stop looking for proof; zero for never
	narrow bool      // no proof is asked for
	work   int       // steps taken so far, over all runs
	limit  int       // of work

	now    []*weighed  // for each chord the readings in force
	ahead  []*mentions // after each chord
	memory memory

	path   [][]node // of the run, for each chord; arcs would keep fronts that are not needed any more
	next   frontier
	order  []rank
	paired bool    // states of feet are compared by pairs
	kept   []int32 // the states of next that stay, from the cheapest on
	picks  []int32 // the readings to try, as indices into listing.list

	held   [Letters + 1]weight // multiples of the scale's weights
	change [Letters + 1]weight
	notch  [2*Letters + 1]weight
	rushed [2*Letters + 1]weight
	turned [2*maxNames + 1]weight             // of switches
	toll   [Letters + 1][2*Letters + 1]weight // of changes, and of rushed ones
}

// A solution is the outcome of a search.
type solution struct {
	ways   []int8     // for each of music.tones the way that plays it; -1 for none
	home   uint16     // how the pedals stand at first, packed, where that is asked for again; else unset
	rushed [][2]uint8 // for each chord how many changes the search knows each foot to rush
	under  decided    // what it was found under
	prefer []uint8    // with which preferences, as in reader
	cost   total
	bound  total // no solution costs less; equal to cost if the search was exhaustive
	cut    bool  // something was left out of the search
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

// newSearch prepares a search that begins to follow the feet with the care given.
func newSearch(ctx context.Context, m *music, mode Mode, begin [2][]care) (*search, error) {
	sc, err := newScale(mode, m.o.prices(), m.size())
	if err != nil {
		return nil, err
	}
	n := len(m.chords)
	s := &search{
		ctx: ctx, m: m, mode: mode, scale: sc, limit: maxWork,
		now: make([]*weighed, n), ahead: make([]*mentions, n), memory: newMemory(n), path: make([][]node, n),
	}
	s.open = m.open(mode)
	s.reader = m.newReader(mode)
	if m.pace.Foot > 0 {
		s.feet = newFeet(m, s.ahead, begin)
		s.limit = maxFeetWork
	}
	if mode == Balanced {
		s.habits = &habits{t: &m.naming}
	}
	for n := range s.turned {
		s.turned[n] = sc.turn.times(n)
	}
	for n := range s.held {
		s.held[n], s.change[n] = sc.held.times(n), sc.change.times(n)
	}
	for n := range s.notch {
		s.notch[n], s.rushed[n] = sc.notch.times(n), sc.rushed.times(n)
	}
	for n := range s.toll {
		for rushed := range s.toll[n] {
			s.toll[n][rushed] = s.change[n].plus(s.rushed[rushed])
		}
	}
	s.readAll()
	return s, nil
}

// readAll takes over what the survey of the music says.
func (s *search) readAll() {
	survey := s.m.surveys[spellings(s.mode)]
	s.reader.gains = survey.gains
	for k := range s.m.chords {
		s.ahead[k] = &survey.ahead[k]
		s.now[k] = s.memory.weigh(s.scale, k, survey.listings[k])
	}
	s.work += 16 * len(s.m.chords) // reading a chord is worth so many steps
}

// run solves the music under the present restrictions.
func (s *search) run() (*solution, error) {
	sol := &solution{ways: make([]int8, len(s.m.tones)), rushed: make([][2]uint8, len(s.m.chords))}
	s.work += 4 * len(s.m.chords) // for what is not counted in steps
	at := s.memory.front(0, s.begin())
	cut := -1 // the first chord at which something was left out
	var cost, bound weight
	unsounded := 0
	for k := range s.m.chords {
		if k%64 == 0 {
			if err := s.ctx.Err(); err != nil {
				return nil, err
			}
		}
		a := s.memory.arc(s, k, at)
		if len(s.now[k].list) == 0 {
			sol.cost, sol.bound = impossible, impossible
			return sol, nil
		}
		if a == nil {
			var complete bool
			if a, complete = s.cross(k, at, cut >= 0); complete {
				s.memory.keep(s, k, at, a)
			} else if cut < 0 {
				cut, bound = k, cost // no state costs less, here and later
			}
		}
		s.path[k], at = a.back, a.to
		cost = cost.plus(a.cost)
		unsounded += s.now[k].dropped
	}
	end, more := s.finish(at)
	cost = cost.plus(more)
	sol.cost = total{unsounded, cost}
	sol.bound = sol.cost
	for k := len(s.path) - 1; k >= 0; k-- {
		n := s.path[k][end]
		copy(sol.ways[s.m.chords[k].first:], s.now[k].play(n.reading))
		sol.rushed[k], end = n.rushed, n.parent
	}
	if sol.cut = cut >= 0; sol.cut && !s.narrow {
		rest, err := s.lowerBound(cut)
		if err != nil {
			return nil, err
		}
		if low := bound.plus(rest); low.less(cost) {
			sol.bound.weight = low
		}
	}
	return sol, nil
}

// begin makes the front before the first chord.
func (s *search) begin() *front {
	return s.fresh(s.reader.home, habit{})
}

// fresh is a front of one state, in which the letters of pos have stood since
// the music started, no other pedal has been of use, and names were last spelt so.
func (s *search) fresh(pos uint16, last habit) *front {
	f := &front{list: []entry{{state: state{pos: pos}}}}
	if s.feet != nil {
		for foot := range f.feet {
			f.feet[foot] = []footState{s.feet.begin(Foot(foot), pos)}
		}
	}
	if s.habits != nil {
		f.habits = []habit{last}
	}
	return f
}

// cross moves from a front over a chord. It is not complete if it leaves
// something out. With cut, proof is lost already.
func (s *search) cross(k int, from *front, cut bool) (a *arc, complete bool) {
	list := s.now[k]
	complete = list.complete
	states := from.list
	s.pickAll(list)
	if s.spent() && len(states)*len(s.picks) > beam*beam {
		complete = false
		states = states[:min(beam, len(states))]
		slices.SortStableFunc(s.picks, func(a, b int32) int { return list.costs[a].compare(list.costs[b]) })
		s.picks = s.picks[:min(beam, len(s.picks))]
	}
	s.step(k, from, states, list)
	s.prune(k)
	switch n := len(s.kept); {
	case s.narrow && n > narrow:
		complete = false
		s.kept = s.kept[:narrow]
	case n > maxStates || cut && n > wideBeam:
		complete = false
		s.kept = s.kept[:wideBeam]
	}
	return s.gather(), complete
}

// pickAll chooses all readings of a listing for step.
func (s *search) pickAll(list *weighed) {
	s.picks = s.picks[:0]
	for i := range list.list {
		s.picks = append(s.picks, int32(i))
	}
}

// step collects in s.next the states that chosen readings of a chord lead to.
func (s *search) step(k int, from *front, states []entry, list *weighed) {
	s.next.reset()
	if s.feet != nil {
		s.feet.turn(from, list.listing)
	}
	if s.habits != nil {
		s.habits.turn(from, list.listing)
	}
	last := k+1 == len(s.m.chords)
	for i := range states {
		e := &states[i]
		for _, ri := range s.picks {
			rd := &list.list[ri]
			if rd.extra != 0 && !s.gains(k, from, e, rd) {
				continue
			}
			changed, notches := moved(e.pos, rd.req, rd.mask)
			a := arrival{node: node{parent: int32(i), reading: ri}}
			a.pos = e.pos&^rd.mask | rd.req
			a.cost = e.cost.plus(list.costs[ri])
			if changed != 0 {
				a.cost = a.cost.plus(s.change[bits.OnesCount16(changed)]).plus(s.notch[notches]).
					plus(s.held[bits.OnesCount16(changed&e.held)])
			}
			if !last && (e.held != 0 || rd.longest > int32(k+1)) {
				s.hold(k, e, rd, changed, &a)
			}
			if s.habits != nil {
				next, switches := s.habits.step(k, from, e.habit, list.listing, rd.word)
				a.habit, a.cost = next, a.cost.plus(s.turned[switches])
			}
			if s.feet == nil {
				s.next.add(&a)
				continue
			}
			s.stepFeet(k, from, e, list.listing, rd, &a)
		}
	}
	s.work += len(states) * len(s.picks)
}

// hold sets until when the letters are held after a chord, as far as it matters.
func (s *search) hold(k int, e *entry, rd *reading, changed uint16, a *arrival) {
	for h := set(rd.req) | e.held; h != 0; h &= h - 1 {
		low := h & -h
		l := Letter(bits.TrailingZeros16(h) / 2)
		r := rd.release[l]
		if changed&low == 0 {
			r = max(r, e.release[l])
		}
		if r > int32(k+1) && r > s.ahead[k].elsewhere[l][a.pos>>(2*l)&3] {
			a.release[l] = r
			a.held |= low
		}
	}
}

// stepFeet adds an arrival with all that the feet can do.
func (s *search) stepFeet(k int, from *front, e *entry, list *listing, rd *reading, a *arrival) {
	lefts := s.feet.step(Left, from, e.feet[Left], k, list, rd.demand[Left])
	rights := s.feet.step(Right, from, e.feet[Right], k, list, rd.demand[Right])
	cost := a.cost
	for _, left := range lefts {
		for _, right := range rights {
			a.feet = [2]int32{left.state, right.state}
			a.rushed = [2]uint8{uint8(left.rushed), uint8(right.rushed)}
			a.cost = cost.plus(s.rushed[left.rushed+right.rushed])
			s.next.add(a)
		}
	}
}

// spent tells whether the search has used up what it may use.
func (s *search) spent() bool {
	return s.work >= s.limit || !s.until.IsZero() && time.Now().After(s.until)
}

// finish moves a front to the setting asked for at the end, if any, and returns
// the cheapest of its entries and what that costs.
func (s *search) finish(f *front) (cheapest int32, cost weight) {
	for i := range f.list {
		e := &f.list[i]
		c := e.cost
		if s.m.o.End != nil {
			changed, notches := moved(e.pos, pack(*s.m.o.End), 0x3fff)
			c = c.plus(s.change[bits.OnesCount16(changed)]).plus(s.notch[notches])
		}
		if i == 0 || c.less(cost) {
			cheapest, cost = int32(i), c
		}
	}
	return cheapest, cost
}

// lowerBound returns a cost that the chords from k on cannot undercut, whatever
// came before. It solves them stretch by stretch with all pedals free at the
// start of each: a stretch ends where going on would take too many steps.
func (s *search) lowerBound(k int) (weight, error) {
	var total weight
	at, left := s.fresh(unset, s.m.naming.loosest(k)), false
	for ; k < len(s.m.chords); k++ {
		if k%64 == 0 {
			if err := s.ctx.Err(); err != nil {
				return weight{}, err
			}
		}
		list := s.now[k]
		if !list.complete { // to leave a chord out costs nothing
			left = s.habits != nil // but what it makes of habits is not known
			continue
		}
		if left || len(at.list)*len(list.list) > beam*beam {
			at, left = s.fresh(unset, s.m.naming.loosest(k)), false
		}
		s.pickAll(list)
		s.step(k, at, at.list, list)
		s.prune(k)
		a := s.gather()
		total, at = total.plus(a.cost), a.to
	}
	_, more := s.finish(at)
	return total.plus(more), nil
}
