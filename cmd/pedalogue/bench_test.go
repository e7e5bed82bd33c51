package main

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// A realScore is a score of the collection, its document decoded.
type realScore struct {
	name string
	data []byte
	text []byte
	part string // the part to take as the harp where there is none; "" where there is
}

// largestScores returns the n scores with the longest documents, longest first.
func largestScores(tb testing.TB, n int) []realScore {
	var scores []realScore
	err := filepath.WalkDir(scoresDir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !runs.IsScoreName(path) {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if doc, err := musicxml.Open(context.Background(), path, data, musicxml.Limits{}); err == nil {
			scores = append(scores, realScore{name: strings.TrimPrefix(path, scoresDir+"/"), data: data, text: doc.Text})
		}
		return nil
	})
	if err != nil {
		tb.Skip("the real scores are not here: " + scoresDir)
	}
	slices.SortFunc(scores, func(a, b realScore) int { return len(b.text) - len(a.text) })
	return scores[:min(n, len(scores))]
}

// decodeTokens is the yardstick: one pass of encoding/xml over the document.
func decodeTokens(text []byte) error {
	d := xml.NewDecoder(bytes.NewReader(text))
	d.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

// partFor names the last part of a score without a harp, to be taken as one.
func partFor(tb testing.TB, s realScore) string {
	doc, err := musicxml.Open(context.Background(), s.name, s.data, musicxml.Limits{})
	if err != nil {
		tb.Fatal(err)
	}
	score, err := musicxml.Read(context.Background(), doc, musicxml.Options{})
	if err != nil {
		tb.Fatal(err)
	}
	if len(score.Players()) > 0 {
		return ""
	}
	return score.Parts[len(score.Parts)-1].ID
}

// markWhole is a whole run of mark for one score, from its bytes to the bytes
// of its copy and report.
func markWhole(s realScore) error {
	set := defaultSettings()
	set.Read.Part = s.part
	set.Wants.Plan.Options.Workers = 1 // as with --jobs 1
	m, err := markBytes(context.Background(), s.name, s.data, set)
	if err != nil {
		return err
	}
	if _, err := m.doc.Splice(context.Background(), m.edits); err != nil {
		return err
	}
	return report.WriteJSON(io.Discard, m.report)
}

// BenchmarkMark prints the speed of whole runs over the ten largest scores, and
// their time against one pass of encoding/xml over the same documents, at the
// end with the median.
func BenchmarkMark(b *testing.B) {
	defer runs.CollectFor(runs.DefaultMemory())() // as in a run
	var ratios []float64
	for _, s := range largestScores(b, 10) {
		s.part = partFor(b, s)
		ratio := 0.0
		b.Run(filepath.Base(s.name), func(b *testing.B) {
			b.SetBytes(int64(len(s.text)))
			b.ReportAllocs()
			var pass time.Duration
			for b.Loop() {
				b.StopTimer()
				start := time.Now()
				if err := decodeTokens(s.text); err != nil {
					b.Fatal(err)
				}
				pass += time.Since(start)
				b.StartTimer()
				if err := markWhole(s); err != nil {
					b.Fatal(err)
				}
			}
			ratio = float64(b.Elapsed()) / float64(pass)
			b.ReportMetric(ratio, "passes")
		})
		ratios = append(ratios, ratio)
	}
	slices.Sort(ratios)
	n := len(ratios)
	b.Logf("median %.2f passes", (ratios[(n-1)/2]+ratios[n/2])/2)
}
