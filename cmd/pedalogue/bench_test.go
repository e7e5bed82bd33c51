package main

import (
	"bytes"
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

	"pedalogue/musicxml"
)

// A realScore is a score of the collection, its document decoded.
type realScore struct {
	name string
	data []byte
	text []byte
}

// largestScores returns the n scores with the longest documents, longest first.
func largestScores(tb testing.TB, n int) []realScore {
	var scores []realScore
	err := filepath.WalkDir(scoresDir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !isScoreName(path) {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if doc, err := musicxml.Open(path, data, musicxml.Limits{}); err == nil {
			scores = append(scores, realScore{strings.TrimPrefix(path, scoresDir+"/"), data, doc.Text})
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

// markWhole is a whole run of mark for one score, from its bytes to the bytes
// of its copy and report. A score without a harp has its last part taken.
func markWhole(s realScore) error {
	set := defaultSettings()
	m, err := markScore(s.name, s.data, set)
	if err != nil {
		doc, _ := musicxml.Open(s.name, s.data, musicxml.Limits{})
		score, readErr := musicxml.Read(doc, musicxml.Options{})
		if readErr != nil {
			return readErr
		}
		set.read.Part = score.Parts[len(score.Parts)-1].ID
		if m, err = markScore(s.name, s.data, set); err != nil {
			return err
		}
	}
	if _, err := m.doc.Splice(m.edits); err != nil {
		return err
	}
	_, err = reportFiles(m.report, target{reports: []string{".json"}})
	return err
}

// BenchmarkMark prints the speed of whole runs over the ten largest scores, and
// their time against one pass of encoding/xml over the same documents.
func BenchmarkMark(b *testing.B) {
	for _, s := range largestScores(b, 10) {
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
			b.ReportMetric(float64(b.Elapsed())/float64(pass), "passes")
		})
	}
}
