package pedaltest

import (
	"flag"
	"math/rand/v2"
	"testing"
	"time"

	"pedalogue/pedal"
)

var programs = flag.Uint64("programs", 4, "how many random passages the integer program solves")

// Two ways to count what a passage costs at least, which share nothing but the
// rules: trying everything, and an integer program. Of four passages each is solved in
// two modes, so that each mode meets music with repeats and without, with feet and without; of more in all.
func TestProgram(t *testing.T) {
	if Solver() == "" {
		t.Skip("neither cbc nor glpsol is installed")
	}
	for seed := range *programs {
		r := rand.New(rand.NewPCG(seed, 12))
		taste := Taste{Notes: 8, Bars: 4, Letters: 3, Octaves: 3, Doubled: .3, Twin: .3, Odd: .1, Grace: .1, Held: .3, Copied: .3, Repeats: seed%2 == 0}
		p := Random(r, taste).Passage()
		for i, mode := range pedal.Modes() {
			if *programs <= 4 && (uint64(i)+seed+seed/2)%2 != 0 {
				continue
			}
			rules := Rules{Mode: mode, ChangePrice: 6, SwitchPrice: 2, Move: 200 * time.Millisecond, Foot: 500 * time.Millisecond, Sounding: 100 * time.Millisecond, Harp: pedal.AllStrings()}
			if seed%4 >= 2 {
				rules.Foot = 0
			}
			want := Best(p, rules)
			if mode != pedal.Balanced {
				want.Cost.Switches = 0
			}
			if got := Optimum(t, p, rules); got != want.Cost {
				t.Errorf("seed %d, %v, foot %v: the integer program finds %+v, trying everything %+v\n%s%v %v", seed, mode, rules.Foot, got, want.Cost, Describe(p), want.Strings, want.First)
			}
		}
	}
}

// The planner and an outside solver agree on passages too long for brute force.
func TestIntegerProgram(t *testing.T) {
	for seed := range uint64(2) {
		p := heldPassage(seed, 9)
		for _, mode := range pedal.Modes() {
			o := pedal.Options{Mode: mode, FootTime: -1, Instrument: pedal.AllStrings()}
			plan, err := pedal.Solve(t.Context(), p, o)
			if err != nil {
				t.Fatal(err)
			}
			want, got := Optimum(t, p, RulesOf(o)), CostOf(plan.Cost)
			if mode != pedal.Balanced { // of the plan chosen
				want.Switches = got.Switches
			}
			if got != want {
				t.Errorf("seed %d, %v: cost %+v, the integer program %+v", seed, mode, got, want)
			}
		}
	}
}

// heldPassage is random chromatic music in two or three voices with long notes
// and a repeat.
func heldPassage(seed uint64, moments int) *pedal.Passage {
	r := rand.New(rand.NewPCG(seed, 2))
	p := &pedal.Passage{}
	var first [][]int
	for i := range moments {
		m := pedal.Moment{Onset: int64(i), At: time.Duration(i) * time.Second}
		var notes []int
		if i >= moments-3 {
			notes = first[i-(moments-3)] // the beginning once more
		} else {
			for v := range 2 + r.IntN(2) {
				pitch := pedal.Pitch{Letter: pedal.Letter(r.IntN(pedal.Letters)), Cents: 100 * (r.IntN(3) - 1), Octave: 4 + v}
				notes = append(notes, len(p.Notes))
				p.Notes = append(p.Notes, pedal.Note{Pitch: pitch})
			}
			first = append(first, notes)
		}
		for _, n := range notes {
			end := int64(i + 1 + r.IntN(3))
			m.Strikes = append(m.Strikes, pedal.Strike{Note: n, End: end, Until: time.Duration(end) * time.Second})
		}
		p.Moments = append(p.Moments, m)
	}
	return p
}
