package pedaltest

import (
	"math/rand/v2"
	"testing"
	"time"

	"pedalogue/pedal"
)

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
			if want := Optimum(t, p, mode, pedal.DefaultChangePrice); plan.Cost != want {
				t.Errorf("seed %d, %v: cost %+v, the integer program %+v", seed, mode, plan.Cost, want)
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
