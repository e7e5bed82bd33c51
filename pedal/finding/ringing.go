package finding

import (
	"fmt"
	"slices"

	"pedalogue/pedal"
)

// ringingRules are about strings that ring on.
func ringingRules() []Rule {
	return []Rule{{
		Kind: "damp-bass", Severity: Off, Limit: 4000, Unit: Seconds,
		Means: "a low string still rings and grates with the new bass; the limit is how long the lowest octave rings, " +
			"half as long for each octave higher, and none from C4 up",
		Source: "strings ring until they are stopped [BLI 5] [EIN-damp]; the seconds are common practice", find: dampBass,
	}}
}

// dampBass looks at each new bass note on a low string: the one before it, if
// it still rings and lies a second or its inversion away, muddies the harmony.
func dampBass(m *played, s *sink) {
	lowest := s.limit().duration()
	last := stroke{note: -1}
	lastAt := 0
	for i, strokes := range m.strokes {
		if len(strokes) == 0 || m.p.Moments[i].Grace {
			continue
		}
		bass := strokes[0]
		octave := pedal.StringAt(max(0, bass.rank)).Octave
		if ringTime(lowest, octave) == 0 {
			continue
		}
		if last.note >= 0 && last.rank != bass.rank && m.at(i)-m.at(lastAt) < ringTime(lowest, pedal.StringAt(max(0, last.rank)).Octave) {
			apart := abs(m.p.Notes[last.note].Pitch.Height()-m.p.Notes[bass.note].Pitch.Height()) % 1200
			if slices.Contains([]int{100, 200, 1000, 1100}, apart) {
				name := pitchOf(m.plan.Strings[last.note])
				s.add(i, []int{last.note, bass.note}, fmt.Sprintf("%v still rings, plucked %s before, when the bass goes to %v.",
					name, seconds(m.at(i)-m.at(lastAt)), pitchOf(m.plan.Strings[bass.note])), fmt.Sprintf("Damp %v here.", name))
			}
		}
		last, lastAt = bass, i
	}
}
