package musicxml

import (
	"bytes"
	"slices"
)

// A DirectionPart is one text or pedal setting in a direction.
type DirectionPart struct {
	Start  int  // offset of the direction in the text
	Pedals bool // a harp-pedals element, not a words element
	Nth    int  // which of its kind in the direction, from 0
}

// Remove returns the edits that take parts out of directions. A direction that
// holds nothing else goes with them; one that holds more keeps the rest.
// [Document.StripEdits] brings everything back.
func (s *Score) Remove(doc *Document, parts []DirectionPart) []Edit {
	byStart := map[int][]DirectionPart{}
	var starts []int
	for _, p := range parts {
		if byStart[p.Start] == nil {
			starts = append(starts, p.Start)
		}
		byStart[p.Start] = append(byStart[p.Start], p)
	}
	slices.Sort(starts)
	var edits []Edit
	for _, start := range starts {
		edits = append(edits, s.removeFrom(doc, start, byStart[start])...)
	}
	return edits
}

// removeFrom takes parts out of the direction at an offset.
func (s *Score) removeFrom(doc *Document, start int, parts []DirectionPart) []Edit {
	d := s.directionAt(doc, start)
	var whole []*element // direction-types of which nothing stays
	var single []*element
	types, more := 0, false
	words, pedals := 0, 0
	for t := d.first; t != nil; t = t.next {
		if t.name != "direction-type" {
			more = more || t.name == "sound" || t.name == "listening" || t.name == ""
			continue
		}
		types++
		kept := false
		var out []*element
		for c := t.first; c != nil; c = c.next {
			p := DirectionPart{Start: start, Pedals: c.name == "harp-pedals"}
			switch c.name {
			case "words":
				p.Nth = words
				words++
			case "harp-pedals":
				p.Nth = pedals
				pedals++
			default:
				kept = true
				continue
			}
			if slices.Contains(parts, p) {
				out = append(out, c)
			} else {
				kept = true
			}
		}
		if len(out) > 0 && !kept {
			whole = append(whole, t)
		} else {
			single = append(single, out...)
		}
	}
	var edits []Edit
	switch {
	case len(whole) == types && !more:
		return []Edit{doc.Replacing(d.start, d.end, "")}
	case len(whole) == types:
		// A direction without any direction-type is not valid: one stays, empty.
		name := s.Prefix + "direction-type"
		edits = append(edits, doc.Replacing(whole[0].start, whole[0].end, "<"+name+"><"+s.Prefix+"words/></"+name+">"))
		whole = whole[1:]
	}
	for _, e := range append(whole, single...) {
		edits = append(edits, doc.Replacing(e.start, e.end, ""))
	}
	return edits
}

// directionAt reads a direction of the document again; offsets in it are those
// of the text.
func (s *Score) directionAt(doc *Document, start int) *element {
	end := len(doc.Text)
	if i := bytes.Index(doc.Text[start:], []byte("</"+s.Prefix+"direction>")); i >= 0 {
		end = start + i + len("</"+s.Prefix+"direction>")
	}
	return reread(doc, start, end)
}

// reread reads an element of the document again; offsets in it are those of the
// text.
func reread(doc *Document, start, end int) *element {
	s := newScanner(doc.Text[start:end], Limits{}.WithDefaults())
	e, err := s.root()
	if err == nil {
		err = s.fill(e)
	}
	if err != nil {
		panic(err) // it has been read before
	}
	shift := func(c *element) { c.start, c.end = c.start+start, c.end+start }
	shift(e)
	e.walk(shift)
	return e
}
