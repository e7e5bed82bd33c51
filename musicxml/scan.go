package musicxml

import (
	"bytes"
	"strings"
	"unsafe"
)

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

// A scanner reads a document tag by tag into small trees, and remembers where
// everything stands. What is well formed is the lexer's business; the scanner
// knows namespaces.
type scanner struct {
	lex    lexer
	spaces []binding // namespace declarations in force
	space  string    // the root's namespace

	elements []element   // of the tree in the making
	attrs    []attribute // of its elements
}

// A binding gives a prefix its namespace; the prefix "" is the default one.
type binding struct {
	prefix, space string
	depth         int // of the element that declares it, from 1
}

func newScanner(text []byte, limits Limits) *scanner {
	// The text of a Document never changes, so it can be read as a string without
	// a copy, which would cost its size again for as long as any name or value
	// that is a piece of it lives.
	shared := unsafe.String(unsafe.SliceData(text), len(text))
	return &scanner{lex: lexer{text: shared, depth: limits.Depth}}
}

// offset is the place in the text up to which the document has been read.
func (s *scanner) offset() int { return s.lex.pos }

// lineAt returns the line of an offset, from 1. Line ends are LF, CRLF or a lone CR.
func lineAt(text []byte, offset int) int {
	before := text[:min(offset, len(text))]
	lf := bytes.Count(before, []byte{'\n'})
	cr := bytes.Count(before, []byte{'\r'})
	if cr == 0 {
		return 1 + lf
	}
	return 1 + lf + cr - bytes.Count(before, []byte("\r\n"))
}

// A scanError is a fault at an offset of the text.
type scanError struct {
	offset int // -1 where it has no place
	err    error
	hint   string
}

func (e *scanError) Error() string { return e.err.Error() }
func (e *scanError) Unwrap() error { return e.err }

// token reads the next token and keeps the namespaces that are in force.
func (s *scanner) token() (tokenKind, error) {
	kind, err := s.lex.next()
	if err != nil {
		return 0, err
	}
	depth := len(s.lex.open)
	switch kind {
	case startTag:
		for _, a := range s.lex.attrs {
			if prefix, local := splitName(a.name); prefix == "xmlns" {
				s.spaces = append(s.spaces, binding{local, a.value, depth})
			} else if a.name == "xmlns" {
				s.spaces = append(s.spaces, binding{"", a.value, depth})
			}
		}
	case endTag:
		for len(s.spaces) > 0 && s.spaces[len(s.spaces)-1].depth > depth {
			s.spaces = s.spaces[:len(s.spaces)-1]
		}
	}
	return kind, nil
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
func (s *scanner) localName(name string) string {
	if len(s.spaces) == 0 && s.space == "" && strings.IndexByte(name, ':') < 0 {
		return name
	}
	prefix, local := splitName(name)
	space := s.namespace(prefix)
	if space == "" && prefix != "" {
		space = prefix // undeclared: only the same prefix can be the same namespace
	}
	if space != s.space {
		return ""
	}
	return local
}

// root reads up to the start tag of the root element and fixes its namespace.
func (s *scanner) root() (*element, error) {
	for {
		kind, err := s.token()
		switch {
		case err != nil:
			return nil, err
		case kind == endOfText:
			return nil, s.lex.fault(s.offset(), "there is no element in it: this is not MusicXML")
		case kind == startTag:
			prefix, _ := splitName(s.lex.name)
			if s.space = s.namespace(prefix); s.space == "" {
				s.space = prefix
			}
			return s.newElement(), nil
		}
	}
}

// next returns the next child of the innermost open element: its start tag
// only, for the caller to read on, or nil after its end tag. The trees made
// before are gone.
func (s *scanner) next() (*element, error) {
	s.elements, s.attrs = s.elements[:0], s.attrs[:0]
	for {
		kind, err := s.token()
		switch {
		case err != nil:
			return nil, err
		case kind == startTag:
			return s.newElement(), nil
		case kind == endTag:
			return nil, nil
		}
	}
}

// fill reads the rest of an element into its tree.
func (s *scanner) fill(e *element) error {
	last := &e.first
	var more strings.Builder // text after the first piece
	for {
		kind, err := s.token()
		if err != nil {
			return err
		}
		switch kind {
		case startTag:
			c := s.newElement()
			if err := s.fill(c); err != nil {
				return err
			}
			*last = c
			last = &c.next
		case charData:
			switch {
			case e.text != "":
				more.WriteString(s.lex.data)
			case e.first == nil && !blank(s.lex.data):
				e.text = s.lex.data
			}
		case endTag:
			e.end = s.offset()
			if more.Len() > 0 {
				e.text += more.String()
			}
			return nil
		}
	}
}

// skip reads the rest of an element and forgets it.
func (s *scanner) skip(e *element) error {
	for depth := 1; depth > 0; {
		kind, err := s.token()
		if err != nil {
			return err
		}
		switch kind {
		case startTag:
			depth++
		case endTag:
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
		if kind, err := s.token(); err != nil || kind == endOfText {
			return err
		}
	}
}

// newElement makes an element of the start tag that has been read. Where there
// is no room the trees in the making keep the old slices alive.
func (s *scanner) newElement() *element {
	if len(s.elements) == cap(s.elements) {
		s.elements = make([]element, 0, max(64, 2*cap(s.elements)))
	}
	from := len(s.attrs)
	s.attrs = append(s.attrs, s.lex.attrs...)
	s.elements = append(s.elements, element{
		name: s.localName(s.lex.name), start: s.lex.start, attrs: s.attrs[from:len(s.attrs):len(s.attrs)],
	})
	return &s.elements[len(s.elements)-1]
}

func blank(text string) bool {
	for i := range len(text) {
		if !isSpace(text[i]) {
			return false
		}
	}
	return true
}
