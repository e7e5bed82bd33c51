package main

import (
	"bytes"
	"context"
	"os"
	"regexp"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/report"
)

// The option decides between texts, rewritten notes and nothing; the report
// lists what else has changed.
func TestRespellNotesOption(t *testing.T) {
	// In mode free, D flat is played as C sharp: it saves the changes of D.
	data := compose("Db5:4 E5:4 C#5:4 R:4", "C#5:4 Db4:4 C#5:4 D5:4")
	for _, tt := range []struct {
		args  []string
		texts int
		notes int // edits of notes
	}{
		{[]string{"--respell", "free"}, 1, 0},
		{[]string{"--respell", "free", "--respell-notes", "rewrite"}, 0, 1},
		{[]string{"--respell", "free", "--respell-notes", "none"}, 0, 0},
	} {
		var out, errs bytes.Buffer
		run(append([]string{"mark", "--quiet", "--report", "none"}, tt.args...), bytes.NewReader(data), &out, &errs)
		if got := strings.Count(out.String(), ">=\u00a0C♯<"); min(got, 1) != tt.texts {
			t.Errorf("%v: %d texts\n%s%s", tt.args, got, out.String(), errs.String())
		}
		if got := strings.Count(out.String(), " was=\"P"); min(got, 1) != tt.notes {
			t.Errorf("%v: %d rewritten notes", tt.args, got)
		}
	}
	var out, errs bytes.Buffer
	if code := run([]string{"mark", "--respell-notes", "twice"}, bytes.NewReader(data), &out, &errs); code != exitUsage || !strings.Contains(errs.String(), "--respell-notes") {
		t.Errorf("exit %d: %s", code, errs.String())
	}
}

var placed = regexp.MustCompile(`<!--pedalogue:(begin|end)[^>]*-->`)

// A rewritten copy, read as it stands and played as written, takes as many
// changes as the plan that it was made for, and leaves no note to be respelt.
func TestRewrittenIsPlayed(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	checked := 0
	for i, path := range sharedScores(t) {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if len(data) > 60<<10 || i%2 > 0 {
			continue
		}
		set := defaultSettings()
		o := &set.Wants.Plan.Options
		o.FootTime, o.Mode, o.Instrument = -1, pedal.Free, pedal.AllStrings()
		set.Wants.Style.Respelt = part.Rewrite
		doc, err := musicxml.Open(context.Background(), path, data, musicxml.Limits{})
		if err != nil {
			continue
		}
		score, err := musicxml.Read(context.Background(), doc, set.Read)
		if err != nil {
			continue
		}
		set.Read.Part = score.Parts[len(score.Parts)-1].ID
		m, copied, err := marking(path, data, set)
		if err != nil {
			continue
		}
		harp := m.report.Parts[0]
		if harp.Cost.Respelt == 0 || leftAsWritten(t, doc, set) {
			continue
		}
		checked++
		bare := placed.ReplaceAll(opened(t, path, copied).Text, nil)
		if doc.Encoding.Name != "UTF-8" {
			continue
		}
		o.Mode = pedal.Written
		again, _, err := marking("x", bare, set)
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		got := again.report.Parts[0].Cost
		if got.Respelt != 0 || got.Changes != harp.Cost.Changes || got.Unsounded != harp.Cost.Unsounded {
			t.Errorf("%s: as written it costs %+v, the plan %+v", path, got, harp.Cost)
		}
		checkContradictions(t, path, m.report, again.report)
	}
	if checked == 0 {
		t.Error("nothing was checked")
	}
}

// leftAsWritten reports whether a note may be left as it is because of an ornament.
func leftAsWritten(t *testing.T, doc *musicxml.Document, set options.Settings) bool {
	t.Helper()
	score, err := musicxml.Read(context.Background(), doc, set.Read)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range score.Parts {
		for _, n := range p.Notes {
			if p.Harp && n.Signs != nil && len(n.Signs.Ornaments) > 0 {
				return true
			}
		}
	}
	return false
}

// checkContradictions wants no accidental in the rewritten copy to contradict
// its pitch, where none did before.
func checkContradictions(t *testing.T, path string, before, after *report.Score) {
	t.Helper()
	count := func(r *report.Score) (n int) {
		for _, w := range r.Warnings {
			if w.Code == "accidental-contradicts-alter" {
				n++
			}
		}
		return n
	}
	if count(after) > count(before) {
		t.Errorf("%s: an accidental contradicts its pitch", path)
	}
}
