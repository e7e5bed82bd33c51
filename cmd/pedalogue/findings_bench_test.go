package main

import (
	"path/filepath"
	"testing"
	"time"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/remedy"
)

// BenchmarkFindings times all findings of the real scores with their remedies against
// the planning of the four modes, which a report on a score has.
func BenchmarkFindings(b *testing.B) {
	defer runs.CollectFor(runs.DefaultMemory())() // as in a run
	var planned, found, mended time.Duration
	for _, s := range largestScores(b, 1<<20) {
		p, err := firstPart(s)
		if err != nil {
			continue
		}
		b.Run(filepath.Base(s.name), func(b *testing.B) {
			for b.Loop() {
				start := time.Now()
				plans, err := pedal.Plans(b.Context(), p.Passage, pedal.Options{Workers: 1})
				if err != nil {
					b.Fatal(err)
				}
				planned += time.Since(start)
				start = time.Now()
				list, err := finding.All(&p.Music, plans[2], finding.Options{})
				if err != nil {
					b.Fatal(err)
				}
				found += time.Since(start)
				start = time.Now()
				if _, err := remedy.Try(b.Context(), &p.Music, plans[2], finding.Options{}, list); err != nil {
					b.Fatal(err)
				}
				mended += time.Since(start)
			}
		})
	}
	if planned > 0 {
		b.Logf("findings take %.2f of the planning, remedies %.2f", float64(found)/float64(planned), float64(mended)/float64(planned))
	}
}
