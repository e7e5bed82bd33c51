package pedal

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// bars is a passage of measures of four beats, each written as notes from a beat of
// it for so many beats. A note without length is a grace note.
func bars(measures ...[]barNote) *Passage {
	p := &Passage{}
	for i, notes := range measures {
		start := int64(4 * i)
		p.Measures = append(p.Measures, Measure{Written: i, First: len(p.Moments), Onset: start, End: start + 4,
			At: time.Duration(start) * time.Second, Until: time.Duration(start+4) * time.Second})
		for _, n := range notes {
			onset := start + n.at
			if last := len(p.Moments) - 1; last < 0 || p.Moments[last].Measure != i || p.Moments[last].Onset != onset || p.Moments[last].Grace || n.length == 0 {
				p.Moments = append(p.Moments, Moment{Onset: onset, At: time.Duration(onset) * time.Second, Measure: i, Grace: n.length == 0})
			}
			m := &p.Moments[len(p.Moments)-1]
			end := onset + n.length
			m.Strikes = append(m.Strikes, Strike{Note: len(p.Notes), End: end, Until: time.Duration(end) * time.Second})
			p.Notes = append(p.Notes, Note{Pitch: n.pitch, Staff: n.staff, Implied: n.implied})
		}
	}
	return p
}

type barNote struct {
	at, length int64
	pitch      Pitch
	staff      int
	implied    bool
}

func TestAlike(t *testing.T) {
	c, e, g := Pitch{C, 0, 4}, Pitch{E, -100, 4}, Pitch{G, 0, 4}
	plain := []barNote{{at: 0, length: 2, pitch: c}, {at: 0, length: 2, pitch: e}, {at: 2, length: 2, pitch: g}}
	grace := []barNote{{at: 0, pitch: c}, {at: 0, pitch: e}, {at: 0, length: 4, pitch: g}}
	for _, tt := range []struct {
		why      string
		measures [][]barNote
		alike    bool // the last two
	}{
		{"the same once more", [][]barNote{plain, plain}, true},
		{"the order and the staff of a chord are no matter", [][]barNote{plain, {{at: 0, length: 2, pitch: e, staff: 2}, {at: 0, length: 2, pitch: c}, {at: 2, length: 2, pitch: g}}}, true},
		{"two voices on one note", [][]barNote{plain, append([]barNote{plain[0]}, plain...)}, true},
		{"what is played but not written", [][]barNote{plain, append([]barNote{{at: 0, length: 1, pitch: g, implied: true}}, plain...)}, true},
		{"another pitch", [][]barNote{plain, {{at: 0, length: 2, pitch: c}, {at: 0, length: 2, pitch: g}, {at: 2, length: 2, pitch: g}}}, false},
		{"another octave", [][]barNote{plain, {{at: 0, length: 2, pitch: c}, {at: 0, length: 2, pitch: e}, {at: 2, length: 2, pitch: Pitch{G, 0, 5}}}}, false},
		{"another onset", [][]barNote{plain, {{at: 0, length: 2, pitch: c}, {at: 0, length: 2, pitch: e}, {at: 3, length: 1, pitch: g}}}, false},
		{"another length", [][]barNote{plain, {{at: 0, length: 2, pitch: c}, {at: 0, length: 2, pitch: e}, {at: 2, length: 1, pitch: g}}}, false},
		{"a tie out", [][]barNote{plain, {{at: 0, length: 2, pitch: c}, {at: 0, length: 2, pitch: e}, {at: 2, length: 3, pitch: g}}}, false},
		{"a tie in", [][]barNote{plain, {{at: 2, length: 3, pitch: c}}, plain}, false},
		{"a tie in is no attack", [][]barNote{{{at: 2, length: 4, pitch: c}}, {{at: 2, length: 2, pitch: g}}, {{at: 0, length: 2, pitch: c}, {at: 2, length: 2, pitch: g}}}, false},
		{"grace notes", [][]barNote{grace, grace}, true},
		{"grace notes in another order", [][]barNote{grace, {{at: 0, pitch: e}, {at: 0, pitch: c}, {at: 0, length: 4, pitch: g}}}, false},
		{"grace notes at once", [][]barNote{grace, {{at: 0, pitch: c}, {at: 0, length: 4, pitch: g}}}, false},
	} {
		m, err := prepare(bars(tt.measures...), Options{})
		if err != nil {
			t.Fatal(err)
		}
		a, n := m.likes(), len(tt.measures)
		if got := a != nil && a.kind[n-1] == a.kind[n-2]; got != tt.alike && n == 2 || n == 3 && a != nil && (a.kind[2] == a.kind[0] || a.kind[2] == a.kind[1]) {
			t.Errorf("%s: alike %v, want %v", tt.why, got, tt.alike)
		}
	}
}

// Measures that come again, in music with several plans of the least cost: nearly
// always one of those is found that plays as much alike as any of them does.
func TestUnlike(t *testing.T) {
	// Where one of these plans plays more alike than another; that is rare.
	seeds := []uint64{9, 707, 712, 1006, 1113, 1127, 2519, 2847, 4005, 4523, 4900, 5119, 5168, 5248, 5821, 6882, 6993, 7354, 7426, 8779, 8793, 9550, 9634}
	best := 0
	for _, seed := range seeds {
		p := again(rand.New(rand.NewPCG(seed, 21)))
		o := Options{Mode: Free, FootTime: -1, Instrument: AllStrings()}
		plan, err := Solve(context.Background(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := Verify(p, o, plan); err != nil {
			t.Fatal(err)
		}
		or := &alikeOracle{p: p, on: make([]String, len(p.Notes))}
		or.try(0)
		if or.least == or.most || plan.Unlike < or.least || plan.Unlike > or.most {
			t.Errorf("seed %d: %d measures unlike, plans of the least cost have %d to %d\n%s", seed, plan.Unlike, or.least, or.most, describe(p, o))
		}
		if plan.Unlike == or.least {
			best++
		}
	}
	if 10*best < 9*len(seeds) {
		t.Errorf("of %d passages %d are played as much alike as can be", len(seeds), best)
	}
}

// again is music of a few chords of two notes, each a measure long, which come again.
func again(r *rand.Rand) *Passage {
	pool := [][]name{
		{{F, 0}, {F, 100}, {G, -100}, {G, 0}, {E, 0}, {E, 100}, {F, -100}},
		{{C, 0}, {C, 100}, {D, -100}, {D, 0}, {B, 0}, {B, 100}, {C, -100}},
	}[r.IntN(2)]
	var kinds [3][]barNote
	for k := range kinds {
		for range 2 {
			n := pool[r.IntN(len(pool))]
			kinds[k] = append(kinds[k], barNote{length: 1, pitch: Pitch{n.letter, n.cents, 4 + r.IntN(2)}})
		}
	}
	var measures [][]barNote
	for range 6 {
		measures = append(measures, kinds[r.IntN(len(kinds))])
	}
	return bars(measures...)
}

// An alikeOracle tries all strings for music of chords, and keeps the least and the
// most measures that are played otherwise than the first of their kind, over all
// plans of the least cost.
type alikeOracle struct {
	p           *Passage
	on          []String // of each note
	cheapest    []int
	least, most int
}

// try tries every string for note n and those after it, but for what no setting can
// play.
func (or *alikeOracle) try(n int) {
	if n == len(or.p.Notes) {
		or.count()
		return
	}
	pitch := or.p.Notes[n].Pitch
	height := pitch.Letter.Semitones() + pitch.Cents/100
	for l := range Letter(Letters) {
		for pos := Flat; pos <= Sharp; pos++ {
			s := String{Letter: l, Position: pos, OK: true}
			if (height-l.Semitones()-int(pos))%12 != 0 || n%2 == 1 && or.on[n-1].Letter == l && or.on[n-1] != s ||
				n%2 == 1 && or.p.Notes[n-1].Pitch == pitch && or.on[n-1] != s {
				continue
			}
			or.on[n] = s
			or.try(n + 1)
		}
	}
}

// count counts what the strings cost, in the order of mode Free.
func (or *alikeOracle) count() {
	var changes, notches, respelt, unlike int
	stands, first := map[Letter]Position{}, map[[2]Pitch]int{}
	for n := 0; n < len(or.on); n += 2 {
		two := [2]Pitch{or.p.Notes[n].Pitch, or.p.Notes[n+1].Pitch}
		for i, s := range or.on[n : n+2] {
			if at, ok := stands[s.Letter]; ok && at != s.Position {
				changes++
				notches += max(int(at-s.Position), int(s.Position-at))
			}
			stands[s.Letter] = s.Position
			if s.Letter != two[i].Letter && (i == 0 || two[0] != two[1]) {
				respelt++
			}
		}
		if f, ok := first[two]; !ok {
			first[two] = n
		} else if or.on[f] != or.on[n] || or.on[f+1] != or.on[n+1] {
			unlike++
		}
	}
	cost := []int{changes, respelt, notches}
	switch c := slices.Compare(cost, or.cheapest); {
	case or.cheapest == nil || c < 0:
		or.cheapest, or.least, or.most = cost, unlike, unlike
	case c == 0:
		or.least, or.most = min(or.least, unlike), max(or.most, unlike)
	}
}
