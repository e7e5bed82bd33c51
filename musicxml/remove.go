package musicxml

import (
	"context"
	"slices"
	"strings"

	"pedalogue/musicxml/internal/xmltext"
)

// A DirectionPart is one text or pedal setting in a direction.
type DirectionPart struct {
	Start  int  // offset of the direction in the text, in bytes from 0
	Pedals bool // a harp-pedals element, not a words element
	Nth    int  // which of its kind in the direction, from 0
	// Keep is what stays of a text that is taken out; "" for nothing.
	Keep string
}

// Remove returns the edits that take parts out of directions. A direction that
// holds nothing else goes with them; one that holds more keeps the rest.
// [Document.StripEdits] brings everything back. Parts that are not there, as in
// another document than the one that was read, are an error, as is a context that
// has ended.
func (s *Score) Remove(ctx context.Context, doc *Document, parts []DirectionPart) ([]Edit, error) {
	return s.takeOut(ctx, doc, parts, doc.Replacing)
}

// Strike is like Remove, but for good: [Document.StripEdits] brings nothing back.
func (s *Score) Strike(ctx context.Context, doc *Document, parts []DirectionPart) ([]Edit, error) {
	return s.takeOut(ctx, doc, parts, func(start, end int, text string) Edit {
		for text == "" && start > 0 && strings.IndexByte(" \t\r\n", doc.Text[start-1]) >= 0 {
			start--
		}
		return Edit{Start: start, End: end, New: text}
	})
}

// takeOut returns the edits that take parts out of directions, each made by replace.
func (s *Score) takeOut(ctx context.Context, doc *Document, parts []DirectionPart, replace func(start, end int, text string) Edit) ([]Edit, error) {
	byStart := map[int][]DirectionPart{}
	var starts []int
	for _, p := range parts {
		if byStart[p.Start] == nil {
			starts = append(starts, p.Start)
		}
		byStart[p.Start] = append(byStart[p.Start], p)
	}
	slices.Sort(starts)
	directions, err := doc.elements(ctx, starts)
	if err != nil {
		return nil, err
	}
	var edits []Edit
	for _, start := range starts {
		edits = append(edits, s.removeFrom(doc, directions[start], byStart[start], replace)...)
	}
	return edits, nil
}

// removeFrom takes parts out of a direction.
func (s *Score) removeFrom(doc *Document, d *xmltext.Element, parts []DirectionPart, replace func(start, end int, text string) Edit) []Edit {
	var whole []*xmltext.Element // direction-types of which nothing stays
	var single []*xmltext.Element
	var edits []Edit
	types, more := 0, false
	words, pedals := 0, 0
	for t := d.First; t != nil; t = t.Next {
		if t.Name != "direction-type" {
			more = more || t.Name == "sound" || t.Name == "listening" || t.Name == ""
			continue
		}
		types++
		kept := false
		var out []*xmltext.Element
		for c := t.First; c != nil; c = c.Next {
			p := DirectionPart{Start: d.Start, Pedals: c.Name == "harp-pedals"}
			switch c.Name {
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
			i := slices.IndexFunc(parts, func(q DirectionPart) bool { q.Keep = ""; return q == p })
			switch {
			case i < 0:
				kept = true
			case parts[i].Keep != "" && c.Name == "words":
				kept = true
				text := string(doc.Text[c.Start:c.Content]) + asText.Replace(parts[i].Keep) + string(doc.Text[c.Close:c.End])
				edits = append(edits, replace(c.Start, c.End, text))
			default:
				out = append(out, c)
			}
		}
		if len(out) > 0 && !kept {
			whole = append(whole, t)
		} else {
			single = append(single, out...)
		}
	}
	switch {
	case len(whole) == types && !more:
		return []Edit{replace(d.Start, d.End, "")}
	case len(whole) == types:
		// A direction without any direction-type is not valid: one stays, empty.
		name := s.Prefix + "direction-type"
		edits = append(edits, replace(whole[0].Start, whole[0].End, "<"+name+"><"+s.Prefix+"words/></"+name+">"))
		whole = whole[1:]
	}
	for _, e := range append(whole, single...) {
		edits = append(edits, replace(e.Start, e.End, ""))
	}
	return edits
}

// asText writes characters as text between tags.
var asText = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

// elements reads elements of the document again, by the offsets at which they
// begin.
func (d *Document) elements(ctx context.Context, starts []int) (map[int]*xmltext.Element, error) {
	if len(starts) == 0 {
		return nil, nil
	}
	found, err := xmltext.Elements(ctx, d.Text, starts)
	if err != nil {
		return nil, d.placed(err)
	}
	for _, start := range starts {
		if found[start] == nil {
			return nil, placed(d.Name, fault("", "no element begins at byte %d of the text: the document is not the one that was read", start))
		}
	}
	return found, nil
}
