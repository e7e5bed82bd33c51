// Package plain makes text fit to be shown on a terminal or a page: on one line,
// with nothing in it that steers, as wide as it may be, and in ASCII where that is
// wanted.
package plain

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"

	"pedalogue/pedal/beat"
)

const (
	zeroWidthNonJoiner = '\u200C'
	zeroWidthJoiner    = '\u200D'
)

// Steers reports whether r is a control character, a line separator or an
// invisible format character, such as those that turn the direction of text. A
// file's title must not steer the terminal or page that it is shown on. The two
// zero-width joiners are let through, as several scripts cannot do without.
func Steers(r rune) bool {
	switch {
	case r == zeroWidthJoiner, r == zeroWidthNonJoiner:
		return false
	case unicode.IsControl(r):
		return true
	}
	return unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp)
}

// Line makes text from a file fit to be shown on one line: line breaks and tabs
// become spaces; all else that steers, and bytes that are not UTF-8, become the
// replacement character, so that it can be seen that something was there.
func Line(s string) string { return strings.Map(shown, s) }

// Tabbed is Line that leaves tabs as they are.
func Tabbed(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\t' {
			return r
		}
		return shown(r)
	}, s)
}

// shown is what stands for a character.
func shown(r rune) rune {
	switch {
	case r >= ' ' && r < 0x7f, !Steers(r):
		return r
	case unicode.IsSpace(r):
		return ' '
	}
	return utf8.RuneError
}

// Columns is the number of terminal columns that s takes.
func Columns(s string) int {
	n := 0
	for _, r := range s {
		n += runeColumns(r)
	}
	return n
}

func runeColumns(r rune) int {
	if unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf) {
		return 0
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	}
	return 1
}

// Pad fills s with spaces up to n columns.
func Pad(s string, n int) string {
	return s + strings.Repeat(" ", max(0, n-Columns(s)))
}

// Wrap breaks text at its spaces into lines of at most n columns; a word longer
// than that keeps a line to itself, since a broken path could not be copied.
func Wrap(text string, n int) []string {
	var lines []string
	line, used := "", 0
	for _, word := range strings.Fields(text) {
		w := Columns(word)
		if line != "" && used+1+w > n {
			lines = append(lines, line)
			line, used = "", 0
		}
		if line != "" {
			line, used = line+" ", used+1
		}
		line, used = line+word, used+w
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// asciiSigns spells the signs of our own texts in ASCII.
var asciiSigns = strings.NewReplacer(
	"♭", "b", "♮", "n", "♯", "#", "𝄫", "bb", "𝄪", "x",
	"–", "-", "—", "-", "…", "...", "×", "x", "·", "-", "’", "'",
)

// ASCII spells s in ASCII. What has no usual spelling is written as its code
// point, \u00e9, so that a name is never taken for another.
func ASCII(s string) string {
	s = asciiSigns.Replace(beat.Plain(s))
	var b strings.Builder
	for _, r := range s {
		switch {
		case r < utf8.RuneSelf:
			b.WriteRune(r)
		case r > 0xFFFF:
			b.WriteString(`\U` + hex(r, 8))
		default:
			b.WriteString(`\u` + hex(r, 4))
		}
	}
	return b.String()
}

func hex(r rune, digits int) string {
	const hexDigits = "0123456789abcdef"
	b := make([]byte, digits)
	for i := digits - 1; i >= 0; i-- {
		b[i] = hexDigits[r&15]
		r >>= 4
	}
	return string(b)
}
