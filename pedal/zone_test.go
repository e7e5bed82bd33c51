package pedal

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// hurriedPassage is invented music that modulates all the time, with up to ten
// attacks a second, notes that last over others, and bars that come back.
func hurriedPassage(seed uint64, moments int) *Passage {
	r := rand.New(rand.NewPCG(seed, 11))
	p := &Passage{}
	root, at, onset := 0, time.Duration(0), int64(0)
	for i := range moments {
		if i%6 == 0 {
			root = (root + []int{5, 7, 2, 10, 1}[r.IntN(5)]) % 12
		}
		if i >= 12 && r.IntN(4) == 0 { // what was played once comes again
			m := p.Moments[i-1-r.IntN(11)]
			again := Moment{Onset: onset, At: at, Beat: i%4 == 0}
			for _, s := range m.Strikes {
				again.Strikes = append(again.Strikes, Strike{Note: s.Note, End: onset + s.End - m.Onset, Until: at + s.Until - m.At})
			}
			p.Moments = append(p.Moments, again)
		} else {
			m := Moment{Onset: onset, At: at, Beat: i%4 == 0}
			for _, step := range []int{0, 4, 7, 12}[:1+r.IntN(4)] {
				if r.IntN(4) == 0 {
					step++
				}
				long := int64(1 + r.IntN(4))
				m.Strikes = append(m.Strikes, Strike{Note: len(p.Notes), End: onset + long, Until: at + time.Duration(long)*100*time.Millisecond})
				p.Notes = append(p.Notes, Note{Pitch: spelling(root+step, r.IntN(2) == 0)})
			}
			p.Moments = append(p.Moments, m)
		}
		gap := 1 + r.IntN(4)
		onset, at = onset+int64(gap), at+time.Duration(gap)*100*time.Millisecond
	}
	return p
}

// To follow the feet exactly only where a plan shows the need finds what
// following them exactly everywhere finds.
func TestZonesLoseNothing(t *testing.T) {
	tightened := 0
	for seed := range uint64(10) {
		p := hurriedPassage(seed, 40)
		for _, mode := range Modes() {
			m, err := prepare(p, Options{Mode: mode})
			if err != nil {
				t.Fatal(err)
			}
			m.read(mode)
			got, err := m.newRefinement(mode).solve(context.Background(), m)
			if err != nil {
				t.Fatal(err)
			}
			s, err := newSearch(context.Background(), m, mode, m.care)
			if err != nil {
				t.Fatal(err)
			}
			loose, err := s.solve()
			if err != nil {
				t.Fatal(err)
			}
			if m.outline(loose).Cost != got.Cost {
				tightened++
			}
			m.care[Left] = make([]care, len(m.chords)+1)
			m.care[Right] = m.care[Left]
			if other, err := m.newRefinement(mode).solve(context.Background(), m); err != nil || other.Cost != got.Cost {
				t.Errorf("seed %d, %v: cost %+v, %+v with more or less care at first (%v)", seed, mode, got.Cost, other.Cost, err)
			}
			s.feet.zones.everywhere()
			exact, err := s.solve()
			if err != nil {
				t.Fatal(err)
			}
			if want := m.outline(exact); exact.cut || got.Cost != want.Cost {
				t.Errorf("seed %d, %v: cost %+v, with exact feet everywhere %+v (cut: %v)", seed, mode, got.Cost, want.Cost, exact.cut)
			}
			if !got.Proof.Minimal {
				t.Errorf("seed %d, %v: no proof: %+v", seed, mode, got.Proof)
			}
		}
	}
	if tightened < 10 {
		t.Errorf("zones mattered %d times only; the passages are too easy to test them", tightened)
	}
}

// What is handed on to other modes are the zones that were found, even if the
// feet were followed exactly everywhere in the end.
func TestZonesHandedOn(t *testing.T) {
	m, err := prepare(hurriedPassage(1, 40), Options{})
	if err != nil {
		t.Fatal(err)
	}
	z := newZones(m, m.care)
	z.mark(Right, 2*time.Second, 4*time.Second, exact)
	found := slices.Clone(z.care[Right])
	if !z.everywhere() || z.everywhere() {
		t.Error("the feet are not followed everywhere, once")
	}
	care := z.handOn(&Plan{Cost: Cost{Rushed: len(m.chords)}})
	if !slices.Equal(care[Right], found) || slices.Contains(care[Left], exact) || !slices.Contains(found, exact) {
		t.Errorf("handed on %v, found %v", care, found)
	}
}

// A search that remembers earlier runs finds what a fresh one finds.
func TestMemoryChangesNothing(t *testing.T) {
	for seed := range uint64(10) {
		p := hurriedPassage(seed, 40)
		if seed%2 > 0 {
			p.Moments[20].Restart, p.Moments[33].Restart = true, true
		}
		m, err := prepare(p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, mode := range []Mode{Needed, Free} {
			m.read(mode)
			old, err := newSearch(context.Background(), m, mode, m.care)
			if err != nil {
				t.Fatal(err)
			}
			r := rand.New(rand.NewPCG(seed, 5))
			for range 12 {
				var d decided
				prefer := make([]uint8, len(m.classes))
				for range r.IntN(4) {
					c := int32(r.IntN(len(m.classes)))
					if m.classes[c].n == 2 {
						d.ties = append(d.ties, tied{c, tie(r.IntN(4))})
					}
					prefer[r.IntN(len(m.classes))] = uint8(1 + r.IntN(3))
				}
				if len(m.restarts) > 0 {
					d.home = uint16(r.IntN(1 << (2 * Letters)))
				}
				at := time.Duration(r.IntN(6)) * time.Second
				fresh, err := newSearch(context.Background(), m, mode, m.care)
				if err != nil {
					t.Fatal(err)
				}
				var costs [2]total
				for i, s := range []*search{old, fresh} {
					s.feet.zones = newZones(m, m.care)
					s.feet.zones.mark(Left, at, at+2*time.Second, exact)
					s.feet.zones.mark(Right, at+time.Second, at+3*time.Second, loose)
					s.feet.zones.look(Left)
					s.feet.zones.look(Right)
					s.restrict(d, prefer)
					sol, err := s.run()
					if err != nil {
						t.Fatal(err)
					}
					costs[i] = sol.cost
				}
				if costs[0] != costs[1] {
					t.Errorf("seed %d, %v, %+v: cost %v with a memory, %v without", seed, mode, d, costs[0], costs[1])
				}
			}
		}
	}
}
