package musicxml

import (
	"cmp"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pedalogue/musicxml/internal/xmltext"
)

// A benchScore is a large real score and the part to take as its harp.
type benchScore struct {
	name string
	raw  []byte
	text string
	part string
}

// largestScores returns the n scores with the longest documents.
func largestScores(b *testing.B, n int) []benchScore {
	b.Helper()
	var all []benchScore
	for _, file := range sharedFiles(b, "scores") {
		raw, err := os.ReadFile(file)
		if err != nil {
			b.Fatal(err)
		}
		if d, err := Open(ctx, file, raw, Limits{}); err == nil {
			all = append(all, benchScore{name: filepath.Base(file), raw: raw, text: string(d.Text)})
		}
	}
	slices.SortFunc(all, func(a, b benchScore) int { return cmp.Compare(len(b.text), len(a.text)) })
	all = all[:min(n, len(all))]
	for i := range all {
		all[i].part = harpOrLast(b, all[i])
	}
	return all
}

// harpOrLast names the part that plays the harp's part in a bench.
func harpOrLast(b *testing.B, s benchScore) string {
	d, err := Open(ctx, s.name, s.raw, Limits{})
	if err != nil {
		b.Fatal(err)
	}
	score, err := Read(ctx, d, Options{})
	if err != nil {
		b.Fatal(err)
	}
	if len(score.Players()) > 0 {
		return ""
	}
	return score.Parts[len(score.Parts)-1].ID
}

// strictPass is the yardstick: one pass of encoding/xml over the document.
func strictPass(text string) error {
	d := xml.NewDecoder(strings.NewReader(text))
	d.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

// benchSteps runs a step over the ten largest scores and prints its time
// against one pass of encoding/xml over the same documents.
func benchSteps(b *testing.B, step func(b *testing.B, s benchScore)) {
	for _, s := range largestScores(b, 10) {
		b.Run(s.name, func(b *testing.B) {
			b.SetBytes(int64(len(s.text)))
			b.ReportAllocs()
			var pass time.Duration
			for b.Loop() {
				b.StopTimer()
				start := time.Now()
				if err := strictPass(s.text); err != nil {
					b.Fatal(err)
				}
				pass += time.Since(start)
				b.StartTimer()
				step(b, s)
			}
			b.ReportMetric(float64(b.Elapsed())/float64(pass), "passes")
		})
	}
}

func BenchmarkTokens(b *testing.B) {
	benchSteps(b, func(b *testing.B, s benchScore) {
		for _, err := range xmltext.Tokens(ctx, []byte(s.text)) {
			if err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkOpen(b *testing.B) {
	benchSteps(b, func(b *testing.B, s benchScore) {
		if _, err := Open(ctx, s.name, s.raw, Limits{}); err != nil {
			b.Fatal(err)
		}
	})
}

// BenchmarkReadAndSplice reads a score and puts a mark into every measure of
// its harp.
func BenchmarkReadAndSplice(b *testing.B) {
	benchSteps(b, func(b *testing.B, s benchScore) {
		d, err := Open(ctx, s.name, s.raw, Limits{})
		if err != nil {
			b.Fatal(err)
		}
		score, err := Read(ctx, d, Options{Part: s.part})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := d.Splice(ctx, markEveryMeasure(b, d, score)); err != nil {
			b.Fatal(err)
		}
	})
}

func markEveryMeasure(b *testing.B, d *Document, score *Score) []Edit {
	var marks []Mark
	for _, p := range score.Parts {
		for i := range p.Measures {
			if p.Harp && p.Measures[i].End >= 0 {
				marks = append(marks, Mark{Part: p, Measure: i, Before: -1, Staff: 1, Words: "F♯\nD♭"})
			}
		}
	}
	edits, err := score.Edits(ctx, d, marks)
	if err != nil {
		b.Fatal(err)
	}
	return edits
}

func BenchmarkRead(b *testing.B) {
	benchSteps(b, func(b *testing.B, s benchScore) {
		b.StopTimer()
		d, err := Open(ctx, s.name, s.raw, Limits{})
		if err != nil {
			b.Fatal(err)
		}
		b.StartTimer()
		if _, err := Read(ctx, d, Options{Part: s.part}); err != nil {
			b.Fatal(err)
		}
	})
}
