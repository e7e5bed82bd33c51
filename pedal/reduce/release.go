package reduce

import (
	"maps"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// release gives up strings that were chosen for notes, where nothing else has helped
// about a finding that has come by them: they must do something else then. It tells
// whether there are any.
func (r *run) release(f finding.Finding) bool {
	if !slices.Contains(windowKinds, f.Kind) || f.Kind == "leap" || r.wasThere[place{f.Kind, r.back[f.Moment]}] {
		return false
	}
	wanted := r.inTheWay(f)
	all, at := r.music.Passage.Moments, r.firstOf(r.back[f.Moment])
	some := false
	for _, n := range slices.Sorted(maps.Keys(r.draft.notes)) {
		ops := r.draft.notes[n]
		if len(ops) == 1 && ops[0].Do == revise.OtherString && (all[r.draft.first[n]].At-all[at].At).Abs() <= around && wanted(n, ops[0].Letter) {
			delete(r.draft.notes, n)
			r.banned[n], some = true, true
		}
	}
	return some
}

// inTheWay tells of a note on the string of a letter whether a finding can have come by
// it: they share a string, or a foot.
func (r *run) inTheWay(f finding.Finding) func(n int, on pedal.Letter) bool {
	if f.Kind != "repeated-string" {
		letters := r.lettersOf(f)
		return func(n int, on pedal.Letter) bool {
			return letters.Has(on) || letters.Has(r.music.Passage.Notes[n].Pitch.Letter)
		}
	}
	var heights []int
	for _, n := range f.Notes {
		heights = append(heights, r.heightOf(n))
	}
	return func(n int, _ pedal.Letter) bool { return slices.Contains(heights, r.heightOf(n)) }
}
