package keys_test

import (
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/keys"
)

func names(list []keys.Shift) string {
	var words []string
	for _, s := range list {
		words = append(words, s.Name)
	}
	return strings.Join(words, ", ")
}

// Every spelling from seven flats to seven sharps; where a key is reached both
// ways, the direction is named.
func TestShifts(t *testing.T) {
	for _, test := range []struct {
		reason         string
		fifths, within int
		want           string
	}{
		{"C major and its neighbours; D♭ and C♯, C♭ and B are different harps", 0, 1, "B, C♭, C, C♯, D♭"},
		{"a key with another spelling at the same pitch", -5, 0, "C♯, D♭"},
		{"six semitones each way meet in two keys", 0, 6,
			"F♯ down, G♭ down, G, A♭, A, B♭, B, C♭, C, C♯, D♭, D, E♭, E, F, F♯ up, G♭ up"},
	} {
		if got := names(keys.Shifts(test.fifths, test.within)); got != test.want {
			t.Errorf("%s:\n%s\nwant\n%s", test.reason, got, test.want)
		}
	}
}

// The rule of the contract, tried on every pair.
func TestShiftsAreAllThereAre(t *testing.T) {
	for fifths := -7; fifths <= 7; fifths++ {
		found := map[[2]int]int{}
		for _, s := range keys.Shifts(fifths, 12) {
			found[[2]int{s.Semitones, s.Steps}]++
			if s.Original() && s.Fifths != fifths {
				t.Errorf("the original has %d fifths, not %d", s.Fifths, fifths)
			}
		}
		for semitones := -12; semitones <= 12; semitones++ {
			for steps := -20; steps <= 20; steps++ {
				to := fifths + 7*semitones - 12*steps
				want := 0
				if to >= -7 && to <= 7 {
					want = 1
				}
				if got := found[[2]int{semitones, steps}]; got != want {
					t.Errorf("%d fifths, %d semitones, %d steps: %d rows, want %d", fifths, semitones, steps, got, want)
				}
			}
		}
	}
}

// Pitches keep their spelling by interval: common practice.
func TestPitch(t *testing.T) {
	for _, test := range []struct {
		reason           string
		semitones, steps int
		from, to         pedal.Pitch
	}{
		{"a major second up", 2, 1, pedal.Pitch{Letter: pedal.B, Octave: 3}, pedal.Pitch{Letter: pedal.C, Cents: 100, Octave: 4}},
		{"a semitone up, to a flat", 1, 1, pedal.Pitch{Letter: pedal.C, Octave: 4}, pedal.Pitch{Letter: pedal.D, Cents: -100, Octave: 4}},
		{"a semitone up, to a sharp", 1, 0, pedal.Pitch{Letter: pedal.C, Octave: 4}, pedal.Pitch{Letter: pedal.C, Cents: 100, Octave: 4}},
		{"a minor second down over the octave", -1, -1, pedal.Pitch{Letter: pedal.C, Octave: 4}, pedal.Pitch{Letter: pedal.B, Octave: 3}},
		{"below C0", -2, -1, pedal.Pitch{Letter: pedal.C, Octave: 0}, pedal.Pitch{Letter: pedal.B, Cents: -100, Octave: -1}},
		{"to a double sharp", 2, 0, pedal.Pitch{Letter: pedal.F, Octave: 5}, pedal.Pitch{Letter: pedal.F, Cents: 200, Octave: 5}},
		{"a quarter tone stays one", 2, 1, pedal.Pitch{Letter: pedal.G, Cents: 50, Octave: 5}, pedal.Pitch{Letter: pedal.A, Cents: 50, Octave: 5}},
	} {
		s := keys.Shift{Semitones: test.semitones, Steps: test.steps}
		if got := s.Pitch(test.from); got != test.to {
			t.Errorf("%s: %v becomes %v, want %v", test.reason, test.from, got, test.to)
		}
		back := keys.Shift{Semitones: -test.semitones, Steps: -test.steps}
		if got := back.Pitch(test.to); got != test.from {
			t.Errorf("%s, and back: %v", test.reason, got)
		}
	}
}

// The settings of key signatures follow each other: D C B♭ | E♭ F G A♭ … as the
// circle of fifths has them [GROVE].
func TestPassage(t *testing.T) {
	p := &pedal.Passage{Notes: []pedal.Note{{Pitch: pedal.Pitch{Letter: pedal.E, Octave: 4}}}}
	for _, s := range keys.Shifts(0, 6) {
		moved := s.Passage(p)
		sharps := 0
		for _, position := range moved.Key {
			sharps += int(position)
		}
		if sharps != s.Fifths {
			t.Errorf("%s: the signature %v has not %d fifths", s.Name, moved.Key, s.Fifths)
		}
	}
	if p.Notes[0].Pitch != (pedal.Pitch{Letter: pedal.E, Octave: 4}) {
		t.Error("the original passage was changed")
	}
}
