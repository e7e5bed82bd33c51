package report

import (
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"pedalogue/report/engrave"
	"pedalogue/report/plain"
)

// pixelsInSpace is how large music is drawn, in pixels to a staff space.
const pixelsInSpace = engrave.Space / unitsInPixel

// A findingGroup is what a page shows of the findings of one kind and severity.
type findingGroup struct {
	Severity Severity
	Kind     int // index into the harp's Kinds
	Shown    []findingRow
	More     string  // what is folded away, in words; "" for nothing
	Picture  picture // of the first of these
	Folded   []findingRow
}

type findingRow struct {
	ID                  string
	Chart, Row          string // the IDs of its measure in the chart and in the list by measure; "" for none
	Place, Text, Remedy string
	Notes, Staff        string
	Picture             picture // its measure
}

// A picture is drawn music; the zero value is none.
type picture struct {
	SVG           template.HTML
	TooMuch       bool // it is left out, as the page would be too heavy
	width, height int  // in pixels
	omitted       []string
}

// mostPictured is how many notes are drawn in the pictures of a harp's findings.
const mostPictured = 6000

// addFindings lists the findings, folded as in the terminal: one picture stands
// for all that are folded away. It gives each the ID by which others link to it.
func (h *harp) addFindings(p *Part, when *timeline) {
	var kinds []string
	counts := make(map[string]int)
	severities := make(map[Severity]int)
	when.rows = make(map[findingKey]string)
	room := mostPictured
	for _, f := range fold(p.Findings) {
		first := f.shown[0]
		kind := slices.Index(kinds, first.Kind)
		if kind < 0 {
			kind = len(kinds)
			kinds = append(kinds, first.Kind)
		}
		g := findingGroup{Severity: first.Severity, Kind: kind}
		for _, x := range f.shown {
			r := h.findingRow(x, when)
			r.Picture = p.picture(&x.Finding, &room)
			g.Shown = append(g.Shown, r)
		}
		if len(f.folded) > 0 {
			g.More = fmt.Sprintf("and %s more of this kind in %s", grouped(len(f.folded)), plain.Line(measureRange(f.folded)))
			g.Picture = p.picture(&f.folded[0].Finding, &room)
		}
		for _, x := range f.folded {
			g.Folded = append(g.Folded, h.findingRow(x, when))
		}
		for _, x := range append(slices.Clone(f.shown), f.folded...) {
			counts[x.Kind] += x.times
			severities[x.Severity] += x.times
		}
		h.Findings = append(h.Findings, g)
	}
	for i, k := range kinds {
		h.Kinds = append(h.Kinds, filter{plain.Line(strings.ReplaceAll(k, "-", " ")), i, counts[k]})
	}
	for i, s := range []Severity{SeverityError, SeverityWarning, SeverityNote} {
		if severities[s] > 0 {
			h.Severity = append(h.Severity, filter{string(s), i, severities[s]})
		}
	}
}

func (h *harp) findingRow(f passFinding, when *timeline) findingRow {
	when.shown++
	r := findingRow{
		ID:    "f" + strconv.Itoa(h.ID) + "-" + strconv.Itoa(when.shown),
		Place: when.place(f.Place, f.passes...), Text: plain.Line(f.Text + f.elsewhere()), Remedy: plain.Line(f.Remedy), Notes: plain.Line(strings.Join(f.Notes, " ")),
	}
	for _, k := range f.keys {
		when.rows[k] = r.ID
	}
	if v := (visit{f.Index, f.passes[0]}); when.has(v) {
		r.Chart, r.Row = v.id("m", h.ID), v.id("r", h.ID)
	}
	if f.Staff > 0 {
		r.Staff = strconv.Itoa(f.Staff)
	}
	return r
}

// has reports whether a visit is among the measures that are played.
func (t *timeline) has(v visit) bool {
	_, ok := t.at[v]
	return ok
}

// picture draws the measure of a finding, with the notes that it is about, if there
// is room for so many notes; it takes the room.
func (p *Part) picture(f *Finding, room *int) picture {
	concerns := map[int]engrave.Concern{}
	f.concern(concerns)
	said := ""
	if len(f.Notes) > 0 && len(f.Concerned) > 0 {
		said = ", with a line around " + plain.Line(strings.Join(f.Notes, ", "))
	}
	return p.drawn(f.Place, engrave.Options{Concerns: concerns}, pixelsInSpace, string(f.Severity), said, room, f.Beside...)
}

// drawn draws the measure of a place with so many pixels to a staff space, if there is
// room for so many notes; it takes the room. What is said of it follows its number. Of
// the measures beside it those are drawn too that are known.
func (p *Part) drawn(at Place, o engrave.Options, pixels int, class, said string, room *int, beside ...int) picture {
	if !p.engraved() || p.Music.Measures[at.Index] == nil {
		return picture{}
	}
	n, measures := notesIn(p.Music.Measures[at.Index]), []int{at.Index}
	for _, k := range beside {
		if m := p.Music.Measures[k]; m != nil {
			n, measures = n+notesIn(m), append(measures, k)
		}
	}
	slices.Sort(measures)
	if n > *room {
		return picture{TooMuch: true}
	}
	*room -= n
	d, err := engrave.Draw(p.Music.Line(measures...), o)
	if err != nil {
		return picture{}
	}
	label := "The music of measure " + plain.Line(at.label()) + said + "."
	svg := d.Inline(pixels, class, label) // in which engrave has escaped all texts
	return picture{SVG: template.HTML(svg), width: d.Width * pixels / engrave.Space, height: d.Height * pixels / engrave.Space, omitted: d.Omitted}
}
