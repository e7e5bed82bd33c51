package finding

import (
	"fmt"
	"slices"
	"time"

	"pedalogue/pedal"
)

// lastWire is the highest wire string, the 12th from the bottom [EIN-strings].
// Wires take half as long again as gut before they can be plucked anew: they buzz
// worst [EIN-tremolo] [GOSS-STOMP]; the half is common practice.
var lastWire = rank(pedal.G, 2)

// repetitionRules are about one string plucked over and over.
func repetitionRules() []Rule {
	return []Rule{
		{
			Kind: "repeated-string", Severity: Warning, Limit: 200, Unit: Seconds,
			Means:  "a string is plucked again sooner than the limit, or than one and a half times the limit on the wires up to G2",
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
	rank        int
	count       int // plucks
	shortest    time.Duration
}

// soon is how soon a string can be plucked again.
func soon(limit time.Duration, rank int) time.Duration {
	if rank <= lastWire {
		return limit * 3 / 2
	}
	return limit
}

// repetitions lists the strings that are plucked again too soon, in the order of
// their first pluck and from low to high.
func (m *played) repetitions(limit time.Duration) []repetition {
	var list []repetition
	last := map[int]int{} // by rank, index into list
	for i, strokes := range m.strokes {
		if m.p.Moments[i].Grace {
			continue
		}
		for _, t := range strokes {
			n := m.signs(t.note)
			j, known := last[t.rank]
			if known && list[j].last == i {
				continue // two notes of one string at once
			}
			if apart := time.Duration(0); known && n.Tremolo == NoTremolo && n.Plucks < 2 && !n.Trill {
				r := &list[j]
				if apart = m.at(i) - m.at(r.last); apart < soon(limit, t.rank) {
					if r.count == 1 || apart < r.shortest {
						r.shortest = apart
					}
					r.count++
					r.last = i
					continue
				}
			}
			last[t.rank] = len(list)
			list = append(list, repetition{first: i, last: i, note: t.note, rank: t.rank, count: 1})
		}
	}
	return slices.DeleteFunc(list, func(r repetition) bool { return r.count < 2 })
}

func repeatedStrings(m *played, s *sink) {
	list := m.repetitions(s.limit().duration())
	for len(list) > 0 {
		// the strings of a repeated chord go together
		n := 1
		for n < len(list) && list[n].first == list[0].first && list[n].last == list[0].last && list[n].count == list[0].count {
			n++
		}
		m.repeated(s, list[:n])
		list = list[n:]
	}
}

// repeated reports strings that are plucked again together.
func (m *played) repeated(s *sink, list []repetition) {
	r := list[0]
	var notes []int
	var names []string
	for _, o := range list {
		notes, names = append(notes, o.note), append(names, m.name(o.note))
	}
	again := times(r.count) + ", " + seconds(r.shortest) + " apart"
	if r.count == 2 {
		again = "again after " + seconds(r.shortest)
	}
	text := fmt.Sprintf("%s %s plucked %s: a string has hardly time to sound", joined(names), plural(len(list), "is", "are"), again)
	if r.rank <= lastWire {
		text += ", least of all a wire"
	}
	remedy := ""
	if len(list) == 1 {
		var end string
		end, remedy = m.partner(m.plan.Strings[r.note], r.first, r.last)
		text += end
	}
	s.add(r.first, notes, text+".", remedy)
}

// partner tells of the second string that sounds what a string does: what to say
// at the end of the sentence, and the remedy if the string is free all the while
// and its pedal stands right or has time to be set and put back.
func (m *played) partner(str pedal.String, first, last int) (end, remedy string) {
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
func (m *played) settable(str pedal.String, first, last int) bool {
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
			start = mv.WindowStart
		}
		if mv.Letter.Foot() == str.Letter.Foot() && start < closes && end > opens {
			return false
		}
	}
	return true
}

func singleTremolos(m *played, s *sink) {
	limit := s.limit().duration()
	var last grip // the tremolo before, while it goes on
	var until time.Duration
	for i, strokes := range m.strokes {
		var g grip
		var notes []int
		ends, shortest := m.at(i), limit
		for _, t := range strokes {
			n := m.signs(t.note)
			if n.Plucks < 2 {
				continue
			}
			stops := m.p.Moments[i].Strikes[t.strike].Until
			if apart := (stops - m.at(i)) / time.Duration(n.Plucks); apart < limit {
				shortest = min(shortest, apart)
				ends = max(ends, stops)
				g, notes = append(g, t), append(notes, t.note)
			}
		}
		if len(g) == 0 {
			continue
		}
		goesOn := until == m.at(i) && slices.EqualFunc(last, g, func(a, b stroke) bool { return a.rank == b.rank })
		last, until = g, ends
		if goesOn {
			continue
		}
		end, remedy, on := "", "", "one string"
		if len(g) == 1 {
			end, remedy = m.partner(m.plan.Strings[notes[0]], i, m.lastBefore(i, ends))
		} else {
			on = "single strings"
		}
		s.add(i, notes, fmt.Sprintf("The tremolo plucks %s every %s, which is not convincing on %s%s.",
			joined(m.names(g)), seconds(shortest), on, end), remedy)
	}
}

// lastBefore is the last moment from one on that is before a time.
func (m *played) lastBefore(moment int, until time.Duration) int {
	for moment+1 < len(m.p.Moments) && m.at(moment+1) < until {
		moment++
	}
	return moment
}

func busyTrills(m *played, s *sink) {
	if m.staves < 2 {
		return
	}
	for i, strokes := range m.strokes {
		for _, t := range strokes {
			if !m.signs(t.note).Trill {
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
