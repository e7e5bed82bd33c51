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
	always    bool  // whatever was printed before: the start, and glissandi
	ifDiffers bool  // only where the pedals stand differently in its passes
	layout    bool  // for the sake of a new system or page only
	entrance  Place // in a rest: where it ends; the setting is the one that is needed there
	rests     bool  // entrance is set
}

// Sections say where full settings stand. The zero value puts them where a
// section begins.
type Sections struct {
	StartOnly bool // only at the start and before glissandi
	Every     int  // after so many measures each time instead of at sections; 0 for sections
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

// String returns what ParseSections reads.
func (s Sections) String() string {
	switch {
	case s.StartOnly:
		return "start"
	case s.Every > 0:
		return "every=" + strconv.Itoa(s.Every)
	}
	return "sections"
}

// longRest is how many measures of rest make the entrance after them a place at
// which a player must see the whole setting. Common practice: after long rests
// [KUNTZ-CHART], at each main entrance [BLI-PARTS].
const longRest = 4

// sections lists where full settings are wanted, in written order but for the
// start, which comes first: before glissandi; where a rehearsal can start, which is
// at rehearsal marks, key changes, double bars, entrances after a long rest and the
// targets of jumps back; and where a new system or page begins. Where the player
// rests it is the last measure of the rest. Sources: a full setting at the start
// of a piece, movement or section and always before a glissando [EIN-notating], at
// every rehearsal mark and main entrance [BLI-PARTS].
func (p *Part) sections(choice Sections) []section {
	first := p.opening()
	list := p.glissandoSections()
	if !choice.StartOnly {
		list = append(list, p.starts(first, choice)...)
	}
	if !choice.StartOnly && choice.Every == 0 {
		list = append(list, p.jumpTargets()...)
	}
	slices.SortStableFunc(list, func(a, b section) int { return a.Place.compare(b.Place) })
	return append([]section{{Place: Place{Measure: first}, reason: "start", always: true}}, list...)
}

// starts lists the places after the first measure at which a rehearsal can start.
func (p *Part) starts(first int, choice Sections) []section {
	var list []section
	rest, waiting, last := 0, "", first
	for k := first; k < len(p.Score.Measures); k++ {
		reason := ""
		switch {
		case k == first:
		case choice.Every > 0:
			if k-last >= choice.Every {
				reason, last = "every", k
			}
		default:
			reason = p.begins(k)
		}
		if !p.attacks(k) {
			rest++
			waiting = cmp.Or(reason, waiting)
			continue
		}
		switch {
		case reason != "":
			list = append(list, section{Place: Place{Measure: k}, reason: reason})
		case rest == k-first && p.unseen(first):
			list = append(list, section{Place: Place{Measure: k}, reason: cmp.Or(waiting, "after rest"), always: true})
		case waiting != "", choice.Every == 0 && rest >= longRest && k > first:
			list = append(list, p.entrance(k, cmp.Or(waiting, "after rest")))
		case choice.Every == 0 && k > first && (p.Score.Measures[k].NewSystem || p.Score.Measures[k].NewPage):
			list = append(list, section{Place: Place{Measure: k}, reason: "system", layout: true})
		}
		rest, waiting = 0, ""
	}
	return list
}

// begins tells what begins with a measure; "" for nothing.
func (p *Part) begins(k int) string {
	switch m := &p.Score.Measures[k]; {
	case m.Rehearsal != "":
		return m.Rehearsal
	case p.changesKey(k):
		return "key"
	case p.Score.Measures[k-1].DoubleBar:
		return "double bar"
	}
	return ""
}

// entrance is the section for an entrance after a rest: in the last measure of the
// rest, unless a sign of repetition stands between or the measure is not drawn.
func (p *Part) entrance(k int, reason string) section {
	at := Place{Measure: k}
	if len(p.Places.Playings(at)) == 0 || len(p.Places.Playings(Place{Measure: k - 1})) == 0 || p.Places.straight[k] == k || p.inRest(k-1) > 0 {
		return section{Place: at, reason: reason}
	}
	return section{Place: Place{Measure: k - 1}, reason: reason, entrance: at, rests: true}
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
				list = append(list, section{Place: Place{n.Measure, i}, reason: "glissando", always: true})
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
