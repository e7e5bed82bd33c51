package extract_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/musicxml/extract"
)

// Every part of the real scores, of the reading cases and of our own scores, each taken
// as the harp: Part compares the notes, the
// playing order and the tempo of what it makes with the score, and fails where they
// are not the same.
func TestEveryPart(t *testing.T) {
	var files []string
	for _, pattern := range []string{"../../testdata/*/*.musicxml", "../../../shared/cases/*.m*", "../../../shared/scores/*/*.*"} {
		if testing.Short() && strings.Contains(pattern, "scores/*") {
			continue
		}
		found, _ := filepath.Glob(pattern)
		files = append(files, found...)
		if len(found) == 0 && pattern[6] != 't' {
			t.Logf("%s is not here", pattern)
		}
	}
	parts := 0
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		ctx := context.Background()
		doc, err := musicxml.Open(ctx, path, data, musicxml.Limits{})
		if err != nil {
			continue
		}
		score, err := musicxml.Read(ctx, doc, musicxml.Options{})
		if err != nil {
			continue
		}
		x, err := extract.New(ctx, doc, score)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range score.Parts {
			read := musicxml.Options{Part: p.ID}
			_, err := x.Part(ctx, musicxml.Player{Name: p.Name, Parts: []*musicxml.Part{p}}, read, extract.Options{Cues: 8})
			if err != nil {
				t.Errorf("%s: %v", filepath.Base(path), err)
			}
			parts++
		}
	}
	if parts < 20 {
		t.Errorf("%d parts", parts)
	}
}
