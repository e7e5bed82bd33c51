package finding

import (
	"fmt"
	"slices"
	"time"
)

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
		if last-first < 5 || shown((m.at(last)-m.at(first))/5) >= shown(limit) {
			continue
		}
		for staff := 1; staff <= max(1, m.staves); staff++ {
			run, others := m.run(first, last, staff)
			if run == nil {
				continue
			}
			remedy := ""
			if !others {
				remedy = "Share it between the hands: the other one plucks nothing in this beat."
			}
			s.add(first, notesOf(strokesOf(run)), fmt.Sprintf("One hand has a run of five notes in a beat, %s apart, and is placed by fours at most.",
				seconds((m.at(last)-m.at(first))/5))+caution, remedy)
			s.upTo(run[len(run)-1].moment)
		}
	}
}

// run returns the five even single notes, all up or all down, that a staff has
// from one beat to the next; nil if it has something else. others tells whether
// the other staff plucks anything meanwhile.
func (m *played) run(first, last, staff int) (notes []placed, others bool) {
	step := m.p.Moments[last].Onset - m.p.Moments[first].Onset
	for i := first; i < last; i++ {
		if m.p.Moments[i].Grace {
			continue
		}
		mine := 0
		for _, t := range m.strokes[i] {
			if max(t.staff, 1) != staff {
				others = true
				continue
			}
			mine++
			notes = append(notes, placed{t, i})
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

// A placed stroke is one with its moment.
type placed struct {
	stroke
	moment int
}

func strokesOf(list []placed) []stroke {
	strokes := make([]stroke, len(list))
	for i, p := range list {
		strokes[i] = p.stroke
	}
	return strokes
}

// longRuns finds the fast lines of single notes for which one hand must be placed
// again and again while the other plays.
func longRuns(m *played, s *sink) {
	if m.staves < 2 {
		return
	}
	limit := s.limit().duration()
	for staff := 1; staff <= m.staves; staff++ {
		var run []placed
		end := func() {
			if n := m.placings(run); n >= 2 && m.othersBetween(run, staff) {
				pace := (m.at(run[len(run)-1].moment) - m.at(run[0].moment)) / time.Duration(len(run)-1)
				if n == 2 && shown(pace) >= shown(limit/2) {
					run = nil
					return
				}
				s.add(run[0].moment, notesOf(strokesOf(run)), fmt.Sprintf("One hand plays a run of %s notes, %s apart, in %s placings, while the other is busy.",
					number(len(run)), seconds(pace), number(n))+caution, "")
				s.upTo(run[len(run)-1].moment)
			}
			run = nil
		}
		for i, strokes := range m.strokes {
			if m.p.Moments[i].Grace {
				continue
			}
			mine := 0
			var one stroke
			for _, t := range strokes {
				if max(t.staff, 1) == staff {
					mine, one = mine+1, t
				}
			}
			if len(run) > 0 && (mine > 1 || shown(m.at(i)-m.at(run[len(run)-1].moment)) >= shown(limit)) {
				end()
			}
			if mine == 1 {
				run = append(run, placed{one, i})
			}
		}
		end()
	}
}

// placings is how often a hand is placed for a line: each time on four strings at
// most, that it reaches.
func (m *played) placings(run []placed) (n int) {
	var on []int // ranks
	for _, t := range run {
		if slices.Contains(on, t.rank) {
			continue
		}
		if on = append(on, t.rank); n == 0 || len(on) > fingers || slices.Max(on)-slices.Min(on)+1 > m.span {
			n, on = n+1, []int{t.rank}
		}
	}
	return n
}

// othersBetween tells whether another staff than that of a line plucks something in
// each of its placings but the first, so that it cannot take turns.
func (m *played) othersBetween(run []placed, staff int) bool {
	busy := 0
	for k := 0; k < len(run); k += fingers {
		last := run[min(k+fingers, len(run))-1].moment
	placing:
		for i := run[k].moment; i <= last; i++ {
			for _, t := range m.strokes[i] {
				if max(t.staff, 1) != staff {
					busy++
					break placing
				}
			}
		}
	}
	return 2*busy > (len(run)+fingers-1)/fingers
}
