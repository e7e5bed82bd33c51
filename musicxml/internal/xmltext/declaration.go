package xmltext

import "strings"

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
	l.pos = pos + 1
	return Comment, nil
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
func directiveEnd(text string, pos int, comment func(start, end int)) int {
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
		case c == '<' && strings.HasPrefix(text[i:], "<!--"):
			length := strings.Index(text[i+len("<!--"):], "-->")
			if length < 0 {
				return -1
			}
			end := i + len("<!--") + length + len("-->")
			comment(i, end)
			i = end - 1
		case c == '<':
			depth++
		}
	}
	return -1
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
