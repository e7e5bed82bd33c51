package finding

import (
	"fmt"
	"slices"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/internal/words"
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
	first, last int   // moments
	note        int   // the first note
	notes       []int // all of them
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
				if apart = m.at(i) - m.at(r.last); shown(apart) < shown(soon(limit, t.rank)) {
					if r.count == 1 || apart < r.shortest {
						r.shortest = apart
					}
					r.count++
					r.last = i
					r.notes = append(r.notes, t.note)
					continue
				}
			}
			last[t.rank] = len(list)
			list = append(list, repetition{first: i, last: i, note: t.note, notes: []int{t.note}, rank: t.rank, count: 1})
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
	ours := false
	for _, o := range list {
		notes = append(notes, o.notes...)
		for _, n := range o.notes {
			names = append(names, m.name(n))
		}
		ours = ours || m.respelt(o)
	}
	names = unique(names)
	again := times(r.count) + ", " + seconds(r.shortest) + " apart"
	if r.count == 2 {
		again = "again after " + seconds(r.shortest)
	}
	are := plural(len(names), "is", "are")
	if len(names) > len(list) {
		are = plural(len(list), "fall on one string, which is", "fall on the same strings, which are")
	}
	text := fmt.Sprintf("%s %s plucked %s: a string has hardly time to sound", words.Joined(names), are, again)
	if r.rank <= lastWire {
		text += ", least of all a wire"
	}
	if len(list) == 1 {
		text += m.alone(m.plan.Strings[r.note])
	}
	if ours {
		text += "; it is the plan that plays them on one string, as written they are on two"
	}
	s.add(r.first, notes, text+".", "")
	s.upTo(r.last)
}

// respelt tells whether it is the plan's strings, and not those that are written, that
// make a repetition.
func (m *played) respelt(r repetition) bool {
	for i := 1; i < len(r.notes); i++ {
		a, b := m.p.Notes[r.notes[i-1]].Pitch, m.p.Notes[r.notes[i]].Pitch
		if rank(a.Letter, a.Octave) != rank(b.Letter, b.Octave) {
			return true
		}
	}
	return false
}

// alone ends a sentence on a string that no other one can help out.
func (m *played) alone(str pedal.String) string {
	if _, ok := m.second(str); ok {
		return ""
	}
	return fmt.Sprintf(", and %s has no second string", pitchOf(str).Name())
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
			if apart := (stops - m.at(i)) / time.Duration(n.Plucks); shown(apart) < shown(limit) {
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
		end, on := "", "one string"
		if len(g) == 1 {
			end = m.alone(m.plan.Strings[notes[0]])
		} else {
			on = "single strings"
		}
		s.add(i, notes, fmt.Sprintf("The tremolo plucks %s every %s, which is not convincing on %s%s.",
			words.Joined(m.names(g)), seconds(shortest), on, end), "")
		s.upTo(m.lastBefore(i, ends))
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
