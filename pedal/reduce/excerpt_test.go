package reduce

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
)

// What is found in the middle of long music is found in its excerpt too, wherever what
// brings it about lies, and nothing else is; and it is mended.
func TestExcerptsAreAsTheWhole(t *testing.T) {
	for _, tt := range []struct {
		why, music string
		kind       finding.Kind
	}{
		{"what is in the way is within the margin", "G4 +30 | C4/2 +5 | B♯4 B4/2 +1 | D4/2 C♯4 +3 | B4 +30 | G4", "rushed-change"},
		{"a string that is held since more than 1.5 s", "C5/2 +2 | G♯5:50 A5/2 +8 | B5 +8 | D♭4/2 +2 | G3/2 +2", "held-string"},
		{"a foot that must not go because of a string held since 3 s", "B4:47 +3 | D4/2:10 +17 | D♯4:9 +11 | D4 +1 | C♯4 C4/2 +3", "rushed-change"},
		{"pedals needed 2 to 4 s later", "B4 +32 | D4/2:45 +3 | C♯4 +1 | C♯4:37 +27 | C4/2:40 +1 | B4 +4 | C4 C♯4/2 +5", "held-string"},
		{"the same, of a change without time", "C♯4:19 +4 | C♯4/2:40 +3 | B4 +2 | C4/2 D♯4 +5 | C♯4 +29 | D4 +2 | C♯4/2 +1 | B4:27 +1 | C♯4 +2 | C♯4/2 +1", "rushed-change"},
	} {
		m := musicOf(t, tt.music)
		all := m.Passage.Moments
		o := Options{Judge: finding.Options{Severities: map[finding.Kind]finding.Severity{"repeated-string": finding.Off}}}
		plan, err := pedal.Solve(t.Context(), m.Passage, o.Judge.Plan)
		if err != nil {
			t.Fatal(err)
		}
		list, err := finding.All(m, plan, o.Judge)
		if err != nil {
			t.Fatal(err)
		}
		list = treated(list)
		there := false
		for _, f := range list {
			there = there || f.Kind == tt.kind
			near := func(moment int) bool { return (all[moment].At - all[f.Moment].At).Abs() < 1500*time.Millisecond }
			s := sceneOf(m, plan, o.Judge, f.Moment, f.Moment)
			v, err := s.judge(t.Context(), nil)
			if err != nil {
				t.Fatal(err)
			}
			var want, got []string
			for _, o := range list {
				if near(o.Moment) {
					want = append(want, fmt.Sprint(o.Kind, " at ", o.Moment))
				}
			}
			for _, o := range v.found {
				if k := o.Moment + s.first; k < len(all) && near(k) {
					got = append(got, fmt.Sprint(o.Kind, " at ", k))
				}
			}
			slices.Sort(want)
			slices.Sort(got)
			if !slices.Equal(got, want) {
				t.Errorf("%s: around moment %d the excerpt shows %v, the whole %v", tt.why, f.Moment, got, want)
			}
		}
		if !there {
			t.Errorf("%s: the whole shows no %s: %v", tt.why, tt.kind, list)
		}
		done, err := Music(t.Context(), m, o)
		if err != nil {
			t.Fatal(err)
		}
		if len(done.Unsolved) > 0 || slices.ContainsFunc(done.Reductions, func(r Reduction) bool { return !r.Verified }) {
			t.Errorf("%s: unsolved %v, reductions %+v", tt.why, done.Unsolved, done.Reductions)
		}
	}
}
