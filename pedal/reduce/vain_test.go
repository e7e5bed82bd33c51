package reduce

import (
	"slices"
	"strings"
	"testing"

	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// What has not helped is taken back: its notes are whole again unless something else has
// been decided about them, no reduction tells of it, and it is not tried again.
func TestVainAttemptsAreTakenBack(t *testing.T) {
	for _, music := range []string{
		"C3 G♯4:46 B♯4 +4 | C♯5 C4 B♯4:46 +1 | C5 +3 | B♯4 C5 +2 | G3:39 G4:53 +4 | A3 D5:24 A5 +5 | B5 E5:14 B4:26 +4 | D♯5:37 +3 | E5 +1 | E3 +3 | D5 +1 | " +
			"G♯4 A♯5 +1 | C3 +2 | F5 +1 | G♯4 +2 | D♯3 A5:43 +2 | F♯3 F5:12 C♯4:53 +1 | A4 A♯5:46 +4 | B♯4 B5 A♯5 +3 | B4:47 A♯5 +1 | G♯3 A♯5 +1 | D5 F♯4 G♯3:29 +3",
		"C♯4 B♯4:21 +2 | B3 E4 F3:6 +2 | G♯4 +1 | B♯3 +5 | C♯3:12 +4 | A5:30 A♯4 +1 | B4 +5 | D♯4 D5:24 +2 | B♯5 +4 | C4 F♯5:42 +2 | A5 G♯4:12 D4 +2 | " +
			"C♯4 B4 E4 +3 | D5:10 +1 | A♯4 B♯5 +1 | E3:52 E5 B3 +1 | C3 A4 +3 | C3 A♯4 +5 | A4:41 C♯5 +10 | B5:47 D5 C♯3 +5 | B♯4 D♯3 G♯3:31 +3 | B5:44 F4 C♯3:28 +2 | " +
			"G♯3 F3 G3 +3 | B3:32 F5 +11 | F♯4 D♯4 +3 | B♯4 A5 +4 | E♯5 +4 | A3 G♯4 B♯3:38 +4 | B♯3 E♯4 D♯4 +2 | F4 G3 +4 | C♯3 C♯4 A♯5 +1 | D♯4:20 G♯5 F♯3 +5",
	} {
		o := Options{}
		o.Judge.Severities = map[finding.Kind]finding.Severity{"repeated-string": finding.Off}
		r := newRun(musicOf(t, music), o)
		done, err := r.rounds(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if len(r.vain) == 0 {
			t.Errorf("%s\nnothing was tried in vain: the test says nothing", music)
		}
		for at, list := range r.vain {
			for i, ops := range list {
				if slices.ContainsFunc(list[:i], func(o []revise.Op) bool { return slices.Equal(o, ops) }) {
					t.Errorf("%s\n%v is tried again for %v", music, ops, at)
				}
				for _, op := range ops {
					mine := func(t treatment) bool { return slices.Contains(t.ops, op) }
					if slices.Contains(done.Ops, op) && !slices.ContainsFunc(r.treats, mine) {
						t.Errorf("%s\n%v has not helped about %v, and is there still", music, op, at)
					}
				}
			}
			if r.settled[at] && !slices.ContainsFunc(done.Unsolved, func(u Unsolved) bool {
				return u.Moment == at.moment && strings.Contains(u.Text, "Nothing has helped: tried were")
			}) {
				t.Errorf("%s\nthat nothing has helped about %v is not told: %v", music, at, done.Unsolved)
			}
		}
		for _, tr := range r.treats {
			for _, op := range tr.ops {
				if !slices.Contains(done.Ops, op) {
					t.Errorf("%s\na reduction at %v tells of %v, which is not done", music, tr.moments, op)
				}
			}
		}
	}
}
