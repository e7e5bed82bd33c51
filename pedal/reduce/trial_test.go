package reduce_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/reduce"
	"pedalogue/pedal/revise"
)

// piece is 13 to 60 moments of invented music on two staves: chromatic, with notes that are
// repeated and held, rolls, grace notes, a change of tempo and sometimes a repeat.
func piece(t *testing.T, rng *rand.Rand) *finding.Music {
	t.Helper()
	ticks := []time.Duration{40, 70, 110, 180, 300, 600}
	b := pedal.Builder{Tick: ticks[rng.IntN(len(ticks))] * time.Millisecond, Beat: int64(1 + rng.IntN(4))}
	repeat := rng.IntN(4) == 0
	most := 13 + rng.IntN(48)
	if repeat {
		most /= 2
	}
	signs := []string{"", "", "", "♯", "♭"}
	pitch := func() string {
		octave := []int{1, 2, 2, 3, 3, 4, 4, 4, 5, 5, 6}[rng.IntN(11)]
		return string("CDEFGAB"[rng.IntN(7)]) + signs[rng.IntN(len(signs))] + fmt.Sprint(octave)
	}
	wide := rng.IntN(3) == 0 // big chords are common
	bars, now := 1, int64(0)
	var last []string
	for moments := 0; moments < most; moments++ {
		size := 1 + rng.IntN(3)
		if wide && rng.IntN(3) == 0 || rng.IntN(12) == 0 {
			size += rng.IntN(8)
		}
		var names []string
		for len(names) < size {
			p := pitch()
			if len(last) > 0 && rng.IntN(3) == 0 {
				p = last[rng.IntN(len(last))]
			}
			if !slices.Contains(names, p) || rng.IntN(40) == 0 {
				names = append(names, p)
			}
		}
		if rng.IntN(15) == 0 {
			b.Grace(pitch())
		}
		for _, name := range names {
			b.Strike(1+int64(rng.IntN(2)*rng.IntN(8)), name)
		}
		wait := 1 + int64(rng.IntN(2)*rng.IntN(2)*rng.IntN(5))
		b.Wait(wait)
		last = names
		if now += wait; now >= 8 {
			b.Bar()
			bars, now = bars+1, 0
			if rng.IntN(5) == 0 {
				b.Tick = ticks[rng.IntN(len(ticks))] * time.Millisecond
			}
		}
	}
	if now == 0 {
		bars-- // the last barline ends the music
	}
	if repeat {
		b.Again(rng.IntN(bars), bars-1)
	}
	p, err := b.Passage()
	if err != nil {
		t.Fatal(err)
	}
	m := &finding.Music{Passage: p, Signs: make([]finding.Signs, len(p.Notes))}
	for i := range len(p.Notes) { // others come after them
		n := &p.Notes[i]
		n.Staff = 2
		if n.Pitch.Octave >= 4 != (rng.IntN(8) == 0) {
			n.Staff = 1
		}
		switch rng.IntN(150) {
		case 0:
			n.Pitch.Cents += 50
		case 1:
			n.Fixed = true
		case 2, 3:
			m.Signs[i].Roll = finding.Rolled
		case 4:
			m.Signs[i].Roll = finding.Together
		case 5:
			m.Signs[i].Plucks = 8
		case 6:
			m.Signs[i].Harmonic = true
		case 7, 8:
			m.Signs[i].Trill = true
			upperNote(m, i)
		}
	}
	return m
}

// upperNote adds what a trill on a note plays with it: the string above.
func upperNote(m *finding.Music, note int) {
	p := m.Passage
	up := p.Notes[note]
	up.Implied, up.Pitch.Cents = true, 0
	scale := []pedal.Letter{pedal.C, pedal.D, pedal.E, pedal.F, pedal.G, pedal.A, pedal.B, pedal.C}
	if up.Pitch.Letter = scale[slices.Index(scale, up.Pitch.Letter)+1]; up.Pitch.Letter == pedal.C {
		up.Pitch.Octave++
	}
	p.Notes = append(p.Notes, up)
	m.Signs = append(m.Signs, finding.Signs{Of: note + 1, Ornament: true})
	for i := range p.Moments {
		mo := &p.Moments[i]
		for _, s := range mo.Strikes {
			if s.Note == note {
				s.Note = len(p.Notes) - 1
				mo.Strikes = append(mo.Strikes, s)
				break
			}
		}
	}
}

// wishes are options of some kind, and the notes with which nothing may be done.
func wishes(rng *rand.Rand, m *finding.Music) (o reduce.Options, kept map[int]bool) {
	kept = map[int]bool{}
	o.KeepMelody, o.KeepBass = rng.IntN(6) == 0, rng.IntN(6) == 0
	o.RollPrice = []int{0, 0, -1, 1, 5}[rng.IntN(5)]
	o.Judge.Plan.Mode = []pedal.Mode{pedal.Balanced, pedal.Balanced, pedal.Free, pedal.Written}[rng.IntN(4)]
	if rng.IntN(3) == 0 {
		harp := []pedal.Instrument{pedal.Concert48(), pedal.SemiGrand46(), pedal.Harp44()}[rng.IntN(3)]
		o.Judge.Plan.Instrument = harp
	}
	if rng.IntN(4) == 0 {
		o.Judge.Limits = map[finding.Kind]finding.Limit{"wide-chord": 8, "wide-roll": 9, "too-many-notes": 6, "no-time-to-roll": 80, "repeated-string": 350}
	}
	if rng.IntN(4) == 0 {
		for n := range m.Passage.Notes {
			if rng.IntN(10) == 0 {
				kept[n] = true
			}
		}
		o.Keep = func(n int) bool { return kept[n] }
	}
	if rng.IntN(2) == 0 {
		length := map[int]int64{}
		for _, mo := range m.Passage.Moments {
			for _, s := range mo.Strikes {
				length[s.Note] = s.End - mo.Onset
			}
		}
		o.Shorter = func(n int) (list []int64) {
			for l := length[n] - 1; l > 0; l-- {
				list = append(list, l)
			}
			return list
		}
	}
	return o, kept
}

// Whatever the music: there is no error; no chord stays that cannot be played but by what is
// kept; what is told as verified is, where the revised music is planned and judged anew;
// each operation is in one reduction; and workers change nothing.
func TestInventedMusic(t *testing.T) {
	cases := 6
	if *long {
		cases = 400
	}
	rng := rand.New(rand.NewPCG(22, 3))
	before, after, reductions, verified := 0, 0, 0, 0
	for k := range cases {
		m := piece(t, rng)
		o, kept := wishes(rng, m)
		name := fmt.Sprintf("piece %d, mode %v, %d kept, melody %v, bass %v: %s", k, o.Judge.Plan.Mode, len(kept), o.KeepMelody, o.KeepBass, told(m))
		done, err := reduce.Music(t.Context(), m, o)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		o.Judge.Plan.Workers = 3
		if again, err := reduce.Music(t.Context(), m, o); err != nil || !reflect.DeepEqual(done.Ops, again.Ops) || !reflect.DeepEqual(done.Reductions, again.Reductions) || !reflect.DeepEqual(done.Unsolved, again.Unsolved) || !reflect.DeepEqual(done.Plan, again.Plan) {
			t.Errorf("%s: with three workers it is another reduction: %v", name, err)
		}
		left := judged(t, m, done, o)
		before, after, reductions = before+len(done.Before), after+len(left), reductions+len(done.Reductions)
		for _, f := range left {
			if !slices.Contains([]finding.Kind{"repeated-string", "leap", "rushed-change", "held-string"}, f.Kind) && !excused(m, o, done.Revised, f) {
				t.Errorf("%s\nis left: %s %s at moment %d", name, f.Kind, f.Text, f.Moment)
			}
		}
		for _, op := range done.Ops {
			if kept[op.Note] && op.Do != revise.Roll {
				t.Errorf("%s\nchanges note %d, which is kept: %v", name, op.Note, op)
			}
		}
		var ops []revise.Op
		for _, r := range done.Reductions {
			ops = append(ops, r.Ops...)
			if r.Verified {
				verified++
				holds(t, name, m, done.Revised, left, r)
			}
		}
		if len(ops) != len(done.Ops) || slices.ContainsFunc(ops, func(o revise.Op) bool { return !slices.Contains(done.Ops, o) }) {
			t.Errorf("%s\nreductions have %v, and all is %v", name, ops, done.Ops)
		}
	}
	t.Logf("%d findings in %d pieces, %d after %d reductions, of which %d are verified", before, cases, after, reductions, verified)
	if verified < cases {
		t.Error("too little had to be reduced for the test to mean anything")
	}
}

// judged plans and judges what has come of music, anew.
func judged(t *testing.T, m *finding.Music, done *reduce.Result, o reduce.Options) (left []finding.Finding) {
	t.Helper()
	r, err := revise.Apply(m, done.Ops)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(r, done.Revised) {
		t.Errorf("%s\nby %v is not what is told", told(m), done.Ops)
	}
	plan, err := pedal.Solve(t.Context(), r.Music.Passage, o.Judge.Plan)
	if err != nil {
		t.Fatal(err)
	}
	if plan.Cost != done.Plan.Cost {
		t.Errorf("%s\nis told to cost %+v, planned anew it does %+v", told(m), done.Plan.Cost, plan.Cost)
	}
	for _, p := range []*pedal.Plan{plan, done.Plan} {
		all, err := finding.All(r.Music, p, o.Judge)
		if err != nil {
			t.Fatal(err)
		}
		left = left[:0]
		for _, f := range all {
			if reduce.Treats(f.Kind, f.Severity) {
				left = append(left, f)
			}
		}
	}
	return left
}

// excused tells whether a chord has notes that must stay.
func excused(m *finding.Music, o reduce.Options, r *revise.Revised, f finding.Finding) bool {
	ledger := revise.NewLedger(m)
	for i, k := range r.Moments {
		if k != f.Moment && !(k == f.Moment+1 && r.Music.Passage.Moments[f.Moment].Grace) {
			continue
		}
		for _, s := range m.Passage.Moments[i].Strikes {
			if o.Keep != nil && o.Keep(s.Note) || o.KeepMelody && ledger.Melody(s.Note) || o.KeepBass && ledger.Bass(s.Note) {
				return true
			}
		}
	}
	return false
}

// holds looks whether nothing is left from the first to the last moment of a reduction of
// what it is for.
func holds(t *testing.T, name string, m *finding.Music, r *revise.Revised, left []finding.Finding, red reduce.Reduction) {
	t.Helper()
	first := map[int]int{}
	for i, mo := range m.Passage.Moments {
		for _, s := range mo.Strikes {
			if _, known := first[s.Note]; !known {
				first[s.Note] = i
			}
		}
	}
	last := red.Moment
	for _, op := range red.Ops {
		last = max(last, first[op.Note])
	}
	for _, f := range left {
		if slices.Contains(red.For, f.Kind) && f.Moment >= r.Moments[red.Moment] && f.Moment <= r.Moments[last] {
			t.Errorf("%s\n%s is verified, and there is still: %s", name, revise.Sentence(m, red.Ops), f.Text)
		}
	}
}
