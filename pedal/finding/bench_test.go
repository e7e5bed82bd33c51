package finding

import (
	"context"
	"math/rand/v2"
	"testing"
	"time"

	"pedalogue/pedal"
)

// chromatic is a passage of n moments on two staves that wanders through the
// keys: chords of the left hand, a line and repeated notes of the right.
func chromatic(n int) *pedal.Passage {
	r := rand.New(rand.NewPCG(5, 6))
	p := &pedal.Passage{}
	key := [pedal.Letters]int{}
	at := func(i int) time.Duration { return time.Duration(i) * 300 * time.Millisecond }
	for i := range n {
		if i%8 == 0 {
			p.Measures = append(p.Measures, pedal.Measure{Written: i / 8, First: i})
		}
		if i%5 == 0 {
			key[r.IntN(pedal.Letters)] = 100 * (r.IntN(3) - 1)
		}
		m := pedal.Moment{Onset: int64(i), At: at(i), Beat: i%2 == 0, Measure: i / 8}
		strike := func(rank, staff, length int) {
			name := pedal.StringAt(rank)
			m.Strikes = append(m.Strikes, pedal.Strike{Note: len(p.Notes), End: int64(i + length), Until: at(i + length)})
			p.Notes = append(p.Notes, pedal.Note{Staff: staff, Pitch: pedal.Pitch{Letter: name.Letter, Cents: key[name.Letter], Octave: name.Octave}})
		}
		strike(30+r.IntN(12), 1, 1)
		if i%4 == 0 {
			root := 15 + r.IntN(7)
			for _, step := range [3]int{0, 4, 2 + 7} {
				strike(root+step, 2, 2)
			}
		}
		p.Moments = append(p.Moments, m)
	}
	return p
}

// BenchmarkAll and BenchmarkSolve are to be compared: all findings are to cost
// less than the plan.
func BenchmarkAll(b *testing.B) {
	p := chromatic(1000)
	plan, err := pedal.Solve(context.Background(), p, pedal.Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := All(&Music{Passage: p}, plan, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSolve(b *testing.B) {
	p := chromatic(1000)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := pedal.Solve(context.Background(), p, pedal.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
