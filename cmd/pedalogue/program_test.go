package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/pedaltest"
)

// A general-purpose solver of integer programs finds the same optimum in excerpts
// of real scores, with feet: dense, late-romantic and atonal ones, and a harp part. Each is
// solved in one mode, by turns; with PEDALOGUE_WHOLE set in all.
func TestIntegerProgramOnExcerpts(t *testing.T) {
	if pedaltest.Solver() == "" {
		t.Skip("neither cbc nor glpsol is installed")
	}
	for i, e := range []struct {
		score, id     string
		from, moments int
	}{
		{"openscore_lieder/webern_kahl_reckt_der_baum.mxl", "P2", 0, 7},
		{"openscore_lieder/schoenberg_als_neuling.mxl", "P2", 40, 7},
		{"openscore_lieder/debussy_le_balcon.mxl", "P2", 100, 7},
		{"openscore_lieder/wolf_die_zigeunerin.mxl", "P2", 200, 7},
		{"openscore_lieder/wagner_traeume.mxl", "P2", 60, 7},
		{"hauptstimme/boulanger_d_un_matin_de_printemps.mxl", "P27", 80, 7},
		{"mx/Bombe.xml", "P1", 0, 7},
	} {
		t.Run(filepath.Base(e.score), func(t *testing.T) {
			p := partOf(t, e.score, e.id)
			p = pedaltest.Excerpt(p, pedaltest.Struck(p, e.from), pedaltest.Struck(p, e.from+e.moments))
			for k, mode := range pedal.Modes() {
				if !wholeTrial && k != i%4 {
					continue
				}
				o := pedal.Options{Mode: mode, Instrument: pedal.AllStrings()}
				plan, err := pedal.Solve(t.Context(), p, o)
				if err != nil {
					t.Fatal(err)
				}
				want, got := pedaltest.Optimum(t, p, pedaltest.RulesOf(o)), pedaltest.CostOf(plan.Cost)
				if mode != pedal.Balanced { // of the plan chosen
					want.Switches = got.Switches
				}
				if got != want {
					t.Errorf("%v: cost %+v, the integer program %+v", mode, got, want)
				}
			}
		})
	}
}

// The cheapest of all plans costs the same in excerpts of every real score:
// PEDALOGUE_EXCERPTS gives their number for each.
func TestBruteForceOnExcerpts(t *testing.T) {
	count, err := strconv.Atoi(os.Getenv("PEDALOGUE_EXCERPTS"))
	if err != nil {
		count = 1
	}
	eachReference(t, "reference.tsv", func(t *testing.T, row []string) {
		whole := partOf(t, row[0], row[1])
		struck := 0
		for _, m := range whole.Moments {
			struck += min(1, len(m.Strikes))
		}
		for i := range count {
			from := struck * (2*i + 1) / (2*count + 1)
			p := pedaltest.Excerpt(whole, pedaltest.Struck(whole, from), pedaltest.Struck(whole, from+1))
			for to := from + 2; to <= from+9; to++ { // some notes, some moments, whichever are first enough
				if longer := pedaltest.Excerpt(whole, pedaltest.Struck(whole, from), pedaltest.Struck(whole, to)); len(longer.Notes) <= 20 {
					p = longer
				}
			}
			for _, foot := range []time.Duration{0, -1} {
				o := pedal.Options{FootTime: foot, Instrument: pedal.AllStrings()}
				pedaltest.Compare(t, fmt.Sprintf("from the %d. moment with notes, foot time %v", from, foot), p, o)
			}
		}
	})
}

// partOf is what a part of a real score asks for, without what is not written
// out.
func partOf(t *testing.T, name, id string) *pedal.Passage {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(scoresDir, name))
	if err != nil {
		t.Skip("the real scores are not here: " + scoresDir)
	}
	doc, err := musicxml.Open(context.Background(), name, data, musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := musicxml.Read(context.Background(), doc, musicxml.Options{Part: id})
	if err != nil {
		t.Fatal(err)
	}
	b, err := part.New(score, score.Players()[0], part.Options{WrittenOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	return b.Passage
}
