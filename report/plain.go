package report

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"
)

const (
	zeroWidthNonJoiner = '\u200C'
	zeroWidthJoiner    = '\u200D'
)

// steers reports whether r is a control character, a line separator or an
// invisible format character, such as those that turn the direction of text. A
// file's title must not steer the terminal or page that it is shown on. The two
// zero-width joiners are let through, as several scripts cannot do without.
func steers(r rune) bool {
	switch {
	case r == zeroWidthJoiner, r == zeroWidthNonJoiner:
		return false
	case unicode.IsControl(r):
		return true
	}
	return unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp)
}

// clean makes text from a file fit to be shown on one line: line breaks and
// tabs become spaces; all else that steers, and bytes that are not UTF-8, become
// the replacement character, so that it can be seen that something was there.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case !steers(r):
			return r
		case unicode.IsSpace(r):
			return ' '
		}
		return utf8.RuneError
	}, s)
}

// columns is the number of terminal columns that s takes.
func columns(s string) int {
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

// pad fills s with spaces up to n columns.
func pad(s string, n int) string {
	return s + strings.Repeat(" ", max(0, n-columns(s)))
}

// wrap breaks text at its spaces into lines of at most n columns; a word longer
// than that keeps a line to itself, since a broken path could not be copied.
func wrap(text string, n int) []string {
	var lines []string
	line, used := "", 0
	for _, word := range strings.Fields(text) {
		w := columns(word)
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

// asciiSigns spells the signs of this package's own texts in ASCII.
var asciiSigns = strings.NewReplacer(
	"♭", "b", "♮", "n", "♯", "#", "𝄫", "bb", "𝄪", "x",
	"–", "-", "—", "-", "…", "...", "×", "x", "·", "-", "’", "'",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
)

// ascii spells s in ASCII. What has no usual spelling is written as its code
// point, \u00e9, so that a name is never taken for another.
func ascii(s string) string {
	s = asciiSigns.Replace(s)
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
