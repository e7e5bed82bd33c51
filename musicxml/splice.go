package musicxml

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// An Edit replaces Text[Start:End] of a [Document] by New; with Start == End it
// is an insertion.
type Edit struct {
	Start, End int    // byte offsets into Document.Text, from 0
	New        string // UTF-8, with "\n" for a line end: Splice writes the document's own
}

// Splice returns the bytes of the file with the edits made. Every byte of the
// score document outside the edits is the original's, and what is put in has
// its encoding and its line ends; a character that the encoding lacks becomes a
// decimal character reference, so New may hold such characters only where a
// reference can stand. In a zip only the score's entry is packed anew: see
// [Container].
//
// The edits may come in any order. Insertions at one offset keep their order,
// and stand before what replaces the text from there. Edits that overlap, lie
// outside the text or cut a character in two are an error, as is a context that
// has ended. Without edits Splice returns Raw itself.
func (d *Document) Splice(ctx context.Context, edits []Edit) ([]byte, error) {
	if len(edits) == 0 {
		return d.Raw, nil
	}
	doc, err := d.SpliceDocument(ctx, edits)
	if err != nil || d.Container == nil {
		return doc, err
	}
	raw, err := d.Container.archive.Replace(ctx, d.Container.score, doc)
	if err != nil {
		return nil, placed(d.Name, err)
	}
	return raw, nil
}

// SpliceDocument is like [Document.Splice], but returns the bytes of the score
// document alone, as a zip would hold them before packing.
func (d *Document) SpliceDocument(ctx context.Context, edits []Edit) ([]byte, error) {
	if len(edits) == 0 {
		return d.Source, nil
	}
	edits = slices.Clone(edits)
	slices.SortStableFunc(edits, func(a, b Edit) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.End, b.End))
	})
	room := len(d.Source)
	last := 0
	for _, e := range edits {
		if err := d.checkEdit(e, last); err != nil {
			return nil, placed(d.Name, err)
		}
		last = e.End
		room += 2 * len(e.New)
	}

	out := make([]byte, 0, room)
	newline := d.NewlineText()
	text, source := 0, d.bom // one place, in Text and in Source
	advance := func(to int) int {
		source += d.codec.sourceLen(d.Text[text:to])
		text = to
		return source
	}
	kept := 0 // Source up to here is in out, or replaced
	for i, e := range edits {
		if i%256 == 0 && ctx.Err() != nil {
			return nil, placed(d.Name, ctx.Err())
		}
		out = append(out, d.Source[kept:advance(e.Start)]...)
		out = d.codec.appendText(out, withNewlines(e.New, newline))
		kept = advance(e.End)
	}
	return append(out, d.Source[kept:]...), nil
}

// checkEdit checks an edit against the text and the end of the edit before it.
func (d *Document) checkEdit(e Edit, last int) error {
	switch {
	case e.Start < 0 || e.End < e.Start || e.End > len(d.Text):
		return fmt.Errorf("edit [%d:%d] lies outside the text of %d bytes", e.Start, e.End, len(d.Text))
	case e.Start < last:
		return fmt.Errorf("edit [%d:%d] overlaps another that ends at %d", e.Start, e.End, last)
	case !d.isBoundary(e.Start) || !d.isBoundary(e.End):
		return fmt.Errorf("edit [%d:%d] cuts a character in two", e.Start, e.End)
	case !utf8.ValidString(e.New):
		return fmt.Errorf("edit [%d:%d] puts in text that is not UTF-8", e.Start, e.End)
	}
	return nil
}

func (d *Document) isBoundary(offset int) bool {
	return offset == len(d.Text) || utf8.RuneStart(d.Text[offset])
}

// withNewlines writes the line ends of s as newline. A "\n" that ends a "\r\n"
// already is left alone.
func withNewlines(s, newline string) string {
	if newline == "\n" || !strings.Contains(s, "\n") {
		return s
	}
	var b strings.Builder
	for i := range len(s) {
		if s[i] == '\n' && (i == 0 || s[i-1] != '\r') {
			b.WriteString(newline)
			continue
		}
		b.WriteByte(s[i])
	}
	return b.String()
}
