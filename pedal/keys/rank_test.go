package keys_test

import (
	"context"
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/keys"
)

// The order of the contract, one rank at a time.
func TestSort(t *testing.T) {
	cost := func(unsounded, held, rushed, respelt, changes int) pedal.Cost {
		return pedal.Cost{Unsounded: unsounded, Held: held, Rushed: rushed, Respelt: respelt, Changes: changes}
	}
	inOrder := []keys.Row{
		{Shift: keys.Shift{Fifths: -3, Semitones: -2}, Cost: cost(0, 0, 0, 0, 1)},
		{Shift: keys.Shift{Fifths: -3, Semitones: 2}, Cost: cost(0, 0, 0, 0, 1)}, // down before up
		{Shift: keys.Shift{Fifths: -3, Semitones: -3}, Cost: cost(0, 0, 0, 0, 1)},
		{Shift: keys.Shift{Fifths: 2}, Cost: cost(0, 0, 0, 0, 1)},               // the flatter key before the nearer
		{Shift: keys.Shift{Fifths: -5}, Cost: cost(0, 0, 0, 0, 1), Warnings: 1}, // warnings before that
		{Shift: keys.Shift{Fifths: -5}, Cost: cost(0, 0, 0, 5, 1)},              // 6 + 5 before 12
		{Shift: keys.Shift{Fifths: -5}, Cost: cost(0, 0, 0, 0, 2)},
		{Shift: keys.Shift{Fifths: -5}, Cost: cost(0, 0, 0, 0, 0), Errors: 1}, // errors before changes
		{Shift: keys.Shift{Fifths: -5}, Cost: cost(0, 0, 1, 0, 0)},
		{Shift: keys.Shift{Fifths: -5}, Cost: cost(0, 1, 0, 0, 0)},
		{Shift: keys.Shift{Fifths: -5}, Outside: 1},
		{Shift: keys.Shift{Fifths: -5}, Cost: cost(1, 0, 0, 0, 0)},
	}
	rows := make([]keys.Row, len(inOrder))
	for i, r := range inOrder {
		rows[len(rows)-1-i] = r
	}
	keys.Sort(rows, pedal.Options{})
	for i := range rows {
		if rows[i] != inOrder[i] {
			t.Errorf("place %d: %+v, want %+v", i, rows[i], inOrder[i])
		}
	}
}

// Notes beyond the strings, and on the lowest two, which have no discs and are tuned
// by hand once [GOSS-65] [WIKI].
func TestOutside(t *testing.T) {
	at := func(l pedal.Letter, cents, octave int) pedal.Pitch {
		return pedal.Pitch{Letter: l, Cents: cents, Octave: octave}
	}
	for _, tt := range []struct {
		reason  string
		pitches []pedal.Pitch
		want    int
	}{
		{"within the strings", []pedal.Pitch{at(pedal.C, 0, 4), at(pedal.G, 0, 7)}, 0},
		{"below and above", []pedal.Pitch{at(pedal.B, -100, 0), at(pedal.A, 0, 7)}, 2},
		{"one tuning of the lowest C", []pedal.Pitch{at(pedal.C, 0, 1), at(pedal.C, 0, 1)}, 0},
		{"a second tuning", []pedal.Pitch{at(pedal.C, 0, 1), at(pedal.C, 100, 1), at(pedal.C, 0, 1)}, 1},
		{"B below it, which the C string would sound tuned to flat", []pedal.Pitch{at(pedal.C, 0, 1), at(pedal.B, 0, 0)}, 1},
		{"a quarter tone is no matter of the strings", []pedal.Pitch{at(pedal.C, 50, 4)}, 0},
	} {
		p := &pedal.Passage{}
		for i, pitch := range tt.pitches {
			p.Notes = append(p.Notes, pedal.Note{Pitch: pitch})
			p.Moments = append(p.Moments, pedal.Moment{Onset: int64(10 * i), At: 1e10 * 1, Strikes: []pedal.Strike{{Note: i, End: int64(10*i + 1), Until: 1e10 * 1}}})
		}
		plan, err := pedal.Solve(context.Background(), p, pedal.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := keys.Outside(p, plan, pedal.Concert47()); got != tt.want {
			t.Errorf("%s: %d, want %d", tt.reason, got, tt.want)
		}
	}
}
