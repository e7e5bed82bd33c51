package pedal_test

import (
	"context"
	"fmt"
	"time"

	"pedalogue/pedal"
)

// A passage is put down by hand and planned: two measures of which the first is
// played again after the second.
func Example() {
	b := pedal.Builder{Tick: 250 * time.Millisecond, Beat: 2} // in eighths
	for _, chord := range [][]string{{"C3", "E4"}, {"G4"}, {"C#5", "A3"}, {"E4"}} {
		b.Strike(1, chord...)
		b.Wait(1)
	}
	b.Bar()
	b.Strike(2, "D3", "F♯4")
	b.Wait(4)
	b.Again(0, 0)
	passage, err := b.Passage()
	if err != nil {
		fmt.Println(err)
		return
	}
	plan, err := pedal.Solve(context.Background(), passage, pedal.Options{Mode: pedal.Written})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("start with", plan.Start)
	for _, m := range plan.Moves {
		needed := passage.Moments[m.Needed]
		fmt.Printf("%v to %v for measure %d as played, by %v\n", m.Letter, m.To.Sign(), needed.Measure+1, needed.At)
	}
	fmt.Println("proved:", plan.Proof.Minimal)
	// Output:
	// start with D C B | E F♯ G A
	// C to ♯ for measure 1 as played, by 500ms
	// C to ♮ for measure 3 as played, by 2s
	// C to ♯ for measure 3 as played, by 2.5s
	// proved: true
}
