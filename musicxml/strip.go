package musicxml

import (
	"bytes"
	"context"
	"encoding/base64"
	"errors"
	"math"
	"strings"
	"unicode/utf8"

	"pedalogue/musicxml/internal/xmltext"
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
func (d *Document) Stripped(ctx context.Context) (*Document, error) {
	edits, err := d.StripEdits(ctx)
	if err != nil || len(edits) == 0 {
		return d, err
	}
	exact := *d
	exact.Encoding.Newline = "lf" // what comes back has its own line ends
	raw, err := exact.Splice(ctx, edits)
	if err != nil {
		return nil, err
	}
	// The limits have been kept when the larger document was opened.
	return Open(ctx, d.Name, raw, Limits{Bytes: 1 << 40, Entries: math.MaxInt32})
}

// StripEdits returns the edits that take our changes out of a document, in its
// order; none if there are none. Line ends in New are those of the text that
// comes back: see [Document.Stripped], which keeps them as they are.
//
// What stands between our comments must be what we put there: comments that are
// out of order or damaged, or hold something else than we write, are an
// [*Error] with its line, as is a document that is not well-formed.
func (d *Document) StripEdits(ctx context.Context) ([]Edit, error) {
	if !bytes.Contains(d.Text, []byte("!--"+ownComment)) { // "<" is on every line, "!" is rare
		return nil, nil
	}
	var edits []Edit
	var open *bracket
	for t, err := range xmltext.Tokens(ctx, d.Text) {
		if err != nil {
			return nil, d.placed(err)
		}
		text, own := "", false
		if t.Kind == xmltext.Comment {
			text = string(d.Text[t.Start+len("<!--") : t.End-len("-->")])
			own = strings.HasPrefix(text, ownComment)
		}
		switch {
		case !own:
			if open != nil {
				open.take(t)
			}
		case text == endComment:
			if open == nil {
				return nil, d.damaged(t.Start, "the end of a mark has no beginning")
			}
			e, err := d.takeOut(open, t)
			if err != nil {
				return nil, err
			}
			edits = append(edits, e)
			open = nil
		case open != nil:
			return nil, d.damaged(open.start, "a mark has no end before the next one begins")
		default:
			var ok bool
			if open, ok = newBracket(text, t); !ok {
				return nil, d.damaged(t.Start, "the comment before a mark is damaged")
			}
		}
	}
	if open != nil {
		return nil, d.damaged(open.start, "a mark has no end")
	}
	return edits, nil
}

// placed gives a fault of the text its line.
func (d *Document) placed(err error) error {
	e := &Error{File: d.Name, Err: err}
	var fault *xmltext.Error
	if errors.As(err, &fault) {
		e.Err = fault.Err
		if fault.Offset >= 0 {
			e.Line = xmltext.Line(d.Text, fault.Offset)
		}
	}
	return e
}

// OwnMarks returns the places that our comments enclose, as offsets of start
// and end in pairs, in their order; nil if there are none or they are damaged.
func (d *Document) OwnMarks(ctx context.Context) [][2]int {
	edits, err := d.StripEdits(ctx)
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
	e.File, e.Line = d.Name, xmltext.Line(d.Text, at)
	return e
}

// A bracket is one of our comments that begins something.
type bracket struct {
	start, end int    // offsets of the comment
	depth      int    // how many elements are open around it
	original   string // the text that was replaced
	replaced   bool
	elements   int  // how many stand in it so far
	foreign    bool // something else than an element of a kind that we put in does
}

func newBracket(text string, t xmltext.Token) (*bracket, bool) {
	b := &bracket{start: t.Start, end: t.End, depth: t.Depth}
	if text == beginComment {
		return b, true
	}
	code, found := strings.CutPrefix(text, beginComment+" ")
	original, err := base64.StdEncoding.Strict().DecodeString(code)
	b.original, b.replaced = string(original), true
	return b, found && err == nil && utf8.Valid(original)
}

// take looks at a token between the comments.
func (b *bracket) take(t xmltext.Token) {
	switch {
	case t.Depth != b.depth:
	case t.Kind == xmltext.StartTag:
		_, name := xmltext.SplitName(t.Name)
		b.elements++
		b.foreign = b.foreign || name != "direction" && name != "accidental"
	case t.Kind != xmltext.EndTag:
		b.foreign = b.foreign || t.Kind != xmltext.CharData || !xmltext.Blank(t.Data)
	}
}

// takeOut returns the edit that undoes a bracket that the comment end closes.
func (d *Document) takeOut(b *bracket, end xmltext.Token) (Edit, error) {
	if b.replaced {
		return Edit{Start: b.start, End: end.End, New: b.original}, nil
	}
	if b.elements != 1 || b.foreign || end.Depth != b.depth {
		return Edit{}, d.damaged(b.start, "between the comments of a mark stands something else than a mark")
	}
	// What goes in on a line of its own brings a line end and indentation, which
	// stand once behind each comment.
	line, to := leadingLine(d.Text[b.end:end.Start]), end.End
	if bytes.Equal(leadingLine(d.Text[to:]), line) {
		to += len(line)
	}
	return Edit{Start: b.start, End: to}, nil
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
