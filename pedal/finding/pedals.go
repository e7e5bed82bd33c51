package finding

import (
	"fmt"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/internal/words"
)

// pedalRules are about the pedals' changes.
func pedalRules() []Rule {
	return []Rule{
		{
			Kind: "held-string", Severity: Warning,
			Means:  "a pedal must move while a note on its strings is still held, which must be damped; an error where that is a trill, tremolo or glissando",
			Source: "[PHI-tips] [HC-BRUCH]", find: heldStrings,
		}, {
			Kind: "rushed-change", Severity: Error,
			Means: "no foot can make a change at this tempo: there is not even the time of one move (--move-time), " +
				"or no place for it though the foot moved without a pause",
			Source: "a move takes time, and one foot moves one pedal at a time [EIN-pedaling] [BLI 6]", find: rushedChanges,
		}, {
			Kind: "one-foot", Severity: Warning,
			Means:  "one foot must make changes faster than --foot-time allows, though it can if it moves without a pause",
			Source: "about two changes a second for each foot [BLI 6]", find: oneFoot,
		}, {
			Kind: "ringing-change", Severity: Note, Limit: 3000, Unit: Seconds,
			Means: "pedals move while low strings of their letters still ring, a measure at a time; the limit is how long strings of the lowest octave ring, " +
				"half as long in the octave above, and none from C3 up",
			Source: "longer strings ring longer [BLI 5], a moved pedal bends what rings [PHI-tips]; the seconds are common practice", find: ringingChanges,
		}, {
			Kind: hardly, Severity: Note, Limit: 200, Unit: Seconds,
			Means:  "a pedal moves sooner than the limit after one of its strings was plucked, in any octave, so that the slide is heard; not if the string is plucked again at once",
			Source: "a slide is loudest just after plucking, high up too [EIN-slide]; the seconds are common practice", find: hardlySounded,
		},
	}
}

// measureRules are about whole measures.
func measureRules() []Rule {
	return []Rule{
		{
			Kind: "many-changes", Severity: Warning, Limit: 6, Unit: Count,
			Means:  "more changes in one measure than the limit",
			Source: "seven is known as a heavy measure [HARPITECT]", find: manyChanges,
		},
	}
}

// hardly is the kind of the strings that have only just been plucked.
const hardly Kind = "hardly-sounded"

func heldStrings(m *played, s *sink) {
	for _, h := range m.plan.Held {
		first := 0
		var to pedal.Position
		for _, i := range m.moves[h.Letter] {
			mv := m.plan.Moves[i]
			if mv.Needed >= h.Moment {
				to = mv.To
				break
			}
			first = mv.Needed
		}
		var notes []int
		for _, u := range m.usesBetween(h.Letter, first, h.Moment-1) {
			if m.p.Moments[u.moment].Strikes[u.strike].End > m.p.Moments[h.Moment].Onset {
				notes = append(notes, u.note)
			}
		}
		m.sortUp(notes)
		var names, written []string
		for _, n := range notes {
			if m.p.Notes[n].Implied {
				names = append(names, m.called(n))
				continue
			}
			names, written = append(names, m.name(n)), append(written, m.p.Notes[n].Pitch.String())
		}
		names = unique(names)
		remedy := ""
		damped := len(written) == len(notes) && !slices.ContainsFunc(notes, m.goesOn)
		if damped {
			remedy = fmt.Sprintf("End %s here: then the pedal can move as planned.", words.Joined(unique(written)))
		}
		s.add(h.Moment, notes, words.Upper(fmt.Sprintf("%s %s still held when the %v pedal must go to %s.",
			words.Joined(names), plural(len(names), "is", "are"), h.Letter, positioned(h.Letter, to))), remedy)
		if !damped {
			s.as(Error)
		}
	}
}

// goesOn tells whether a note is plucked as long as it lasts.
func (m *played) goesOn(note int) bool {
	n := m.signs(note)
	return n.Trill || n.Plucks > 1 || n.Tremolo != NoTremolo
}

func unique(names []string) []string {
	var list []string
	seen := map[string]bool{}
	for _, n := range names {
		if !seen[n] {
			seen[n] = true
			list = append(list, n)
		}
	}
	return list
}

// needers are the notes for which a pedal is moved.
func (m *played) needers(mv pedal.Move) []int {
	var notes []int
	for _, u := range m.usesBetween(mv.Letter, mv.Needed, mv.Needed) {
		if !m.p.Notes[u.note].Implied {
			notes = append(notes, u.note)
		}
	}
	return notes
}

// wanted names what a pedal is moved to, with the written name of the note that
// needs it where that is another.
func (m *played) wanted(mv pedal.Move) string {
	to := positioned(mv.Letter, mv.To)
	for _, note := range m.needers(mv) {
		if p := m.p.Notes[note].Pitch; p.Letter != mv.Letter {
			return fmt.Sprintf("%s (written %s)", to, p.Name())
		}
	}
	return to
}

func manyChanges(m *played, s *sink) {
	if m.bar == nil {
		return
	}
	for i := 0; i < len(m.plan.Moves); {
		place := m.plan.Moves[i].Place
		if place >= len(m.bar) {
			return
		}
		n := 0
		for bar := m.bar[place]; i < len(m.plan.Moves) && m.plan.Moves[i].Place < len(m.bar) && m.bar[m.plan.Moves[i].Place] == bar; i++ {
			n++
		}
		if n > int(s.limit()) {
			s.add(place, nil, fmt.Sprintf("The feet make %s changes in this measure.", number(n)), "")
		}
	}
}
