package xmltext

import (
	"regexp"
	"strings"
)

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
	content := l.text[pos : pos+length]
	l.pos = pos + length + 2
	if name == "xml" {
		return l.xmlDeclaration()
	}
	if content != "" && !isSpace(content[0]) || strings.EqualFold(name, "xml") || strings.IndexFunc(content, isNoCharacter) >= 0 {
		l.odd.note(oddInstruction, l.start)
	}
	return nil
}

// wellDeclared is the XML declaration. Source: XML 1.0, 2.8.
var wellDeclared = regexp.MustCompile(`^<\?xml[ \t\r\n]+version[ \t\r\n]*=[ \t\r\n]*("1\.0"|'1\.0')` +
	`([ \t\r\n]+encoding[ \t\r\n]*=[ \t\r\n]*("[A-Za-z][-A-Za-z0-9._]*"|'[A-Za-z][-A-Za-z0-9._]*'))?` +
	`([ \t\r\n]+standalone[ \t\r\n]*=[ \t\r\n]*("(yes|no)"|'(yes|no)'))?[ \t\r\n]*\?>$`)

// xmlDeclaration checks the XML declaration that has been read. Only its version
// can be at fault.
func (l *lexer) xmlDeclaration() error {
	declaration := l.text[l.start:l.pos]
	if _, err := newDecoder(declaration).RawToken(); err != nil {
		return l.fault(l.start, "the XML declaration does not say version 1.0, which is the only one that is read")
	}
	switch {
	case l.start > 0:
		l.odd.note(oddLateXML, l.start)
	case !wellDeclared.MatchString(declaration):
		l.odd.note(oddXML, l.start)
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
func (l *lexer) declaration() (Kind, error) {
	pos := l.pos + 2
	if l.at(pos) != '-' {
		return Declaration, l.directive(pos)
	}
	if pos++; l.at(pos) != '-' {
		return 0, l.expected(pos, "\"<!-\" begins no comment")
	}
	pos++
	length := strings.Index(l.text[pos:], "--")
	if length < 0 {
		return 0, l.cut()
	}
	if pos += length + 2; l.at(pos) != '>' {
		return 0, l.expected(pos, "a comment has \"--\" in it")
	}
	if strings.IndexFunc(l.text[l.start:pos], isNoCharacter) >= 0 {
		l.odd.note(oddComment, l.start)
	}
	l.pos = pos + 1
	return Comment, nil
}

// doctype is how a DOCTYPE begins.
const doctype = "<!DOCTYPE"

// directive reads a declaration whose "<!" ends at pos.
func (l *lexer) directive(pos int) error {
	var content []byte // without comments and instructions
	from := pos
	end, balanced := directiveEnd(l.text, pos, func(start, end int) {
		content = append(append(content, l.text[from:start]...), ' ')
		from = end
	})
	if end < 0 {
		return l.cut()
	}
	l.pos = end
	after := strings.TrimPrefix(l.text[l.start:end], doctype)
	if l.rooted || l.declared || !balanced || !strings.HasPrefix(l.text[l.start:], doctype) || !isSpace(after[0]) ||
		strings.IndexFunc(after, isNoCharacter) >= 0 {
		l.odd.note(oddDeclaration, l.start)
	}
	l.declared = true
	l.declareEntities(string(append(content, l.text[from:end-1]...)))
	return nil
}

// directiveEnd returns the offset after the ">" that closes a declaration whose
// "<!" ends at pos, which is not one of those in quotation marks, in comments, in
// instructions or in the declarations inside it; -1 if there is none. It yields the
// start and end of each comment and instruction inside the declaration. Balanced
// are its brackets if there is one pair of them, around what is declared inside.
func directiveEnd(text string, pos int, apart func(start, end int)) (end int, balanced bool) {
	quote, depth, brackets := byte(0), 0, 0
	balanced = true
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
			return i + 1, balanced && (brackets == 0 || brackets == 2)
		case c == '>':
			depth--
		case c == '<' && strings.HasPrefix(text[i:], "<!--"):
			length := strings.Index(text[i+len("<!--"):], "-->")
			if length < 0 {
				return -1, false
			}
			end := i + len("<!--") + length + len("-->")
			apart(i, end)
			i = end - 1
		case c == '<' && strings.HasPrefix(text[i:], "<?"):
			length := strings.Index(text[i:], "?>")
			if length < 0 {
				return -1, false
			}
			end := i + length + len("?>")
			apart(i, end)
			i = end - 1
		case c == '<':
			depth++
			balanced = balanced && depth == 1 && brackets == 1 && strings.HasPrefix(text[i:], "<!")
		case c == '[' && depth == 0, c == ']' && depth == 0:
			brackets++
			balanced = balanced && (c == '[') == (brackets == 1)
		}
	}
	return -1, false
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
		after = strings.TrimLeft(after, space)
		end := strings.IndexAny(after, space)
		if end < 0 {
			return
		}
		name, after := after[:end], strings.TrimLeft(after[end:], space)
		if after == "" || after[0] != '"' && after[0] != '\'' {
			continue
		}
		value, _, found := strings.Cut(after[1:], after[:1])
		if !found || len(value) > longest {
			continue
		}
		value, plain := entityText(value)
		if !plain {
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

// entityText is what an entity stands for: its value with the references to
// characters replaced. It is not plain if it holds markup, or refers to other
// entities. Source: XML 1.0, 4.5.
func entityText(value string) (text string, plain bool) {
	if strings.ContainsAny(value, "<%") {
		return "", false
	}
	l := lexer{text: value}
	var b strings.Builder
	for pos := 0; pos < len(value); {
		if value[pos] != '&' {
			b.WriteByte(value[pos])
			pos++
			continue
		}
		if l.at(pos+1) != '#' {
			return "", false
		}
		r, end, err := l.characterReference(pos)
		if err != nil || strings.ContainsAny(r, "<&") {
			return "", false
		}
		b.WriteString(r)
		pos = end
	}
	return b.String(), true
}
