package musicxml

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"pedalogue/musicxml/internal/xmltext"
)

// A Strip says how our changes are taken out of a document.
type Strip struct {
	Edits   []Edit    // that take them out, in the order of the document; none if there are none
	Kept    []Warning // what stands between our comments and is not exactly what we wrote: it stays
	Options string    // what [WithOptions] put in; "" if it did not
	Places  [][2]int  // of what is exactly ours: offsets of start and end in the text, in its order
	Between [][2]int  // of our comments with all that stands between them, edited or not; the same
}

// Stripped returns the document as it was before it was marked: the same file,
// the same container, without what we put in. A document without any of that is
// returned itself. The score document then has the bytes that it had, unless white
// space next to our comments was changed since; of a zip, its entry is packed anew.
//
// What stands between our comments and is not exactly what we wrote stays, comments
// and all; each is a warning "edited-mark" of the document that is returned. The
// errors are those of [Document.Strip].
func (d *Document) Stripped(ctx context.Context) (*Document, error) { return d.stripped(ctx, true) }

// Unmarked is like [Document.Stripped], but leaves reductions in it: notes that are left
// out, and texts about what is done to others.
func (d *Document) Unmarked(ctx context.Context) (*Document, error) { return d.stripped(ctx, false) }

func (d *Document) stripped(ctx context.Context, reductions bool) (*Document, error) {
	s, err := d.strip(ctx, reductions)
	if err != nil || len(s.Edits) == 0 && len(s.Kept) == 0 {
		return d, err
	}
	exact := *d
	plain := &exact
	if len(s.Edits) > 0 {
		exact.Encoding.Newline = "lf" // what comes back has its own line ends
		raw, err := exact.Splice(ctx, s.Edits)
		if err != nil {
			return nil, err
		}
		// The limits have been kept when the larger document was opened.
		if plain, err = Open(ctx, d.Name, raw, Limits{Bytes: 1 << 40, Entries: math.MaxInt32}); err != nil {
			return nil, err
		}
	}
	plain.Warnings = slices.Concat(plain.Warnings, s.Kept)
	return plain, nil
}

// Strip finds our changes in a document. Line ends in New are those of the text
// that comes back: see [Document.Stripped], which keeps them as they are.
//
// Comments that are out of order or damaged are an [*Error] with its line, and so
// is anything between the comments of a mark but directions and accidentals, such
// as a note; so is a document that is not well-formed, and a context that has ended.
func (d *Document) Strip(ctx context.Context) (Strip, error) { return d.strip(ctx, true) }

func (d *Document) strip(ctx context.Context, reductions bool) (Strip, error) {
	if !bytes.Contains(d.Text, []byte("!--"+ownComment)) { // "<" is on every line, "!" is rare
		return Strip{}, nil
	}
	s := stripper{doc: d, index: -1}
	for t, err := range xmltext.Tokens(ctx, d.Text) {
		if err == nil {
			err = s.take(t)
		}
		if err != nil {
			return Strip{}, d.placed(err)
		}
	}
	if n := len(s.open); n > 0 {
		return Strip{}, d.damaged(s.open[n-1].start, "a mark has no end")
	}
	return s.strip(ctx, reductions)
}

// placed gives a fault of the text its line.
func (d *Document) placed(err error) error {
	var known *Error
	if errors.As(err, &known) {
		return placed(d.Name, err)
	}
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

func (d *Document) damaged(at int, format string, args ...any) error {
	e := fault("go back to a copy without marks, or take the comments \"pedalogue:\" out by hand with what they enclose", format, args...)
	e.File, e.Line = d.Name, xmltext.Line(d.Text, at)
	return e
}

// A bracket is one of our pairs of comments and what stands between them.
type bracket struct {
	opening
	start, content int // offsets of the first comment and after it
	close, end     int // offsets of the second comment and after it
	depth          int // how many elements are open around it
	nodes          []node
	total          summer // of all of it
	at             place
}

// A node is an element, comment, instruction or text directly in a bracket; text
// that is blank is none.
type node struct {
	kind       xmltext.Kind // StartTag for an element
	name       string       // local name of an element
	start, end int
	sum        summer
	text       []string // what it says, as far as a message has room
	inside     string   // local name of the element that began last
}

// A stripper reads a document for our comments.
type stripper struct {
	doc      *Document
	open     []*bracket // one around another: only what was edited holds others
	brackets []*bracket // in the order of their ends

	part, measure string // where it stands
	index         int    // of the measure; -1 before the first
	timewise      bool
}

// take looks at the next token.
func (s *stripper) take(t xmltext.Token) error {
	s.follow(t)
	text, own := "", false
	if t.Kind == xmltext.Comment {
		text = string(s.doc.Text[t.Start+len("<!--") : t.End-len("-->")])
		own = strings.HasPrefix(text, ownComment)
	}
	if own && text == endComment {
		n := len(s.open)
		if n == 0 {
			return s.doc.damaged(t.Start, "the end of a mark has no beginning")
		}
		b := s.open[n-1]
		if b.depth != t.Depth {
			return s.doc.damaged(b.start, "between the comments of a mark stands something else than a mark")
		}
		b.close, b.end = t.Start, t.End
		s.open, s.brackets = s.open[:n-1], append(s.brackets, b)
	}
	for _, b := range s.open {
		b.take(t, s.doc.Text)
	}
	if own && text != endComment {
		rest, begins := strings.CutPrefix(text, beginComment)
		o, ok := parseOpening(rest)
		if !begins || !ok {
			return s.doc.damaged(t.Start, "the comment before a mark is damaged")
		}
		s.open = append(s.open, &bracket{opening: o, start: t.Start, content: t.End, depth: t.Depth, at: place{s.part, s.measure, s.index}})
	}
	return nil
}

// follow keeps where in the score a token stands.
func (s *stripper) follow(t xmltext.Token) {
	if t.Kind != xmltext.StartTag || t.Depth > 2 {
		return
	}
	_, name := xmltext.SplitName(t.Name)
	switch {
	case t.Depth == 0:
		s.timewise = name == "score-timewise"
	case name == "part":
		s.part = xmltext.Attr(t.Attrs, "id")
		if !s.timewise {
			s.index, s.measure = -1, ""
		}
	case name == "measure":
		s.index, s.measure = s.index+1, xmltext.Attr(t.Attrs, "number")
	}
}

// take adds a token to what stands in a bracket.
func (b *bracket) take(t xmltext.Token, raw []byte) {
	b.total.take(t, raw)
	inside := len(b.nodes) > 0 && b.nodes[len(b.nodes)-1].end == 0
	switch {
	case inside:
	case t.Kind == xmltext.CharData && xmltext.Blank(t.Data):
		return
	default:
		_, name := xmltext.SplitName(t.Name)
		b.nodes = append(b.nodes, node{kind: t.Kind, name: name, start: t.Start})
	}
	n := &b.nodes[len(b.nodes)-1]
	n.sum.take(t, raw)
	if t.Kind == xmltext.StartTag {
		_, n.inside = xmltext.SplitName(t.Name)
	}
	// Where it stands is said by the warning's place.
	if t.Kind == xmltext.CharData && !xmltext.Blank(t.Data) && len(n.text) < 20 && n.inside != "staff" && n.inside != "offset" {
		n.text = append(n.text, fold(t.Data))
	}
	if n.kind != xmltext.StartTag || t.Kind == xmltext.EndTag && t.Depth == b.depth {
		n.end = t.End
	}
}

// strip decides what becomes of each bracket.
func (s *stripper) strip(ctx context.Context, reductions bool) (Strip, error) {
	slices.SortFunc(s.brackets, func(a, b *bracket) int { return a.start - b.start })
	elements, err := s.firstVersions(ctx)
	if err != nil {
		return Strip{}, s.doc.placed(err)
	}
	var out Strip
	end, stays := 0, ""
	for _, b := range s.brackets {
		if n := len(out.Between); n == 0 || out.Between[n-1][1] <= b.start {
			out.Between = append(out.Between, [2]int{b.start, b.end})
		}
		if b.start < end {
			continue // it goes with the one around it
		}
		if b.reduction && !reductions {
			end = b.end
			continue
		}
		ours := func(n *node) bool {
			if b.first {
				return isFirstVersion(elements[n.start])
			}
			return n.kind == xmltext.StartTag && n.sum.done() == b.sum
		}
		e, place, foreign, err := s.doc.takeOut(b, ours)
		if err != nil {
			return Strip{}, err
		}
		if e != nil {
			out.Options = cmp.Or(out.Options, b.options)
			out.Edits = append(out.Edits, *e)
			end = e.End
		} else {
			stays = cmp.Or(stays, b.options)
		}
		if place != nil {
			out.Places = append(out.Places, *place)
		}
		if len(foreign) > 0 {
			out.Kept = append(out.Kept, s.doc.kept(b, foreign))
		}
	}
	out.Options = cmp.Or(out.Options, stays) // what was edited may be of an earlier run
	return out, nil
}

// takeOut returns the edit that undoes a bracket, nil if all of it stays; the place
// of what is exactly ours, nil if nothing is; and what is foreign in it.
func (d *Document) takeOut(b *bracket, ours func(*node) bool) (e *Edit, place *[2]int, foreign []*node, err error) {
	mine := -1
	for i := range b.nodes {
		n := &b.nodes[i]
		if mine < 0 && !b.replaced && ours(n) {
			mine = i
			continue
		}
		foreign = append(foreign, n)
	}
	if b.replaced {
		if !b.asReplaced(ours) {
			return nil, nil, foreign, nil
		}
		return &Edit{Start: b.start, End: b.end, New: b.was}, &[2]int{b.start, b.end}, nil, nil
	}
	for _, n := range foreign {
		if n.kind == xmltext.CharData || n.kind == xmltext.StartTag && n.name != "direction" && n.name != "accidental" {
			return nil, nil, nil, d.damaged(b.start, "between the comments of a mark stands something else than a mark")
		}
	}
	if mine < 0 && len(foreign) > 0 {
		return nil, nil, foreign, nil
	}
	// What goes in on a line of its own brings a line end and indentation, which
	// stand once behind each comment.
	to := b.end
	line := leadingLine(d.Text[b.content:b.close])
	if len(foreign) == 0 {
		if bytes.Equal(leadingLine(d.Text[to:]), line) {
			to += len(line)
		}
		return &Edit{Start: b.start, End: to}, &[2]int{b.start, to}, nil, nil
	}
	n := &b.nodes[mine]
	rest := strings.TrimRight(string(d.Text[b.content:n.start]), " \t\r\n") + string(d.Text[n.end:b.close])
	return &Edit{Start: b.start, End: b.end, New: strings.Trim(rest, " \t\r\n")}, &[2]int{n.start, n.end}, foreign, nil
}

// asReplaced reports whether what stands in a bracket is what we put in the place
// of another text.
func (b *bracket) asReplaced(ours func(*node) bool) bool {
	switch {
	case len(b.nodes) == 0:
		return true // nothing is there that could stay
	case !b.first:
		return b.total.done() == b.sum
	}
	return len(b.nodes) == 1 && ours(&b.nodes[0])
}

// kept is the warning for what stays in a bracket.
func (d *Document) kept(b *bracket, foreign []*node) Warning {
	var words []string
	for _, n := range foreign {
		words = append(words, n.text...)
	}
	text := strings.Join(words, " ")
	if text == "" {
		text = string(d.Text[foreign[0].start:foreign[0].end])
	}
	return Warning{Code: "edited-mark", Part: b.at.part, Measure: b.at.measure, Index: b.at.index, Line: xmltext.Line(d.Text, foreign[0].start),
		Text: fmt.Sprintf("a mark was edited, or something was put beside it: what was not written by this program stays (%q)", xmltext.Shortened([]any{text})...)}
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
