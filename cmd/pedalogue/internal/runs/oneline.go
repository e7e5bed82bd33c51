package runs

import "strings"

// OneLine keeps what a file says from breaking or steering the terminal.
func OneLine(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return '\uFFFD'
		}
		return r
	}, text)
}
