package part

import (
	"strings"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/pedal/spelling"
)

// A mark that another one of its staff and side follows soon ends with a space.
func TestSpace(t *testing.T) {
	p := composed(t, "C4:4 C4:4 C4:4 C4:4", "C4:4")
	mark := func(measure int, offset musicxml.Frac, placement, words string) musicxml.Mark {
		return musicxml.Mark{Part: p.Player.Parts[0], Measure: measure, Offset: offset, Staff: 1, Placement: placement, Words: words}
	}
	f := musicxml.NewFrac
	others := []musicxml.Mark{
		mark(0, f(0, 1), "below", "E♭\nB♭"), mark(0, f(1, 2), "below", "F♯"), mark(0, f(3, 2), "below", "G♯"), mark(0, f(13, 8), "below", "A♯"),
		mark(0, f(7, 2), "below", "C♯"), mark(1, f(0, 1), "below", "D♮"),
		mark(0, f(0, 1), "above", "= C♭"), mark(0, f(3, 1), "above", "= C♭"), mark(0, f(7, 2), "above", "= D♭"),
	}
	for _, tt := range []struct {
		mark musicxml.Mark
		want string
		why  string
	}{
		{mark(0, f(7, 2), "below", "C♯"), "C♯_", "the next one stands behind the barline"},
		{mark(0, f(0, 1), "below", "E♭\nB♭"), "E♭_\nB♭_", "an eighth later comes another"},
		{mark(0, f(1, 2), "below", "F♯"), "F♯", "nothing for a beat"},
		{mark(0, f(3, 2), "below", "G♯"), "G♯_", "a thirty-second later"},
		{mark(0, f(13, 8), "below", "A♯"), "A♯", "nothing for a beat"},
		{mark(0, f(0, 1), "above", "= C♭"), "= C♭", "what follows is on the other side"},
		{mark(0, f(3, 1), "above", "= C♭"), "= C♭_", "names as well"},
		{mark(0, f(7, 2), "above", "= D♭"), "= D♭", "the last one"},
		{mark(1, f(0, 1), "below", "D♮"), "D♮", "the last one"},
		{mark(0, f(0, 1), "below", ""), "", "a diagram"},
	} {
		t.Run(tt.mark.Words, func(t *testing.T) {
			marks := append([]musicxml.Mark{tt.mark}, others...)
			p.space(marks)
			if got := strings.ReplaceAll(marks[0].Words, spelling.Between, "_"); got != tt.want {
				t.Errorf("%q, want %q (%s)", got, tt.want, tt.why)
			}
		})
	}
}
