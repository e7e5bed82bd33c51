package xmltext

import (
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// plain tells the bytes that stand for themselves between tags and, but for the
// quotation marks, in values. U+FFFE and U+FFFF, which begin with 0xEF, are no
// characters of XML.
var plain = func() (is [256]bool) {
	for b := range is {
		switch c := byte(b); c {
		case '\t', '\n':
			is[b] = true
		case '<', '&', ']', 0xEF:
		default:
			is[b] = c >= 0x20
		}
	}
	return is
}()

// characters reads the character data up to the next tag.
func (l *lexer) characters() error {
	end := l.pos
	for end < len(l.text) && plain[l.text[end]] {
		end++
	}
	if end == len(l.text) || l.text[end] == '<' {
		l.data = l.text[l.pos:end]
	} else {
		var err error
		if l.data, end, err = l.decode(l.pos, end, 0); err != nil {
			return err
		}
	}
	l.pos = end
	return l.checkPlace()
}

// checkPlace checks that there is no text outside the root element.
func (l *lexer) checkPlace() error {
	if len(l.open) > 0 {
		return nil
	}
	if strings.Trim(l.data, space+"\ufeff") == "" {
		if mark := strings.Index(l.data, "\ufeff"); mark >= 0 {
			l.odd.note(oddMark, l.start+mark)
		}
		return nil
	}
	if !l.rooted {
		return l.fault(l.start, "this is not XML: there is text before the first element")
	}
	return l.fault(l.start, "there is text outside the root element")
}

// value reads an attribute value up to its closing quotation mark, and returns
// the offset of that.
func (l *lexer) value(start int, quote byte) (value string, end int, err error) {
	end = start
	for end < len(l.text) && plain[l.text[end]] && l.text[end] != quote {
		end++
	}
	if end < len(l.text) && l.text[end] == quote {
		return l.text[start:end], end, nil
	}
	return l.decode(start, end, quote)
}

// decode reads text that has more than plain bytes: up to the quotation mark,
// or where that is 0 up to the next tag or the end. Everything from start to
// pos is plain. It returns the offset at which the text ends.
func (l *lexer) decode(start, pos int, quote byte) (text string, end int, err error) {
	var b strings.Builder
	from := start // where the text not yet in b begins
	for {
		for pos < len(l.text) && plain[l.text[pos]] && (quote == 0 || l.text[pos] != quote) {
			pos++
		}
		if pos == len(l.text) {
			if quote != 0 {
				return "", 0, l.cut()
			}
			break
		}
		c := l.text[pos]
		if quote != 0 && c == quote || quote == 0 && c == '<' {
			break
		}
		switch c {
		case '<':
			return "", 0, l.fault(pos, "not well-formed XML: there is \"<\" in the value of an attribute")
		case '&':
			b.WriteString(l.text[from:pos])
			r, after, err := l.reference(pos)
			if err != nil {
				return "", 0, err
			}
			b.WriteString(r)
			pos, from = after, after
		case '\r':
			// A line end, whichever it is, is read as "\n" (XML 1.0, 2.11).
			b.WriteString(l.text[from:pos])
			b.WriteByte('\n')
			if pos++; l.at(pos) == '\n' {
				pos++
			}
			from = pos
		case ']':
			if quote == 0 && strings.HasPrefix(l.text[pos:], "]]>") {
				return "", 0, l.fault(pos, "not well-formed XML: there is \"]]>\" in the text")
			}
			pos++
		default:
			r, size := utf8.DecodeRuneInString(l.text[pos:])
			if !isCharacter(r) {
				return "", 0, l.noCharacter(pos, r)
			}
			pos += size
		}
	}
	if b.Len() == 0 && from == start {
		return l.text[start:pos], pos, nil
	}
	b.WriteString(l.text[from:pos])
	return b.String(), pos, nil
}

func (l *lexer) noCharacter(offset int, r rune) error {
	return l.fault(offset, "not well-formed XML: %U is no character of XML", r)
}

// isCharacter reports whether r is in the production Char of XML 1.0, 2.2.
func isCharacter(r rune) bool {
	switch {
	case r < 0x20:
		return r == '\t' || r == '\n' || r == '\r'
	case r <= 0xFFFF:
		return r <= 0xD7FF || r >= 0xE000 && r <= 0xFFFD
	}
	return r <= unicode.MaxRune
}

// section reads a CDATA section.
func (l *lexer) section() error {
	const opening = "<![CDATA["
	rest := l.text[l.pos:]
	for i := range len(opening) {
		if l.at(l.pos+i) != opening[i] {
			return l.expected(l.pos+i, "\"<![\" begins no CDATA section")
		}
	}
	start := l.pos + len(opening)
	length := strings.Index(rest[len(opening):], "]]>")
	if length < 0 {
		return l.cut()
	}
	l.data = l.text[start : start+length]
	for i, r := range l.data {
		if !isCharacter(r) {
			return l.noCharacter(start+i, r)
		}
	}
	if strings.IndexByte(l.data, '\r') >= 0 {
		l.data = strings.ReplaceAll(strings.ReplaceAll(l.data, "\r\n", "\n"), "\r", "\n")
	}
	l.pos = start + length + len("]]>")
	return l.checkPlace()
}

// reference reads the reference to a character or entity at an offset, and
// returns what it stands for and the offset after it.
func (l *lexer) reference(start int) (text string, end int, err error) {
	if l.at(start+1) == '#' {
		return l.characterReference(start)
	}
	end = start + 1
	for end < len(l.text) && nameClass[l.text[end]] != 0 {
		end++
	}
	if end == len(l.text) {
		return "", 0, l.cut()
	}
	name := l.text[start+1 : end]
	if l.text[end] != ';' {
		return "", 0, l.fault(start, "not well-formed XML: \"&%s\" is an entity without a semicolon, or an \"&\" that should be \"&amp;\"", name)
	}
	switch name {
	case "lt":
		text = "<"
	case "gt":
		text = ">"
	case "amp":
		text = "&"
	case "apos":
		text = "'"
	case "quot":
		text = `"`
	default:
		declared, known := l.entities[name]
		if !known || !isName(name) {
			return "", 0, l.fault(start, "not well-formed XML: the entity &%s; is not declared in the file in a form that is read", name)
		}
		for _, r := range declared {
			if !isCharacter(r) {
				return "", 0, l.noCharacter(start, r)
			}
		}
		text = declared
	}
	return text, end + 1, nil
}

// characterReference reads a reference such as "&#233;" or "&#xE9;".
func (l *lexer) characterReference(start int) (text string, end int, err error) {
	end = start + 2
	base := rune(10)
	if l.at(end) == 'x' {
		base = 16
		end++
	}
	first := end
	var r rune
	for {
		digit := digitOf(l.at(end))
		if digit >= base {
			break
		}
		r = min(r*base+digit, unicode.MaxRune+1)
		end++
	}
	if l.at(end) != ';' || end == first {
		return "", 0, l.expected(end, "\"&#\" begins no reference to a character")
	}
	if r > unicode.MaxRune {
		return "", 0, l.fault(start, "not well-formed XML: %s stands for no character", l.text[start:min(end+1, start+16)])
	}
	text = string(r) // half a surrogate pair becomes U+FFFD, as in encoding/xml
	if utf16.IsSurrogate(r) {
		l.odd.note(oddSurrogate, start)
	}
	if r, _ := utf8.DecodeRuneInString(text); !isCharacter(r) {
		return "", 0, l.noCharacter(start, r)
	}
	return text, end + 1, nil
}

// digitOf returns the value of a hexadecimal digit, 16 for what is none.
func digitOf(c byte) rune {
	switch {
	case '0' <= c && c <= '9':
		return rune(c - '0')
	case 'a' <= c && c <= 'f':
		return rune(c-'a') + 10
	case 'A' <= c && c <= 'F':
		return rune(c-'A') + 10
	}
	return 16
}
