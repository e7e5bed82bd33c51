package part

import (
	"context"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/spelling"
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
func (b *Part) obey(ctx context.Context, free *pedal.Plan, o pedal.Options) (*pedal.Plan, error) {
	demands := b.demands()
	if len(demands) == 0 {
		return free, nil
	}
	own := make([][]pedal.Strike, len(b.Passage.Moments))
	for i := range own {
		own[i] = slices.Clip(b.Passage.Moments[i].Strikes)
	}
	silent := silentIn(free)
	for asked := len(demands); ; {
		for i, strikes := range own {
			b.Passage.Moments[i].Strikes = strikes
		}
		for _, d := range demands {
			m := &b.Passage.Moments[d.moment]
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
				given[demand{d.Moment, b.Passage.Moments[d.Moment].Strikes[d.Strike].Note}] = true
			case !silent[d]:
				for _, s := range b.Passage.Moments[d.Moment].Strikes[first:] {
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
func (b *Part) demands() []demand {
	notes := map[spelling.Tuning]int{}
	seen := map[demand]bool{}
	var list []demand
	for i := range b.Standing {
		m := &b.Standing[i]
		for _, t := range m.Pedals {
			note, known := notes[t]
			if !known {
				note = len(b.Passage.Notes)
				notes[t] = note
				b.Passage.Notes = append(b.Passage.Notes, pedal.Note{
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
