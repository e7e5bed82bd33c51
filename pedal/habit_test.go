package pedal

import (
	"context"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// namesAhead is a naming of a few names, with and without homes, of which any may
// sound at any of some chords to come.
func namesAhead(r *rand.Rand, chords int) *naming {
	t := &naming{count: 3, homes: uint64(r.Uint32()) & eachName & (1<<6 - 1)}
	all := uint64(1<<6 - 1)
	measure := r.IntN(3)
	for range chords {
		t.measure = append(t.measure, measure)
		var live habit
		for back := range remembered + 1 {
			if measure >= back {
				live[(measure-back)%len(live)] = all
			}
		}
		t.live = append(t.live, live)
		measure += r.IntN(3) / 2
	}
	for k := range t.live { // what lapses before the next chord is forgotten
		if k+1 < chords {
			for i := range t.live[k] {
				last := t.measure[k] - (t.measure[k]-i+len(habit{}))%len(habit{})
				if t.measure[k+1]-last > remembered {
					t.live[k][i] = 0
				}
			}
		}
	}
	return t
}

// randomWording spells each name of three on the first letter, the second, both, or
// not at all.
func randomWording(r *rand.Rand, t *naming) wording {
	return t.wording(uint64(r.Uint32()) & (1<<6 - 1))
}

// A state stands in for another at no more switches than worse says, and a wording
// for another, whatever follows; and some future takes so many for habits.
func TestWorse(t *testing.T) {
	most := map[bool]int{}
	for seed := range uint64(20000) {
		r := rand.New(rand.NewPCG(seed, 8))
		const chords = 6
		names := namesAhead(r, chords)
		var a, b habit
		var before, now wording
		for k := range 2 { // two pasts
			before, now = randomWording(r, names), randomWording(r, names)
			a, _ = names.use(k, &a, &before)
			b, _ = names.use(k, &b, &now)
		}
		more, limit, what := 0, 0, "habit"
		from := 2
		if seed%2 == 0 {
			limit = names.worse(&a, &b)
		} else {
			before, now = randomWording(r, names), randomWording(r, names)
			a = b
			var m, n int
			a, m = names.use(2, &a, &before)
			b, n = names.use(2, &b, &now)
			more, limit, what, from = m-n, before.worse(&now), "wording", 3
		}
		for k := from; k < chords; k++ {
			w := randomWording(r, names)
			var m, n int
			a, m = names.use(k, &a, &w)
			b, n = names.use(k, &b, &w)
			more += m - n
		}
		if more > limit {
			t.Fatalf("seed %d: %d switches more, worse says %d for the %s", seed, more, limit, what)
		}
		most[seed%2 == 0] = max(most[seed%2 == 0], more)
	}
	if most[true] < 3 || most[false] < 4 {
		t.Errorf("%d switches more at most for habits, %d for wordings: the limits are hardly tried", most[true], most[false])
	}
}

// Nothing costs less than to go on from the loosest habit.
func TestLoosest(t *testing.T) {
	for seed := range uint64(2000) {
		r := rand.New(rand.NewPCG(seed, 9))
		names := namesAhead(r, 5)
		var a habit
		w := randomWording(r, names)
		a, _ = names.use(0, &a, &w)
		b := names.loosest(1)
		more := 0
		for k := 1; k < 5; k++ {
			w := randomWording(r, names)
			var m, n int
			a, m = names.use(k, &a, &w)
			b, n = names.use(k, &b, &w)
			more += n - m
		}
		if more > 0 {
			t.Fatalf("seed %d: %d switches more from the loosest habit", seed, more)
		}
	}
}

// More names than a search follows: it does not know of all switches, and claims no
// more than it knows.
func TestManyNames(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	p := &Passage{}
	for i := range 120 {
		m := Moment{Onset: int64(i), At: time.Duration(i) * time.Second}
		for octave := range 3 {
			pitch := Pitch{Letter(r.IntN(Letters)), 100 * (r.IntN(11) - 5), 3 + octave}
			m.Strikes = append(m.Strikes, Strike{Note: len(p.Notes), End: m.Onset, Until: m.At})
			p.Notes = append(p.Notes, Note{Pitch: pitch})
		}
		p.Moments = append(p.Moments, m)
	}
	o := Options{FootTime: -1}
	m, err := prepare(p, o)
	if err != nil {
		t.Fatal(err)
	}
	if m.naming.count != maxNames || len(m.names) <= maxNames {
		t.Fatalf("%d of %d names are followed", m.naming.count, len(m.names))
	}
	plan, err := Solve(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	if err := Verify(p, o, plan); err != nil {
		t.Fatal(err)
	}
	if plan.Proof.Minimal || plan.Proof.Bound.Switches >= plan.Cost.Switches {
		t.Errorf("switches %d, proof %+v: not all names are followed", plan.Cost.Switches, plan.Proof)
	}
	cost, bound := plan.Cost.vector(Balanced, o.prices()), plan.Proof.Bound.vector(Balanced, o.prices())
	if slices.Compare(bound[:], cost[:]) > 0 {
		t.Errorf("the bound %+v is above the cost %+v", plan.Proof.Bound, plan.Cost)
	}
}

// What a switch costs, by the text of the rules.
func TestSwitched(t *testing.T) {
	const a, b = 1 << A, 1 << B
	for _, tt := range []struct {
		before, now uint8
		want        int
		why         string
	}{
		{a, a, 0, "it stays"},
		{a, b, 1, "it goes to another string"},
		{a, a | b, 2, "a letter that is new, and one past the first"},
		{a | b, a, 0, "it has been on it"},
		{a | b, a | b, 1, "one past the first"},
		{0, b, 0, "the first letter is free where there is no home"},
		{0, a | b, 2, "the other is new, and past the first"},
	} {
		if got := switched(tt.before, tt.now); got != tt.want {
			t.Errorf("from %02b to %02b: %d, want %d: %s", tt.before, tt.now, got, tt.want, tt.why)
		}
	}
	if bits.OnesCount8(name{C, -100}.home()) != 1 || (name{C, 200}).home() != 0 {
		t.Error("a double sharp has no home, a flat has one")
	}
}

// A name is remembered for two measures after its own, as they are played.
func TestRemembered(t *testing.T) {
	for _, tt := range []struct {
		later int
		want  int
	}{{0, 2}, {1, 2}, {2, 2}, {3, 1}} {
		// F stays at flat and E at flat, so that E natural is on F; there is no E
		// natural on its own string until the F pedal has moved.
		p := &Passage{Measures: make([]Measure, 5)}
		for k := range p.Measures {
			p.Measures[k] = Measure{Written: k, First: 2, Onset: int64(k), End: int64(k)}
			if k <= tt.later {
				p.Measures[k].First = min(k, 1)
			}
		}
		strike := func(measure int, pitches ...Pitch) {
			i := len(p.Moments)
			m := Moment{Onset: int64(i), At: time.Duration(i) * time.Second, Measure: measure}
			for _, pitch := range pitches {
				m.Strikes = append(m.Strikes, Strike{Note: len(p.Notes), End: m.Onset, Until: m.At})
				p.Notes = append(p.Notes, Note{Pitch: pitch, Fixed: pitch.Cents < 0 || pitch.Letter == F})
			}
			p.Moments = append(p.Moments, m)
		}
		strike(0, Pitch{E, -100, 4}, Pitch{E, 0, 5})
		strike(tt.later, Pitch{F, 0, 4}, Pitch{E, 0, 5})
		plan, err := Solve(context.Background(), p, Options{FootTime: -1, ChangePrice: 1})
		if err != nil {
			t.Fatal(err)
		}
		if plan.Cost.Switches != tt.want {
			t.Errorf("%d measures later: %+v, want %d switches", tt.later, plan.Cost, tt.want)
		}
	}
}
