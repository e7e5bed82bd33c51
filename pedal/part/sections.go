package part

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pedalogue/musicxml"
)

// A section is a place at which a player must see the full setting.
type section struct {
	Place
	reason    string
	ifDiffers bool // only where the pedals stand differently in its passes
}

// Sections say where full settings stand. The zero value puts them where a
// section begins.
type Sections struct {
	StartOnly bool // only at the start and before glissandi
	Every     int  // also after so many measures each time; 0 for no such ones
}

// ParseSections reads "start", "sections" or "every=N".
func ParseSections(text string) (Sections, error) {
	switch text {
	case "start":
		return Sections{StartOnly: true}, nil
	case "sections":
		return Sections{}, nil
	}
	if digits, ok := strings.CutPrefix(text, "every="); ok {
		if n, err := strconv.Atoi(digits); err == nil && n > 0 {
			return Sections{Every: n}, nil
		}
	}
	return Sections{}, fmt.Errorf("%q is none of start, sections and every=N, with N measures from 1", text)
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
func (p *Part) sections(choice Sections) []section {
	first := p.opening()
	list := []section{{Place: Place{Measure: first}, reason: "start"}}
	list = append(list, p.glissandoSections()...)
	if choice.StartOnly {
		return list
	}
	rest := 0
	for k := range p.Score.Measures {
		m := &p.Score.Measures[k]
		at := section{Place: Place{Measure: k}}
		plays := p.attacks(k)
		switch {
		case k <= first:
		case m.Rehearsal != "":
			at.reason = m.Rehearsal
		case p.changesKey(k):
			at.reason = "key"
		case p.Score.Measures[k-1].DoubleBar:
			at.reason = "double bar"
		case plays && rest >= longRest:
			at.reason = "after rest"
		case choice.Every > 0 && k%choice.Every == 0:
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
	return append(list, p.jumpTargets()...)
}

// attacks reports whether the harp plays a note in a written measure.
func (p *Part) attacks(k int) bool {
	return slices.ContainsFunc(p.written[k].moments, func(w written) bool { return len(w.notes) > 0 })
}

// changesKey reports whether another key signature begins with a measure.
func (p *Part) changesKey(k int) bool {
	keys := p.Player.Parts[0].Keys
	for i := 1; i < len(keys); i++ {
		if keys[i].Measure == k && keys[i].Onset == p.Score.Measures[k].Start && keySetting(keys[i]) != keySetting(keys[i-1]) {
			return true
		}
	}
	return false
}

// glissandoSections puts a full setting at the first note of each glissando.
func (p *Part) glissandoSections() []section {
	var list []section
	for _, at := range p.glissandi {
		n := at.note()
		offset := n.Onset.Sub(p.Score.Measures[n.Measure].Start)
		for i, w := range p.written[n.Measure].moments {
			if w.offset == offset && (w.grace.part != nil) == (n.Kind == musicxml.Grace) {
				list = append(list, section{Place: Place{n.Measure, i}, reason: "glissando"})
				break
			}
		}
	}
	return list
}

// jumpTargets lists the measures to which the playing order jumps back.
func (p *Part) jumpTargets() []section {
	var list []section
	order := p.Score.Order
	for i := 1; i < len(order); i++ {
		if order[i] <= order[i-1] {
			list = append(list, section{Place: Place{Measure: order[i]}, reason: "repeat", ifDiffers: true})
		}
	}
	slices.SortFunc(list, func(a, c section) int { return cmp.Compare(a.Measure, c.Measure) })
	return slices.Compact(list)
}
