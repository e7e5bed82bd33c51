package pedal

import (
	"context"
	"reflect"
	"slices"
	"testing"
	"time"
)

// A fuzzReader reads choices out of bytes; past their end, every choice is the
// first.
type fuzzReader struct{ bytes []byte }

// choice is a number from 0 up to n-1.
func (r *fuzzReader) choice(n int) int {
	if len(r.bytes) == 0 {
		return 0
	}
	b := r.bytes[0]
	r.bytes = r.bytes[1:]
	return int(b) % n
}

func (r *fuzzReader) setting() Setting {
	var s Setting
	for l := range s {
		s[l] = Position(r.choice(3)) - 1
	}
	return s
}

// options are of every kind.
func (r *fuzzReader) options() Options {
	o := Options{
		Mode:        Modes()[r.choice(4)],
		FootTime:    []time.Duration{-1, 0, 1, 100 * time.Millisecond, 2 * time.Second, time.Hour}[r.choice(6)],
		ChangePrice: []int{0, 1, 2, 1000}[r.choice(4)],
		SwitchPrice: []int{0, -1, 1, 5}[r.choice(4)],
	}
	switch r.choice(6) {
	case 0:
		o.Instrument = AllStrings()
	case 1:
		o.Instrument = Concert47()
	case 2:
		o.Instrument = Harp44()
	case 3:
		o.Instrument = Concert48()
	case 4: // an octave, of which two strings have no discs
		o.Instrument = Instrument{Lowest: StringName{C, 4}, Highest: StringName{C, 5}, Undisced: []StringName{{C, 4}, {G, 4}}}
	case 5: // a single string
		o.Instrument = Instrument{Lowest: StringName{E, 4}, Highest: StringName{E, 4}}
	}
	if o.MoveTime = []time.Duration{0, -1, time.Millisecond, 100 * time.Millisecond}[r.choice(4)]; o.FootTime > 0 {
		o.MoveTime = min(o.MoveTime, o.FootTime)
	}
	o.SoundingTime = []time.Duration{0, -1, time.Second}[r.choice(3)]
	if r.choice(3) == 1 {
		s := r.setting()
		o.Start = &s
	}
	if r.choice(3) == 1 {
		s := r.setting()
		o.End = &s
	}
	return o
}

// passage is short, with all that can go wrong in it: double
// accidentals and microtones, pitches out of reach, notes of several passes,
// moments at one time, and notes without length or longer than the music.
func (r *fuzzReader) passage() *Passage {
	p := &Passage{}
	if r.choice(2) == 1 {
		p.Key = r.setting()
	}
	for range r.choice(9) {
		p.Notes = append(p.Notes, Note{
			Pitch: Pitch{
				Letter: Letter(r.choice(Letters)),
				Cents:  []int{0, 100, -100, 200, -200, 50, -150, 300, 1200}[r.choice(9)],
				Octave: []int{4, 3, 5, 1, 7, 8, 0, -3, 30_000}[r.choice(9)],
			},
			Fixed: r.choice(6) == 1,
		})
	}
	tick := []time.Duration{250 * time.Millisecond, 0, 1, 30 * time.Millisecond, 3 * time.Second}[r.choice(5)]
	var at int64
	for range r.choice(12) {
		at += []int64{1, 0, 2, 5, 1000}[r.choice(5)]
		m := Moment{Onset: at, At: time.Duration(at) * tick, Beat: r.choice(2) == 0, Grace: r.choice(5) == 1}
		if len(p.Notes) > 0 {
			for range r.choice(5) {
				m.Strikes = append(m.Strikes, r.strike(m, len(p.Notes), tick))
			}
		}
		p.Moments = append(p.Moments, m)
	}
	return p
}

func (r *fuzzReader) strike(m Moment, notes int, tick time.Duration) Strike {
	s := Strike{Note: r.choice(notes)}
	length := []int64{1, 0, 2, 7, 10_000}[r.choice(5)]
	s.End = m.Onset + length
	s.Until = time.Duration(s.End) * tick
	if r.choice(8) == 1 {
		s.End, s.Until = m.Onset, m.At // as a grace note
	}
	return s
}

// FuzzSolve: whatever the passage and the options are, there is a plan, the same
// each time. It can be played, costs no less than its bound, and of a few notes,
// what trying everything finds.
func FuzzSolve(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte{0, 0, 0, 0, 0, 0, 0, 2, 1, 1, 0, 0, 1, 2, 0, 0, 0, 2, 0, 0, 0, 1, 0, 0, 1, 0, 0, 1, 0, 0})
	f.Add([]byte("\x01\x01\x00\x01\x01\x00\x01\x02\x00\x01\x02\x00\x01\x00\x00\x04\x00\x01\x00\x00\x00\x02\x00\x00\x01\x03\x00\x00\x06\x05\x00\x00\x00\x06\x00\x00\x00\x03\x00\x00\x00\x01\x00\x00\x01\x00\x00\x00\x02\x00\x00\x00\x02\x02\x00\x03\x00\x00"))
	f.Add([]byte("a passage may be any text, \xff\xfe since every byte is a choice; the rest of it is the first choice each time"))
	f.Fuzz(func(t *testing.T, choices []byte) {
		r := &fuzzReader{choices}
		o, p := r.options(), r.passage()
		checkSolved(t, p, o)
		again := &fuzzReader{choices}
		if o2, p2 := again.options(), again.passage(); !reflect.DeepEqual(o, o2) || !reflect.DeepEqual(p, p2) {
			t.Error("the passage or the options have changed")
		}
	})
}

func checkSolved(t *testing.T, p *Passage, o Options) {
	t.Helper()
	plan := solveTwice(t, p, o)
	if err := Verify(p, o, plan); err != nil {
		t.Fatalf("the plan cannot be played: %v\n%s", err, describe(p, o))
	}
	cost, bound := inOrderOf(o, plan.Cost), inOrderOf(o, plan.Proof.Bound)
	if slices.Compare(cost, bound) < 0 {
		t.Errorf("%v: it costs %v, less than its bound %v\n%s", o.Mode, cost, bound, describe(p, o))
	}
	if plan.Proof.Minimal && !slices.Equal(cost[:len(cost)-1], bound[:len(cost)-1]) {
		t.Errorf("%v: it costs %v and is called minimal with the bound %v\n%s", o.Mode, cost, bound, describe(p, o))
	}
	if !canTryAll(p, o) {
		return
	}
	best := inOrderOf(o, bruteForce(p, o))
	if slices.Compare(bound, best) > 0 || slices.Compare(cost, best) < 0 || plan.Proof.Minimal && !slices.Equal(cost[:len(cost)-1], best[:len(cost)-1]) {
		t.Errorf("%v: it costs %v with the bound %v, minimal %v; the best is %v\n%s", o.Mode, cost, bound, plan.Proof.Minimal, best, describe(p, o))
	}
}

// solveTwice solves the passage twice, and checks that the plans are the same.
func solveTwice(t *testing.T, p *Passage, o Options) *Plan {
	t.Helper()
	plan, err := Solve(context.Background(), p, o)
	if err != nil && len(p.Moments) == 0 && o.Start != nil && o.End != nil {
		t.Skip("there is no time to come to the end")
	}
	if err != nil {
		t.Fatalf("no plan: %v\n%s", err, describe(p, o))
	}
	again, err := Solve(context.Background(), p, o)
	if err != nil || !reflect.DeepEqual(plan, again) {
		t.Fatalf("another time it is another plan (%v):\n%+v\n%+v\n%s", err, plan, again, describe(p, o))
	}
	return plan
}

// inOrderOf lists a cost in the order of the mode, most important first.
func inOrderOf(o Options, c Cost) []int {
	price, turn := o.ChangePrice, max(o.SwitchPrice, 0)
	if price == 0 {
		price = DefaultChangePrice
	}
	if o.SwitchPrice == 0 {
		turn = DefaultSwitchPrice
	}
	switch o.Mode {
	case Free:
		return []int{c.Unsounded, c.Held, c.Rushed, c.Changes, c.Respelt, c.Notches}
	case Balanced:
		return []int{c.Unsounded, c.Held, c.Rushed, price*c.Changes + turn*c.Switches + c.Respelt, c.Changes, c.Switches, c.Notches}
	}
	return []int{c.Unsounded, c.Held, c.Rushed, c.Respelt, c.Changes, c.Notches}
}

// canTryAll tells whether the oracle takes the passage: few notes, on strings an
// octave off at most, all strings there, and no more than one strike of a note at
// a moment.
func canTryAll(p *Passage, o Options) bool {
	strikes := 0
	for _, m := range p.Moments {
		seen := map[int]bool{}
		for _, s := range m.Strikes {
			if seen[s.Note] {
				return false
			}
			seen[s.Note] = true
		}
		strikes += len(m.Strikes)
	}
	for _, n := range p.Notes {
		if n.Pitch.Cents > 300 {
			return false
		}
	}
	return len(p.Moments) > 0 && len(p.Notes) <= 3 && strikes <= 5 && reflect.DeepEqual(o.Instrument, AllStrings())
}
