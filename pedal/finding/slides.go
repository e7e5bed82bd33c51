package finding

import (
	"fmt"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/internal/words"
)

// slideTime is how long a string rings so that a moved pedal is heard: as ringTime, but
// not to be minded from C3 up.
func slideTime(lowest time.Duration, octave int) time.Duration {
	if octave >= 3 {
		return 0
	}
	return ringTime(lowest, octave)
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

// ringingChanges tells of the changes of a measure under which strings ring, together.
func ringingChanges(m *played, s *sink) {
	lowest := s.limit().duration()
	var since [pedal.Letters]int // the letter's last move: what rang then has been reported
	var group []slide
	for _, mv := range m.plan.Moves {
		if mv.Place >= len(m.p.Moments) {
			continue
		}
		first := since[mv.Letter]
		since[mv.Letter] = mv.Place
		slid := m.ringing(mv, first, lowest)
		if len(slid.notes) == 0 {
			continue
		}
		if len(group) > 0 && (m.bar == nil || m.bar[group[0].move.Place] != m.bar[mv.Place]) {
			m.slides(s, group)
			group = nil
		}
		group = append(group, slid)
	}
	if len(group) > 0 {
		m.slides(s, group)
	}
}

// A slide is a move under ringing strings.
type slide struct {
	move     pedal.Move
	notes    []int
	youngest time.Duration // since the last of them was plucked
}

// ringing finds what rings when a move is made, of what was plucked from a moment on.
func (m *played) ringing(mv pedal.Move, first int, lowest time.Duration) slide {
	found := slide{move: mv}
	struck := map[int]bool{} // strings that have been plucked again since, or are about to be
	for _, u := range m.usesBetween(mv.Letter, mv.Needed, mv.Needed) {
		struck[m.plan.Strings[u.note].Octave] = true
	}
	earlier := m.usesBetween(mv.Letter, first, mv.Place-1)
	for k := len(earlier) - 1; k >= 0 && mv.Start-m.at(earlier[k].moment) < lowest; k-- {
		u := earlier[k]
		octave := m.plan.Strings[u.note].Octave
		age := mv.Start - m.at(u.moment)
		if struck[octave] || m.p.Notes[u.note].Implied || age >= slideTime(lowest, octave) {
			continue
		}
		struck[octave] = true
		if m.p.Moments[u.moment].Strikes[u.strike].End > m.p.Moments[min(mv.Needed, len(m.p.Moments)-1)].Onset {
			continue // held, which is a finding of its own
		}
		if !mv.Rushed && shown(age) < shown(m.hardly) {
			continue // hardly sounded, which is one too
		}
		if len(found.notes) == 0 {
			found.youngest = age
		}
		found.notes = append(found.notes, u.note)
	}
	m.sortUp(found.notes)
	return found
}

// slides reports moves under ringing strings.
func (m *played) slides(s *sink, group []slide) {
	var notes []int
	var pedals, names []string
	youngest := group[0].youngest
	for _, g := range group {
		notes = append(notes, g.notes...)
		pedals = append(pedals, g.move.Letter.String())
		youngest = min(youngest, g.youngest)
	}
	m.sortUp(notes)
	for _, n := range notes {
		names = append(names, m.name(n))
	}
	pedals, names = unique(pedals), unique(names)
	s.add(group[0].move.Place, notes, fmt.Sprintf("The %s %s while %s still %s, plucked %s before%s, so that the pitch of the ringing %s slides.",
		words.Joined(pedals), plural(len(pedals), "pedal moves", "pedals move"), words.Joined(names), plural(len(names), "rings", "ring"), seconds(youngest),
		plural(len(notes), "", " or more"), plural(len(names), "string", "strings")),
		fmt.Sprintf("Damp %s before the %s.", words.Joined(names), plural(len(pedals), "pedal moves", "pedals move")))
	s.upTo(group[len(group)-1].move.Place)
}

// hardlySounded finds the moves under strings that were only just plucked. Moves that
// are rushed are findings of their own.
func hardlySounded(m *played, s *sink) {
	for _, mv := range m.plan.Moves {
		if mv.Rushed || mv.Place >= len(m.p.Moments) {
			continue
		}
		again := map[int]bool{} // octaves that are plucked again for the move
		for _, u := range m.usesBetween(mv.Letter, mv.Needed, mv.Needed) {
			again[m.plan.Strings[u.note].Octave] = true
		}
		earlier := m.usesBetween(mv.Letter, 0, min(mv.Needed, len(m.p.Moments))-1)
		var notes []int
		var names []string
		age := time.Duration(0)
		for k := len(earlier) - 1; k >= 0; k-- {
			u := earlier[k]
			since := mv.Start - m.at(u.moment)
			if shown(since) >= shown(m.hardly) {
				break
			}
			if octave := m.plan.Strings[u.note].Octave; !again[octave] && !m.p.Notes[u.note].Implied {
				again[octave] = true
				notes, names, age = append(notes, u.note), append(names, m.name(u.note)), max(age, since)
			}
		}
		if len(notes) == 0 {
			continue
		}
		s.add(min(mv.Place, mv.Needed), notes, fmt.Sprintf("The %v pedal moves %s after %s %s plucked: %s hardly sounded, and the slide is heard.",
			mv.Letter, seconds(age), words.Joined(unique(names)), plural(len(unique(names)), "was", "were"), plural(len(unique(names)), "it has", "they have")),
			"")
	}
}
