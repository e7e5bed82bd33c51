package musicxml

import (
	"context"
	"strings"

	"github.com/beevik/etree"

	"pedalogue/musicxml/internal/insert"
	"pedalogue/musicxml/internal/xmltext"
)

// smallSize is the font size of small words, in points: below the ten to twelve
// of texts in most scores.
const smallSize = "8"

// A Mark is a direction to be put into a score: a text, or a pedal setting.
type Mark struct {
	Part      *Part     // one of the score's
	Measure   int       // index from 0
	Offset    Frac      // quarter notes from the start of the measure
	Before    int       // the grace note before which it belongs, an index into Part.Notes; -1: after any grace notes at its time
	Staff     int       // from 1
	Placement string    // "above" or "below"
	Words     string    // lines are parted by "\n"; "" for none
	Small     bool      // the words are printed smaller than other texts
	Italic    bool      // the words are printed in italics
	Apart     bool      // printed a division later, where its note is longer: programs that join all texts of one time keep it apart
	Pedals    []KeyStep // a harp-pedals setting, in the order of writing; nil for none
}

// Edits returns the insertions that put marks into the score, in the order of
// the marks. Each mark is a direction with one direction-type: it stands
// directly before the first note without chord that begins at its time, on its
// own staff where there is one; where no note begins, it is offset from the
// last one before. At the start of a rest of several measures it stands before what
// says so, since some programs draw no direction behind it. A measure without content, "<measure/>", is replaced by one
// with the marks in it, by one edit for all of them.
//
// A mark that names what the score does not have, or a time that its measure's
// divisions cannot say, is an [*Error] with its place; so is a context that has
// ended.
func (s *Score) Edits(ctx context.Context, doc *Document, marks []Mark) ([]Edit, error) {
	edits := make([]Edit, 0, len(marks))
	filled := map[int][]string{} // what goes into measures without content, by the offset of their tags
	places := NewPlacer(s)
	for i, m := range marks {
		if i%256 == 0 && ctx.Err() != nil {
			return nil, placed(doc.Name, ctx.Err())
		}
		a, err := places.anchor(&m)
		if err != nil {
			return nil, s.placedMark(doc, &m, err)
		}
		pm := &m.Part.Measures[m.Measure]
		if pm.End != pm.Tag {
			edits = append(edits, Edit{Start: a.at, End: a.at, New: s.fragment(doc, m, a)})
			continue
		}
		line, unit := emptyLine(doc.Text, pm.Tag)
		if filled[pm.Tag] == nil {
			edits = append(edits, Edit{Start: pm.Tag, End: pm.Head})
		}
		filled[pm.Tag] = append(filled[pm.Tag], line+unit, s.direction(m, a.offset, line+unit, unit))
	}
	for i, e := range edits {
		if content := filled[e.Start]; e.End > e.Start && content != nil {
			line, _ := emptyLine(doc.Text, e.Start)
			edits[i] = doc.Replacing(e.Start, e.End, withContent(string(doc.Text[e.Start:e.End]), strings.Join(content, "")+line))
		}
	}
	return edits, nil
}

// placedMark gives a fault of a mark its place.
func (s *Score) placedMark(doc *Document, m *Mark, err error) error {
	e := &Error{File: doc.Name, Err: err}
	if m.Part != nil {
		e.Part = m.Part.ID
	}
	if m.Measure >= 0 && m.Measure < len(s.Measures) {
		e.Measure = s.Measures[m.Measure].Number
	}
	return e
}

// emptyLine returns the line end and indentation of an element without content,
// "" where it does not stand on a line of its own, and the indentation of a child.
func emptyLine(text []byte, tag int) (line, unit string) {
	indent, own := insert.IndentAt(text, tag)
	if !own {
		return "", ""
	}
	return "\n" + indent, "  "
}

// withContent puts content into an element without any, "<measure/>".
func withContent(tag, content string) string {
	return strings.TrimSuffix(tag, "/>") + ">" + content + "</" + xmltext.TagName(tag) + ">"
}

// fragment prints a mark as it goes into the text before an anchor, in the
// indentation found there.
func (s *Score) fragment(doc *Document, m Mark, a anchor) string {
	indent, own := insert.IndentAt(doc.Text, a.at)
	unit := insert.Unit(doc.Text, m.Part.Measures[m.Measure].Tag, indent)
	line := "\n" + indent
	if !own {
		line, unit = "", ""
	}
	return wrapped(line, s.direction(m, a.offset, line, unit), line) + line
}

// direction prints a mark as a direction element; line is the line end and
// indentation before it, "" where there are no lines, and unit what its children
// are indented by.
func (s *Score) direction(m Mark, offset, line, unit string) string {
	d := etree.NewElement(s.Prefix + "direction")
	if m.Placement != "" {
		d.CreateAttr("placement", m.Placement)
	}
	t := d.CreateElement(s.Prefix + "direction-type")
	if m.Words != "" {
		w := t.CreateElement(s.Prefix + "words")
		style := "normal"
		if m.Italic {
			style = "italic"
		}
		w.CreateAttr("font-style", style)
		if m.Small {
			w.CreateAttr("font-size", smallSize)
		}
		w.SetText(m.Words)
	}
	if m.Pedals != nil {
		h := t.CreateElement(s.Prefix + "harp-pedals")
		for _, k := range m.Pedals {
			p := h.CreateElement(s.Prefix + "pedal-tuning")
			p.CreateElement(s.Prefix + "pedal-step").SetText(string(k.Step))
			alter, _ := k.Alter.Decimal()
			p.CreateElement(s.Prefix + "pedal-alter").SetText(alter)
		}
	}
	if offset != "" {
		d.CreateElement(s.Prefix + "offset").SetText(offset)
	}
	if m.Part.Staves > 1 {
		d.CreateElement(s.Prefix + "staff").SetText(itoa(m.Staff))
	}
	insert.Tree(d, line, unit)
	return insert.String(d)
}
