package finding

import (
	"fmt"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/internal/words"
)

// glissandoRules are about glissandi and what else is played without being
// written out.
func glissandoRules() []Rule {
	return []Rule{
		{
			Kind: "glissando-clash", Severity: Error,
			Means:  "the setting of a glissando and the notes written with it cannot both be had",
			Source: "seven strings an octave sound [EIN-gliss]", find: glissandoClashes,
		}, {
			Kind: "glissando-setting", Severity: Note,
			Means:  "the setting a glissando is taken to have, and where that was read",
			Source: "the full setting stands before every glissando [EIN-notating]", find: glissandoSettings,
		}, {
			Kind: "glissando-foreign", Severity: Warning,
			Means:  "a glissando set from the key signature would sound a letter otherwise than it is written nearby",
			Source: "unwanted letters sound, unless they are tuned onto a wanted pitch [EIN-gliss]", find: glissandoForeign,
		}, {
			Kind: "left-out", Severity: Note,
			Means:  "something that is played without being written out is not counted, as --implied=off asks",
			Source: "", find: leftOut,
		},
	}
}

// glissandi calls do for every playing of a glissando; end is the first moment
// that is no longer part of it.
func (m *played) glissandi(do func(moment, end int, g Glissando)) {
	if len(m.music.Glissandi) == 0 {
		return
	}
	byNote := map[int][]Glissando{}
	for _, g := range m.music.Glissandi {
		if !g.Held {
			byNote[g.Note] = append(byNote[g.Note], g)
		}
	}
	for i, mo := range m.p.Moments {
		for _, s := range mo.Strikes {
			for _, g := range byNote[s.Note] {
				end := i + 1
				for until := m.sweepEnd(i, g); end < len(m.p.Moments) && m.p.Moments[end].Onset < until; {
					end++
				}
				do(i, end, g)
			}
		}
	}
}

// sweepEnd is when the sweep that starts at a moment ends.
func (m *played) sweepEnd(moment int, g Glissando) int64 {
	for _, s := range m.p.Moments[moment].Strikes {
		if slices.Contains(g.Swept, s.Note) {
			return s.End
		}
	}
	return m.p.Moments[moment].Onset
}

func glissandoClashes(m *played, s *sink) {
	for i := 0; i < len(m.plan.Unsounded); {
		moment := m.plan.Unsounded[i].Moment
		notes := map[int][]int{} // by glissando, what it lacks
		var sweeps []int
		for ; i < len(m.plan.Unsounded) && m.plan.Unsounded[i].Moment == moment; i++ {
			note := m.p.Moments[moment].Strikes[m.plan.Unsounded[i].Strike].Note
			if g, ok := m.swept[note]; ok {
				if notes[g] == nil {
					sweeps = append(sweeps, g)
				}
				notes[g] = append(notes[g], note)
			}
		}
		for _, g := range sweeps {
			m.glissandoClash(s, moment, m.music.Glissandi[g], notes[g])
		}
	}
}

func (m *played) glissandoClash(s *sink, moment int, g Glissando, lacking []int) {
	var others []int
	var wants, has []string
	for _, note := range lacking {
		p := m.p.Notes[note].Pitch
		wants = append(wants, p.Name())
		w := pedal.String{Letter: p.Letter, Position: pedal.Position(p.Cents / 100)}
		if b, ok := m.blocker(moment, w); ok {
			has = append(has, m.played(b))
			if !m.p.Notes[b].Implied {
				others = append(others, b)
			}
		}
	}
	if !g.Held {
		others = append(others, g.Note)
	}
	text := fmt.Sprintf("The glissando cannot be set: it wants %s", words.Joined(unique(wants)))
	if len(has) > 0 {
		text += fmt.Sprintf(", and %s %s wanted at the same time", words.Joined(unique(has)), plural(len(unique(has)), "is", "are"))
	}
	s.add(moment, others, text+".", "")
}

func glissandoSettings(m *played, s *sink) {
	m.glissandi(func(moment, _ int, g Glissando) {
		from := map[GlissandoSource]string{
			FromKey:     "from the key signature and the notes at its ends, as no setting is printed before it, no chord named and no octave written out",
			FromSetting: "as printed before it",
			FromOctave:  "from its first octave, which is written out",
			FromWords:   fmt.Sprintf("from the words “%s”", g.Said),
			FromSymbol:  "from the chord symbol " + g.Said,
		}[g.Source]
		if g.Near {
			from += "; no setting sounds just that, and this is the nearest"
		}
		s.add(moment, []int{g.Note}, fmt.Sprintf("The glissando is set %v, %s.", g.Setting, from), "")
	})
}

func glissandoForeign(m *played, s *sink) {
	m.glissandi(func(moment, end int, g Glissando) {
		if g.Source != FromKey {
			return
		}
		first := moment
		for m.bar != nil && first > 0 && m.bar[first-1] == m.bar[moment] {
			first--
		}
		var notes []int
		var wrong, right []string
		for i := first; i <= min(end, len(m.strokes)-1); i++ {
			for _, t := range m.strokes[i] {
				str := m.plan.Strings[t.note]
				if sounds := g.Setting[str.Letter]; sounds != str.Position {
					notes = append(notes, t.note)
					wrong = append(wrong, positioned(str.Letter, sounds))
					right = append(right, positioned(str.Letter, str.Position))
				}
			}
		}
		if len(notes) == 0 {
			return
		}
		wrong, right = unique(wrong), unique(right)
		s.add(moment, append(slices.Clone(notes), g.Note), fmt.Sprintf("As set from the key signature the glissando sounds %s, while %s %s written in the same measure.",
			words.Joined(wrong), words.Joined(right), plural(len(right), "is", "are")), "")
	})
}

func leftOut(m *played, s *sink) {
	if len(m.music.LeftOut) == 0 {
		return
	}
	what := map[int]Implication{}
	for _, l := range m.music.LeftOut {
		what[l.Note] = l.By
	}
	texts := map[Implication]string{
		ByOrnament:  "The notes that the ornament adds are not counted.",
		ByTremolo:   "The two halves of the tremolo are counted one after the other, not together.",
		ByGlissando: "The strings that the glissando sweeps are not counted.",
	}
	for i, mo := range m.p.Moments {
		for _, strike := range mo.Strikes {
			if by, ok := what[strike.Note]; ok {
				s.add(i, []int{strike.Note}, texts[by], "")
			}
		}
	}
}
