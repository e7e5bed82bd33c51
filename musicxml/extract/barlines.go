package extract

import (
	"slices"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
	"pedalogue/musicxml/internal/xmltext"
)

// A barline is what a barline element says.
type barline struct {
	part     *musicxml.Part
	measure  int
	location string // "left", "right" or "middle"
	at       musicxml.Frac
	style    string // "" where it does not say
	things   []thing

	start, content, close, end int
}

// A thing is a child of a barline.
type thing struct {
	name       string
	role       string // what it does: its name, for an ending and a repeat with type or direction
	start, end int
	content    int
	element    *etree.Element
}

// barlineOrder is the order of the children of a barline. Source: MusicXML 4.0.
var barlineOrder = []string{"footnote", "level", "bar-style", "wavy-line", "segno", "coda", "fermata", "ending", "repeat"}

// barline takes in a barline. Labels of a segno or coda that it has are taken for a
// sound's.
func (w *walker) barline(e *xmltext.Element) {
	b := barline{part: w.part, measure: w.measure, location: e.Attr("location"), at: w.cursor, style: e.ChildText("bar-style"),
		start: e.Start, content: e.Content, close: e.Close, end: e.End}
	if b.location == "" {
		b.location = "right"
	}
	for c := e.First; c != nil; c = c.Next {
		t := thing{name: c.Name, role: c.Name, start: c.Start, end: c.End, content: c.Content}
		switch c.Name {
		case "ending":
			t.role += " " + c.Attr("type")
			if c.Attr("type") == "discontinue" {
				t.role = "ending stop"
			}
		case "repeat":
			t.role += " " + c.Attr("direction")
		}
		t.element = w.canonical(c)
		b.things = append(b.things, t)
	}
	w.barlines = append(w.barlines, b)
	w.bounds(&b)
	var labels []xmltext.Attribute
	for _, a := range e.Attrs {
		if a.Name == "segno" || a.Name == "coda" {
			labels = append(labels, a)
		}
	}
	if len(labels) > 0 {
		w.signs = append(w.signs, sign{part: w.part, measure: w.measure, at: w.cursor, soundAt: w.cursor, sound: labels,
			start: e.Start, cursor: w.cursor, divisions: w.divisions})
	}
}

// bounds notes what a barline keeps apart.
func (w *walker) bounds(b *barline) {
	here := w.here()
	for _, t := range b.things {
		switch {
		case b.location == "middle" || t.name == "fermata":
			here.alone = true
		case !t.carried(b) && t.name == "bar-style":
		case b.location == "left":
			here.opens = true
		default:
			here.closes = true
		}
	}
}

// carried reports whether a child of a barline speaks to everybody.
func (t *thing) carried(b *barline) bool {
	switch t.name {
	case "bar-style":
		return b.style != "regular" && b.style != "none" && b.location != "middle"
	case "segno", "coda", "fermata", "ending", "repeat":
		return true
	}
	return false
}

// A barKey is one end of a measure.
type barKey struct {
	measure  int
	location string
}

// lacking are the barlines of other parts as far as the part lacks what they say, one
// for each end of a measure; own are the part's. A segno or coda that stands in a
// direction is not lacking.
func lacking(all []barline, player []*musicxml.Part, givers giver) (lack []barline, own map[barKey]*barline) {
	own = map[barKey]*barline{}
	has := map[barKey]map[string]bool{}
	first := map[barKey]int{} // index into lack
	add := func(k barKey, role string) bool {
		if has[k] == nil {
			has[k] = map[string]bool{}
		}
		was := has[k][role]
		has[k][role] = true
		return !was
	}
	for i := range all {
		b := &all[i]
		if b.part != player[0] {
			continue
		}
		k := barKey{b.measure, b.location}
		own[k] = b
		for _, t := range b.things {
			if t.name != "bar-style" || b.style != "regular" {
				add(k, t.role)
			}
		}
	}
	for i := range all {
		b := &all[i]
		k := barKey{b.measure, b.location}
		if b.part == player[0] {
			continue
		}
		for _, t := range b.things {
			if !t.carried(b) || !add(k, t.role) || t.role == t.name && t.name != "fermata" && t.name != "bar-style" && !givers.gives(sameKind{b.measure, kind(t.name)}, b.part) {
				continue
			}
			j, known := first[k]
			if !known {
				j = len(lack)
				first[k] = j
				lack = append(lack, barline{measure: b.measure, location: b.location, at: b.at})
			}
			lack[j].things = append(lack[j].things, t)
		}
	}
	return lack, own
}

// order is the place of a child among the children of a barline.
func order(name string) int { return slices.Index(barlineOrder, name) }
