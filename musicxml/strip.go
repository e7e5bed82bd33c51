package musicxml

import (
	"bytes"
	"encoding/base64"
	"iter"
	"math"
	"strings"
	"unicode/utf8"
)

// What stands in the comments around our changes. In front of text that takes
// the place of other text, the comment holds that text in base64.
const (
	ownComment   = "pedalogue:"
	beginComment = ownComment + "begin"
	endComment   = ownComment + "end"
)

// Replacing returns the edit that puts a text in the place of Text[start:end]
// so that [Document.StripEdits] brings the old text back. The text may be "".
func (d *Document) Replacing(start, end int, text string) Edit {
	original := base64.StdEncoding.EncodeToString(d.Text[start:end])
	return Edit{Start: start, End: end, New: "<!--" + beginComment + " " + original + "-->" + text + closeMark}
}

// Stripped returns the document as it was before it was marked: the same file,
// the same container, without what stands between our comments. A document
// without any is returned itself. The score document then has the bytes that it
// had, unless white space next to our comments was changed since; of a zip, its
// entry is packed anew.
func (d *Document) Stripped() (*Document, error) {
	edits, err := d.StripEdits()
	if err != nil || len(edits) == 0 {
		return d, err
	}
	exact := *d
	exact.Encoding.Newline = "lf" // what comes back has its own line ends
	raw, err := exact.Splice(edits)
	if err != nil {
		return nil, err
	}
	// The limits have been kept when the larger document was opened.
	return Open(d.Name, raw, Limits{Bytes: 1 << 40, Entries: math.MaxInt32})
}

// StripEdits returns the edits that take our changes out of a document, in its
// order; none if there are none. Line ends in New are those of the text that
// comes back: see [Document.Stripped], which keeps them as they are.
//
// What stands between our comments must be what we put there: comments that are
// out of order or damaged, or hold something else than we write, are an
// [*Error] with its line.
func (d *Document) StripEdits() ([]Edit, error) {
	if !bytes.Contains(d.Text, []byte("!--"+ownComment)) { // "<" is on every line, "!" is rare
		return nil, nil
	}
	var edits []Edit
	var open *bracket
	for start, end := range comments(d.Text) {
		text := string(d.Text[start+len("<!--") : max(end-len("-->"), start+len("<!--"))])
		if !strings.HasPrefix(text, ownComment) {
			continue
		}
		switch {
		case text == endComment:
			if open == nil {
				return nil, d.damaged(start, "the end of a mark has no beginning")
			}
			e, err := d.takeOut(open, start, end)
			if err != nil {
				return nil, err
			}
			edits = append(edits, e)
			open = nil
		case open != nil:
			return nil, d.damaged(open.start, "a mark has no end before the next one begins")
		default:
			var ok bool
			if open, ok = newBracket(text, start, end); !ok {
				return nil, d.damaged(start, "the comment before a mark is damaged")
			}
		}
	}
	if open != nil {
		return nil, d.damaged(open.start, "a mark has no end")
	}
	return edits, nil
}

// OwnMarks returns the places that our comments enclose, as offsets of start
// and end in pairs, in their order; nil if there are none or they are damaged.
func (d *Document) OwnMarks() [][2]int {
	edits, err := d.StripEdits()
	if err != nil {
		return nil
	}
	var places [][2]int
	for _, e := range edits {
		places = append(places, [2]int{e.Start, e.End})
	}
	return places
}

func (d *Document) damaged(at int, format string, args ...any) error {
	e := fault("go back to a copy without marks, or take the comments \"pedalogue:\" out by hand with what they enclose", format, args...)
	e.File, e.Line = d.Name, lineAt(d.Text, at)
	return e
}

// A bracket is one of our comments that begins something.
type bracket struct {
	start, end int    // offsets of the comment
	original   string // the text that was replaced
	replaced   bool
}

func newBracket(text string, start, end int) (*bracket, bool) {
	b := &bracket{start: start, end: end}
	if text == beginComment {
		return b, true
	}
	code, found := strings.CutPrefix(text, beginComment+" ")
	original, err := base64.StdEncoding.Strict().DecodeString(code)
	b.original, b.replaced = string(original), true
	return b, found && err == nil && utf8.Valid(original)
}

// takeOut returns the edit that undoes a bracket whose closing comment stands at
// start to end.
func (d *Document) takeOut(b *bracket, start, end int) (Edit, error) {
	if b.replaced {
		return Edit{Start: b.start, End: end, New: b.original}, nil
	}
	inner := d.Text[b.end:start]
	if !isOwnElement(bytes.Trim(inner, " \t\r\n")) {
		return Edit{}, d.damaged(b.start, "between the comments of a mark stands something else than a mark")
	}
	// What goes in on a line of its own brings a line end and indentation, which
	// stand once behind each comment.
	if line := leadingLine(inner); bytes.Equal(leadingLine(d.Text[end:]), line) {
		end += len(line)
	}
	return Edit{Start: b.start, End: end}, nil
}

// isOwnElement reports whether the text is one element of a kind that we put in.
func isOwnElement(text []byte) bool {
	s := newScanner(text, Limits{}.WithDefaults())
	e, err := s.root()
	if err != nil || e.start != 0 {
		return false
	}
	name := e.name
	if err := s.fill(e); err != nil {
		return false
	}
	return (name == "direction" || name == "accidental") && e.end == len(text)
}

// leadingLine returns the line end at the start of a text and the indentation
// after it; nothing where there is no line end.
func leadingLine(text []byte) []byte {
	n := 0
	switch {
	case bytes.HasPrefix(text, []byte("\r\n")):
		n = 2
	case bytes.HasPrefix(text, []byte("\n")), bytes.HasPrefix(text, []byte("\r")):
		n = 1
	default:
		return nil
	}
	for n < len(text) && (text[n] == ' ' || text[n] == '\t') {
		n++
	}
	return text[:n]
}

// comments yields the start and end of every comment in a document, but not of
// what only looks like one in a CDATA section, a processing instruction or an
// attribute.
func comments(text []byte) iter.Seq2[int, int] {
	return func(yield func(start, end int) bool) {
		for at := 0; at < len(text); {
			next := bytes.IndexByte(text[at:], '<')
			if next < 0 {
				return
			}
			at += next
			end := markupEnd(text, at)
			if bytes.HasPrefix(text[at:], []byte("<!--")) && !yield(at, end) {
				return
			}
			at = end
		}
	}
}

// markupEnd returns the offset after the markup that begins at an offset.
func markupEnd(text []byte, at int) int {
	rest := text[at:]
	for _, form := range []struct{ open, close string }{{"<!--", "-->"}, {"<![CDATA[", "]]>"}, {"<?", "?>"}} {
		if bytes.HasPrefix(rest, []byte(form.open)) {
			if i := bytes.Index(rest[len(form.open):], []byte(form.close)); i >= 0 {
				return at + len(form.open) + i + len(form.close)
			}
			return len(text)
		}
	}
	if bytes.HasPrefix(rest, []byte("<!")) {
		if end := directiveEnd(text, at+len("<!"), func(_, _ int) {}); end >= 0 {
			return end
		}
		return len(text)
	}
	for i := 1; i < len(rest); i++ {
		switch c := rest[i]; {
		case c == '"' || c == '\'':
			n := bytes.IndexByte(rest[i+1:], c)
			if n < 0 {
				return len(text)
			}
			i += n + 1
		case c == '>':
			return at + i + 1
		}
	}
	return len(text)
}
