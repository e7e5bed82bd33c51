package finding

import (
	"fmt"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/internal/words"
)

// clashRules are about notes that get no string.
func clashRules() []Rule {
	return []Rule{
		{
			Kind: "string-clash", Severity: Error,
			Means:  "notes are wanted together that need one pedal in two positions, and no other string is free",
			Source: "[BLI 8] [BAL] [C&O-PED]", find: stringClashes,
		}, {
			Kind: "quarter-tone", Severity: Error,
			Means:  "a pitch lies between the positions flat, natural and sharp",
			Source: "three positions a pedal [GROVE]", find: quarterTones,
		}, {
			Kind: "double-accidental", Severity: Note,
			Means:  "a double sharp or flat, which no pedal sets, and the string that plays it",
			Source: "[HC-CREATE]", find: doubleAccidentals,
		},
	}
}

// A cause is why a note has no string.
type cause uint8

const (
	byClash    cause = iota
	byPitch          // between the positions
	byCompass        // outside the harp
	byTuning         // on a string without discs that is tuned otherwise
	bySpelling       // sharper or flatter than any string
)

// causeOf tells why a note that is not sounded has no string.
func (m *played) causeOf(p pedal.Pitch) cause {
	if p.Cents%100 != 0 {
		return byPitch
	}
	result := byCompass
	for _, w := range stringsFor(p) {
		name := pedal.StringName{Letter: w.Letter, Octave: w.Octave}
		if m.harp.Disced(name) {
			return byClash
		}
		if m.harp.Has(name) {
			result = byTuning
		}
	}
	return result
}

// dropped calls do for each moment and each group of equal pitch names that have
// no string there for a cause. Glissandi have kinds of their own.
func (m *played) dropped(why cause, do func(moment int, notes []int)) {
	for i := 0; i < len(m.plan.Unsounded); {
		moment := m.plan.Unsounded[i].Moment
		var groups [][]int
		for ; i < len(m.plan.Unsounded) && m.plan.Unsounded[i].Moment == moment; i++ {
			note := m.p.Moments[moment].Strikes[m.plan.Unsounded[i].Strike].Note
			n := m.p.Notes[note]
			if m.isSwept(note) || m.causeOf(n.Pitch) != why {
				continue
			}
			if g := slices.IndexFunc(groups, func(g []int) bool { return m.called(g[0]) == m.called(note) }); g >= 0 {
				groups[g] = append(groups[g], note)
			} else {
				groups = append(groups, []int{note})
			}
		}
		for _, g := range groups {
			do(moment, g)
		}
	}
}

func stringClashes(m *played, s *sink) {
	m.dropped(byClash, func(moment int, notes []int) {
		text, others := m.clash(moment, notes[0])
		s.add(moment, slices.Concat(notes, others), text, m.clashRemedy(moment, notes))
	})
}

// clash says why a note has no string, and names the notes in its way.
func (m *played) clash(moment, note int) (text string, others []int) {
	n := m.p.Notes[note]
	ways := m.onHarp(n.Pitch)
	w := ways[0]
	b, blocked := m.blocker(moment, w)
	if !blocked {
		return fmt.Sprintf("No setting plays %s here together with the other notes.", m.called(note)), nil
	}
	other := m.p.Notes[b].Pitch
	switch {
	case w.Letter != n.Pitch.Letter:
		text = fmt.Sprintf("%s can only be played as %s, and the %v strings play %s here", m.called(note), pitchOf(w).Name(), w.Letter, m.played(b))
	case other.Letter == w.Letter:
		text = fmt.Sprintf("%s and %s are wanted together, and both are on the %v strings", m.called(note), m.called(b), w.Letter)
	default:
		text = fmt.Sprintf("%s is wanted while the %v strings play %s as %s", m.called(note), w.Letter, m.called(b), m.played(b))
	}
	if m.o.Plan.Mode == pedal.Written && n.Pitch.Cents >= -100 && n.Pitch.Cents <= 100 {
		return words.Upper(text) + "; every note is to be played on its written string.", []int{b}
	}
	others = []int{b}
	for _, p := range [2]pedal.Pitch{n.Pitch, other} {
		why, more := m.noOther(moment, p, w.Letter)
		text += why
		others = append(others, more...)
	}
	others = slices.DeleteFunc(others, m.isSwept)
	return words.Upper(text) + ".", others
}

// noOther says why a pitch cannot go to a string of another letter than the one
// given, and which notes are in the way.
func (m *played) noOther(moment int, p pedal.Pitch, than pedal.Letter) (text string, others []int) {
	found := false
	for _, w := range stringsFor(p) {
		if w.Letter == than {
			continue
		}
		found = true
		name := pedal.StringName{Letter: w.Letter, Octave: w.Octave}
		switch b, blocked := m.blocker(moment, w); {
		case !m.harp.Has(name):
			text += fmt.Sprintf("; the harp has no %v string for %v", name, pitchOf(w))
		case !m.harp.Disced(name):
			text += fmt.Sprintf("; %v is on a string without discs", pitchOf(w))
		case blocked:
			text += fmt.Sprintf("; %s is not free, as the %v strings play %s", pitchOf(w).Name(), w.Letter, m.played(b))
			others = append(others, b)
		}
	}
	if !found && p.Cents >= -100 && p.Cents <= 100 {
		text = fmt.Sprintf("; %s has no second string", p.Name())
	}
	return text, others
}

// onHarp lists the strings of the harp that sound a pitch and have discs.
func (m *played) onHarp(p pedal.Pitch) []pedal.String {
	return slices.DeleteFunc(stringsFor(p), func(w pedal.String) bool {
		return !m.harp.Disced(pedal.StringName{Letter: w.Letter, Octave: w.Octave})
	})
}

// played names what the string of a note plays, without its octave.
func (m *played) played(note int) string { return pitchOf(m.plan.Strings[note]).Name() }

// blocker is a note of a moment that needs a string's pedal in another position.
func (m *played) blocker(moment int, w pedal.String) (note int, ok bool) {
	for _, u := range m.usesBetween(w.Letter, moment, moment) {
		if m.plan.Strings[u.note].Position != w.Position {
			return u.note, true
		}
	}
	return 0, false
}

// clashRemedy offers the other string where it stands right and is free, else to
// leave the note out, which is what the plan does.
func (m *played) clashRemedy(moment int, notes []int) string {
	n := m.p.Notes[notes[0]]
	if n.Implied {
		return fmt.Sprintf("Play the note without %s; everything else here can be played as planned.", m.called(notes[0]))
	}
	for _, w := range m.onHarp(n.Pitch) {
		if w.Letter != n.Pitch.Letter && m.plan.Settings[moment][w.Letter] == w.Position && m.o.Plan.Mode == pedal.Written {
			return fmt.Sprintf("Play %s as %s, to which the %v pedal is set here.", n.Pitch.Name(), pitchOf(w).Name(), w.Letter)
		}
	}
	var names []string
	for _, note := range notes {
		names = append(names, m.p.Notes[note].Pitch.String())
	}
	slices.Sort(names)
	return fmt.Sprintf("Leave out %s; everything else here can be played as planned.", words.Joined(slices.Compact(names)))
}

func quarterTones(m *played, s *sink) {
	m.dropped(byPitch, func(moment int, notes []int) {
		s.add(moment, notes, fmt.Sprintf("%s lies between two positions of the pedal, and no string gives it.", words.Upper(m.called(notes[0]))), "")
	})
}

// doubleAccidentals tells of each name and the strings that play it once, where it
// comes first.
func doubleAccidentals(m *played, s *sink) {
	type way struct {
		name string
		on   pedal.Letter
	}
	told, count := map[way]int{}, map[way]int{} // where in the list, how many notes
	var notes [][]int
	var ways []way
	var first []int
	for i, strokes := range m.strokes {
		for _, t := range strokes {
			p := m.p.Notes[t.note].Pitch
			if p.Cents >= -100 && p.Cents <= 100 {
				continue
			}
			w := way{p.Name(), m.plan.Strings[t.note].Letter}
			k, known := told[w]
			if !known {
				k = len(ways)
				told[w] = k
				ways, first, notes = append(ways, w), append(first, i), append(notes, nil)
			}
			if first[k] == i {
				notes[k] = append(notes[k], t.note)
			}
			count[w]++
		}
	}
	for k, w := range ways {
		var names []string
		for _, n := range notes[k] {
			names = append(names, pitchOf(m.plan.Strings[n]).String())
		}
		names = unique(names)
		text := fmt.Sprintf("No pedal sets %s: it is played as %s, on the %v %s", w.name, words.Joined(names), w.on, plural(len(names), "string", "strings"))
		if more := count[w] - len(notes[k]); more > 0 {
			text += fmt.Sprintf(", here and %s more", times(more))
		}
		s.add(first[k], notes[k], text+".", "")
	}
}
