package extract_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/musicxml/extract"
)

// Whatever is read as a score is cut into parts that are read again, or refused; nothing
// panics, and what comes out is well-formed and played as before: Part sees to that.
func FuzzPart(f *testing.F) {
	files, _ := filepath.Glob("../../testdata/*/*.musicxml")
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data, "")
	}
	f.Add([]byte(duet([]string{common + words("rit.") + note, note}, []string{common + rest, ""})), "")
	f.Add([]byte(partwise(map[string][]string{"P2": {common + note}, "P3": {common + note}}, "P2", "P3")), "P2+P3")
	f.Fuzz(func(t *testing.T, data []byte, part string) {
		ctx := context.Background()
		limits := musicxml.Limits{Bytes: 1 << 20, Played: 1000}
		doc, err := musicxml.Open(ctx, "a.musicxml", data, limits)
		if err != nil {
			return
		}
		read := musicxml.Options{Part: part, Limits: limits}
		score, err := musicxml.Read(ctx, doc, read)
		if err != nil {
			return
		}
		x, err := extract.New(ctx, doc, score)
		if err != nil {
			t.Fatalf("what was read cannot be read again: %v", err)
		}
		for _, player := range score.Players() {
			p, err := x.Part(ctx, player, read, extract.Options{Cues: 1})
			if err != nil {
				continue
			}
			if p, err = p.WithTurns(ctx); err != nil {
				t.Fatalf("no page can end in it: %v", err)
			}
			rests, err := p.Rests(ctx, nil)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := p.Document.Splice(ctx, rests.Edits); err != nil {
				t.Fatal(err)
			}
		}
	})
}
