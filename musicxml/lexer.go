package musicxml

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"
)

// A tokenKind tells the tokens of a document apart.
type tokenKind uint8

// The kinds of token. Comments, processing instructions and declarations are
// checked and passed over.
const (
	endOfText tokenKind = iota
	startTag
	endTag
	charData
)

// An attribute is one attribute of an element, with its name as written.
type attribute struct{ name, value string }

// A lexer cuts a document into tags and character data, and checks on the way
// that it is well formed. It accepts what a strict [xml.Decoder] accepts and
// nothing more; it rejects besides
//   - an attribute given twice in one tag,
//   - text outside the root element,
//   - a second element after the root,
//   - elements nested more than depth deep.
//
// Names, values and character data are pieces of the text, not copies, unless
// they hold references or carriage returns. An element without content is
// reported as a start and an end.
type lexer struct {
	text  string // UTF-8
	depth int    // how deep elements may be nested

	start int         // offset of the token
	pos   int         // offset after it
	name  string      // of a tag, as written
	attrs []attribute // of a start tag; valid until the next one
	data  string      // of character data, references replaced, line ends as "\n"

	open     []string // names of the open elements
	empty    bool     // the end of an element without content is due
	rooted   bool     // the root element has begun
	entities map[string]string
}

// next reads the next token. Its error is a *scanError.
func (l *lexer) next() (tokenKind, error) {
	if l.empty {
		l.empty = false
		l.pop()
		return endTag, nil
	}
	for {
		l.start = l.pos
		switch {
		case l.pos == len(l.text):
			return endOfText, l.checkClosed()
		case l.text[l.pos] != '<':
			return charData, l.characters()
		}
		switch l.at(l.pos + 1) {
		case '/':
			return endTag, l.endTag()
		case '?':
			if err := l.instruction(); err != nil {
				return 0, err
			}
		case '!':
			if strings.HasPrefix(l.text[l.pos:], "<![") {
				return charData, l.section()
			}
			if err := l.declaration(); err != nil {
				return 0, err
			}
		default:
			return startTag, l.startTag()
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
	return &scanError{offset: offset, err: fmt.Errorf(format, shortened(args)...)}
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

// startTag reads the tag of an element that begins.
func (l *lexer) startTag() error {
	name, pos, err := l.readName(l.pos+1, "tag")
	if err != nil {
		return err
	}
	l.name, l.attrs = name, l.attrs[:0]
	for {
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
		if pos, err = l.attribute(pos); err != nil {
			return err
		}
	}
}

// push opens the element whose start tag has been read.
func (l *lexer) push() error {
	switch {
	case len(l.open) >= l.depth:
		return &scanError{offset: l.start, err: fmt.Errorf("elements are nested more than %d deep", l.depth),
			hint: "--max-depth raises the limit"}
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
	l.attrs = append(l.attrs, attribute{name, value})
	return pos + 1, nil
}

// checkAttributes checks that no attribute stands twice in the tag.
func (l *lexer) checkAttributes() error {
	const few = 16
	if len(l.attrs) > few {
		seen := make(map[string]bool, len(l.attrs))
		for _, a := range l.attrs {
			if seen[a.name] {
				return l.twice(a.name)
			}
			seen[a.name] = true
		}
		return nil
	}
	for i := 1; i < len(l.attrs); i++ {
		for j := range i {
			if l.attrs[i].name == l.attrs[j].name {
				return l.twice(l.attrs[i].name)
			}
		}
	}
	return nil
}

func (l *lexer) twice(name string) error {
	return l.fault(l.start, "not well-formed XML: <%s> has the attribute %s twice", l.name, name)
}

// endTag reads the tag of an element that ends.
func (l *lexer) endTag() error {
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

// splitName parts a name at its colon, as encoding/xml does: a colon at either
// end belongs to the name.
func splitName(name string) (prefix, local string) {
	i := strings.IndexByte(name, ':')
	if i <= 0 || i == len(name)-1 {
		return "", name
	}
	return name[:i], name[i+1:]
}

// instruction reads a processing instruction.
func (l *lexer) instruction() error {
	name, pos, err := l.readInstructionName()
	if err != nil {
		return err
	}
	length := strings.Index(l.text[pos:], "?>")
	if length < 0 {
		return l.cut()
	}
	l.pos = pos + length + 2
	if name != "xml" {
		return nil
	}
	// An XML declaration, and only its version can be at fault.
	if _, err := newDecoder(l.text[l.start:l.pos]).RawToken(); err != nil {
		return l.fault(l.start, "the XML declaration does not say version 1.0, which is the only one that is read")
	}
	return nil
}

// readInstructionName reads the target of a processing instruction, which may
// have any number of colons.
func (l *lexer) readInstructionName() (name string, end int, err error) {
	start := l.pos + 2
	end = start
	for end < len(l.text) && nameClass[l.text[end]] != 0 {
		end++
	}
	if end == len(l.text) {
		return "", 0, l.cut()
	}
	if name = l.text[start:end]; !isName(name) {
		return "", 0, l.fault(start, "not well-formed XML: a processing instruction has no name")
	}
	return name, end, nil
}

// declaration reads a comment, or a declaration such as the DOCTYPE.
func (l *lexer) declaration() error {
	pos := l.pos + 2
	if l.at(pos) != '-' {
		return l.directive(pos)
	}
	if pos++; l.at(pos) != '-' {
		return l.expected(pos, "\"<!-\" begins no comment")
	}
	pos++
	length := strings.Index(l.text[pos:], "--")
	if length < 0 {
		return l.cut()
	}
	if pos += length + 2; l.at(pos) != '>' {
		return l.expected(pos, "a comment has \"--\" in it")
	}
	l.pos = pos + 1
	return nil
}

// directive reads a declaration whose "<!" ends at pos.
func (l *lexer) directive(pos int) error {
	var content []byte // without comments
	from := pos
	end := directiveEnd(l.text, pos, func(start, end int) {
		content = append(append(content, l.text[from:start]...), ' ')
		from = end
	})
	if end < 0 {
		return l.cut()
	}
	l.pos = end
	l.declareEntities(string(append(content, l.text[from:end-1]...)))
	return nil
}

// directiveEnd returns the offset after the ">" that closes a declaration whose
// "<!" ends at pos, which is not one of those in quotation marks, in comments or
// in the declarations inside it; -1 if there is none. It yields the start and end
// of each comment inside the declaration.
func directiveEnd[T string | []byte](text T, pos int, comment func(start, end int)) int {
	quote, depth := byte(0), 0
	// Whatever comes first is part of the declaration.
	for i := pos + 1; i < len(text); i++ {
		switch c := text[i]; {
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '\'' || c == '"':
			quote = c
		case c == '>' && depth == 0:
			return i + 1
		case c == '>':
			depth--
		case c == '<' && stands(text, i, "<!--"):
			end := i + len("<!--")
			for end < len(text) && !stands(text, end, "-->") {
				end++
			}
			if end >= len(text) {
				return -1
			}
			end += len("-->")
			comment(i, end)
			i = end - 1
		case c == '<':
			depth++
		}
	}
	return -1
}

// stands reports whether a word stands in the text at an offset.
func stands[T string | []byte](text T, at int, word string) bool {
	return len(text)-at >= len(word) && string(text[at:at+len(word)]) == word
}

// declareEntities lets the document use the short, plain entities that its
// DOCTYPE declares. An entity that refers to another one is not declared, so
// that entities cannot multiply; its use is then an error.
func (l *lexer) declareEntities(directive string) {
	const most, longest = 64, 256
	rest := directive
	for {
		_, after, found := strings.Cut(rest, "<!ENTITY")
		if !found || len(l.entities) >= most {
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
		if l.entities == nil {
			l.entities = map[string]string{}
		}
		if _, twice := l.entities[name]; !twice {
			l.entities[name] = value
		}
	}
}
