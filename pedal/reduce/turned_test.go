package reduce

import (
	"strings"
	"testing"

	"pedalogue/pedal/revise"
)

// In music of more than a few moments a note of a chord that is too wide goes to its other
// string where nothing is lost so, and stays on its own where something else would come of it.
func TestChordsTurn(t *testing.T) {
	const before, after = "C♭5 +5 | C♭5 +5 | C♭5 +5 | C♭5 +5 | C♭5 +5 | C♭5 +5 | ", " | C♭5 +5 | C♭5 +5 | C♭5 +5 | C♭5 +5 | C♭5 +5 | C♭5 +5 | C♭5 +5"
	for _, tt := range []struct {
		why, music, want string
	}{
		{"an eleventh is a tenth from the B string", "D5 G2/2 C♭4/2 F6 +5", "Play C♭4 on the B string."},
		{"the B pedal has no time from the chord before", "A2/2 B♭2/2 +1 | D5 G2/2 C♭4/2 F6 +5", "Roll the chord."},
		{"nor to the chord after", "D5 G2/2 C♭4/2 F6 +2 | A3/2 B♭3/2 +5", "Roll the chord."},
		{"the B string is wanted for another note", "D5 F6 G2/2 A3/2 B♭3/2 C♭4/2 +5", "Roll the chord."},
		{"a thirteenth is none on its other string either, and no roll", "D5 G2/2 F♭4/2 F6 +5", "Play F♭4 as F♭5."},
	} {
		m := musicOf(t, before+tt.music+after)
		if len(m.Passage.Moments) <= fewAround {
			t.Fatal("the music is of a few moments")
		}
		done, err := Music(t.Context(), m, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := revise.Sentence(m, done.Ops); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.why, got, tt.want)
		}
		if left := treated(done.After); len(left) > 0 || len(done.Reductions) != 1 || !done.Reductions[0].Verified {
			t.Errorf("%s: reductions %+v, left %v", tt.why, done.Reductions, left)
		}
		if loss := done.Reductions[0].Loss; strings.Contains(tt.want, "string") && loss != (revise.Loss{}) {
			t.Errorf("%s: it loses %+v", tt.why, loss)
		}
	}
}
