package main

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/part"
	"pedalogue/pedal/remedy"
)

// BenchmarkPlans times the planning of all four modes over the real scores, with
// feet and without, against reading the same score from its bytes.
func BenchmarkPlans(b *testing.B) {
	defer runs.CollectFor(runs.DefaultMemory())() // as in a run
	for _, foot := range []struct {
		name string
		time time.Duration
	}{{"feet", 0}, {"no-feet", -1}} {
		var ratios []float64
		for _, s := range largestScores(b, 1<<20) {
			b.Run(foot.name+"/"+filepath.Base(s.name), func(b *testing.B) {
				var reading, planning time.Duration
				for b.Loop() {
					start := time.Now()
					passage := passageOf(b, s)
					reading += time.Since(start)
					start = time.Now()
					if _, err := pedal.Plans(b.Context(), passage, pedal.Options{FootTime: foot.time}); err != nil {
						b.Fatal(err)
					}
					planning += time.Since(start)
				}
				ratio := float64(planning) / float64(reading)
				b.ReportMetric(ratio, "readings")
				ratios = append(ratios, ratio)
			})
		}
		slices.Sort(ratios)
		if n := len(ratios); n > 0 {
			b.Logf("%s: planning against reading: median %.2f, ninth decile %.2f, most %.1f", foot.name, ratios[n/2], ratios[n*9/10], ratios[n-1])
		}
	}
}

// passageOf reads a score from its bytes to the passage of its first harp; a
// score without one has its last part taken.
func passageOf(b *testing.B, s realScore) *pedal.Passage {
	p, err := firstPart(s)
	if err != nil {
		b.Skip(err)
	}
	return p.Passage
}

// firstPart is the part of the first harp of a score; of one without, its last part.
func firstPart(s realScore) (*part.Part, error) {
	doc, err := musicxml.Open(context.Background(), s.name, s.data, musicxml.Limits{})
	if err != nil {
		return nil, err
	}
	score, err := musicxml.Read(context.Background(), doc, musicxml.Options{})
	if err != nil {
		return nil, err
	}
	players := score.Players()
	if len(players) == 0 {
		last := score.Parts[len(score.Parts)-1]
		last.Harp = true
		players = score.Players()
	}
	return part.New(score, players[0], part.Options{})
}

// BenchmarkLength plans real scores played once and several times over, whose
// notes are those of other printed notes each time, and prints the time by moment.
func BenchmarkLength(b *testing.B) {
	defer runs.CollectFor(runs.DefaultMemory())()
	for _, s := range largestScores(b, 1<<20) {
		name := filepath.Base(s.name)
		if name != "debussy_mandoline.mxl" && name != "wolf_nachtzauber.mxl" && name != "brahms_parole.mxl" {
			continue
		}
		once := passageOf(b, s)
		for _, times := range []int{1, 2, 4, 8, 16} {
			p := playedAgain(once, times)
			b.Run(fmt.Sprintf("%s/%d", name, times), func(b *testing.B) {
				for b.Loop() {
					if _, err := pedal.Plans(b.Context(), p, pedal.Options{}); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*len(p.Moments)), "µs/moment")
			})
		}
	}
}

// playedAgain is a passage that plays another one several times over.
func playedAgain(p *pedal.Passage, times int) *pedal.Passage {
	var onset int64
	var at time.Duration
	for _, m := range p.Moments {
		onset, at = max(onset, m.Onset), max(at, m.At)
		for _, s := range m.Strikes {
			onset, at = max(onset, s.End), max(at, s.Until)
		}
	}
	long := &pedal.Passage{Key: p.Key}
	for i := range int64(times) {
		first, o, a := len(long.Notes), i*onset, time.Duration(i)*at
		long.Notes = append(long.Notes, p.Notes...)
		for _, m := range p.Moments {
			strikes := slices.Clone(m.Strikes)
			for j := range strikes {
				s := &strikes[j]
				s.Note, s.End, s.Until = s.Note+first, s.End+o, s.Until+a
			}
			m.Onset, m.At, m.Strikes = m.Onset+o, m.At+a, strikes
			long.Moments = append(long.Moments, m)
		}
	}
	return long
}

// BenchmarkFindings prints what all findings of the real scores, and their remedies, cost against
// the planning of the same parts in the four modes that a report compares.
func BenchmarkFindings(b *testing.B) {
	var planned, found, mended time.Duration
	worst, at := 0.0, ""
	modes := pedal.Modes()
	for _, s := range largestScores(b, 40) {
		score, err := readReal(s, partFor(b, s))
		if err != nil {
			continue // not every file of the collection is sound
		}
		for _, player := range score.Players() {
			p, err := part.New(score, player, part.Options{})
			if err != nil {
				b.Fatal(err)
			}
			start := time.Now()
			plans, err := pedal.Plans(b.Context(), p.Passage, pedal.Options{Workers: 1})
			if err != nil {
				b.Fatal(err)
			}
			solved := time.Since(start)
			start = time.Now()
			plan := plans[slices.Index(modes[:], pedal.Balanced)]
			list, err := finding.All(&p.Music, plan, finding.Options{})
			if err != nil {
				b.Fatal(err)
			}
			judged := time.Since(start)
			start = time.Now()
			if _, err := remedy.Try(b.Context(), &p.Music, plan, finding.Options{}, list); err != nil {
				b.Fatal(err)
			}
			tried := time.Since(start)
			planned, found, mended = planned+solved, found+judged, mended+tried
			if ratio := (judged + tried).Seconds() / solved.Seconds(); ratio > worst && len(p.Passage.Moments) > 100 {
				worst, at = ratio, s.name
			}
		}
	}
	b.ReportMetric((found+mended).Seconds()/planned.Seconds(), "of-planning")
	b.Logf("planned in %v, judged in %v, remedies tried in %v; at worst %.2f of the planning, %s", planned, found, mended, worst, at)
}

func readReal(s realScore, part string) (*musicxml.Score, error) {
	doc, err := musicxml.Open(context.Background(), s.name, s.data, musicxml.Limits{})
	if err != nil {
		return nil, err
	}
	return musicxml.Read(context.Background(), doc, musicxml.Options{Part: part})
}
