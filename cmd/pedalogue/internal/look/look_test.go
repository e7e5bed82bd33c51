package look

import (
	"context"
	"os"
	"slices"
	"testing"

	"pedalogue/musicxml"
)

const scores = "../../../../../shared/scores"

// The composer's own settings in a real score, in French words: two settings and
// a list of changes. The score does not print that G and D are sharp in measure
// 180, nor what the pedals do in measures 206 and 207.
func TestBoulangerSettings(t *testing.T) {
	data, err := os.ReadFile(scores + "/hauptstimme/boulanger_d_un_matin_de_printemps.mxl")
	if err != nil {
		t.Skip("the real scores are not here: " + scores)
	}
	doc, err := musicxml.Open(context.Background(), "b.mxl", data, musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := musicxml.Read(context.Background(), doc, musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range See(context.Background(), doc, score).Marks {
		text := m.Measure + " " + m.Language + " " + m.setting
		for _, a := range m.Against {
			text += ", " + a.Written + " in " + a.Measure
		}
		got = append(got, text)
	}
	want := []string{
		"175 fr D C B | E F♯ G A, G#5 in 180, D#6 in 180",
		"180 fr G♮ D♮",
		"199 fr D♯ C B♭ | E F G♭ A, D7 in 206, G4 in 207, B4 in 207",
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}
