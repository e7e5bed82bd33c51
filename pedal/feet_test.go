package pedal

import (
	"context"
	"math/rand/v2"
	"testing"
	"time"
)

func TestTimes(t *testing.T) {
	const ms = time.Millisecond
	for _, tt := range []struct {
		o      Options
		want   Times
		reason string
	}{
		{Options{}, Times{500 * ms, 200 * ms, 100 * ms}, "the defaults"},
		{Options{FootTime: -1}, Times{}, "timing off, all three"},
		{Options{FootTime: -1, MoveTime: 300 * ms, SoundingTime: 300 * ms}, Times{}, "timing off, whatever else is given"},
		{Options{FootTime: 100 * ms}, Times{100 * ms, 100 * ms, 100 * ms}, "a foot time below the move time lowers it"},
		{Options{MoveTime: 800 * ms}, Times{500 * ms, 500 * ms, 100 * ms}, "the same where the foot time is the default"},
		{Options{MoveTime: -1, SoundingTime: -1}, Times{500 * ms, 0, 0}, "no time at all"},
		{Options{FootTime: 300 * ms, MoveTime: 300 * ms, SoundingTime: time.Second}, Times{300 * ms, 300 * ms, time.Second}, "as given"},
	} {
		if got := tt.o.Times(); got != tt.want || tt.o.check() != nil {
			t.Errorf("%+v: %+v (%v), want %+v: %s", tt.o, got, tt.o.check(), tt.want, tt.reason)
		}
	}
	o := Options{FootTime: 300 * ms, MoveTime: 301 * ms}
	if _, err := Solve(context.Background(), &Passage{}, o); err == nil {
		t.Error("moves that take longer than the time from one to the next are taken")
	}
}

// A change alone, in its window and out of it. Times in hundredths of a second: the
// letter is attacked at 0 and its note ends at end, and the change is needed at due.
func TestWindow(t *testing.T) {
	for _, tt := range []struct {
		end, due    int
		first, last int
		rushed      bool
		reason      string
	}{
		{200, 400, 200, 380, false, "from the end of the note"},
		{400, 400, 350, 380, false, "a note may go a foot time early"},
		{40, 40, 10, 20, false, "but not before it has sounded"},
		{30, 30, 10, 10, false, "it has just sounded and can just be moved"},
		{29, 29, 10, 9, true, "not even the move time is there"},
		{5, 40, 5, 20, false, "a shorter note frees its letter at its end"},
		{5, 25, 5, 5, false, "the same, just in time"},
		{0, 20, 0, 0, false, "a grace note ends where it begins"},
		{0, 19, 0, -1, true, "less than a move after a grace note"},
		{90, 60, 10, 40, false, "a held note: it is let go all the same"},
	} {
		at := func(n int) time.Duration { return time.Duration(n) * 10 * time.Millisecond }
		p := &Passage{Notes: []Note{{Pitch: Pitch{F, 0, 4}}, {Pitch: Pitch{F, 100, 4}}}, Moments: []Moment{
			{Strikes: []Strike{{Note: 0, End: int64(tt.end), Until: at(tt.end)}}},
			{Onset: int64(tt.due), At: at(tt.due), Strikes: []Strike{{Note: 1, End: int64(tt.due), Until: at(tt.due)}}},
		}}
		mv := mustSolve(t, p, Options{Mode: Written}).Moves[0]
		if mv.WindowStart != at(tt.first) || mv.WindowEnd != at(tt.last) || mv.Rushed != tt.rushed {
			t.Errorf("a note to %d, needed at %d: from %v to %v, rushed %v, want %v to %v, %v: %s",
				tt.end, tt.due, mv.WindowStart, mv.WindowEnd, mv.Rushed, at(tt.first), at(tt.last), tt.rushed, tt.reason)
		}
	}
}

// The search knows of itself, followed exactly, how many changes a foot must rush:
// its bound is what a schedule of its plan comes to, and what brute force finds.
func TestOracleFeet(t *testing.T) {
	seeds := uint64(5000)
	if testing.Short() {
		seeds = 1000
	}
	rushed := 0
	for seed := range seeds {
		r := rand.New(rand.NewPCG(seed, 8))
		p, o := crowdedPassage(r)
		all := oracle{p: p, o: o} // only as it is written, with every note
		for _, n := range p.Notes {
			all.strings = append(all.strings, String{Letter: n.Pitch.Letter, Octave: n.Pitch.Octave, Position: Position(n.Pitch.Cents / 100), OK: true})
		}
		all.play()
		want := all.cost
		plan := mustSolve(t, p, o)
		if plan.Cost != want || plan.Proof.Bound != want {
			t.Fatalf("seed %d, times %+v: cost %+v, bound %+v, want %+v\n%s", seed, o.Times(), plan.Cost, plan.Proof.Bound, want, describe(p, o))
		}
		rushed += want.Rushed
	}
	if rushed < int(seeds) {
		t.Errorf("%d rushed changes in %d passages are too few for a test", rushed, seeds)
	}
}

// crowdedPassage is written so that one foot has many changes to make in little
// time: its letters go up and down all the time, in three octaves, under notes that
// are short, long or of no length at all, and some at the same second.
func crowdedPassage(r *rand.Rand) (*Passage, Options) {
	const tick = 50 * time.Millisecond
	o := Options{Mode: Written, Instrument: AllStrings()}
	o.FootTime = time.Duration(4+r.IntN(9)) * tick
	o.MoveTime = []time.Duration{-1, tick, 2 * tick, 4 * tick}[r.IntN(4)]
	o.SoundingTime = []time.Duration{-1, tick, 3 * tick, 8 * tick}[r.IntN(4)]
	p := &Passage{}
	stands := [4]int{}
	at := int64(0)
	for range 6 + r.IntN(8) {
		m := Moment{Onset: at, At: time.Duration(at) * tick, Beat: r.IntN(2) == 0, Grace: r.IntN(4) == 0}
		for i := range stands {
			if r.IntN(2) == 0 {
				continue
			}
			if r.IntN(3) > 0 {
				stands[i] = r.IntN(3) - 1
			}
			end := at
			if !m.Grace {
				end += int64([]int{1, 2, 4, 12}[r.IntN(4)])
			}
			m.Strikes = append(m.Strikes, Strike{Note: len(p.Notes), End: end, Until: time.Duration(end) * tick})
			p.Notes = append(p.Notes, Note{Pitch: Pitch{[]Letter{E, F, G, A}[i], 100 * stands[i], 3 + r.IntN(3)}})
		}
		p.Moments = append(p.Moments, m)
		at += int64([]int{0, 1, 2, 4, 8, 12}[r.IntN(6)])
	}
	return p, o
}
