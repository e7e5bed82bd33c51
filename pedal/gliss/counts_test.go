package gliss_test

import (
	"math/bits"
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/gliss"
)

// What the settings come to up to transposition and inversion, and how many chords of
// a kind have settings. Source: the enumeration in the trade's facts, by another program.
func TestCounts(t *testing.T) {
	turned := func(set, by int) int { return (set<<by | set>>(12-by)) & 0xfff }
	mirrored := func(set int) (m int) {
		for i := range 12 {
			m |= set >> i & 1 << ((12 - i) % 12)
		}
		return m
	}
	least := func(set int) int {
		low := set
		for by := range 12 {
			low = min(low, turned(set, by))
		}
		return low
	}
	transposed, inverted := map[int]bool{}, map[int]bool{}
	pairs := 0
	for i := range 2187 {
		set := 0
		for l, n := pedal.Letter(0), i; l < pedal.Letters; l, n = l+1, n/3 {
			set |= 1 << (gliss.Name{Letter: l, Alter: n%3 - 1}).Class()
		}
		transposed[least(set)] = true
		inverted[min(least(set), least(mirrored(set)))] = true
		if bits.OnesCount(uint(set)) < 7 {
			pairs++
		}
	}
	if len(transposed) != 153 || len(inverted) != 93 || pairs != 1608 {
		t.Errorf("%d up to transposition, %d up to inversion too, %d with a unison; want 153, 93, 1608", len(transposed), len(inverted), pairs)
	}
	for _, tt := range []struct {
		kind     string
		low, top int
	}{{"9", 1, 4}, {"7♭9", 1, 3}, {"6/9", 1, 6}, {" whole tone", 4, 5}, {"aug", 0, 0}, {"", 0, 0}} {
		low, top := 99, 0
		for _, root := range roots {
			text := root + tt.kind
			if tt.kind == "" {
				text = root + " major" // no triad can be set
			}
			n := len(find(t, text).Exact)
			low, top = min(low, n), max(top, n)
		}
		if low != tt.low || top != tt.top {
			t.Errorf("%q: from %d to %d settings, want %d to %d", tt.kind, low, top, tt.low, tt.top)
		}
	}
	// The hexatonic collection of steps of 1 and 3 semitones, on its four roots.
	for _, want := range []string{"C E♭ E G A♭ B", "C♯ E F G♯ A C", "D F F♯ A B♭ C♯", "E♭ G♭ G B♭ B D"} {
		if len(find(t, want).Exact) == 0 {
			t.Errorf("%s: no setting", want)
		}
	}
}
