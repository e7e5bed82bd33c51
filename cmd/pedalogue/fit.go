package main

import (
	"context"
	"errors"
	"maps"
	"slices"

	"pedalogue/pedal"
)

// A fitting makes a plan that can be printed. What is printed once holds in every
// pass, and a plan is free to treat the passes in two ways that no print can
// follow: to leave the harp in another setting than the one printed at the start
// when the start is played again, and to leave out one note of a clash in one
// pass and the other in the next. Where it does, it is asked again with that
// taken away. Such a plan costs more than the music needs, so nothing is claimed
// of it but the bound of the first one, as far as it holds: what is needed
// earlier than the music needs it has another window for the foot, so the bound
// says nothing of rushed changes nor of what ranks below them.
type fitting struct {
	b       *bridge
	options pedal.Options
	silent  map[int]bool // notes that are left out in every pass
}

// fit lays a plan out on the page, and makes another one where it cannot be
// printed.
func (b *bridge) fit(ctx context.Context, first *pedal.Plan, o pedal.Options, wanted []section) (*pedal.Plan, *page, error) {
	const most = 12 // tries; each one takes a freedom away
	f := &fitting{b: b, options: o, silent: map[int]bool{}}
	plan, restated := first, false
	for range most {
		p, err := layOut(b, plan, o.Instrument, wanted)
		switch {
		case err == nil:
			return plan, p, nil
		case errors.Is(err, errRestated) && !restated:
			restated = true
			f.restate(first.Start)
		case !f.silence(plan):
			return nil, nil, b.located(internal(err))
		}
		if plan, err = f.solve(ctx, first.Proof.Bound); err != nil {
			return nil, nil, err
		}
	}
	return nil, nil, b.located(internal(errors.New("no plan was found whose marks hold in every pass")))
}

// restate makes the first setting hold again whenever the place where it is
// printed is played again: a player who follows the page sets it anew.
func (f *fitting) restate(start pedal.Setting) {
	b := f.b
	notes := len(b.passage.Notes)
	for l, position := range start {
		b.passage.Notes = append(b.passage.Notes, pedal.Note{
			Pitch:   pedal.Pitch{Letter: pedal.Letter(l), Cents: 100 * int(position), Octave: middleOctave},
			Implied: true, Fixed: true,
		})
		b.notes = append(b.notes, noteOf{})
	}
	for _, i := range b.playings(place{measure: b.firstMeasure()})[1:] {
		m := &b.passage.Moments[i]
		for l := range start {
			m.Strikes = append(m.Strikes, pedal.Strike{Note: notes + l, End: m.Onset, Until: m.At})
		}
	}
	f.options.Start = &start
}

// silence leaves notes out in every pass that the plan leaves out in some: at
// each place those of the first pass in which any is left out. It reports
// whether there was one.
func (f *fitting) silence(plan *pedal.Plan) bool {
	dropped := map[int]map[int]bool{} // by moment, notes
	for _, d := range plan.Unsounded {
		if dropped[d.Moment] == nil {
			dropped[d.Moment] = map[int]bool{}
		}
		dropped[d.Moment][f.b.passage.Moments[d.Moment].Strikes[d.Strike].Note] = true
	}
	more := false
	done := map[place]bool{}
	for _, i := range slices.Sorted(maps.Keys(dropped)) {
		at := f.b.placeOf(i)
		if done[at] {
			continue
		}
		done[at] = true
		for _, j := range f.b.playings(at) {
			if !maps.Equal(dropped[i], dropped[j]) {
				for note := range dropped[i] {
					more = more || !f.silent[note]
					f.silent[note] = true
				}
				break
			}
		}
	}
	return more
}

// solve plans the passage without the notes that are left out, and counts those
// as unsounded. The bound is that of the freest plan.
func (f *fitting) solve(ctx context.Context, bound pedal.Cost) (*pedal.Plan, error) {
	b := f.b
	reduced := *b.passage
	reduced.Moments = slices.Clone(b.passage.Moments)
	kept := make([][]int, len(reduced.Moments)) // for each moment, the strikes that remain
	for i := range reduced.Moments {
		m := &reduced.Moments[i]
		strikes := m.Strikes
		m.Strikes = nil
		for j, s := range strikes {
			if !f.silent[s.Note] {
				m.Strikes = append(m.Strikes, s)
				kept[i] = append(kept[i], j)
			}
		}
	}
	plan, err := pedal.Solve(ctx, &reduced, f.options)
	if err != nil {
		return nil, b.located(err)
	}
	f.complete(plan, kept)
	plan.Proof = pedal.Proof{Bound: pedal.Cost{Unsounded: bound.Unsounded, Held: bound.Held}}
	if err := pedal.Verify(b.passage, f.options, plan); err != nil {
		return nil, b.located(internal(err))
	}
	return plan, nil
}

// complete turns a plan of the reduced passage into one of the whole.
func (f *fitting) complete(plan *pedal.Plan, kept [][]int) {
	left := map[pedal.Dropped]bool{}
	for _, d := range plan.Unsounded {
		left[pedal.Dropped{Moment: d.Moment, Strike: kept[d.Moment][d.Strike]}] = true
	}
	plan.Unsounded, plan.Cost.Unsounded = nil, 0
	for i, m := range f.b.passage.Moments {
		tones := map[pedal.Pitch]bool{}
		for j, s := range m.Strikes {
			if d := (pedal.Dropped{Moment: i, Strike: j}); left[d] || f.silent[s.Note] {
				plan.Unsounded = append(plan.Unsounded, d)
				tones[f.b.passage.Notes[s.Note].Pitch] = true
			}
		}
		plan.Cost.Unsounded += len(tones)
	}
}
