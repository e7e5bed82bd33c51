package musicxml

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
)

// An attribute is one attribute of an element; the names of other namespaces
// keep their prefix.
type attribute struct{ name, value string }

// An element is a small tree of the document: a note, a direction. It belongs
// to the scanner that made it and lives until the scanner makes the next one.
type element struct {
	name  string // local name; "" for an element of another namespace
	attrs []attribute
	text  string // the character data directly in it
	first *element
	next  *element
	start int // offset of its start tag
	end   int // offset after its end tag
}

// attr returns the value of an attribute, "" if it has none.
func (e *element) attr(name string) string {
	for i := range e.attrs {
		if e.attrs[i].name == name {
			return e.attrs[i].value
		}
	}
	return ""
}

// child returns the first child of that name, nil if there is none.
func (e *element) child(name string) *element {
	for c := e.first; c != nil; c = c.next {
		if c.name == name {
			return c
		}
	}
	return nil
}

// has reports whether e has a child of that name.
func (e *element) has(name string) bool { return e.child(name) != nil }

// childText returns the text of the first child of that name, without the white
// space around it; "" if there is none.
func (e *element) childText(name string) string {
	if c := e.child(name); c != nil {
		return c.trimmed()
	}
	return ""
}

// trimmed returns the element's text without the white space around it.
func (e *element) trimmed() string { return strings.Trim(e.text, " \t\r\n") }

// walk calls f for each element below e, in document order.
func (e *element) walk(f func(*element)) {
	for c := e.first; c != nil; c = c.next {
		f(c)
		c.walk(f)
	}
}

// A scanner reads a document tag by tag. It checks that the document is well
// formed and remembers where everything stands.
type scanner struct {
	text    []byte
	decoder *xml.Decoder
	limits  Limits

	open   []openElement // the elements that are open
	spaces []binding     // namespace declarations in force
	space  string        // the root's namespace

	slab []element // elements of the tree in the making
	used int
}

type openElement struct {
	name  xml.Name // as written: prefix and local name
	space int      // how many bindings were in force outside it
}

// A binding gives a prefix its namespace; the prefix "" is the default one.
type binding struct{ prefix, space string }

func newScanner(text []byte, limits Limits) *scanner {
	s := &scanner{text: text, limits: limits}
	s.decoder = xml.NewDecoder(bytes.NewReader(text))
	// The text is UTF-8 already, whatever its declaration says.
	s.decoder.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }
	return s
}

// offset is the place in the text up to which the document has been read.
func (s *scanner) offset() int { return int(s.decoder.InputOffset()) }

// line returns the line of an offset, from 1. Line ends are LF, CRLF or a lone CR.
func lineAt(text []byte, offset int) int {
	before := text[:min(offset, len(text))]
	lf := bytes.Count(before, []byte{'\n'})
	cr := bytes.Count(before, []byte{'\r'})
	if cr == 0 {
		return 1 + lf
	}
	return 1 + lf + cr - bytes.Count(before, []byte("\r\n"))
}

// A scanError is a fault of the XML at an offset of the text.
type scanError struct {
	offset int
	err    error
	hint   string
}

func (e *scanError) Error() string { return e.err.Error() }
func (e *scanError) Unwrap() error { return e.err }

func (s *scanner) fault(format string, args ...any) error {
	return &scanError{offset: s.offset(), err: fmt.Errorf(format, args...)}
}

// token returns the next token as it stands in the document, checked for
// nesting. At the end of the document it returns io.EOF.
func (s *scanner) token() (xml.Token, error) {
	for {
		t, err := s.decoder.RawToken()
		if err != nil {
			return nil, s.tokenError(err)
		}
		switch t := t.(type) {
		case xml.StartElement:
			if err := s.push(t); err != nil {
				return nil, err
			}
			return t, nil
		case xml.EndElement:
			if err := s.pop(t); err != nil {
				return nil, err
			}
			return t, nil
		case xml.CharData:
			if len(s.open) == 0 && len(bytes.TrimLeft(t, " \t\r\n\ufeff")) > 0 {
				return nil, s.fault("there is text outside the root element")
			}
			return t, nil
		case xml.Directive:
			s.declareEntities(t)
		}
	}
}

func (s *scanner) tokenError(err error) error {
	var syntax *xml.SyntaxError
	switch {
	case errors.Is(err, io.EOF):
		if len(s.open) > 0 {
			return s.fault("the file ends inside <%s>: it is cut short", s.open[len(s.open)-1].name.Local)
		}
		return io.EOF
	case errors.As(err, &syntax):
		if syntax.Msg == "unexpected EOF" {
			return s.fault("the file ends in the middle of a tag or text: it is cut short")
		}
		return s.fault("not well-formed XML: %s", syntax.Msg)
	}
	return s.fault("not well-formed XML: %w", err)
}

func (s *scanner) push(t xml.StartElement) error {
	if len(s.open) >= s.limits.Depth {
		e := &scanError{offset: s.offset(), err: fmt.Errorf("elements are nested more than %d deep", s.limits.Depth)}
		e.hint = "--max-depth raises the limit"
		return e
	}
	s.open = append(s.open, openElement{t.Name, len(s.spaces)})
	for _, a := range t.Attr {
		switch {
		case a.Name.Space == "xmlns":
			s.spaces = append(s.spaces, binding{a.Name.Local, a.Value})
		case a.Name.Space == "" && a.Name.Local == "xmlns":
			s.spaces = append(s.spaces, binding{"", a.Value})
		}
	}
	return nil
}

func (s *scanner) pop(t xml.EndElement) error {
	if len(s.open) == 0 {
		return s.fault("</%s> closes nothing", qualified(t.Name))
	}
	last := s.open[len(s.open)-1]
	if last.name != t.Name {
		return s.fault("<%s> is closed by </%s>", qualified(last.name), qualified(t.Name))
	}
	s.open = s.open[:len(s.open)-1]
	s.spaces = s.spaces[:last.space]
	return nil
}

func qualified(n xml.Name) string {
	if n.Space == "" {
		return n.Local
	}
	return n.Space + ":" + n.Local
}

// namespace returns the namespace of a prefix, "" if none is declared.
func (s *scanner) namespace(prefix string) string {
	for i := len(s.spaces) - 1; i >= 0; i-- {
		if s.spaces[i].prefix == prefix {
			return s.spaces[i].space
		}
	}
	return ""
}

// localName returns the local name of an element of the root's namespace, ""
// for one of another namespace.
func (s *scanner) localName(n xml.Name) string {
	if len(s.spaces) == 0 && n.Space == "" {
		return n.Local
	}
	space := s.namespace(n.Space)
	if space == "" && n.Space != "" {
		space = n.Space // undeclared: only the same prefix can be the same namespace
	}
	if space != s.space {
		return ""
	}
	return n.Local
}

// declareEntities lets the document use the short, plain entities that its
// DOCTYPE declares. An entity that refers to another one is not declared, so
// that entities cannot multiply; its use is then an error.
func (s *scanner) declareEntities(d xml.Directive) {
	const most, longest = 64, 256
	rest := string(d)
	for {
		_, after, found := strings.Cut(rest, "<!ENTITY")
		if !found || len(s.decoder.Entity) >= most {
			return
		}
		rest = after
		name, after, found := strings.Cut(strings.TrimLeft(after, " \t\r\n"), " ")
		after = strings.TrimLeft(after, " \t\r\n")
		if !found || after == "" || after[0] != '"' && after[0] != '\'' {
			continue
		}
		value, _, found := strings.Cut(after[1:], after[:1])
		if !found || len(value) > longest || strings.ContainsAny(value, "&<%") {
			continue
		}
		if s.decoder.Entity == nil {
			s.decoder.Entity = map[string]string{}
		}
		if _, twice := s.decoder.Entity[name]; !twice {
			s.decoder.Entity[name] = value
		}
	}
}

// root reads up to the start tag of the root element and fixes its namespace.
func (s *scanner) root() (*element, error) {
	for {
		at := s.offset()
		t, err := s.token()
		if errors.Is(err, io.EOF) {
			return nil, s.fault("there is no element in it: this is not MusicXML")
		}
		if err != nil {
			return nil, err
		}
		if start, ok := t.(xml.StartElement); ok {
			s.space = s.namespace(start.Name.Space)
			if s.space == "" {
				s.space = start.Name.Space
			}
			return s.newElement(start, at), nil
		}
	}
}

// next returns the next child of the innermost open element: its start tag
// only, for the caller to read on, or nil after its end tag.
func (s *scanner) next() (*element, error) {
	s.used = 0
	for {
		at := s.offset()
		t, err := s.token()
		if err != nil {
			return nil, err
		}
		switch t := t.(type) {
		case xml.StartElement:
			return s.newElement(t, at), nil
		case xml.EndElement:
			return nil, nil
		}
	}
}

// fill reads the rest of an element into its tree.
func (s *scanner) fill(e *element) error {
	last := &e.first
	for {
		at := s.offset()
		t, err := s.token()
		if err != nil {
			return err
		}
		switch t := t.(type) {
		case xml.StartElement:
			c := s.newElement(t, at)
			if err := s.fill(c); err != nil {
				return err
			}
			*last = c
			last = &c.next
		case xml.CharData:
			if e.first == nil && e.text == "" && !blank(t) {
				e.text = string(t)
			} else if e.text != "" {
				e.text += string(t)
			}
		case xml.EndElement:
			e.end = s.offset()
			return nil
		}
	}
}

// skip reads the rest of an element and forgets it.
func (s *scanner) skip(e *element) error {
	for depth := 1; depth > 0; {
		t, err := s.token()
		if err != nil {
			return err
		}
		switch t.(type) {
		case xml.StartElement:
			depth++
		case xml.EndElement:
			depth--
		}
	}
	e.end = s.offset()
	return nil
}

// finish checks that nothing follows the root element but comments, processing
// instructions and white space.
func (s *scanner) finish() error {
	for {
		t, err := s.token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if start, ok := t.(xml.StartElement); ok {
			return s.fault("<%s> follows the end of the score", qualified(start.Name))
		}
	}
}

func (s *scanner) newElement(t xml.StartElement, at int) *element {
	if s.used == len(s.slab) {
		// The old slab stays alive as long as the tree that uses it.
		s.slab, s.used = make([]element, max(64, 2*len(s.slab))), 0
	}
	e := &s.slab[s.used]
	s.used++
	*e = element{name: s.localName(t.Name), start: at, attrs: e.attrs[:0]}
	for _, a := range t.Attr {
		e.attrs = append(e.attrs, attribute{qualified(a.Name), a.Value})
	}
	return e
}

func blank(b []byte) bool { return len(bytes.TrimLeft(b, " \t\r\n")) == 0 }
