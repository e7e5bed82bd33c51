package xmltext

import (
	"context"
	"strings"
	"unsafe"
)

// An Element is a small tree of the document: a note, a direction. It belongs to
// the [Scanner] that made it and lives until the scanner makes the next one.
// Offsets are bytes of the text, from 0.
type Element struct {
	Name  string // local name; "" for an element of another namespace than the root's
	Attrs []Attribute
	Text  string   // the character data directly in it, but for what follows a child where none came before
	First *Element // its first child; nil if it has none
	Next  *Element // its next sibling; nil if it is the last

	Start   int // where its start tag begins
	Content int // after its start tag
	Close   int // where its end tag begins; Start for an element without content
	End     int // after its end tag; 0 while it has not been read to the end
}

// Attr returns the value of the attribute of that name, which is compared as
// written, prefix and all; "" if there is none.
func (e *Element) Attr(name string) string { return Attr(e.Attrs, name) }

// Attr returns the value of the attribute of that name in a list, which is
// compared as written, prefix and all; "" if there is none.
func Attr(list []Attribute, name string) string {
	for i := range list {
		if list[i].Name == name {
			return list[i].Value
		}
	}
	return ""
}

// Child returns the first child of that local name, nil if there is none, or if e
// is nil.
func (e *Element) Child(name string) *Element {
	if e == nil {
		return nil
	}
	for c := e.First; c != nil; c = c.Next {
		if c.Name == name {
			return c
		}
	}
	return nil
}

// Has reports whether e has a child of that local name.
func (e *Element) Has(name string) bool { return e.Child(name) != nil }

// ChildText returns the text of the first child of that local name, without the
// white space around it; "" if there is none.
func (e *Element) ChildText(name string) string {
	if c := e.Child(name); c != nil {
		return c.Trimmed()
	}
	return ""
}

// Trimmed returns the element's text without the white space around it.
func (e *Element) Trimmed() string { return strings.Trim(e.Text, space) }

// Walk calls f for each element below e, in document order.
func (e *Element) Walk(f func(*Element)) {
	for c := e.First; c != nil; c = c.Next {
		f(c)
		c.Walk(f)
	}
}

// A Scanner reads a document into small trees. What is well formed is the lexer's
// business; the scanner knows namespaces. [NewScanner] makes one; each error of
// its methods is an [*Error], or that of the context which has ended.
type Scanner struct {
	lex    lexer
	spaces []binding // namespace declarations in force
	space  string    // the root's namespace

	elements        []Element   // of the tree in the making
	attrs           []Attribute // of its elements
	kept, keptAttrs int         // how many of these are not to be used again
}

// A binding gives a prefix its namespace; the prefix "" is the default one.
type binding struct {
	prefix, space string
	depth         int // of the element that declares it, from 1
}

// NewScanner returns a scanner for a document. Elements may be nested depth deep,
// the root counted; a deeper one is a [*DepthError].
func NewScanner(ctx context.Context, text []byte, depth int) *Scanner {
	return &Scanner{lex: lexer{ctx: ctx, text: shared(text), depth: depth}}
}

// shared is the text as a string without a copy, which would cost its size again
// for as long as any name or value that is a piece of it lives.
func shared(text []byte) string { return unsafe.String(unsafe.SliceData(text), len(text)) }

// Offset is the place in the text up to which the document has been read.
func (s *Scanner) Offset() int { return s.lex.pos }

// TokenStart is where the last tag or text that was read begins: after a nil from
// [Scanner.Next] the end tag, or the whole element if it has no content.
func (s *Scanner) TokenStart() int { return s.lex.start }

// TagName is the name of the last tag that was read, as written with its prefix.
func (s *Scanner) TagName() string { return s.lex.name }

// token reads the next token and keeps the namespaces that are in force.
func (s *Scanner) token() (Kind, error) {
	kind, err := s.lex.next()
	if err != nil {
		return 0, err
	}
	depth := len(s.lex.open)
	switch kind {
	case StartTag:
		for _, a := range s.lex.attrs {
			if prefix, local := SplitName(a.Name); prefix == "xmlns" {
				s.spaces = append(s.spaces, binding{local, a.Value, depth})
			} else if a.Name == "xmlns" {
				s.spaces = append(s.spaces, binding{"", a.Value, depth})
			}
		}
	case EndTag:
		for len(s.spaces) > 0 && s.spaces[len(s.spaces)-1].depth > depth {
			s.spaces = s.spaces[:len(s.spaces)-1]
		}
	}
	return kind, nil
}

// namespace returns the namespace of a prefix, "" if none is declared.
func (s *Scanner) namespace(prefix string) string {
	for i := len(s.spaces) - 1; i >= 0; i-- {
		if s.spaces[i].prefix == prefix {
			return s.spaces[i].space
		}
	}
	return ""
}

// localName returns the local name of an element of the root's namespace, ""
// for one of another namespace.
func (s *Scanner) localName(name string) string {
	if len(s.spaces) == 0 && s.space == "" && strings.IndexByte(name, ':') < 0 {
		return name
	}
	prefix, local := SplitName(name)
	space := s.namespace(prefix)
	if space == "" && prefix != "" {
		space = prefix // undeclared: only the same prefix can be the same namespace
	}
	if space != s.space {
		return ""
	}
	return local
}

// Root reads up to the start tag of the root element and returns that, for the
// caller to read on with [Scanner.Next] or [Scanner.Fill]. A text without any
// element is an error.
func (s *Scanner) Root() (*Element, error) {
	for {
		kind, err := s.token()
		switch {
		case err != nil:
			return nil, err
		case kind == EndOfText:
			return nil, s.lex.fault(s.Offset(), "there is no element in it: this is not MusicXML")
		case kind == StartTag:
			prefix, _ := SplitName(s.lex.name)
			if s.space = s.namespace(prefix); s.space == "" {
				s.space = prefix
			}
			return s.newElement(), nil
		}
	}
}

// Next returns the next child of the innermost open element: its start tag only,
// for the caller to read on; nil after its end tag. The trees made before are
// gone.
func (s *Scanner) Next() (*Element, error) {
	s.elements, s.attrs = s.elements[:s.kept], s.attrs[:s.keptAttrs]
	for {
		kind, err := s.token()
		switch {
		case err != nil:
			return nil, err
		case kind == StartTag:
			return s.newElement(), nil
		case kind == EndTag:
			return nil, nil
		}
	}
}

// Fill reads the rest of an element into its tree.
func (s *Scanner) Fill(e *Element) error {
	last := &e.First
	var more strings.Builder // text after the first piece
	for {
		kind, err := s.token()
		if err != nil {
			return err
		}
		switch kind {
		case StartTag:
			c := s.newElement()
			if err := s.Fill(c); err != nil {
				return err
			}
			*last = c
			last = &c.Next
		case CharData:
			switch {
			case e.Text != "":
				more.WriteString(s.lex.data)
			case e.First == nil && !Blank(s.lex.data):
				e.Text = s.lex.data
			}
		case EndTag:
			e.Close, e.End = s.lex.start, s.Offset()
			if more.Len() > 0 {
				e.Text += more.String()
			}
			return nil
		}
	}
}

// Skip reads the rest of an element and forgets it; only its Close and End are
// set.
func (s *Scanner) Skip(e *Element) error {
	for depth := 1; depth > 0; {
		kind, err := s.token()
		if err != nil {
			return err
		}
		switch kind {
		case StartTag:
			depth++
		case EndTag:
			depth--
		}
	}
	e.Close, e.End = s.lex.start, s.Offset()
	return nil
}

// Finish checks that nothing follows the root element but comments, processing
// instructions and white space.
func (s *Scanner) Finish() error {
	for {
		if kind, err := s.token(); err != nil || kind == EndOfText {
			return err
		}
	}
}

// newElement makes an element of the start tag that has been read. Where there
// is no room the trees in the making keep the old slices alive.
func (s *Scanner) newElement() *Element {
	if len(s.elements) == cap(s.elements) {
		s.elements, s.kept = make([]Element, 0, max(64, 2*cap(s.elements))), 0
	}
	from := len(s.attrs)
	s.attrs = append(s.attrs, s.lex.attrs...)
	s.elements = append(s.elements, Element{
		Name: s.localName(s.lex.name), Start: s.lex.start, Content: s.lex.pos, Attrs: s.attrs[from:len(s.attrs):len(s.attrs)],
	})
	return &s.elements[len(s.elements)-1]
}

// space is the white space of XML.
const space = " \t\r\n"

// Blank reports whether a text is nothing but white space.
func Blank(text string) bool {
	for i := range len(text) {
		if !isSpace(text[i]) {
			return false
		}
	}
	return true
}
