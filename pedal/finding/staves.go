package finding

import (
	"fmt"
	"slices"

	"pedalogue/pedal/internal/words"
)

// What is found where staves and hands differ. A staff is looked at by itself, in parts of
// more than two too.

func shareChords(m *played, s *sink) {
	if m.staves < 2 {
		return
	}
	for i, g := range m.grips {
		if len(g) < 2 {
			continue
		}
		if len(g) <= fingers && g.span() <= m.span {
			continue // any hand takes it
		}
		k, ok := m.best(g)
		if !ok {
			continue
		}
		for _, hand := range m.byVoice(g) {
			name := m.staffName(hand[0].staff)
			switch {
			case len(hand) > fingers:
				s.add(i, notesOf(hand), fmt.Sprintf("%s has %s notes at once, more than one hand plucks.", name, number(len(hand))), m.shared(g, k))
			case hand.span() > m.span:
				s.add(i, notesOf(hand), fmt.Sprintf("%s has %s to reach at once, more than one hand does.", name, interval(hand.span())), m.shared(g, k))
			}
		}
	}
}

// byVoice divides a grip by staves and voices: what is written for one hand. Staves come
// from the top.
func (m *played) byVoice(g grip) (list []grip) {
	same := func(a, b stroke) bool { return a.staff == b.staff && m.signs(a.note).Voice == m.signs(b.note).Voice }
	for _, t := range g {
		k := slices.IndexFunc(list, func(h grip) bool { return same(h[0], t) })
		if k < 0 {
			k = len(list)
			list = append(list, nil)
		}
		list[k] = append(list[k], t)
	}
	slices.SortStableFunc(list, func(a, b grip) int { return a[0].staff - b[0].staff })
	return list
}

// staffName names a staff at the beginning of a sentence.
func (m *played) staffName(staff int) string {
	switch {
	case m.staves > 2:
		return "Staff " + fmt.Sprint(staff)
	case staff <= 1:
		return "The upper staff"
	}
	return "The lower staff"
}

// crossing finds the notes in which two staves lie between each other: the lowest of
// the upper staff, and the highest of the lower one. Staves that have but changed
// places are for hands that have.
func crossing(g grip, staves int) (bottom, top stroke, ok bool) {
	for upper := 1; upper < staves; upper++ {
		for lower := upper + 1; lower <= staves; lower++ {
			var up, low grip
			for _, t := range g {
				switch max(t.staff, 1) {
				case upper:
					up = append(up, t)
				case lower:
					low = append(low, t)
				}
			}
			if len(up) > 0 && len(low) > 0 && up[0].rank < low[len(low)-1].rank && low[0].rank < up[len(up)-1].rank {
				return up[0], low[len(low)-1], true
			}
		}
	}
	return bottom, top, false
}

// crossedHands tells of each stretch in which staves cross, where it begins; one
// chord that does not cross ends it only with a measure that has none.
func crossedHands(m *played, s *sink) {
	if m.staves < 2 {
		return
	}
	last := -1 // the moment of the last crossing
	for i, g := range m.grips {
		if len(g) < 2 {
			continue
		}
		bottom, top, ok := crossing(g, m.staves)
		if !ok {
			continue
		}
		goesOn := last >= 0 && (m.bar == nil || m.bar[i]-m.bar[last] <= 1)
		if last = i; goesOn {
			s.upTo(i)
			continue
		}
		remedy := ""
		if k, ok := m.best(g); ok {
			remedy = m.shared(g, k)
		}
		s.add(i, []int{bottom.note, top.note}, fmt.Sprintf("The staves cross: %s in the upper one lies below %s in the lower one.",
			m.writtenName(bottom.note), m.writtenName(top.note)), remedy)
	}
}

func oneStringTwice(m *played, s *sink) {
	for i, strokes := range m.strokes {
		var notes []int
		var names []string
		for j := 1; j < len(strokes); j++ {
			a, b := strokes[j-1], strokes[j]
			if a.rank == b.rank && max(a.staff, 1) != max(b.staff, 1) {
				notes, names = append(notes, a.note, b.note), append(names, m.writtenName(a.note))
			}
		}
		if names = unique(names); len(names) > 0 {
			s.add(i, notes, fmt.Sprintf("Two staves want %s at once; %s.", words.Joined(names),
				plural(len(names), "it is one string, which one hand plucks", "each is one string, which one hand plucks")), "")
		}
	}
}
