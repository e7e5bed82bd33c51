package reduced

import (
	"cmp"
	"math/big"
	"slices"

	"pedalogue/pedal/finding"
	"pedalogue/pedal/part"
	"pedalogue/pedal/reduce"
	"pedalogue/report"
)

// prove holds what is claimed of a part to what is found in its final copy: a reduction
// is verified where nothing that it treats is found between the first and the last
// note that it changes, and what is found and was not told is unsolved.
func (h *harp) prove(found []report.Finding) {
	for i := range h.row.Reductions {
		h.row.Reductions[i].Verified = true
	}
	for i := range found {
		f := &found[i]
		if !reduce.Treats(finding.Kind(f.Kind), severities[f.Severity]) {
			continue
		}
		for i := range h.row.Reductions {
			if red := &h.row.Reductions[i]; slices.Contains(red.For, f.Kind) && within(f.Place, red) {
				red.Verified = false
			}
		}
		if !slices.ContainsFunc(h.row.Unsolved, func(u report.Unsolved) bool {
			return u.Index == f.Index && u.Offset == f.Offset && slices.Contains(u.For, f.Kind)
		}) {
			beat := part.CountedBeat(h.part.Score.Measures[f.Index].Beat).String()
			h.row.Unsolved = append(h.row.Unsolved, report.Unsolved{Place: f.Place, Beat: beat, For: []string{f.Kind}, Text: f.Text + " " + reduce.NothingHelps})
		}
	}
	slices.SortStableFunc(h.row.Unsolved, func(a, b report.Unsolved) int { return comparePlaces(a.Place, b.Place) })
}

var severities = map[report.Severity]finding.Severity{
	report.SeverityNote: finding.Note, report.SeverityWarning: finding.Warning, report.SeverityError: finding.Error,
}

// within tells whether a place is between the first note that a reduction changes and
// the last one.
func within(at report.Place, red *report.Reduction) bool {
	first, last := red.Place, red.Place
	for _, op := range red.Ops {
		if op.Index == nil {
			continue
		}
		switch p := (report.Place{Index: *op.Index, Offset: op.Offset}); {
		case comparePlaces(p, first) < 0:
			first = p
		case comparePlaces(p, last) > 0:
			last = p
		}
	}
	return comparePlaces(at, first) >= 0 && comparePlaces(at, last) <= 0
}

// comparePlaces compares places in written order.
func comparePlaces(a, b report.Place) int {
	x, _ := new(big.Rat).SetString(a.Offset)
	y, _ := new(big.Rat).SetString(b.Offset)
	return cmp.Or(cmp.Compare(a.Index, b.Index), x.Cmp(y))
}
