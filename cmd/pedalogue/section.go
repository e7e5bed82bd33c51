package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal"
)

// A section is a place at which a player must see the full setting.
type section struct {
	place
	reason    string
	ifDiffers bool // only where the pedals stand differently in its passes
}

// A settingsChoice says where full settings stand beside those at the start and
// before glissandi.
type settingsChoice struct {
	sections bool
	every    int // measures; 0 for none
}

// parseSettings reads "start", "sections" or "every=N".
func parseSettings(text string) (settingsChoice, error) {
	switch text {
	case "start":
		return settingsChoice{}, nil
	case "sections":
		return settingsChoice{sections: true}, nil
	}
	if digits, ok := strings.CutPrefix(text, "every="); ok {
		if n, err := strconv.Atoi(digits); err == nil && n > 0 {
			return settingsChoice{sections: true, every: n}, nil
		}
	}
	return settingsChoice{}, fmt.Errorf("%q is none of start, sections and every=N, with N measures from 1", text)
}

// longRest is how many measures of rest make the entrance after them a place at
// which a player must see the whole setting. Common practice: after long rests
// [KUNTZ-CHART], at each main entrance [BLI-PARTS].
const longRest = 4

// sections lists where full settings are wanted: first the start; then
// glissandi, rehearsal marks, key changes, double bars, entrances after a long
// rest and the targets of jumps back. Sources: a full setting at the start of a
// piece, movement or section and always before a glissando [EIN-notating], at
// every rehearsal mark and main entrance [BLI-PARTS].
func (b *bridge) sections(choice settingsChoice) []section {
	list := []section{{place: place{measure: b.firstMeasure()}, reason: "start"}}
	list = append(list, b.glissandoSections()...)
	if !choice.sections {
		return list
	}
	first := b.firstMeasure()
	rest := 0
	for k := range b.score.Measures {
		m := &b.score.Measures[k]
		at := section{place: place{measure: k}}
		plays := b.attacks(k)
		switch {
		case k <= first:
		case m.Rehearsal != "":
			at.reason = m.Rehearsal
		case b.changesKey(k):
			at.reason = "key"
		case b.score.Measures[k-1].DoubleBar:
			at.reason = "double bar"
		case plays && rest >= longRest:
			at.reason = "after rest"
		case choice.every > 0 && k%choice.every == 0:
			at.reason = "every"
		}
		if at.reason != "" {
			list = append(list, at)
		}
		rest++
		if plays {
			rest = 0
		}
	}
	return append(list, b.jumpTargets()...)
}

// firstMeasure is where the first full setting stands: the start; in a part
// that changes its instrument, the first measure that the harp plays.
func (b *bridge) firstMeasure() int {
	if b.changesInstrument() {
		return b.firstPlayed()
	}
	return b.score.Order[0]
}

// attacks reports whether the harp plays a note in a written measure.
func (b *bridge) attacks(k int) bool {
	return slices.ContainsFunc(b.written[k].moments, func(w written) bool { return len(w.notes) > 0 })
}

// changesKey reports whether another key signature begins with a measure.
func (b *bridge) changesKey(k int) bool {
	keys := b.player.Parts[0].Keys
	for i := 1; i < len(keys); i++ {
		if keys[i].Measure == k && keys[i].Onset == b.score.Measures[k].Start && keySetting(keys[i]) != keySetting(keys[i-1]) {
			return true
		}
	}
	return false
}

// glissandoSections puts a full setting at the first note of each glissando.
func (b *bridge) glissandoSections() []section {
	var list []section
	for _, im := range b.implied {
		if im.kind != pedal.ByGlissando {
			continue
		}
		n := im.at.note()
		offset := n.Onset.Sub(b.score.Measures[n.Measure].Start)
		for i, w := range b.written[n.Measure].moments {
			if w.offset == offset && (w.grace.part != nil) == (n.Kind == musicxml.Grace) {
				list = append(list, section{place: place{n.Measure, i}, reason: "glissando"})
				break
			}
		}
	}
	return list
}

// jumpTargets lists the measures to which the playing order jumps back.
func (b *bridge) jumpTargets() []section {
	var list []section
	order := b.score.Order
	for i := 1; i < len(order); i++ {
		if order[i] <= order[i-1] {
			list = append(list, section{place: place{measure: order[i]}, reason: "repeat", ifDiffers: true})
		}
	}
	slices.SortFunc(list, func(a, c section) int { return cmp.Compare(a.measure, c.measure) })
	return slices.Compact(list)
}

// A settingForm says how full settings are written.
type settingForm struct{ letters, diagram bool }

// parseSettingForm reads "letters", "diagram" or "both".
func parseSettingForm(text string) (settingForm, error) {
	switch text {
	case "letters":
		return settingForm{letters: true}, nil
	case "diagram":
		return settingForm{diagram: true}, nil
	case "both":
		return settingForm{letters: true, diagram: true}, nil
	}
	return settingForm{}, errors.New(strconv.Quote(text) + " is none of letters, diagram and both")
}
