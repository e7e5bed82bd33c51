package part_test

import (
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/part"
)

func TestParsePins(t *testing.T) {
	for _, tt := range []struct {
		text, want string // the pins' texts, or a part of the error after "!"
	}{
		{"12-20: F♭=E", "12-20: F♭=E"},
		{"12: Fb=E, C#5=D; 14@2½: F♯\n\n// a remark\n  all: Cb!=B , A##≠C", "12: Fb=E, C#5=D|14@2½: F♯|all: Cb!=B , A##≠C"},
		{"30-34: written", "30-34: written"},
		{"1: C♯=D♭", "1: C♯=D♭"},
		{"1: C♯=D♯", "!on the D string C♯ is D♭, not D♯"},
		{"1: F♭=G", "!F♭ is on no G string"},
		{"1: D=C", "!D is on no C string"},
		{"F♭=E", "!a pin is a place"},
		{": F♭=E", "!no measure"},
		{"1@x: F♯", "!no beat"},
		{"1@0: F♯", "!no beat"},
		{"1: H=C", "!no name"},
		{"1: F♭=", "!no string"},
		{"1: F♭9x=E", "!no octave"},
		{"1: F𝄪", "!neither a pedal"},
		{"1: F♯4", "!neither a pedal"},
		{"1:", "!neither a pedal"},
	} {
		pins, err := part.ParsePins(tt.text)
		if want, fails := strings.CutPrefix(tt.want, "!"); fails {
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%q: %v, want an error with %q", tt.text, err, want)
			}
			continue
		}
		var texts []string
		for _, p := range pins {
			texts = append(texts, p.Text)
		}
		if got := strings.Join(texts, "|"); err != nil || got != tt.want {
			t.Errorf("%q: %q, %v, want %q", tt.text, got, err, tt.want)
		}
	}
}

// pinsOf reads pins that are well written.
func pinsOf(t *testing.T, text string) []part.Pin {
	t.Helper()
	pins, err := part.ParsePins(text)
	if err != nil {
		t.Fatal(err)
	}
	return pins
}

// Pins decide on which strings notes are, or how pedals stand, in every mode; the
// plan is the best under them, and tells what it would cost without.
func TestPins(t *testing.T) {
	music := []string{"Fb4:4 E4:4 Fb5:8", "C4:16", "Fb4:8 C#4:8", "F#4:16"}
	for _, tt := range []struct {
		pins    string
		strings string // of the notes, in order
		starts  string // how the F pedal stands at the beginning of each measure
		why     string
	}{
		{"", "F E F C F C F", "♭♭♭♯", ""},
		{"1: F♭=E", "E E E C F C F", "♭♭♭♯", "in one measure"},
		{"1: F♭5=E", "F E E C F C F", "♭♭♭♯", "in one octave"},
		{"1@3: Fb=E", "F E E C F C F", "♭♭♭♯", "at one beat"},
		{"1-3: F♭≠F", "E E E C E C F", "♯♯♯♯", "not on a string is on the other"},
		{"all: F♭=E♮, C♯=D", "E E E C E D F", "♯♯♯♯", "in the whole score"},
		{"#3: C♯=D♭", "F E F C F D F", "♭♭♭♯", "a measure by its place"},
		{"2: F♯", "F E F C F C F", "♭♯♭♯", "a pedal"},
		{"1-3: F♯", "E E E C E C F", "♯♯♯♯", "a pedal over a stretch"},
		{"2@2: F♮", "F E F C F C F", "♭♮♭♯", "a pedal at a beat without a note"},
	} {
		for _, mode := range []pedal.Mode{pedal.Needed, pedal.Written} { // so that nothing is respelt but for a pin
			if mode == pedal.Written && strings.HasPrefix(tt.pins, "1-3: F♯") {
				continue // what is written as F♭ must go to another string then
			}
			w := part.Wishes{Options: pedal.Options{Mode: mode}, Pins: pinsOf(t, tt.pins)}
			done := planned(t, w, music...)
			var on []string
			starts := ""
			for i := range done.Plan.Strings {
				if done.Part.Note(i) != nil {
					on = append(on, done.Plan.Strings[i].Letter.String())
				}
			}
			for _, m := range done.Part.Passage.Measures {
				starts += done.Plan.Settings[m.First][pedal.F].Sign()
			}
			if got := strings.Join(on, " "); got != tt.strings || tt.starts != starts && !strings.Contains(tt.pins, "@2") {
				t.Errorf("%v, %q: strings %s, F %s, want %s, %s: %s", mode, tt.pins, got, starts, tt.strings, tt.starts, tt.why)
			}
			if !done.Plan.Proof.Minimal {
				t.Errorf("%v, %q: not proved", mode, tt.pins)
			}
			if free := planned(t, part.Wishes{Options: w.Options}, music...); done.WithoutPins != free.Plan.Cost {
				t.Errorf("%v, %q: %+v without pins, want %+v", mode, tt.pins, done.WithoutPins, free.Plan.Cost)
			}
		}
	}
}

// What is pinned in a repeat is pinned in all passes.
func TestPinsInRepeats(t *testing.T) {
	done := planned(t, part.Wishes{Options: written(), Pins: pinsOf(t, "2: G♯; 1: C♯=D")}, "{fwd} C#4:16", "A4:16 {back}", "G4:16")
	for i, m := range done.Part.Passage.Measures {
		if at := done.Plan.Settings[m.First]; m.Written == 1 && at[pedal.G] != pedal.Sharp || m.Written == 0 && at[pedal.D] != pedal.Flat {
			t.Errorf("measure %d as played: %v", i, at)
		}
	}
}

// A pin that cannot be met is an error that names the place.
func TestPinsThatCannotBeMet(t *testing.T) {
	for _, tt := range []struct{ pins, want string }{
		{"9: F♯", `part P1: "9: F♯": there is no measure 9`},
		{"3-2: F♯", "measure 3: \"3-2: F♯\": measure 2 comes before it"},
		{"1-9: F♯", "there is no measure 9"},
		{"1-2@2: F♯", "a beat is one of a single measure"},
		{"2: F♭=E", `measure 2: "2: F♭=E": no F♭ is struck there`},
		{"all: F♭=E", ""},
		{"1: C=B; 1: C=C", `measure 1: "1: C=C": no string is left for C4`},
		{"1@1.3: F♯", "measure 1: \"1@1.3: F♯\": nothing is struck there, and no beat begins"},
		{"1: G♯; 1: G", "measure 1 beat 1: \"1: G\": another pin wants the G pedal elsewhere"},
		{"2: G♯", "measure 2 beat 1: the G pedal cannot be pinned at G♯ here"},
		{"3: E♭=D", "measure 3 beat 1: what is pinned leaves no string for "},
	} {
		p := partOf(t, part.Options{}, "C4:8 D4:8", "G4:16", "D4+Eb4:16")
		_, err := p.Plan(t.Context(), part.Wishes{Options: pedal.Options{FootTime: -1}, Pins: pinsOf(t, tt.pins)})
		switch {
		case tt.want == "" && err != nil:
			t.Errorf("%q: %v", tt.pins, err)
		case tt.want != "" && (err == nil || !strings.Contains(err.Error(), tt.want)):
			t.Errorf("%q: %v, want %q", tt.pins, err, tt.want)
		}
	}
}
