package part_test

import (
	"maps"
	"os"
	"path/filepath"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/pedal/part"
)

// Of all texts in all parts of the scores, 1,494 of them, 449 different ones, those that
// are pedal marks were sorted out by hand: only they are read as marks.
func TestTextsOfScores(t *testing.T) {
	want := map[string]int{
		"Mi ♮  Fa ♯  Sol ♮  La ♮  Si ♮  Do ♮  Ré ♮": 1, "sol ♮  ré ♮": 1, "préparez mi ♮ fa ♮ sol ♭ la ♮ si ♭ do ♮ ré ♯": 1,
		"": 2, // harp-pedals elements
	}
	var paths []string
	for _, pattern := range []string{"*.mxl", "*.xml", "*.musicxml"} {
		found, _ := filepath.Glob("../../../shared/scores/*/" + pattern)
		paths = append(paths, found...)
	}
	if len(paths) == 0 {
		t.Skip("the scores in ../shared are not here")
	}
	got, texts := map[string]int{}, map[string]bool{}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := musicxml.Open(t.Context(), path, data, musicxml.Limits{})
		if err != nil {
			continue // one of them is no score
		}
		score, err := musicxml.Read(t.Context(), doc, musicxml.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range score.Parts {
			for _, r := range part.Readings(p, nil) {
				if texts[r.Text] = true; r.Role != part.NoMark {
					got[r.Text]++
				}
			}
		}
	}
	if !maps.Equal(got, want) {
		t.Errorf("read as marks are %v", got)
	}
	if delete(texts, ""); len(texts) != 449 {
		t.Errorf("%d different texts are not those that were sorted out", len(texts))
	}
}
