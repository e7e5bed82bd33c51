package musicxml

import (
	"cmp"
	"slices"
	"strings"
)

// Compose returns the edits that do to the document what first does, and then
// second to the document that comes of it. What first puts in must be of characters
// that the encoding has. Both must be good edits, as for [Document.Splice].
func (d *Document) Compose(first, second []Edit) []Edit {
	text := pieces{{end: len(d.Text)}}
	for _, edits := range [][]Edit{first, second} {
		edits = slices.Clone(edits)
		slices.SortStableFunc(edits, func(a, b Edit) int {
			return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.End, b.End))
		})
		text = text.edited(edits, d.NewlineText())
	}
	return text.edits(len(d.Text))
}

// A piece of an edited text is a piece of the original, or what was put in.
type piece struct {
	start, end int    // in the original; both 0 for what was put in
	text       string // that was put in
}

func (p piece) len() int { return p.end - p.start + len(p.text) }

// cut parts a piece at an offset in it.
func (p piece) cut(at int) (before, after piece) {
	if p.text != "" {
		return piece{text: p.text[:at]}, piece{text: p.text[at:]}
	}
	return piece{start: p.start, end: p.start + at}, piece{start: p.start + at, end: p.end}
}

// Pieces are a text, one piece behind the other.
type pieces []piece

// edited makes edits of the text, which are in order.
func (text pieces) edited(edits []Edit, newline string) pieces {
	var out pieces
	at := 0 // the offset at which text begins
	take := func(to int, keep bool) {
		for at < to {
			p := text[0]
			if at+p.len() > to {
				p, text[0] = p.cut(to - at)
			} else {
				text = text[1:]
			}
			if at += p.len(); keep {
				out = append(out, p)
			}
		}
	}
	for _, e := range edits {
		take(e.Start, true)
		if e.New != "" {
			out = append(out, piece{text: withNewlines(e.New, newline)})
		}
		take(e.End, false)
	}
	return append(out, text...)
}

// edits are what makes the text of the original, which is so long.
func (text pieces) edits(long int) []Edit {
	var list []Edit
	var put strings.Builder
	last := 0 // up to here the original is told
	for _, p := range text {
		if p.text != "" {
			put.WriteString(p.text)
			continue
		}
		if p.start > last || put.Len() > 0 {
			list = append(list, Edit{Start: last, End: p.start, New: put.String()})
			put.Reset()
		}
		last = p.end
	}
	if put.Len() > 0 || last < long {
		list = append(list, Edit{Start: last, End: long, New: put.String()})
	}
	return list
}
