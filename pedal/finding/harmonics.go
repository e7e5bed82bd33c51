package finding

import (
	"fmt"

	"pedalogue/pedal"
	"pedalogue/pedal/internal/words"
)

// harmonicRules are about harmonics, which are taken as written where they are
// played [EIN-harm].
func harmonicRules() []Rule {
	return []Rule{
		{
			Kind: "low-harmonic", Severity: Warning, Limit: Limit(rank(pedal.C, 3)), Unit: String,
			Means:  "a harmonic is written below the limit, where it sounds dull",
			Source: "C3 to A5 as written [GOSS-68]; dull at the bottom [EIN-triple]", find: lowHarmonics,
		}, {
			Kind: "high-harmonic", Severity: Warning, Limit: Limit(rank(pedal.A, 5)), Unit: String,
			Means:  "a harmonic is written above the limit, where it hardly sounds",
			Source: "C3 to A5 as written [GOSS-68]", find: highHarmonics,
		}, {
			Kind: "harmonics-together", Severity: Warning,
			Means: "more harmonics at once than the hands can play: one in the right hand; in the left one, " +
				"two up to G4 or a third apart up to C5, or three within six strings up to E4",
			Source: "[GOSS-68] [EIN-harm] [EIN-triple]", find: manyHarmonics,
		},
	}
}

// harmonics are the strokes of a moment that are to be harmonics, and how many
// others each staff has; each string once.
func (m *played) harmonics(moment int) (list grip, others [2]int) {
	for _, t := range m.strokes[moment] {
		switch {
		case !m.signs(t.note).Harmonic:
			others[min(max(t.staff, 1), 2)-1]++
		case len(list) == 0 || list[len(list)-1].rank != t.rank:
			list = append(list, t)
		}
	}
	return list, others
}

func lowHarmonics(m *played, s *sink) {
	for i := range m.strokes {
		list, _ := m.harmonics(i)
		for _, t := range list {
			if t.rank < int(s.limit()) {
				s.add(i, []int{t.note}, fmt.Sprintf("The harmonic on %s is low, below %v, and will be dull.", m.name(t.note), pedal.StringAt(int(s.limit()))), "")
			}
		}
	}
}

func highHarmonics(m *played, s *sink) {
	for i := range m.strokes {
		list, _ := m.harmonics(i)
		for _, t := range list {
			if t.rank > int(s.limit()) {
				s.add(i, []int{t.note}, fmt.Sprintf("The harmonic on %s is high, above %v, and will hardly sound.", m.name(t.note), pedal.StringAt(int(s.limit()))), "")
			}
		}
	}
}

func manyHarmonics(m *played, s *sink) {
	for i := range m.strokes {
		list, others := m.harmonics(i)
		if len(list) < 2 {
			continue
		}
		switch {
		case m.p.Notes[list[0].note].Staff <= 1 && others[1] > 0:
			s.add(i, notesOf(list), fmt.Sprintf("The right hand has %s harmonics at once, and can play one.", number(len(list))), "")
		case leftHarmonics(list) || leftHarmonics(list[:len(list)-1]):
		default:
			s.add(i, notesOf(list), fmt.Sprintf("%s harmonics at once, %s, do not lie in the hands: the right can play one, the left up to three that lie close and low.",
				words.Upper(number(len(list))), words.Joined(m.names(list))), "")
		}
	}
}

// leftHarmonics tells whether the left hand can play harmonics together [GOSS-68]
// [EIN-triple].
func leftHarmonics(list grip) bool {
	top := list[len(list)-1].rank
	switch len(list) {
	case 1:
		return true
	case 2:
		return top <= rank(pedal.G, 4) || list.span() <= 3 && top <= rank(pedal.C, 5)
	case 3:
		return top <= rank(pedal.E, 4) && list.span() <= 6
	}
	return false
}
