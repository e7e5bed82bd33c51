package pedal

import (
	"slices"
)

// What is printed once holds in every pass, also the first setting. Each time its
// place is played again, a restart, all pedals must stand as it says. In which
// position each pedal does best to begin depends on the whole plan, so a search
// begins without asking for any, which can only be cheaper. Where its plan costs no
// less than with the best first position of each pedal, it stands; else the first
// position of some pedal is decided on, in three branches (branch.go). In practice
// the positions of the first plan met are right as a rule, and one more run of the
// search shows it.

// home is the first setting that is asked for, packed; 0 if it is free.
func (m *music) home() uint16 {
	if m.o.Start == nil {
		return unset
	}
	return pack(*m.o.Start)
}

// restart is the only way to play a restart: to put those pedals back whose first
// position is decided.
func (r *reader) restart(k int) (c candidate) {
	low := set(r.home)
	c.req, c.mask = r.home, low|low<<1
	for l := range c.until {
		c.until[l] = r.m.at(k)
	}
	return c
}

// Homes are first positions for a plan that was found without some of them.
type homes struct {
	setting  uint16 // packed; unset for letters that no tone is on
	disputed uint16 // low bits of letters for which the plan costs more with them than without
	most     Letter // of these the one for which it costs most
}

// homes finds the first position of each letter with which a solution costs least,
// if it is not decided. What feet do is not looked at but to see whether they can do
// the same.
func (s *search) homes(sol *solution, decided uint16) (h homes) {
	h.setting = decided
	if len(s.m.restarts) == 0 || set(decided) == lowBits {
		return h
	}
	var most []int
	walks := s.walks(sol)
	for l := range walks {
		w := &walks[l]
		if decided>>(2*l)&3 != unset || !w.free.set {
			continue
		}
		best := &w.from[0]
		for i := range w.from {
			if slices.Compare(w.from[i].cost(), best.cost()) < 0 {
				best = &w.from[i]
			}
		}
		h.setting |= uint16(best.first+2) << (2 * l)
		more := best.cost()
		for i, c := range w.free.cost() {
			more[i] -= c
		}
		if s.feet == nil {
			more = more[:3]
		}
		if slices.Max(more) > 0 || slices.Min(more) < 0 {
			h.disputed |= 1 << (2 * l)
			if most == nil || slices.Compare(more, most) > 0 {
				most, h.most = more, Letter(l)
			}
		}
	}
	return h
}

// A walk is one pedal's way through a solution.
type walk struct {
	first, now             Position
	set                    bool
	end                    int64 // when the last of its tones ends
	returned               bool  // nothing has used it since it was put back to first
	held, changes, notches int
	otherwise              int // changes that have less time than without restarts
}

func (w *walk) cost() []int { return []int{w.held, w.changes, w.notches, w.otherwise} }

// Walks are the ways of one pedal through a solution: without restarts, and from
// each first position.
type walks struct {
	free walk
	from [3]walk
}

// walks follows the solution once for each letter and first position.
func (s *search) walks(sol *solution) (list [Letters]walks) {
	for l := range list {
		for i := range list[l].from {
			list[l].from[i].first, list[l].from[i].now, list[l].from[i].set = Position(i-1), Position(i-1), true
		}
	}
	for i := range s.m.chords {
		ch := &s.m.chords[i]
		onset := s.m.p.Moments[ch.moment].Onset
		if ch.restart {
			for l := range list {
				for i := range list[l].from {
					list[l].from[i].restart(onset)
				}
			}
			continue
		}
		for ti, t := range ch.tones {
			w := sol.ways[int(ch.first)+ti]
			if w < 0 {
				continue
			}
			way := &s.m.classes[t.class].ways[w]
			if way.mask == 0 {
				continue
			}
			at := &list[way.Letter]
			at.free.use(way.Position, onset, t.end)
			for i := range at.from {
				at.from[i].use(way.Position, onset, t.end)
			}
		}
	}
	if end := s.m.o.End; end != nil {
		for l := range list {
			list[l].free.use(end[l], forever64, forever64)
			for i := range list[l].from {
				list[l].from[i].use(end[l], forever64, forever64)
			}
		}
	}
	return list
}

const forever64 = int64(forever)

// use plays a tone on the letter.
func (w *walk) use(pos Position, onset, end int64) {
	if !w.set {
		w.set, w.now = true, pos
	}
	w.to(pos, onset)
	w.returned, w.end = false, max(w.end, end)
}

// to moves the pedal.
func (w *walk) to(pos Position, onset int64) {
	if pos == w.now {
		return
	}
	w.changes++
	w.notches += max(int(pos-w.now), int(w.now-pos))
	if w.end > onset {
		w.held++
	}
	if w.returned {
		w.otherwise++
	}
	w.now, w.end = pos, 0
}

// restart puts the pedal back.
func (w *walk) restart(onset int64) {
	if w.now != w.first {
		w.otherwise++
	}
	w.to(w.first, onset)
	w.returned = true
}
