package finding

import (
	"fmt"
	"slices"
	"time"
)

// rolledChord is what is rolled at a moment, each string once; nil if nothing is, or one
// string alone.
func (m *played) rolledChord(moment int) grip {
	if !m.rolls(moment) {
		return nil
	}
	strokes := m.strokes[moment]
	g := slices.DeleteFunc(slices.Clone(m.chords[moment]), func(t stroke) bool { return !m.rolledOn(strokes, t.staff) })
	if len(g) < 2 {
		return nil
	}
	return g
}

// wideRolls finds the rolled chords that two hands do not cover. What is struck
// together with them is in the hands too.
func wideRolls(m *played, s *sink) {
	for i := range m.strokes {
		if m.rolledChord(i) == nil || len(m.chords[i]) > 2*fingers {
			continue
		}
		if g := m.chords[i]; len(g.splits(int(s.limit()))) == 0 {
			s.add(i, notesOf(g), fmt.Sprintf("However the rolled chord is shared, one hand has %s to cover.", interval(m.leastSpan(g)))+caution, "")
		}
	}
}

// hastyRolls finds the rolled chords after which a hand plays on too soon.
func hastyRolls(m *played, s *sink) {
	each := s.limit().duration()
	for i := range m.strokes {
		g := m.rolledChord(i)
		if g == nil {
			continue
		}
		has, ok := m.untilNext(i)
		if needs := each * time.Duration(len(g)); ok && shown(has) < shown(needs) {
			s.add(i, notesOf(g), fmt.Sprintf("There is %[2]s to roll the chord of %[1]s notes before a hand plays on; at %[3]s a note it takes %[4]s.",
				number(len(g)), seconds(has), seconds(each), seconds(needs)), "")
		}
	}
}

// untilNext is how long it is from a moment to the next one at which something is
// plucked; ok is false at the end.
func (m *played) untilNext(moment int) (d time.Duration, ok bool) {
	for j := moment + 1; j < len(m.strokes); j++ {
		if len(m.strokes[j]) > 0 && m.at(j) > m.at(moment) {
			return m.at(j) - m.at(moment), true
		}
	}
	return 0, false
}
