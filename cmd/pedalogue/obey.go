package main

import (
	"context"
	"slices"

	"pedalogue/pedal"
)

// A demand is a pedal that an existing mark wants in a position at a moment.
type demand struct {
	moment int
	note   int // index into the passage's notes
}

// obey plans the passage so that the pedals stand as the existing marks say,
// wherever that costs no note. Each pedal that a mark names is played at its
// place as a note without length. Demands that cannot be met, or that silence a
// note which sounds without them, are given up, and the passage is planned
// again without them. Then nothing is proved of the plan: giving up others could
// have been better. Its bound is that of the music alone.
func (b *bridge) obey(ctx context.Context, free *pedal.Plan, o pedal.Options) (*pedal.Plan, error) {
	demands := b.demands(b.others)
	if len(demands) == 0 {
		return free, nil
	}
	own := make([][]pedal.Strike, len(b.passage.Moments))
	for i := range own {
		own[i] = slices.Clip(b.passage.Moments[i].Strikes)
	}
	silent := map[pedal.Dropped]bool{}
	for _, d := range free.Unsounded {
		silent[d] = true
	}
	for asked := len(demands); ; {
		for i, strikes := range own {
			b.passage.Moments[i].Strikes = strikes
		}
		for _, d := range demands {
			m := &b.passage.Moments[d.moment]
			m.Strikes = append(m.Strikes, pedal.Strike{Note: d.note, End: m.Onset, Until: m.At})
		}
		plan, err := b.solve(ctx, o)
		if err != nil {
			return nil, err
		}
		given := map[demand]bool{}
		for _, d := range plan.Unsounded {
			switch first := len(own[d.Moment]); {
			case d.Strike >= first:
				given[demand{d.Moment, b.passage.Moments[d.Moment].Strikes[d.Strike].Note}] = true
			case !silent[d]:
				for _, s := range b.passage.Moments[d.Moment].Strikes[first:] {
					given[demand{d.Moment, s.Note}] = true
				}
			}
		}
		if len(given) == 0 {
			if len(demands) < asked {
				plan.Proof = pedal.Proof{Covers: []string{}, Bound: free.Proof.Bound}
			}
			return plan, nil
		}
		demands = slices.DeleteFunc(demands, func(d demand) bool { return given[d] })
	}
}

// demands adds a note to the passage for each pedal in each position that marks
// name, and lists when it is wanted.
func (b *bridge) demands(marks []existingMark) []demand {
	notes := map[pedal.Tuning]int{}
	seen := map[demand]bool{}
	var list []demand
	for _, m := range marks {
		for _, t := range m.marks.Pedals {
			note, known := notes[t]
			if !known {
				note = len(b.passage.Notes)
				notes[t] = note
				b.passage.Notes = append(b.passage.Notes, pedal.Note{
					Pitch:   pedal.Pitch{Letter: t.Letter, Cents: 100 * int(t.Position), Octave: middleOctave},
					Implied: true, Fixed: true,
				})
				b.notes = append(b.notes, noteOf{})
			}
			for _, at := range b.momentsOf(m) {
				if d := (demand{at, note}); !seen[d] {
					seen[d] = true
					list = append(list, d)
				}
			}
		}
	}
	return list
}
