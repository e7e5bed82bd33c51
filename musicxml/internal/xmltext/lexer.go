package xmltext

import (
	"context"
	"encoding/xml"
	"io"
	"strings"
)

// A Kind tells the tokens of a document apart.
type Kind uint8

// The kinds of token. The last three are checked and passed over where a document
// is read for its elements; [Tokens] yields them.
const (
	EndOfText   Kind = iota // the zero value
	StartTag                // of an element; one without content has an EndTag too
	EndTag                  // of an element
	CharData                // the text between two other tokens, or a CDATA section
	Comment                 // "<!--...-->"
	Instruction             // "<?...?>", the XML declaration too
	Declaration             // "<!...>"
)

// An Attribute is one attribute of an element.
type Attribute struct {
	Name  string // as written, with its prefix
	Value string // references replaced
}

// A lexer cuts a document into tags and character data, and checks on the way
// that it is well formed. It accepts what a strict [xml.Decoder] accepts, and a
// processing instruction in the DOCTYPE, and nothing more; what of that XML forbids
// it takes down. It rejects besides
//   - an attribute given twice in one tag,
//   - text outside the root element,
//   - a second element after the root,
//   - elements nested more than depth deep.
//
// Names, values and character data are pieces of the text, not copies, unless
// they hold references or carriage returns. An element without content is
// reported as a start and an end.
type lexer struct {
	ctx   context.Context
	steps int    // how many tokens have been read
	text  string // UTF-8
	depth int    // how deep elements may be nested
	all   bool   // comments, instructions and declarations are tokens too

	start int         // offset of the token
	pos   int         // offset after it
	name  string      // of a tag, as written
	attrs []Attribute // of a start tag; valid until the next one
	data  string      // of character data, references replaced, line ends as "\n"

	open     []string // names of the open elements
	empty    bool     // the end of an element without content is due
	rooted   bool     // the root element has begun
	entities map[string]string
	declared bool // the DOCTYPE has been read
	odd      oddities
}

// next reads the next token. Its error is an *Error, or that of the context.
func (l *lexer) next() (Kind, error) {
	if l.empty {
		l.empty = false
		l.pop()
		return EndTag, nil
	}
	// Looking at the context for every token would cost more than reading it.
	if l.steps++; l.steps%256 == 0 && l.ctx.Err() != nil {
		return 0, l.ctx.Err()
	}
	for {
		l.start = l.pos
		switch {
		case l.pos == len(l.text):
			return EndOfText, l.checkClosed()
		case l.text[l.pos] != '<':
			return CharData, l.characters()
		}
		var kind Kind
		var err error
		switch l.at(l.pos + 1) {
		case '/':
			return EndTag, l.readEndTag()
		case '?':
			kind, err = Instruction, l.instruction()
		case '!':
			if strings.HasPrefix(l.text[l.pos:], "<![") {
				return CharData, l.section()
			}
			kind, err = l.declaration()
		default:
			return StartTag, l.readStartTag()
		}
		if err != nil || l.all {
			return kind, err
		}
	}
}

// at returns the byte at an offset, 0 after the end.
func (l *lexer) at(i int) byte {
	if i < len(l.text) {
		return l.text[i]
	}
	return 0
}

// fault is an error at an offset.
func (l *lexer) fault(offset int, format string, args ...any) error {
	return Errorf(offset, format, args...)
}

// cut is the error for a text that ends too early.
func (l *lexer) cut() error {
	return l.fault(len(l.text), "the file ends in the middle of a tag or text: it is cut short")
}

// expected is the error for a wrong byte in a tag, or for the end of the text.
func (l *lexer) expected(offset int, format string, args ...any) error {
	if offset >= len(l.text) {
		return l.cut()
	}
	return l.fault(offset, "not well-formed XML: "+format, args...)
}

func (l *lexer) checkClosed() error {
	if len(l.open) > 0 {
		return l.fault(len(l.text), "the file ends inside <%s>: it is cut short", l.open[len(l.open)-1])
	}
	return nil
}

func (l *lexer) pop() { l.open = l.open[:len(l.open)-1] }

// readStartTag reads the tag of an element that begins.
func (l *lexer) readStartTag() error {
	name, pos, err := l.readName(l.pos+1, "tag")
	if err != nil {
		return err
	}
	l.name, l.attrs = name, l.attrs[:0]
	for {
		before := pos
		for isSpace(l.at(pos)) {
			pos++
		}
		switch l.at(pos) {
		case '>':
			l.pos = pos + 1
			return l.push()
		case '/':
			if l.at(pos+1) != '>' {
				return l.expected(pos+1, "in <%s> a \"/\" is not followed by \">\"", name)
			}
			l.pos, l.empty = pos+2, true
			return l.push()
		}
		if pos == before {
			l.odd.note(oddAttributes, pos)
		}
		if pos, err = l.attribute(pos); err != nil {
			return err
		}
	}
}

// push opens the element whose start tag has been read.
func (l *lexer) push() error {
	switch {
	case len(l.open) >= l.depth:
		return &Error{Offset: l.start, Err: &DepthError{l.depth}}
	case len(l.open) == 0 && l.rooted:
		return l.fault(l.start, "<%s> follows the end of the score", l.name)
	}
	l.rooted = true
	l.open = append(l.open, l.name)
	return l.checkAttributes()
}

// attribute reads an attribute that begins at an offset and returns the offset
// after it.
func (l *lexer) attribute(pos int) (end int, err error) {
	name, pos, err := l.readName(pos, "attribute")
	if err != nil {
		return 0, err
	}
	for isSpace(l.at(pos)) {
		pos++
	}
	if l.at(pos) != '=' {
		return 0, l.expected(pos, "the attribute %s of <%s> has no value", name, l.name)
	}
	pos++
	for isSpace(l.at(pos)) {
		pos++
	}
	quote := l.at(pos)
	if quote != '"' && quote != '\'' {
		return 0, l.expected(pos, "the value of the attribute %s of <%s> has no quotation marks", name, l.name)
	}
	value, pos, err := l.value(pos+1, quote)
	if err != nil {
		return 0, err
	}
	l.attrs = append(l.attrs, Attribute{name, value})
	return pos + 1, nil
}

// checkAttributes checks that no attribute stands twice in the tag.
func (l *lexer) checkAttributes() error {
	const few = 16
	if len(l.attrs) > few {
		seen := make(map[string]bool, len(l.attrs))
		for _, a := range l.attrs {
			if seen[a.Name] {
				return l.twice(a.Name)
			}
			seen[a.Name] = true
		}
		return nil
	}
	for i := 1; i < len(l.attrs); i++ {
		for j := range i {
			if l.attrs[i].Name == l.attrs[j].Name {
				return l.twice(l.attrs[i].Name)
			}
		}
	}
	return nil
}

func (l *lexer) twice(name string) error {
	return l.fault(l.start, "not well-formed XML: <%s> has the attribute %s twice", l.name, name)
}

// readEndTag reads the tag of an element that ends.
func (l *lexer) readEndTag() error {
	pos := l.pos + 2
	if n := len(l.open); n > 0 {
		last := l.open[n-1]
		if strings.HasPrefix(l.text[pos:], last) && l.at(pos+len(last)) == '>' {
			l.name, l.pos = last, pos+len(last)+1
			l.pop()
			return nil
		}
	}
	name, pos, err := l.readName(pos, "end tag")
	if err != nil {
		return err
	}
	for isSpace(l.at(pos)) {
		pos++
	}
	switch {
	case l.at(pos) != '>':
		return l.expected(pos, "the tag </%s> is not closed by \">\"", name)
	case len(l.open) == 0:
		return l.fault(l.start, "</%s> closes nothing", name)
	case l.open[len(l.open)-1] != name:
		return l.fault(l.start, "<%s> is closed by </%s>", l.open[len(l.open)-1], name)
	}
	l.name, l.pos = name, pos+1
	l.pop()
	return nil
}

// Classes of bytes in names. A letter may begin a name; a byte that is only
// named may stand in it; one that is odd makes the name be looked at again.
const (
	named byte = 1 << iota
	letter
	odd
)

var nameClass = func() (class [256]byte) {
	for b := range class {
		switch c := byte(b); {
		case 'A' <= c && c <= 'Z', 'a' <= c && c <= 'z', c == '_':
			class[b] = named | letter
		case '0' <= c && c <= '9', c == '-', c == '.':
			class[b] = named
		case c == ':', c >= 0x80:
			class[b] = named | letter | odd
		}
	}
	return class
}()

// readName reads the name that begins at an offset, and returns the offset
// after it. what names the thing in messages.
func (l *lexer) readName(start int, what string) (name string, end int, err error) {
	end = start
	var all byte
	for end < len(l.text) && nameClass[l.text[end]] != 0 {
		all |= nameClass[l.text[end]]
		end++
	}
	if end == len(l.text) {
		return "", 0, l.cut()
	}
	name = l.text[start:end]
	switch {
	case name == "":
		return "", 0, l.fault(start, "not well-formed XML: the name of a %s is missing where %q stands", what, firstRune(l.text[start:]))
	case nameClass[name[0]]&letter == 0,
		all&odd != 0 && (strings.Count(name, ":") > 1 || !isName(name)):
		return "", 0, l.fault(start, "not well-formed XML: %q cannot be the name of a %s", name, what)
	}
	return name, end, nil
}

func firstRune(s string) string {
	for _, r := range s {
		return string(r)
	}
	return ""
}

// isName reports whether a run of name bytes is a name of XML. Names beyond
// ASCII are so rare that the tables of encoding/xml are asked.
func isName(s string) bool {
	if s == "" || nameClass[s[0]]&letter == 0 {
		return false
	}
	if strings.IndexFunc(s, func(r rune) bool { return r >= 0x80 }) < 0 {
		return true
	}
	_, err := newDecoder("<?" + s + "?>").RawToken()
	return err == nil
}

// newDecoder returns a decoder of encoding/xml for text that is UTF-8 already,
// whatever its declaration says.
func newDecoder(text string) *xml.Decoder {
	d := xml.NewDecoder(strings.NewReader(text))
	d.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }
	return d
}

func isSpace(c byte) bool { return c == ' ' || c == '\n' || c == '\t' || c == '\r' }

// SplitName parts a name at its colon, as encoding/xml does: a colon at either
// end belongs to the name.
func SplitName(name string) (prefix, local string) {
	i := strings.IndexByte(name, ':')
	if i <= 0 || i == len(name)-1 {
		return "", name
	}
	return name[:i], name[i+1:]
}
