package finding

import (
	"fmt"
	"time"

	"pedalogue/pedal"
)

// pedalRules are about the pedals' changes.
func pedalRules() []Rule {
	return []Rule{
		{
			Kind: "held-string", Severity: Error,
			Means:  "a pedal must move while a note on its strings is still held",
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
			Kind: "many-changes", Severity: Warning, Limit: 6, Unit: Count,
			Means:  "more changes in one measure than the limit",
			Source: "seven is known as a heavy measure [HARPITECT]", find: manyChanges,
		}, {
			Kind: "ringing-change", Severity: Note, Limit: 4000, Unit: Seconds,
			Means: "a pedal moves while a low string of its letter still rings; the limit is how long strings of the lowest octave ring, " +
				"half as long for each octave higher, and none from C4 up",
			Source: "longer strings ring longer [BLI 5], a moved pedal bends what rings [PHI-tips]; the seconds are common practice", find: ringingChanges,
		},
	}
}

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
		if len(written) == len(notes) {
			remedy = fmt.Sprintf("End %s here: then the pedal can move as planned.", joined(unique(written)))
		}
		s.add(h.Moment, notes, upper(fmt.Sprintf("%s %s still held when the %v pedal must go to %s.",
			joined(names), plural(len(names), "is", "are"), h.Letter, positioned(h.Letter, to))), remedy)
	}
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

// ringTime is how long a string rings clearly, given the time of the lowest
// octave: half as long for each octave higher, not to be minded from C4 up.
func ringTime(lowest time.Duration, octave int) time.Duration {
	switch {
	case octave <= 1:
		return lowest
	case octave <= 3:
		return lowest >> (octave - 1)
	}
	return 0
}

func ringingChanges(m *played, s *sink) {
	lowest := s.limit().duration()
	var since [pedal.Letters]int // the letter's last move: what rang then has been reported
	for _, mv := range m.plan.Moves {
		if mv.Place >= len(m.p.Moments) {
			continue
		}
		first := since[mv.Letter]
		since[mv.Letter] = mv.Place
		moved := mv.Start
		struck := map[int]bool{} // strings that have been plucked again since, or are about to be
		for _, u := range m.usesBetween(mv.Letter, mv.Needed, mv.Needed) {
			struck[m.plan.Strings[u.note].Octave] = true
		}
		var notes []int
		var names []string
		var youngest time.Duration
		earlier := m.usesBetween(mv.Letter, first, mv.Place-1)
		for k := len(earlier) - 1; k >= 0 && moved-m.at(earlier[k].moment) < lowest; k-- {
			u := earlier[k]
			octave := m.plan.Strings[u.note].Octave
			age := moved - m.at(u.moment)
			if struck[octave] || m.p.Notes[u.note].Implied || age >= ringTime(lowest, octave) {
				continue
			}
			struck[octave] = true
			if m.p.Moments[u.moment].Strikes[u.strike].End > m.p.Moments[min(mv.Needed, len(m.p.Moments)-1)].Onset {
				continue // held, which is a finding of its own
			}
			if len(notes) == 0 {
				youngest = age
			}
			notes = append(notes, u.note)
		}
		if len(notes) == 0 {
			continue
		}
		m.sortUp(notes)
		for _, n := range notes {
			names = append(names, m.name(n))
		}
		s.add(mv.Place, notes, fmt.Sprintf("The %v pedal moves while %s still %s, plucked %s before, so that the pitch of the ringing string slides.",
			mv.Letter, joined(names), plural(len(names), "rings", "ring"), seconds(youngest)),
			fmt.Sprintf("Damp %s before the pedal moves.", joined(names)))
	}
}
