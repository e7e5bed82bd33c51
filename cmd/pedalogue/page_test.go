package main

import (
	"cmp"
	"maps"
	"math/big"
	"slices"
	"testing"

	"pedalogue/report"
)

// The report tells of changes as a player meets their marks: in music that is
// played straight through, in written order, and a measure is called heavy if more
// than six marks stand in it.
func TestReportFollowsTheMarks(t *testing.T) {
	straight, heavy := 0, 0
	for _, s := range largestScores(t, 1<<20) {
		set := defaultSettings()
		set.Read.Part = partFor(t, s)
		m, err := markBytes(t.Context(), s.name, s.data, set)
		if err != nil || m.report.PlayingOrder.Written != m.report.PlayingOrder.Played {
			continue
		}
		straight++
		for _, p := range m.report.Parts {
			if !slices.IsSortedFunc(p.Changes, func(a, b report.Change) int {
				return cmp.Or(cmp.Compare(a.Marked.Index, b.Marked.Index), offset(t, a).Cmp(offset(t, b)))
			}) {
				t.Errorf("%s: the changes of part %s are out of order", s.name, p.ID)
			}
			marks := map[int]int{}
			for _, c := range p.Changes {
				marks[c.Marked.Index]++
			}
			maps.DeleteFunc(marks, func(_, n int) bool { return n <= 6 })
			for _, f := range p.Findings {
				if f.Kind == "many-changes" {
					if marks[f.Index] == 0 {
						t.Errorf("%s: m. %s is called heavy: %s", s.name, f.Measure, f.Text)
					}
					delete(marks, f.Index)
					heavy++
				}
			}
			if len(marks) > 0 {
				t.Errorf("%s: measures with so many marks are not called heavy: %v", s.name, marks)
			}
		}
	}
	if straight < 20 || heavy < 20 {
		t.Errorf("only %d scores are played straight through, with %d heavy measures", straight, heavy)
	}
}

func offset(t *testing.T, c report.Change) *big.Rat {
	r, ok := new(big.Rat).SetString(c.Marked.Offset)
	if !ok {
		t.Fatalf("offset %q", c.Marked.Offset)
	}
	return r
}
