package extract_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/musicxml/extract"
)

const shared = "../../../shared/scores"

// Every part of the real scores, each taken as the harp: Part compares the notes, the
// playing order and the tempo of what it makes with the score, and fails where they
// are not the same.
func TestRealScores(t *testing.T) {
	files, _ := filepath.Glob(shared + "/*/*.*")
	if len(files) == 0 {
		t.Skip("../shared/scores is not here")
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
			_, err := x.Part(ctx, musicxml.Player{Name: p.Name, Parts: []*musicxml.Part{p}}, read, extract.Options{})
			if err != nil {
				t.Errorf("%s: %v", filepath.Base(path), err)
			}
			parts++
		}
	}
	t.Logf("%d parts", parts)
}
