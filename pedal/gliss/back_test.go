package gliss_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/gliss"
)

// passage is notes one after the other, at so many seconds each.
func passage(letters string, at ...float64) *pedal.Passage {
	p := &pedal.Passage{}
	for i, name := range strings.Fields(letters) {
		l, _ := pedal.ParseLetter(name[:1])
		cents := 100 * (strings.Count(name, "♯") - strings.Count(name, "♭"))
		p.Notes = append(p.Notes, pedal.Note{Pitch: pedal.Pitch{Letter: l, Cents: cents, Octave: 4}})
		when := time.Duration(at[i] * float64(time.Second))
		p.Moments = append(p.Moments, pedal.Moment{Onset: int64(1000 * at[i]), At: when,
			Strikes: []pedal.Strike{{Note: i, End: int64(1000*at[i]) + 100, Until: when + 100*time.Millisecond}}})
	}
	return p
}

// What must come back, by when, and what a foot has no time for: one change in half a
// second for each foot [BLI 6].
func TestBack(t *testing.T) {
	for _, test := range []struct {
		reason, music string
		at            []float64
		want          string
	}{
		{"what the music needs otherwise comes back", "C D F", []float64{0, 1, 2}, "F♮ at 2"},
		{"what it needs as it stands does not", "C D F♯", []float64{0, 1, 2}, ""},
		{"two pedals of one foot take a foot time each", "C E♭ A♭", []float64{0, 1, 1.1}, "E♭ at 1, A♭ at 2"},
		{"the second has no time", "C E♭ A♭", []float64{0, 0.4, 0.5}, "E♭ at 1, A♭ at 2 rushed"},
		{"one that cannot be made takes no time from the next", "C E♭ A♭", []float64{0, 0.2, 0.5}, "E♭ at 1 rushed, A♭ at 2"},
		{"the other foot is free", "C E♭ B♭", []float64{0, 0.4, 0.5}, "E♭ at 1, B♭ at 2"},
	} {
		p := passage(test.music, test.at...)
		o := pedal.Options{Mode: pedal.Written}
		plan, err := pedal.Solve(context.Background(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		var words []string
		for _, b := range gliss.Back(p, plan, o, 0, setting(t, "D C B | E F♯ G A")) {
			word := fmt.Sprintf("%v%s at %d", b.Letter, b.To.Sign(), b.Needed)
			if b.Rushed {
				word += " rushed"
			}
			words = append(words, word)
		}
		if got := strings.Join(words, ", "); got != test.want {
			t.Errorf("%s: %s; want %s", test.reason, got, test.want)
		}
	}
}
