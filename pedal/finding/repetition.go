package finding

import (
	"fmt"
	"time"

	"pedalogue/pedal"
)

// lastWire is the highest wire string, the 12th from the bottom [EIN-strings].
// Wires take twice as long as gut before they can be plucked again: they buzz
// worst [EIN-tremolo] [GOSS-STOMP].
var lastWire = rank(pedal.G, 2)

// repetitionRules are about one string plucked over and over.
func repetitionRules() []Rule {
	return []Rule{
		{
			Kind: "repeated-string", Severity: Warning, Limit: 200, Unit: Seconds,
			Means:  "a string is plucked again sooner than the limit, or than twice the limit on the wires up to G2",
			Source: "[EIN-tremolo] [GOSS-STOMP] [PHI-tips] [MILLS]; the seconds are common practice", find: repeatedStrings,
		}, {
			Kind: "tremolo-on-one-string", Severity: Warning, Limit: 200, Unit: Seconds,
			Means:  "a tremolo plucks one string at less than the limit, and two strings of one pitch would serve",
			Source: "a tremolo on a single string is not convincing [EIN-tremolo] [KUNTZ-ENH]; the seconds are common practice", find: singleTremolos,
		}, {
			Kind: "trill-in-one-hand", Severity: Note,
			Means:  "a trill, which the hands usually share, while the other hand plays",
			Source: "common practice; as a tremolo [EIN-tremolo]", find: busyTrills,
		},
	}
}

// A repetition is one string plucked again and again.
type repetition struct {
	first, last int // moments
	note        int // the first note
	count       int // plucks, at least 2
	shortest    time.Duration
}

// soon is how soon a string can be plucked again.
func soon(limit time.Duration, rank int) time.Duration {
	if rank <= lastWire {
		return 2 * limit
	}
	return limit
}

func repeatedStrings(m *music, s *sink) {
	limit := s.limit().duration()
	running := map[int]*repetition{} // by rank, the last pluck of each string and what it goes on from
	report := func(rank int, r *repetition) {
		if r.count < 2 {
			return
		}
		str := m.plan.Strings[r.note]
		text := fmt.Sprintf("%v is plucked %s, %s apart: one string hardly sounds again so soon", m.name(r.note), times(r.count), seconds(r.shortest))
		if r.count == 2 {
			text = fmt.Sprintf("%v is plucked again after %s: one string hardly sounds again so soon", m.name(r.note), seconds(r.shortest))
		}
		if rank <= lastWire {
			text += ", least of all a wire"
		}
		notes := []int{r.note}
		end, remedy := m.partner(str, r.first, r.last)
		s.add(r.first, notes, text+end+".", remedy)
	}
	order := []int{}
	for i, strokes := range m.strokes {
		if m.p.Moments[i].Grace {
			continue
		}
		for _, t := range strokes {
			r := running[t.rank]
			n := m.p.Notes[t.note]
			if r == nil {
				order = append(order, t.rank)
			}
			switch {
			case r != nil && r.last == i: // two notes of one string at once
			case r != nil && n.Tremolo == pedal.NoTremolo && !n.Trill && m.at(i)-m.at(r.last) < soon(limit, t.rank):
				gap := m.at(i) - m.at(r.last)
				if r.count == 1 {
					r.shortest = gap
				}
				r.shortest = min(r.shortest, gap)
				r.count++
				r.last = i
			default:
				if r != nil {
					report(t.rank, r)
				}
				running[t.rank] = &repetition{first: i, last: i, note: t.note, count: 1}
			}
		}
	}
	for _, rank := range order {
		report(rank, running[rank])
	}
}

// partner tells of the second string that sounds what a string does: what to say
// at the end of the sentence, and the remedy if the string is free all the while
// and its pedal stands right or has time to be set and put back.
func (m *music) partner(str pedal.String, first, last int) (end, remedy string) {
	other, ok := m.second(str)
	if !ok {
		return fmt.Sprintf(", and %s has no second string", pitchOf(str).Name()), ""
	}
	stands, free := true, true
	for i := first; i <= last; i++ {
		stands = stands && m.plan.Settings[i][other.Letter] == other.Position
		free = free && !m.plucked(i, rank(other.Letter, other.Octave))
	}
	if !m.harp.Disced(pedal.StringName{Letter: other.Letter, Octave: other.Octave}) {
		return "", ""
	}
	switch {
	case !free:
		return "", ""
	case stands:
		return "", fmt.Sprintf("Alternate with %v, to which the %v pedal is set here.", pitchOf(other), other.Letter)
	case m.settable(other, first, last):
		return "", fmt.Sprintf("Set the %v pedal to %s here, where nothing else needs it, and alternate with %v.",
			other.Letter, positioned(other.Letter, other.Position), pitchOf(other))
	}
	return "", ""
}

// settable tells whether a pedal can be set otherwise from one moment to
// another and put back: nothing else uses its letter from two changes' time
// before to two after, and its foot is not moving then.
func (m *music) settable(str pedal.String, first, last int) bool {
	margin := 2 * m.footTime()
	opens, closes := m.at(first)-margin, m.at(last)+margin
	if opens < m.p.Moments[0].At {
		return false
	}
	for _, u := range m.uses[str.Letter] {
		at := m.at(u.moment)
		until := m.p.Moments[u.moment].Strikes[u.strike].Until
		if at < closes && max(until, at) > opens {
			return false
		}
	}
	for _, mv := range m.plan.Moves {
		start, end := mv.Start, mv.End
		if mv.Rushed {
			start, end = mv.WindowStart, mv.WindowEnd
		}
		if mv.Letter.Foot() == str.Letter.Foot() && start < closes && end > opens {
			return false
		}
	}
	return true
}

func singleTremolos(m *music, s *sink) {
	limit := s.limit().duration()
	for i, strokes := range m.strokes {
		for _, t := range strokes {
			n := m.p.Notes[t.note]
			if n.Plucks < 2 {
				continue
			}
			lasts := m.p.Moments[i].Strikes[t.strike].Until - m.at(i)
			apart := lasts / time.Duration(n.Plucks)
			if apart >= limit {
				continue
			}
			str := m.plan.Strings[t.note]
			end, remedy := m.partner(str, i, i)
			s.add(i, []int{t.note}, fmt.Sprintf("The tremolo plucks %v every %s, which is not convincing on one string%s.",
				m.name(t.note), seconds(apart), end), remedy)
		}
	}
}

func busyTrills(m *music, s *sink) {
	if m.staves < 2 {
		return
	}
	for i, strokes := range m.strokes {
		for _, t := range strokes {
			if !m.p.Notes[t.note].Trill {
				continue
			}
			until := m.p.Moments[i].Strikes[t.strike].Until
			busy := 0
			for j := i; j < len(m.strokes) && (j == i || m.at(j) < until); j++ {
				for _, o := range m.strokes[j] {
					if o.staff != t.staff {
						busy++
						break
					}
				}
			}
			if busy == 0 {
				continue
			}
			s.add(i, []int{t.note}, fmt.Sprintf("The trill on %v falls to one hand, as the other plays %s meanwhile; the hands usually share a trill.",
				m.name(t.note), times(busy)), "")
		}
	}
}
