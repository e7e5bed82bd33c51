package finding

import (
	"cmp"
	"slices"

	"pedalogue/pedal"
)

// A Shared is the notes of one moment that are taken by another hand than that of their
// staff: the right hand has staff 1, the left one the others.
type Shared struct {
	Moment int   // index into Passage.Moments
	Left   []int // notes of staff 1 that the left hand takes; indexes into Passage.Notes
	Right  []int // notes of the other staves that the right hand takes
}

// SharedNotes tells how the hands share what a plan plays, where the hand of a staff alone
// does not reach all of it, or would have to leap: with as few notes as can be in the
// other hand. Hands lie side by side. Where there is no such way, or what is written
// lies in the hands as it is, nothing is told. Music that is of one staff has none. The
// error is that of All.
func SharedNotes(music *Music, plan *pedal.Plan, o Options) ([]Shared, error) {
	if err := music.check(plan); err != nil {
		return nil, err
	}
	rules := Rules()
	m := newPlayed(music, plan, o, rules)
	if m.staves < 2 {
		return nil, nil
	}
	splits := map[int]int{} // by moment
	for i, g := range m.grips {
		if len(g) > 0 && !m.lies(g) {
			if all := m.sparing(g); len(all) > 0 {
				splits[i] = all[0]
			}
		}
	}
	leap := rules[slices.IndexFunc(rules, func(r Rule) bool { return r.Kind == "leap" })]
	octave := m.limit(leap).duration()
	for staff := 1; staff <= m.staves; staff++ {
		hand := m.reaches(staff)
		for i := 1; i < len(hand); i++ {
			from, to := hand[i-1], hand[i]
			if !m.hasty(from, to, octave) {
				continue
			}
			w := m.wayAbout(from.moment, to.moment, octave)
			if !w.through(wayState{left: -1, right: -1}) {
				continue
			}
			for j, moment := range w.moments {
				if _, known := splits[moment]; !known {
					splits[moment] = w.taken[j]
				}
			}
		}
	}
	return m.crossing(splits), nil
}

// lies tells whether the notes of each staff lie in its own hand.
func (m *played) lies(g grip) bool {
	for _, upper := range [2]bool{true, false} {
		own := slices.DeleteFunc(slices.Clone(g), func(t stroke) bool { return (t.staff <= 1) != upper })
		if len(own) > 0 && !own.fits(len(own), m.span) {
			return false
		}
	}
	return true
}

// sparing lists the ways to share a grip, those first in which fewest notes change hands.
func (m *played) sparing(g grip) []int {
	list := g.splits(m.span)
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(g.crossed(a), g.crossed(b)) })
	return list
}

// crossed counts the strings that are not taken by the hand of their staff, if the left
// hand takes the lowest k.
func (g grip) crossed(k int) (n int) {
	for i, t := range g {
		if (i < k) == (t.staff <= 1) {
			n++
		}
	}
	return n
}

// crossing are the notes that change hands.
func (m *played) crossing(splits map[int]int) (list []Shared) {
	for i, g := range m.chords {
		k, known := splits[i]
		if !known || m.rolls(i) {
			continue
		}
		s := Shared{Moment: i}
		for j, t := range g {
			switch {
			case j < k && t.staff <= 1:
				s.Left = append(s.Left, t.note)
			case j >= k && t.staff > 1:
				s.Right = append(s.Right, t.note)
			}
		}
		if len(s.Left)+len(s.Right) > 0 {
			list = append(list, s)
		}
	}
	return list
}
