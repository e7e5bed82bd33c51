package pedal

import "slices"

// A memory makes running a search again cheap. What a chord makes of the states
// before it depends on them, on its readings and on a few facts about what
// follows. So the states before a chord, taken together, are a front; crossing a
// chord is an arc from a front to another; and a run whose restrictions differ
// from those of an earlier one only here and there goes along arcs that are known
// until it comes to such a place, leaves them there, and is back on them as soon
// as its front is one that has been seen.
//
// Costs in a front are counted from its cheapest state, so that fronts can be
// equal though the way to them was not.
type memory struct {
	listings []*weighed          // of each chord, under all restrictions so far, linked
	fronts   []*front            // before each chord, linked
	aheads   map[int][]*mentions // after a chord, all that there have been, if more than one
	room     int                 // for states in fronts

	entries arena[entry]
	feet    arena[footState]
	habits  arena[habit]
	nodes   arena[node]
	newArcs arena[arc]
	newOnes arena[front]

	newListings arena[weighed]
	costs       arena[weight]
}

// An arena hands out slices from pieces of memory that grow with what was taken.
type arena[T any] struct {
	rest []T
	next int // the length of the next piece
}

func (a *arena[T]) take(n int) []T {
	if n > len(a.rest) {
		a.next = min(max(8, 2*a.next), 512)
		a.rest = make([]T, max(n, a.next))
	}
	s := a.rest[:n:n]
	a.rest = a.rest[n:]
	return s
}

// Limits of what is remembered: states in one front, and in all of them. Long music
// needs memory for the run itself, about as much for a chord as for a state, which
// is taken off as long as minKept are left.
const (
	maxFront = 1 << 8
	maxKept  = 1 << 18
	minKept  = 1 << 16
)

// A front is all that a search needs to know between two chords.
type front struct {
	list   []entry // from the cheapest on
	feet   [2][]footState
	habits []habit
	hash   uint64
	arcs   *arc   // linked
	next   *front // another before the same chord
	kept   bool
}

// An arc is the way from a front over a chord.
type arc struct {
	view view
	to   *front
	back []node // of each entry of to
	next *arc   // another from the same front
	cost weight // what the cheapest entry of to costs more than that of the front before
}

// A weighed listing knows what its readings cost in the mode of a search.
type weighed struct {
	*listing
	costs []weight // of each reading
	next  *weighed // another of the same chord
}

// A view is all that a chord can see besides the front before it.
type view struct {
	listing *weighed
	ahead   *mentions // the same only if they are equal, see memory.mentions
	zones   [2]horizon
}

func newMemory(chords int) memory {
	return memory{
		listings: make([]*weighed, chords), fronts: make([]*front, chords+1), aheads: map[int][]*mentions{},
		room: max(minKept, maxKept-chords),
	}
}

// view is what chord k sees at present.
func (s *search) view(k int) view {
	v := view{listing: s.now[k], ahead: s.ahead[k]}
	if s.feet != nil {
		views := &s.feet.zones.views
		v.zones = [2]horizon{views[Left][k+1], views[Right][k+1]}
	}
	return v
}

// mentions returns the ones after chord k that are equal to those given, always the
// same; the old ones are different.
func (m *memory) mentions(k int, old, now *mentions) *mentions {
	if m.aheads[k] == nil {
		m.aheads[k] = []*mentions{old}
	}
	for _, known := range m.aheads[k] {
		if *known == *now {
			return known
		}
	}
	fresh := *now
	m.aheads[k] = append(m.aheads[k], &fresh)
	return &fresh
}

// listing returns the readings of chord k under the restrictions in force.
func (m *memory) listing(s *search, k int) *weighed {
	ch := &s.m.chords[k]
	for l := m.listings[k]; l != nil; l = l.next {
		if s.reader.follows(l.listing, ch) {
			return l
		}
	}
	return m.weigh(s.scale, k, s.reader.read(k))
}

// weigh returns a listing of chord k with its costs, and remembers it.
func (m *memory) weigh(sc *scale, k int, l *listing) *weighed {
	w := &m.newListings.take(1)[0]
	w.listing, w.costs = l, m.costs.take(len(l.list))
	for i := range l.list {
		w.costs[i] = sc.weigh(l.tallies[i])
	}
	w.next, m.listings[k] = m.listings[k], w
	return w
}

// arc returns the way from a front over chord k if it is known.
func (m *memory) arc(s *search, k int, from *front) *arc {
	if from.arcs == nil {
		return nil
	}
	a := from.arcs
	for v := s.view(k); a != nil && a.view != v; {
		a = a.next
	}
	return a
}

// keep remembers an arc over chord k, and the front that it leads to, if there is room
// for them; the front also where that before the chord was too wide.
func (m *memory) keep(s *search, k int, from *front, a *arc) {
	if a.to = m.front(k+1, a.to); from.kept && a.to.kept {
		a.view = s.view(k)
		a.next, from.arcs = from.arcs, a
	}
}

// front returns the front before chord k that is equal to the given one, which
// is remembered if there is none and there is room for it.
func (m *memory) front(k int, f *front) *front {
	if len(f.list) > min(maxFront, m.room) {
		return f
	}
	f.hash = f.sum()
	for o := m.fronts[k]; o != nil; o = o.next {
		if o.hash == f.hash && slices.Equal(o.list, f.list) && slices.Equal(o.feet[0], f.feet[0]) && slices.Equal(o.feet[1], f.feet[1]) &&
			slices.Equal(o.habits, f.habits) {
			return o
		}
	}
	f.kept = true
	m.room -= len(f.list)
	f.next, m.fronts[k] = m.fronts[k], f
	return f
}

// sum returns a hash of the front's states and costs.
func (f *front) sum() (h uint64) {
	for i := range f.list {
		e := &f.list[i]
		h = (h ^ uint64(e.hash()) ^ e.cost.lo<<7 ^ e.cost.hi) * 0x9e3779b97f4a7c15
		h ^= h >> 29
	}
	for _, feet := range f.feet {
		for i := range feet {
			h = (h ^ uint64(feet[i].hash())) * 0x9e3779b97f4a7c15
		}
	}
	for i := range f.habits {
		h = (h ^ uint64(f.habits[i].hash())) * 0x9e3779b97f4a7c15
	}
	return h
}

// gather makes an arc that leads to the states in s.kept.
func (s *search) gather() *arc {
	m, n := &s.memory, len(s.kept)
	a, to := &m.newArcs.take(1)[0], &m.newOnes.take(1)[0]
	to.list = m.entries.take(n)
	a.to, a.back = to, m.nodes.take(n)
	a.cost = s.next.list[s.kept[0]].cost
	for i, j := range s.kept {
		x := &s.next.list[j]
		a.back[i], to.list[i] = x.node, x.entry
		to.list[i].cost = x.cost.minus(a.cost)
	}
	if s.feet != nil {
		for f := range to.feet {
			states := s.feet.number(Foot(f), to.list)
			to.feet[f] = m.feet.take(len(states))
			copy(to.feet[f], states)
		}
	}
	if s.habits != nil {
		list := s.habits.number(to.list)
		to.habits = m.habits.take(len(list))
		copy(to.habits, list)
	}
	return a
}
