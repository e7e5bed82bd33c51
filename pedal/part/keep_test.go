package part_test

import (
	"testing"

	"pedalogue/pedal/part"
)

func TestParseKeeps(t *testing.T) {
	for _, tt := range []struct {
		why, text string
		count     int // 0 for an error
	}{
		{"of the whole score", "melody, bass", 2},
		{"in measures", "12-20: melody", 1},
		{"at a beat, an octave, a name", "33@2: C♯5, Ab", 2},
		{"everything in a measure", "#4: all", 1},
		{"no place", ": melody", 0},
		{"no beat", "3@x: melody", 0},
		{"nothing", "3:", 0},
		{"another word", "tenor", 0},
		{"two octaves", "C45", 0},
	} {
		list, err := part.ParseKeeps(tt.text)
		if (err == nil) != (tt.count > 0) || len(list) != tt.count {
			t.Errorf("%s: %q gives %d, %v", tt.why, tt.text, len(list), err)
		}
	}
}

// What is to stay is found at its place, and a place without it is an error, as a slip of
// the pen would else go unnoticed.
func TestKept(t *testing.T) {
	p := partOf(t, part.Options{}, "C4:4 E4:4 C5:4 C4:4", "C4:16")
	for _, tt := range []struct {
		text string
		want int // -1 for an error
	}{
		{"all", 5}, {"C4", 3}, {"C", 4}, {"1: C", 3}, {"1@3: C5", 1}, {"2: all", 1}, {"2: E4", -1}, {"7: all", -1}, {"E7", 0},
	} {
		list, err := part.ParseKeeps(tt.text)
		if err != nil {
			t.Fatal(err)
		}
		notes, _, err := p.Kept(&list[0])
		if (err != nil) != (tt.want < 0) || err == nil && len(notes) != tt.want {
			t.Errorf("%q: %d notes, %v; want %d", tt.text, len(notes), err, tt.want)
		}
	}
}
