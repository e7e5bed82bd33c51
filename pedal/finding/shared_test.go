package finding

import (
	"slices"
	"testing"
	"time"

	"pedalogue/pedal"
)

// Notes change hands where a staff's own hand does not reach, and only as many as must.
func TestSharedNotes(t *testing.T) {
	for _, tt := range []struct {
		why         string
		tick        time.Duration
		chords      [][]string // staff 2 below octave 4
		left, right []string
	}{
		{"what lies in the hands as it is", time.Second, [][]string{{"C3", "G3", "C4", "E4"}}, nil, nil},
		{"an eleventh below: its top", time.Second, [][]string{{"C3", "E3", "F3", "B3"}, {"C2", "E2", "B3", "E4"}}, nil, []string{"B3"}},
		{"five notes above: the lowest", time.Second, [][]string{{"C3", "C4", "D4", "E4", "F4", "G4"}}, []string{"C4"}, nil},
		{"too wide for two hands: no way is told", time.Second, [][]string{{"C2", "B3", "C4", "B6"}}, nil, nil},
	} {
		b := pedal.Builder{Tick: tt.tick, Beat: 1}
		for _, c := range tt.chords {
			b.Strike(1, c...)
			b.Wait(1)
		}
		p, err := b.Passage()
		if err != nil {
			t.Fatal(err)
		}
		for i := range p.Notes {
			if p.Notes[i].Staff = 2; p.Notes[i].Pitch.Octave >= 4 {
				p.Notes[i].Staff = 1
			}
		}
		p.Notes[len(p.Notes)-1].Staff = 1
		m := &Music{Passage: p}
		plan, err := pedal.Solve(t.Context(), p, pedal.Options{})
		if err != nil {
			t.Fatal(err)
		}
		list, err := SharedNotes(m, plan, Options{})
		if err != nil {
			t.Fatal(err)
		}
		var left, right []string
		for _, s := range list {
			for _, n := range s.Left {
				left = append(left, p.Notes[n].Pitch.String())
			}
			for _, n := range s.Right {
				right = append(right, p.Notes[n].Pitch.String())
			}
		}
		if !slices.Equal(left, tt.left) || !slices.Equal(right, tt.right) {
			t.Errorf("%s: left %v, right %v; want %v and %v", tt.why, left, right, tt.left, tt.right)
		}
	}
}
