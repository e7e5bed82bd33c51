package reduce

import (
	"context"
	"slices"

	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// joint reduces music of a few moments as a whole: every set of operations is tried, in
// the order of their cost, until nothing that is treated is found. It gives up, with no
// operations, where there are too many.
func (r *run) joint(ctx context.Context, found []finding.Finding) (changed bool, err error) {
	last := len(r.music.Passage.Moments) - 1
	budget := r.budget
	defer func() { r.budget = budget }()
	r.budget = mostJudged * fewAround
	s := r.scene(0, last)
	s.judged.Plan.Start, s.judged.Plan.End = r.o.Judge.Plan.Start, r.o.Judge.Plan.End
	ops, cut, err := r.cheapest(ctx, s, r.allActs(), mostJudged, last*fingers, func(v verdict) bool { return len(v.found) == 0 })
	if err != nil || cut || len(ops) == 0 {
		return false, err
	}
	t := treatment{}
	for _, f := range found {
		t.kinds, t.why = append(t.kinds, f.Kind), append(t.why, f.Text)
	}
	r.take(ops, t)
	return true, nil
}

// allActs are all operations on single notes, and the rolls.
func (r *run) allActs() (list [][]revise.Op) {
	for i := range r.music.Passage.Moments {
		c := r.chordAt(i)
		for _, n := range r.draft.at(i) {
			if r.draft.first[n] != i || r.pinned(n) {
				continue
			}
			list = append(list, r.noteActs(c, n)...)
		}
		if notes := r.draft.at(i); c.roll && len(notes) > 1 && 2*r.rollTime() <= c.time { // others may be left out
			list = append(list, []revise.Op{{Do: revise.Roll, Note: notes[0]}})
		}
	}
	return list
}

// noteActs are all operations on one note of a moment.
func (r *run) noteActs(c *chord, n int) (list [][]revise.Op) {
	add := func(op revise.Op) {
		op.Note = n
		list = append(list, []revise.Op{op})
	}
	may := r.mayChange(n)
	if may {
		add(revise.Op{Do: revise.LeaveOut})
	}
	for _, do := range []revise.Op{{Do: revise.Octave, Octaves: r.octaves(n)[0]}, {Do: revise.Octave, Octaves: r.octaves(n)[1]}, {Do: revise.OtherHand}} {
		if op, ok := r.opOn(do, n); ok && (may || do.Do == revise.OtherHand) {
			add(op)
		}
	}
	written := r.music.Passage.Notes[n].Pitch
	for _, o := range r.stringsOf(n, written, false) {
		// The planned one too, where it is not the written one: with other operations the
		// note may go back.
		if !r.adorned[n] && (o.Letter != written.Letter || o.Letter != r.plan.Strings[n].Letter) {
			add(onString(n, o.Letter))
		}
	}
	if i := slices.IndexFunc(c.notes, func(o chordNote) bool { return o.note == n }); i >= 0 && c.notes[i].can[early] {
		add(revise.Op{Do: revise.Grace})
	}
	if r.o.Shorter != nil && may {
		for _, ticks := range r.o.Shorter(n) {
			add(revise.Op{Do: revise.Shorten, Ticks: ticks})
		}
	}
	return list
}
