package pedaltest

import (
	"fmt"
	"testing"

	"pedalogue/pedal"
)

// Compare plans a short passage in all modes and checks it against trying everything:
// the cost is the least, and proved, and every number is right.
func Compare(t testing.TB, name string, p *pedal.Passage, o pedal.Options) {
	t.Helper()
	plans, err := pedal.Plans(t.Context(), p, o)
	if contradicts(p, RulesOf(o)) {
		if err == nil {
			t.Errorf("%s: a note has a plan that has no string of those wanted for it\n%s", name, Describe(p))
		}
		return
	}
	if err != nil {
		t.Errorf("%s: %v\n%s", name, err, Describe(p))
		return
	}
	for i, mode := range pedal.Modes() {
		o.Mode = mode
		r := RulesOf(o)
		plan, find := plans[i], Best(p, r)
		where := fmt.Sprintf("%s, %v, %+v", name, mode, r)
		got, want := CostOf(plan.Cost), find.Cost
		if mode != pedal.Balanced {
			want.Switches = got.Switches
		}
		switch {
		case got != want:
			t.Errorf("%s: cost %+v, but there is %+v\n%s%v first %v\nplanned %v first %v", where, got, want, Describe(p), find.Strings, find.First, plan.Strings, plan.Start)
		case !plan.Proof.Minimal:
			t.Errorf("%s: not proved: %+v\n%s", where, plan.Proof, Describe(p))
		}
		if err := Judge(p, o, plan); err != nil {
			t.Errorf("%s: %v\n%s%+v", where, err, Describe(p), plan.Moves)
		}
		if err := JudgePlaces(p, o, plan); err != nil {
			t.Errorf("%s: %v\n%s%+v", where, err, Describe(p), plan.Moves)
		}
		if err := pedal.Verify(p, o, plan); err != nil {
			t.Errorf("%s: Verify: %v\n%s", where, err, Describe(p))
		}
	}
}

// contradicts reports whether a note has no string of those that are wanted for it.
func contradicts(p *pedal.Passage, r Rules) bool {
	for _, g := range newBrute(p, r).groups {
		for _, n := range g.notes {
			if p.Notes[n].On != 0 && len(g.ways) == 0 && len(stringsOf(p.Notes[n].Pitch, r.Harp)) > 0 {
				return true
			}
		}
	}
	return false
}
