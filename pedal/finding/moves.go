package finding

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// moveRules are about hands on their way from one moment to the next.
func moveRules() []Rule {
	return []Rule{
		{
			Kind: "leap", Severity: Warning, Limit: 150, Unit: Seconds,
			Means:  "a hand must leap in less than the limit for each octave between its notes, and the other hand cannot help",
			Source: "leaps need time to place the fingers [HLP] [MILLS]; the seconds are common practice", find: leaps,
		}, {
			Kind: "five-in-hand", Severity: Warning, Limit: 200, Unit: Seconds,
			Means:  "five notes of one hand in a beat, up or down, less than the limit apart: hands are placed by fours",
			Source: "[UBC] [HOLDEN] [WEEKS]; the seconds are common practice", find: fives,
		}, {
			Kind: "damper-pedal", Severity: Note,
			Means:  "the score has marks for a piano's damper pedal",
			Source: "a harp has no damper pedal [BLI 5] [MXL]", find: damperMarks,
		},
	}
}

// A reach is what one staff plucks at a moment.
type reach struct {
	moment    int
	at        time.Duration
	low, high int // ranks
	notes     []stroke
}

// reaches lists what a staff plucks, moment by moment, grace notes left out.
// The upper staff is number 1; all others count as the lower.
func (m *played) reaches(upper bool) []reach {
	var list []reach
	for i, strokes := range m.strokes {
		if m.p.Moments[i].Grace {
			continue
		}
		var notes []stroke
		for _, t := range strokes {
			if (t.staff <= 1) == upper {
				notes = append(notes, t)
			}
		}
		if len(notes) > 0 {
			list = append(list, reach{i, m.at(i), notes[0].rank, notes[len(notes)-1].rank, notes})
		}
	}
	return list
}

// gap is how many strings lie between two reaches; 0 or less where they meet.
func gap(a, b reach) int { return max(b.low-a.high, a.low-b.high) }

// hasty tells whether a hand has less than the limit for each octave of its way.
// A way on which the hand still reaches both ends is no leap.
func (m *played) hasty(a, b reach, octave time.Duration) bool {
	if max(a.high, b.high)-min(a.low, b.low)+1 <= m.span {
		return false
	}
	way := gap(a, b)
	return way >= 7 && b.at-a.at < octave*time.Duration(way)/7
}

func leaps(m *played, s *sink) {
	if m.staves < 2 {
		return
	}
	octave := s.limit().duration()
	hands := [2][]reach{m.reaches(true), m.reaches(false)}
	for h, hand := range hands {
		other := hands[1-h]
		for i := 1; i < len(hand); i++ {
			from, to := hand[i-1], hand[i]
			if !m.hasty(from, to, octave) || m.helped(other, to, octave) {
				continue
			}
			s.add(to.moment, append(notesOf(from.notes), notesOf(to.notes)...),
				fmt.Sprintf("One hand has %s to leap %s, from %s to %s, and the other is busy.",
					seconds(to.at-from.at), leapWidth(gap(from, to)), joined(m.written(from.notes)), joined(m.written(to.notes)))+caution, "")
		}
	}
}

// leapWidth is a distance in strings in words: "two octaves".
func leapWidth(strings int) string {
	if strings%7 == 0 || strings < 14 {
		return interval(strings + 1)
	}
	return "more than " + number(strings/7) + " octaves"
}

// helped tells whether the other hand can take a reach: along with what it
// plucks then, or from where it was before.
func (m *played) helped(other []reach, to reach, octave time.Duration) bool {
	i, found := slices.BinarySearchFunc(other, to.moment, func(r reach, at int) int { return cmp.Compare(r.moment, at) })
	if found {
		both := grip(slices.Concat(other[i].notes, to.notes))
		slices.SortStableFunc(both, func(a, b stroke) int { return cmp.Compare(a.rank, b.rank) })
		return len(both) <= fingers && both.span() <= m.span
	}
	return i == 0 || !m.hasty(other[i-1], to, octave)
}

// fives finds the beats in which one hand runs over five strings.
func fives(m *played, s *sink) {
	limit := s.limit().duration()
	var beats []int
	for i, mo := range m.p.Moments {
		if mo.Beat {
			beats = append(beats, i)
		}
	}
	for b := 0; b+1 < len(beats); b++ {
		first, last := beats[b], beats[b+1]
		if last-first < 5 || (m.at(last)-m.at(first))/5 >= limit {
			continue
		}
		for _, upper := range [2]bool{true, false} {
			if m.staves < 2 && !upper {
				continue
			}
			run, others := m.run(first, last, upper)
			if run == nil {
				continue
			}
			remedy := ""
			if !others {
				remedy = "Share it between the hands: the other one plucks nothing in this beat."
			}
			s.add(first, notesOf(run), fmt.Sprintf("One hand has a run of five notes in a beat, %s apart, and is placed by fours at most.",
				seconds((m.at(last)-m.at(first))/5))+caution, remedy)
		}
	}
}

// run returns the five even single notes, all up or all down, that a staff has
// from one beat to the next; nil if it has something else. others tells whether
// the other staff plucks anything meanwhile.
func (m *played) run(first, last int, upper bool) (notes []stroke, others bool) {
	step := m.p.Moments[last].Onset - m.p.Moments[first].Onset
	for i := first; i < last; i++ {
		if m.p.Moments[i].Grace {
			continue
		}
		mine := 0
		for _, t := range m.strokes[i] {
			if (t.staff <= 1) != upper {
				others = true
				continue
			}
			mine++
			notes = append(notes, t)
			// a fifth of the beat for each, give or take what rounding does
			if off := 5*(m.p.Moments[i].Onset-m.p.Moments[first].Onset) - int64(len(notes)-1)*step; mine > 1 || len(notes) > 5 || max(off, -off) > step/10 {
				return nil, others
			}
		}
	}
	if len(notes) != 5 {
		return nil, others
	}
	up := notes[1].rank > notes[0].rank
	for i := 1; i < len(notes); i++ {
		if notes[i].rank == notes[i-1].rank || (notes[i].rank > notes[i-1].rank) != up {
			return nil, others
		}
	}
	return notes, others
}

func damperMarks(m *played, s *sink) {
	n := len(m.music.Dampers)
	if n == 0 {
		return
	}
	text := "A piano's damper pedal is marked here; a harp has none, and its strings ring until they are damped."
	if n > 1 {
		text = fmt.Sprintf("A piano's damper pedal is marked %s from here on; a harp has none, and its strings ring until they are damped.", times(n))
	}
	s.add(m.music.Dampers[0], nil, text, "Leave the marks out; let ring where the pedal goes down, and damp where it comes up.")
}
