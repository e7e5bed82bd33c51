package pedaltest

import (
	"cmp"
	"flag"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"pedalogue/pedal"
)

var (
	seeds = flag.Uint64("seeds", 0, "how many random pieces of each kind are tried; 0 for a few")
	first = flag.Uint64("first", 0, "the first of them")
)

// The planner finds what the cheapest of all plans costs, says that it is proved, and
// every number of its plan is right: all modes, with and without feet.
func TestPlannerMeetsBruteForce(t *testing.T) {
	for _, kind := range []struct {
		name  string
		taste Taste
		few   uint64
	}{
		{"once", Taste{Notes: 14, Bars: 5, Letters: 5, Octaves: 3, Doubled: .3, Twin: .3, Odd: .1, Grace: .1, Held: .3, Fixed: .03, Copied: .3}, 40},
		{"long", Taste{Notes: 26, Bars: 8, Octaves: 3, Doubled: .3, Twin: .3, Odd: .05, Grace: .1, Held: .3, Copied: .3}, 6},
		{"clusters", Taste{Notes: 10, Bars: 2, Letters: 3, Octaves: 1, Twin: .4, Odd: .2, Grace: .2, Held: .5, Hurry: 2}, 40},
		{"hurried octaves", Taste{Notes: 12, Bars: 3, Letters: 3, Octaves: 3, Doubled: .6, Twin: .2, Held: .4, Hurry: 1.5}, 30},
		{"one letter", Taste{Notes: 12, Bars: 4, Letters: 2, Octaves: 2, Doubled: .2, Twin: .1, Grace: .2, Held: .4, Fixed: .2}, 30},
		{"names", Taste{Notes: 14, Bars: 10, Letters: 3, Octaves: 2, Doubled: .3, Twin: .6, Odd: .1, Copied: .2}, 30},
		{"pins", Taste{Notes: 10, Bars: 4, Letters: 4, Octaves: 2, Doubled: .3, Twin: .3, Odd: .1, Grace: .1, Held: .3, Pinned: .3, Copied: .3}, 60},
		{"repeats", Taste{Notes: 8, Bars: 4, Letters: 4, Octaves: 3, Doubled: .3, Twin: .3, Odd: .1, Grace: .1, Held: .3, Fixed: .03, Copied: .3, Repeats: true}, 60},
		{"hurried repeats", Taste{Notes: 8, Bars: 3, Letters: 3, Octaves: 2, Doubled: .4, Twin: .3, Odd: .1, Grace: .2, Held: .5, Copied: .2, Repeats: true, Hurry: 2}, 20},
		{"names in repeats", Taste{Notes: 9, Bars: 6, Letters: 2, Octaves: 2, Doubled: .3, Twin: .6, Odd: .1, Pinned: .1, Repeats: true}, 20},
	} {
		t.Run(kind.name, func(t *testing.T) {
			for seed := *first; seed < *first+cmp.Or(*seeds, kind.few); seed++ {
				r := rand.New(rand.NewPCG(seed, 21))
				p := Random(r, kind.taste).Passage()
				o := randomOptions(r)
				for _, foot := range []time.Duration{o.FootTime, -1} {
					o.FootTime = foot
					Compare(t, fmt.Sprintf("seed %d", seed), p, o)
				}
				if t.Failed() {
					return // one is enough to look at
				}
			}
		})
	}
}

// randomOptions are mostly the default.
func randomOptions(r *rand.Rand) pedal.Options {
	o := pedal.Options{Instrument: pedal.AllStrings()}
	if r.IntN(3) == 0 {
		o.ChangePrice, o.SwitchPrice = 1+r.IntN(8), r.IntN(5)-1
	}
	if r.IntN(4) == 0 {
		o.FootTime = time.Duration(100+r.IntN(900)) * time.Millisecond
		o.SoundingTime = time.Duration(r.IntN(4)-1) * 50 * time.Millisecond
	}
	if r.IntN(4) == 0 {
		o.MoveTime = time.Duration(r.IntN(3)-1) * 100 * time.Millisecond
	}
	if r.IntN(5) == 0 { // the compass ends, and two strings have no discs
		o.Instrument = pedal.Instrument{
			Lowest: pedal.StringName{Letter: pedal.A, Octave: 3}, Highest: pedal.StringName{Letter: pedal.D, Octave: 5},
			Undisced: []pedal.StringName{{Letter: pedal.C, Octave: 4}, {Letter: pedal.E, Octave: 4}},
		}
	}
	setting := func() *pedal.Setting {
		var s pedal.Setting
		for l := range s {
			s[l] = pedal.Position(r.IntN(3) - 1)
		}
		return &s
	}
	if r.IntN(8) == 0 {
		o.Start = setting()
	}
	if r.IntN(8) == 0 {
		o.End = setting()
	}
	return o
}
