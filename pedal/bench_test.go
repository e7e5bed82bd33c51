package pedal

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// chromaticPassage is invented music that modulates all the time: broken chords
// with passing notes, four notes a second.
func chromaticPassage(moments int) *Passage {
	r := rand.New(rand.NewPCG(7, 7))
	p := &Passage{}
	root := 0
	for i := range moments {
		if i%8 == 0 {
			root = (root + []int{5, 7, 2, 10, 1}[r.IntN(5)]) % 12
		}
		at := time.Duration(i) * 250 * time.Millisecond
		m := Moment{Onset: int64(i), At: at, Beat: i%2 == 0}
		for _, step := range []int{0, 4, 7, 12}[:1+r.IntN(4)] {
			if r.IntN(6) == 0 {
				step++
			}
			m.Strikes = append(m.Strikes, Strike{Note: len(p.Notes), End: int64(i + 1), Until: at + 250*time.Millisecond})
			p.Notes = append(p.Notes, Note{Pitch: spelling(root+step, r.IntN(2) == 0)})
		}
		p.Moments = append(p.Moments, m)
	}
	return p
}

// spelling writes a pitch, in semitones above C4, as a natural or with a flat
// or a sharp.
func spelling(height int, flat bool) Pitch {
	letter := [12]Letter{C, C, D, D, E, F, F, G, G, A, A, B}[height%12]
	pitch := Pitch{Letter: letter, Octave: 4 + height/12}
	if black := height%12 != letter.Semitones(); black && flat {
		pitch.Letter = [12]Letter{1: D, 3: E, 6: G, 8: A, 10: B}[height%12]
		pitch.Cents = -100
	} else if black {
		pitch.Cents = 100
	}
	return pitch
}

// hostilePassage is no music: clusters of all twelve tones over seven octaves,
// ten a second, every note with two strings where it can have them, every note
// held over the next clusters.
func hostilePassage(moments int) *Passage {
	r := rand.New(rand.NewPCG(3, 3))
	p := &Passage{}
	for i := range moments {
		m := Moment{Onset: int64(i), At: time.Duration(i) * 100 * time.Millisecond, Beat: true}
		for height := range 12 {
			end := int64(i + 1 + r.IntN(12))
			m.Strikes = append(m.Strikes, Strike{Note: len(p.Notes), End: end, Until: time.Duration(end) * 100 * time.Millisecond})
			pitch := spelling(height, r.IntN(2) == 0)
			pitch.Octave = 1 + r.IntN(7)
			p.Notes = append(p.Notes, Note{Pitch: pitch})
		}
		p.Moments = append(p.Moments, m)
	}
	return p
}

func BenchmarkSolve(b *testing.B) {
	for _, foot := range []time.Duration{-1, 0} {
		for _, n := range []int{250, 500, 1000, 2000, 4000} {
			p := chromaticPassage(n)
			for _, mode := range Modes() {
				b.Run(fmt.Sprintf("foot=%v/%v/%d", foot == 0, mode, n), func(b *testing.B) {
					b.ReportAllocs()
					for b.Loop() {
						if _, err := Solve(context.Background(), p, Options{Mode: mode, FootTime: foot}); err != nil {
							b.Fatal(err)
						}
					}
				})
			}
		}
	}
}

// TestHostile sees to it that hostile input is planned all the same, and that
// nothing is claimed of its plan that a bound does not hold.
func TestHostile(t *testing.T) {
	p := hostilePassage(300)
	for _, mode := range Modes() {
		o := Options{Mode: mode}
		plan, err := Solve(context.Background(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := Verify(p, o, plan); err != nil {
			t.Error(err)
		}
		cost, bound := plan.Cost.vector(mode, o.prices()), plan.Proof.Bound.vector(mode, o.prices())
		if slices.Compare(bound[:], cost[:]) > 0 {
			t.Errorf("%v: the bound %+v is above the cost %+v", mode, plan.Proof.Bound, plan.Cost)
		}
		if plan.Cost.Unsounded != plan.Proof.Bound.Unsounded {
			t.Errorf("%v: %d unsounded, bound %d: each cluster's most tones are known", mode, plan.Cost.Unsounded, plan.Proof.Bound.Unsounded)
		}
	}
}

// BenchmarkHostile plans 10,000 clusters of twelve tones.
func BenchmarkHostile(b *testing.B) {
	p := hostilePassage(10_000)
	for _, mode := range Modes() {
		b.Run(mode.String(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Solve(context.Background(), p, Options{Mode: mode}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
