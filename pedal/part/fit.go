package part

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
	part    *Part
	options pedal.Options
	silent  map[int]bool // notes that are left out in every pass
}

// fit lays a plan out on the page, and makes another one where it cannot be
// printed.
func (p *Part) fit(ctx context.Context, first *pedal.Plan, o pedal.Options, wanted []section) (*Page, error) {
	const most = 12 // tries; each one takes a freedom away
	f := &fitting{part: p, options: o, silent: map[int]bool{}}
	plan, restated := first, false
	for range most {
		page, err := layOut(p, plan, o.Instrument, wanted)
		switch {
		case err == nil:
			return page, nil
		case errors.Is(err, errRestated) && !restated:
			restated = true
			f.restate(first.Start)
		case !f.silence(plan):
			return nil, p.located(internal(err))
		}
		if plan, err = f.solve(ctx, first.Proof.Bound); err != nil {
			return nil, err
		}
	}
	return nil, p.located(internal(errors.New("no plan was found whose marks hold in every pass")))
}

// restate makes the first setting hold again whenever the place where it is
// printed is played again: a player who follows the page sets it anew.
func (f *fitting) restate(start pedal.Setting) {
	p := f.part
	notes := len(p.Passage.Notes)
	for l, position := range start {
		p.Passage.Notes = append(p.Passage.Notes, pedal.Note{
			Pitch:   pedal.Pitch{Letter: pedal.Letter(l), Cents: 100 * int(position), Octave: middleOctave},
			Implied: true, Fixed: true,
		})
		p.notes = append(p.notes, noteOf{})
	}
	for _, i := range p.Places.Playings(Place{Measure: p.opening()})[1:] {
		m := &p.Passage.Moments[i]
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
		dropped[d.Moment][f.part.Passage.Moments[d.Moment].Strikes[d.Strike].Note] = true
	}
	more := false
	done := map[Place]bool{}
	for _, i := range slices.Sorted(maps.Keys(dropped)) {
		at := f.part.Places.Of(i)
		if done[at] {
			continue
		}
		done[at] = true
		for _, j := range f.part.Places.Playings(at) {
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
	p := f.part
	reduced := *p.Passage
	reduced.Moments = slices.Clone(p.Passage.Moments)
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
		return nil, p.located(err)
	}
	f.complete(plan, kept)
	plan.Proof = pedal.Proof{Bound: pedal.Cost{Unsounded: bound.Unsounded, Held: bound.Held}}
	if err := pedal.Verify(p.Passage, f.options, plan); err != nil {
		return nil, p.located(internal(err))
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
	for i, m := range f.part.Passage.Moments {
		tones := map[pedal.Pitch]bool{}
		for j, s := range m.Strikes {
			if d := (pedal.Dropped{Moment: i, Strike: j}); left[d] || f.silent[s.Note] {
				plan.Unsounded = append(plan.Unsounded, d)
				tones[f.part.Passage.Notes[s.Note].Pitch] = true
			}
		}
		plan.Cost.Unsounded += len(tones)
	}
}
