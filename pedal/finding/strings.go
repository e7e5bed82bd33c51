package finding

import (
	"fmt"

	"pedalogue/pedal"
)

// stringRules are about the strings that a harp has, and has not.
func stringRules() []Rule {
	return []Rule{
		{
			Kind: "out-of-compass", Severity: Error,
			Means:  "a note lies below the lowest string or above the highest; --strings says which harp it is",
			Source: "47 strings, C1 to G7 [HIO] [BLI 4]", find: outOfCompass,
		}, {
			Kind: "string-without-discs", Severity: Note,
			Means:  "a note is on a string that the pedals do not reach, and how to tune it by hand",
			Source: "[WIKI] [BLI 3] [C&O-PED]", find: withoutDiscs,
		}, {
			Kind: "two-tunings", Severity: Error,
			Means:  "a string without discs is wanted in two positions, but keeps one for the whole piece",
			Source: "[GOSS-65]", find: twoTunings,
		},
	}
}

func outOfCompass(m *played, s *sink) {
	m.dropped(byCompass, func(moment int, notes []int) {
		for _, note := range notes {
			p := m.p.Notes[note].Pitch
			low, high := m.harp.Lowest, m.harp.Highest
			side, end, direction := "below", "lowest", 1
			if rank(p.Letter, p.Octave) > rank(high.Letter, high.Octave) {
				side, end, direction = "above", "highest", -1
				low = high
			}
			remedy := m.byOctaves(moment, p, direction)
			s.add(moment, []int{note}, fmt.Sprintf("%v is %s the harp's %s string, %v.", p, side, end, low), remedy)
		}
	})
}

// byOctaves offers the nearest octave of a pitch that is on a string with discs
// whose pedal stands right; "" if there is none.
func (m *played) byOctaves(moment int, p pedal.Pitch, direction int) string {
	if p.Cents < -100 || p.Cents > 100 || m.plan.Settings[moment][p.Letter] != pedal.Position(p.Cents/100) {
		return ""
	}
	for octaves := 1; octaves <= 4; octaves++ {
		to := p
		to.Octave += direction * octaves
		if !m.harp.Disced(pedal.StringName{Letter: to.Letter, Octave: to.Octave}) {
			continue
		}
		if m.plucked(moment, rank(to.Letter, to.Octave)) {
			return fmt.Sprintf("Leave it out; %v is played with it.", to)
		}
		word := "higher"
		if direction < 0 {
			word = "lower"
		}
		return fmt.Sprintf("Play it %s %s, as %v.", plural(octaves, "an octave", number(octaves)+" octaves"), word, to)
	}
	return ""
}

// plucked tells whether a string is plucked at a moment.
func (m *played) plucked(moment, rank int) bool {
	for _, t := range m.strokes[moment] {
		if t.rank == rank {
			return true
		}
	}
	return false
}

// onUndisced calls do for every sounding note on a string without discs.
func (m *played) onUndisced(do func(moment, note int, name pedal.StringName, at pedal.Position)) {
	for i, strokes := range m.strokes {
		for _, t := range strokes {
			if t.bare {
				str := m.plan.Strings[t.note]
				do(i, t.note, pedal.StringName{Letter: str.Letter, Octave: str.Octave}, str.Position)
			}
		}
	}
}

func withoutDiscs(m *played, s *sink) {
	seen := map[pedal.StringName]bool{}
	m.onUndisced(func(moment, note int, name pedal.StringName, at pedal.Position) {
		if seen[name] {
			return
		}
		seen[name] = true
		text := fmt.Sprintf("The %v string has no discs on most harps, so its pedal does not reach it; it must be tuned to %s before the piece.",
			name, positioned(name.Letter, at))
		s.add(moment, []int{note}, text, "")
	})
}

func twoTunings(m *played, s *sink) {
	tuned := map[pedal.StringName]pedal.Position{}
	m.onUndisced(func(moment, note int, name pedal.StringName, at pedal.Position) {
		first, ok := tuned[name]
		if !ok {
			tuned[name] = at
			return
		}
		if first == at {
			return
		}
		direction := 1
		if name.Octave > 4 {
			direction = -1
		}
		remedy := m.byOctaves(moment, pitchOf(pedal.String{Letter: name.Letter, Octave: name.Octave, Position: at}), direction)
		s.add(moment, []int{note}, fmt.Sprintf("The %v string is wanted as %s here and was tuned to %s; it has no discs and cannot be retuned while playing.",
			name, positioned(name.Letter, at), positioned(name.Letter, first)), remedy)
	})
	m.dropped(byTuning, func(moment int, notes []int) {
		for _, note := range notes {
			s.add(moment, []int{note}, fmt.Sprintf("%v could only be played on a string without discs, which is tuned otherwise.", m.p.Notes[note].Pitch), "")
		}
	})
}
