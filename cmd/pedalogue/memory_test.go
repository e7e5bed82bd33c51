package main

import (
	"bytes"
	"context"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// A weighedSummary is the summary of plans; when its files are written it looks how
// much memory is in use.
type weighedSummary struct {
	planned.Summary
	use uint64
}

func (s *weighedSummary) Files() []work.SummaryFile {
	s.use = inUse()
	return nil
}

func inUse() uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.GC() // what finalizers have let go
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// What is kept of a score to the end of a run is under 1 kB, however many there are
// and however much its report says.
func TestMemoryOfManyScores(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	for _, tt := range []struct {
		scores int
		do     func(ctx context.Context, s work.Score) (*work.Made, error)
	}{
		{1000, func(ctx context.Context, s work.Score) (*work.Made, error) {
			return planned.Mark(ctx, work.Score{Path: s.Path, Data: s.Data, Workers: 1}, defaultSettings())
		}},
		{6000, func(_ context.Context, s work.Score) (*work.Made, error) {
			text := strings.Repeat("x", 20_000) // the document, of which the report holds parts
			r := &planned.Report{Score: report.Score{Head: report.Head{Path: s.Path, Title: text[100:120], Version: text[7:12]}}}
			for i := range 3 {
				r.Parts = append(r.Parts, report.Part{ID: text[i : i+2], Findings: make([]report.Finding, 20)})
				r.Parts[i].Findings[0].Measure = text[i : i+1]
			}
			return &work.Made{Report: r}, nil
		}},
	} {
		t.Run(fmt.Sprint(tt.scores), func(t *testing.T) {
			memoryFolder(t)
			var list bytes.Buffer
			for i := range tt.scores {
				path := fmt.Sprintf("a folder with a name/of usual length %d/score number %d.musicxml", i%50, i)
				writeFile(t, path, easyScore(fmt.Sprint("Score ", i)))
				fmt.Fprintln(&list, path)
			}
			w := work.Work{Kind: planned.Kind, Do: tt.do}
			w.Copy, w.OwnName = planned.CopyMark, true
			w.Limits = func() musicxml.Limits { return musicxml.Limits{} }
			sum := &weighedSummary{}
			w.Summary = func() work.Summary { return sum }
			before := inUse()
			r := workTyped(&w, list.String(), "-q", "--report", "json", "--out", "o", "--files-from", "-")
			if r.code != exitDone {
				t.Fatalf("exit %d: %s", r.code, r.err)
			}
			if each := (int64(sum.use) - int64(before)) / int64(tt.scores); each > 1000 || len(sum.Batch) != tt.scores {
				t.Errorf("%d bytes a score, of %d", each, len(sum.Batch))
			} else {
				t.Logf("%d bytes a score", each)
			}
			runtime.KeepAlive(sum)
		})
	}
}
