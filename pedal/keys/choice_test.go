package keys_test

import (
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/keys"
)

// rowsOf are the rows of music in a key of so many fifths; the first changes least.
func rowsOf(fifths, within int) []keys.Row {
	var rows []keys.Row
	for i, s := range keys.Shifts(fifths, within) {
		rows = append(rows, keys.Row{Shift: s, Cost: pedal.Cost{Changes: i}})
	}
	return rows
}

func TestChoice(t *testing.T) {
	for _, tt := range []struct {
		why, typed     string
		fifths, within int
		want           string
	}{
		{"the first", "auto", 0, 1, "B"},
		{"a row's name", "D♭", 0, 6, "D♭"},
		{"with a letter for the sign", "Db", 0, 6, "D♭"},
		{"a small letter", "eb", 0, 6, "E♭"},
		{"in words", "E flat major", 0, 6, "E♭"},
		{"with a hyphen", "E-flat", 0, 6, "E♭"},
		{"a sharp", "C#", 0, 6, "C♯"},
		{"with its direction", "G♭ up", 0, 6, "G♭ up"},
		{"with the other", "Gb down", 0, 6, "G♭ down"},
		{"a direction that the name does not need", "E♭ up", 0, 6, "E♭"},
		{"a direction in which it does not lie", "E♭ down", 0, 6, "none of the keys within reach is E♭ down"},
		{"two ways", "G♭", 0, 6, "can be reached in 2 ways: G♭ down, G♭ up"},
		{"an interval", "-2,-1", 0, 6, "B♭"},
		{"with a blank", "3, 2", 0, 6, "E♭"},
		{"the original", "0,0", 0, 6, "C"},
		{"out of reach", "A", 0, 1, "none of the keys within reach is A; there are B, C, C♭, C♯, D♭"},
		{"no key", "H", 0, 6, "no key from seven flats"},
		{"one with eight sharps", "G#", 0, 6, "no key from seven flats"},
		{"a minor key", "C minor", 0, 6, "no key from seven flats"},
		{"nothing", "", 0, 6, "no key from seven flats"},
		{"half an interval", "3,", 0, 6, "is no interval"},
	} {
		c, err := keys.ParseChoice(tt.typed)
		var row keys.Row
		if err == nil {
			row, err = c.Of(rowsOf(tt.fifths, tt.within))
		}
		got := row.Name
		if err != nil {
			got = err.Error()
		}
		if got != tt.want && (err == nil || !strings.Contains(got, tt.want)) {
			t.Errorf("%s: %q is %q, want %q", tt.why, tt.typed, got, tt.want)
		}
	}
}

// Two harps have one key: the sum decides.
func TestTogether(t *testing.T) {
	a, b := rowsOf(0, 2), rowsOf(0, 1)
	for i := range b {
		b[i].Cost.Changes = 100 - 20*i
	}
	all := keys.Together([][]keys.Row{a, b}, pedal.Options{})
	if len(all) != len(b) || all[0].Name != "D♭" || all[len(all)-1].Name != "B" {
		t.Errorf("%+v", all)
	}
	if keys.Together(nil, pedal.Options{}) != nil {
		t.Error("no harps, but keys")
	}
}
