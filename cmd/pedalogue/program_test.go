package main

import (
	"os"
	"path/filepath"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/pedaltest"
)

// A general-purpose solver of integer programs finds the same optimum in
// excerpts of real scores: dense, late-romantic and atonal ones, and a harp part.
func TestIntegerProgramOnExcerpts(t *testing.T) {
	for _, e := range []struct {
		score, id     string
		from, moments int
	}{
		{"openscore_lieder/webern_kahl_reckt_der_baum.mxl", "P2", 0, 7},
		{"openscore_lieder/schoenberg_als_neuling.mxl", "P2", 40, 7},
		{"openscore_lieder/debussy_le_balcon.mxl", "P2", 100, 8},
		{"openscore_lieder/wolf_die_zigeunerin.mxl", "P2", 200, 8},
		{"openscore_lieder/wagner_traeume.mxl", "P2", 60, 8},
		{"hauptstimme/boulanger_d_un_matin_de_printemps.mxl", "P27", 80, 8},
		{"mx/Bombe.xml", "P1", 0, 7},
	} {
		t.Run(filepath.Base(e.score), func(t *testing.T) {
			p := excerpt(t, e.score, e.id, e.from, e.moments)
			for _, mode := range pedal.Modes() {
				o := pedal.Options{Mode: mode, FootTime: -1, Instrument: pedal.AllStrings()}
				plan, err := pedal.Solve(t.Context(), p, o)
				if err != nil {
					t.Fatal(err)
				}
				if want := pedaltest.Optimum(t, p, mode, pedal.DefaultChangePrice); plan.Cost != want {
					t.Errorf("%v: cost %+v, the integer program %+v", mode, plan.Cost, want)
				}
			}
		})
	}
}

// excerpt takes some moments with notes out of a real part. Unisons at one
// moment become one note, since they are one in costs.
func excerpt(t *testing.T, name, id string, from, moments int) *pedal.Passage {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(scoresDir, name))
	if err != nil {
		t.Skip("the real scores are not here: " + scoresDir)
	}
	doc, err := musicxml.Open(name, data, musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := musicxml.Read(doc, musicxml.Options{Part: id})
	if err != nil {
		t.Fatal(err)
	}
	b, err := part.New(score, score.Players()[0], part.Options{WrittenOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	p := &pedal.Passage{}
	known := map[int]int{} // notes of the part that the excerpt has already
	for _, m := range b.Passage.Moments {
		if len(m.Strikes) == 0 {
			continue
		}
		if from--; from >= 0 {
			continue
		}
		if len(p.Moments) == moments {
			break
		}
		p.Moments = append(p.Moments, united(p, b.Passage, m, known))
	}
	return p
}

// united is a moment with each tone struck once, as long as its longest note.
func united(p, whole *pedal.Passage, m pedal.Moment, known map[int]int) pedal.Moment {
	struck := map[pedal.Pitch]int{}
	var strikes []pedal.Strike
	for _, s := range m.Strikes {
		pitch := whole.Notes[s.Note].Pitch
		if i, twice := struck[pitch]; twice {
			strikes[i].End = max(strikes[i].End, s.End)
			strikes[i].Until = max(strikes[i].Until, s.Until)
			continue
		}
		note, seen := known[s.Note]
		if !seen {
			note = len(p.Notes)
			known[s.Note] = note
			p.Notes = append(p.Notes, pedal.Note{Pitch: pitch})
		}
		struck[pitch] = len(strikes)
		strikes = append(strikes, pedal.Strike{Note: note, End: s.End, Until: s.Until})
	}
	m.Strikes = strikes
	return m
}
