package part

import (
	"context"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/spelling"
)

// A demand is a pedal that an existing mark wants in a position, at each moment at
// which the mark is met.
type demand struct {
	note    int // index into the passage's notes, of a note that stands for it
	moments []int
}

// obey plans the passage so that the pedals stand as the existing marks say,
// wherever that costs no note, in every mode. Each pedal that a mark names is
// played at its place as a note without length. Demands that cannot be met, or that
// silence a note which sounds without them, are given up, and the passage is
// planned again without them; so each mode gives up its own. Then nothing is proved
// of the plan: giving up others could have been better. Its bound is that of the
// music alone, given by the plans that know nothing of marks.
//
// The passage keeps what is asked for in the mode that is asked for.
func (p *Part) obey(ctx context.Context, free [4]*pedal.Plan, o pedal.Options) (plans [4]*pedal.Plan, err error) {
	demands := p.demands(o.Instrument)
	if len(demands) == 0 {
		return free, nil
	}
	own := make([][]pedal.Strike, len(p.Passage.Moments))
	for i := range own {
		own[i] = slices.Clip(p.Passage.Moments[i].Strikes)
	}
	modes, last := pedal.Modes(), o.Mode
	for i, mode := range modes {
		if mode != last && free[i] != nil {
			if plans[i], err = p.obeyIn(ctx, mode, free[i], o, own, demands); err != nil {
				return plans, err
			}
		}
	}
	i := slices.Index(modes[:], last)
	plans[i], err = p.obeyIn(ctx, last, free[i], o, own, demands)
	return plans, err
}

// obeyIn is obey in one mode. The passage is left with the demands that are met.
func (p *Part) obeyIn(ctx context.Context, mode pedal.Mode, free *pedal.Plan, o pedal.Options, own [][]pedal.Strike, demands []demand) (*pedal.Plan, error) {
	o.Mode = mode
	silent := silentIn(free)
	for asked := len(demands); ; {
		p.ask(own, demands)
		plan, err := p.solve(ctx, o)
		if err != nil {
			return nil, err
		}
		given := map[int]bool{} // notes that stand for demands
		for _, d := range plan.Unsounded {
			strikes, first := p.Passage.Moments[d.Moment].Strikes, len(own[d.Moment])
			switch {
			case d.Strike >= first:
				given[strikes[d.Strike].Note] = true
			case !silent[d]:
				for _, s := range strikes[first:] {
					given[s.Note] = true
				}
			}
		}
		if len(given) == 0 {
			if len(demands) < asked {
				plan.Proof = pedal.Proof{Covers: []string{}, Bound: free.Proof.Bound}
			}
			return plan, nil
		}
		demands = slices.DeleteFunc(slices.Clone(demands), func(d demand) bool { return given[d.note] })
	}
}

// ask puts demands into the passage, beside its own strikes.
func (p *Part) ask(own [][]pedal.Strike, demands []demand) {
	for i, strikes := range own {
		p.Passage.Moments[i].Strikes = strikes
	}
	for _, d := range demands {
		for _, i := range d.moments {
			m := &p.Passage.Moments[i]
			m.Strikes = append(m.Strikes, pedal.Strike{Note: d.note, End: m.Onset, Until: m.At})
		}
	}
}

// demands adds a note to the passage for each pedal that a mark names, and lists
// when it is wanted. What is printed twice at one place is one demand.
func (p *Part) demands(h pedal.Instrument) (list []demand) {
	type wanted struct {
		spelling.Tuning
		moment int
	}
	seen := map[wanted]bool{}
	for i := range p.Standing {
		m := &p.Standing[i]
		moments := p.momentsOf(m)
		for _, t := range m.Pedals {
			var at []int
			for _, k := range moments {
				if w := (wanted{t, k}); !seen[w] {
					seen[w] = true
					at = append(at, k)
				}
			}
			if len(at) == 0 {
				continue
			}
			list = append(list, p.demand(t, at, h))
		}
	}
	return list
}

// An instruction is what a mark that stands in the score says of one pedal at a
// moment.
type instruction struct {
	moment   int
	letter   pedal.Letter
	position pedal.Position
}

// instructions are all of them.
func (p *Part) instructions() map[instruction]bool {
	all := map[instruction]bool{}
	for i := range p.Standing {
		m := &p.Standing[i]
		for _, at := range p.momentsOf(m) {
			for _, t := range m.Pedals {
				all[instruction{at, t.Letter, t.Position}] = true
			}
		}
	}
	return all
}

// demand adds a note to the passage that stands for a pedal wanted at some moments.
func (p *Part) demand(t spelling.Tuning, moments []int, h pedal.Instrument) demand {
	p.Passage.Notes = append(p.Passage.Notes, pedal.Note{Pitch: p.silentPitch(t, h), Implied: true, Fixed: true, Silent: true})
	p.notes = append(p.notes, noteOf{})
	return demand{len(p.Passage.Notes) - 1, moments}
}

// silentPitch is a pitch that asks for a pedal and for nothing else: on a string
// with discs, and not one of the music's.
func (p *Part) silentPitch(t spelling.Tuning, h pedal.Instrument) pedal.Pitch {
	pitch := pedal.Pitch{Letter: t.Letter, Cents: 100 * int(t.Position)}
	for _, octave := range []int{middleOctave, 3, 5, 2, 6, 1, 7, 0, 8} {
		pitch.Octave = octave
		ours := slices.ContainsFunc(p.Passage.Notes, func(n pedal.Note) bool { return n.Pitch == pitch && !n.Implied })
		if !ours && h.Disced(pedal.StringName{Letter: pitch.Letter, Octave: octave}) {
			return pitch
		}
	}
	pitch.Octave = middleOctave
	return pitch
}
