package reduce

import (
	"container/heap"
	"context"
	"maps"
	"slices"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/internal/words"
	"pedalogue/pedal/revise"
)

// Bounds of the search over what is tried out on an excerpt: in music of a few moments,
// and in longer music.
const (
	fewAround                  = 12
	mostJudged, mostJudgedLong = 20000, 24 // sets of acts
	mostActs, mostActsLong     = 40, 16    // that are tried out for one finding
	mostAtOnce                 = 4         // acts in a set
)

// around is how far from a change that no foot can make it is looked for what would
// help: about as long as three changes of one foot.
const around = time.Second

// windows treats leaps, changes that no foot can make and strings that are held too
// long, one after the other.
func (r *run) windows(ctx context.Context, found []finding.Finding, touched map[int]bool) (changed bool, err error) {
	for _, f := range found {
		at := place{f.Kind, r.back[f.Moment]}
		if !slices.Contains(windowKinds, f.Kind) || f.Kind == "repeated-string" || r.settled[at] {
			continue
		}
		if r.giveUp(at) {
			changed = true
			continue
		}
		acts := slices.DeleteFunc(r.windowActs(f), func(a []revise.Op) bool {
			return slices.ContainsFunc(r.vain[at], func(v []revise.Op) bool { return slices.Equal(a, v) })
		})
		busy := slices.ContainsFunc(acts, func(a []revise.Op) bool {
			return slices.ContainsFunc(a, func(o revise.Op) bool { return touched[r.draft.first[o.Note]] })
		})
		if busy {
			continue // the next round looks at it anew
		}
		ops, hoped, heuristic, err := r.window(ctx, f, acts)
		if err != nil {
			return changed, err
		}
		if len(ops) == 0 {
			r.settled[at], r.tried[at] = true, tellActs(acts)
			continue
		}
		changed = true
		t := treatment{kinds: []finding.Kind{f.Kind}, heuristic: heuristic, why: []string{f.Text}}
		if hoped {
			t.hoped = &at
		}
		r.take(ops, t)
		r.touch(f, touched)
	}
	return changed, nil
}

// touch marks the moments around a finding: what else is found there is looked at anew.
func (r *run) touch(f finding.Finding, touched map[int]bool) {
	all, at := r.music.Passage.Moments, r.back[f.Moment]
	for i := at; i >= 0 && all[i].At > all[at].At-around; i-- {
		touched[r.firstOf(i)] = true
	}
	for i := at; i < len(all) && all[i].At < all[at].At+around; i++ {
		touched[r.firstOf(i)] = true
	}
}

// tellActs says what was tried.
func tellActs(acts [][]revise.Op) string {
	var list []string
	for _, do := range []revise.Act{revise.Shorten, revise.OtherHand, revise.OtherString, revise.Octave, revise.LeaveOut} {
		if slices.ContainsFunc(acts, func(a []revise.Op) bool { return a[0].Do == do }) {
			list = append(list, map[revise.Act]string{revise.Shorten: "to end notes sooner", revise.OtherHand: "the other hand", revise.OtherString: "the other string",
				revise.Octave: "other octaves", revise.LeaveOut: "leaving notes out"}[do])
		}
	}
	return words.Joined(list)
}

// A trial is a set of acts that is to be tried.
type trial struct {
	acts []int // ascending
	ops  []revise.Op
	loss vector
}

// A queue has the trial that costs least in front.
type queue []*trial

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	if by := q[i].loss.compare(q[j].loss); by != 0 {
		return by < 0
	}
	if len(q[i].ops) != len(q[j].ops) {
		return len(q[i].ops) < len(q[j].ops)
	}
	return slices.Compare(q[i].acts, q[j].acts) < 0
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(*trial)) }
func (q *queue) Pop() any {
	old := *q
	last := old[len(old)-1]
	*q = old[:len(old)-1]
	return last
}

// giveUp takes back what was hoped to help at a place; it tells whether there is such.
func (r *run) giveUp(at place) bool {
	i := slices.IndexFunc(r.treats, func(t treatment) bool { return t.hoped != nil && *t.hoped == at })
	if i < 0 {
		return false
	}
	for _, op := range r.treats[i].ops {
		delete(r.draft.notes, op.Note)
	}
	r.vain[at] = append(r.vain[at], r.treats[i].ops)
	r.treats = slices.Delete(r.treats, i, i+1)
	return true
}

// window tries sets of acts in the order of their cost, until the finding is gone and
// nothing else has come; of those that cost the same, the one whose pedals cost least.
// hoped tells that only a plan of the whole part can show whether it is.
func (r *run) window(ctx context.Context, f finding.Finding, acts [][]revise.Op) (ops []revise.Op, hoped, heuristic bool, err error) {
	if len(acts) == 0 {
		return nil, false, false, nil
	}
	from, to := f.Moment, f.Moment
	for _, a := range acts {
		for _, op := range a {
			at := r.cur.Moments[r.draft.first[op.Note]]
			from, to = min(from, at), max(to, at)
		}
	}
	s := r.scene(from, to)
	base, err := s.judge(ctx, nil)
	if err != nil {
		return nil, false, false, err
	}
	goal := newGoal(base, f, s)
	ops, heuristic, err = r.cheapest(ctx, s, acts, mostJudgedLong, mostAtOnce, goal.met)
	return ops, goal.there == 0, heuristic, err
}

// cheapest tries sets of acts in the order of their cost until one meets a goal; of
// those that cost the same, the one whose pedals cost least.
func (r *run) cheapest(ctx context.Context, s *scene, acts [][]revise.Op, most, atOnce int, met func(verdict) bool) (ops []revise.Op, heuristic bool, err error) {
	q := &queue{}
	for i := range acts {
		heap.Push(q, r.trial(acts, []int{i}))
	}
	var best *trial
	var least pedal.Cost
	for judged := 0; q.Len() > 0; judged++ {
		t := heap.Pop(q).(*trial)
		if best != nil && t.loss.compare(best.loss) > 0 {
			break
		}
		if r.budget < 0 {
			heuristic = true
			break
		}
		if judged >= most {
			if heuristic = true; len(t.acts) > 1 {
				continue // of what is left only single acts are looked at
			}
		}
		r.budget -= len(s.music.Passage.Moments)
		v, err := s.judge(ctx, t.ops)
		if err != nil {
			return nil, false, err
		}
		if met(v) && (best == nil || r.compareCost(v.cost, least) < 0) {
			best, least = t, v.cost
		}
		if len(t.acts) < atOnce && best == nil && judged < most {
			r.grow(q, acts, t)
		}
	}
	if best == nil {
		return nil, false, nil
	}
	return best.ops, heuristic, nil
}

// grow adds the sets of one act more.
func (r *run) grow(q *queue, acts [][]revise.Op, t *trial) {
	for i := t.acts[len(t.acts)-1] + 1; i < len(acts); i++ {
		if slices.ContainsFunc(acts[i], func(o revise.Op) bool {
			return slices.ContainsFunc(t.ops, func(p revise.Op) bool { return p.Note == o.Note })
		}) {
			continue
		}
		heap.Push(q, r.trial(acts, append(slices.Clone(t.acts), i)))
	}
}

// trial puts acts together.
func (r *run) trial(acts [][]revise.Op, taken []int) *trial {
	t := &trial{acts: taken}
	moments := map[int]bool{}
	for _, i := range taken {
		for _, op := range acts[i] {
			t.ops = append(t.ops, op)
			moments[r.draft.first[op.Note]] = true
		}
	}
	var sum revise.Loss
	for m := range moments {
		now := r.draft.of(m, nil)
		for _, op := range t.ops {
			if r.draft.first[op.Note] == m {
				now = append(now, op)
			}
		}
		sum = plus(sum, r.draft.ledger.Of(now))
	}
	t.loss = r.vector(sum)
	return t
}

// A goal is what must come of a trial.
type goal struct {
	kind   finding.Kind
	moment int // of the scene
	count  map[finding.Kind]int
	all    int
	there  int // findings of the kind at the moment
	base   pedal.Cost
}

func newGoal(base verdict, f finding.Finding, s *scene) goal {
	g := goal{kind: f.Kind, moment: f.Moment - s.first, count: map[finding.Kind]int{}, all: len(base.found), base: base.cost}
	for _, o := range base.found {
		g.count[o.Kind]++
		g.there += count(o.Kind == g.kind && o.Moment == g.moment)
	}
	return g
}

// met tells whether the finding is gone, and nothing more is found than before. A change
// that is rushed but can be made in the excerpt, where the feet have more time than in the
// whole, is so if fewer are rushed.
func (g goal) met(v verdict) bool {
	switch c := v.cost; {
	case g.there > 0 && len(v.found) >= g.all:
		return false
	case g.there == 0 && (g.kind != "rushed-change" || c.Unsounded > g.base.Unsounded || c.Held > g.base.Held || c.Rushed >= g.base.Rushed):
		return false
	}
	left := maps.Clone(g.count)
	there := 0
	for _, f := range v.found {
		if left[f.Kind]--; left[f.Kind] < 0 {
			return false
		}
		there += count(f.Kind == g.kind && f.Moment == v.moved[g.moment])
	}
	return there < g.there || g.there == 0
}

// windowActs lists what may help about a finding, the notes nearest to it first.
func (r *run) windowActs(f finding.Finding) [][]revise.Op {
	var list [][]revise.Op
	if f.Kind == "leap" {
		list = r.leapActs(f)
	} else {
		list = r.pedalActs(f)
	}
	if f.Kind == "rushed-change" {
		list = r.freeing(f, list)
	}
	return list[:min(len(list), mostActsLong)]
}

// small tells whether the music is so short that all that may help is tried out.
func (r *run) small() bool { return len(r.music.Passage.Moments) <= fewAround }

// freeing are those of acts after which the feet could make a change more; all of them,
// in their order, if there are none.
func (r *run) freeing(f finding.Finding, acts [][]revise.Op) [][]revise.Op {
	if r.hurry == nil {
		r.hurry = pedal.NewHurry(r.cur.Music.Passage, r.o.Judge.Plan, r.plan)
	}
	var list [][]revise.Op
	for _, a := range acts {
		strikes, on := r.strikes(a)
		for i, mv := range r.plan.Moves {
			if mv.Needed == f.Moment && mv.Rushed && r.hurry.Cannot(i) && r.hurry.Frees(i, strikes, on) {
				list = append(list, a)
				break
			}
		}
	}
	if len(list) == 0 {
		return acts
	}
	return list
}

// strikes are those of operations at the first playing of their notes, and the string
// on which they are played instead; the zero String if they are left out.
func (r *run) strikes(ops []revise.Op) (list []pedal.Dropped, on pedal.String) {
	for _, op := range ops {
		at := r.cur.Moments[r.draft.first[op.Note]]
		for j, s := range r.cur.Music.Passage.Moments[at].Strikes {
			if s.Note == op.Note {
				list = append(list, pedal.Dropped{Moment: at, Strike: j})
			}
		}
		if op.Do == revise.OtherString {
			for _, s := range r.stringsOf(op.Note, r.music.Passage.Notes[op.Note].Pitch, false) {
				if s.Letter == op.Letter {
					on = s
				}
			}
		}
	}
	return list, on
}

// leapActs are to take what a hand leaps from or to with the other one, to move it by
// an octave or to leave it out.
func (r *run) leapActs(f finding.Finding) [][]revise.Op {
	byMoment := map[int][]int{}
	for _, n := range f.Notes {
		if at := r.draft.first[n]; !r.pinned(n) && len(r.draft.notes[n]) == 0 {
			byMoment[at] = append(byMoment[at], n)
		}
	}
	var list [][]revise.Op
	for _, do := range []revise.Op{{Do: revise.OtherHand}, {Do: revise.Octave, Octaves: 1}, {Do: revise.Octave, Octaves: -1}, {Do: revise.LeaveOut}} {
		for _, at := range slices.Backward(slices.Sorted(maps.Keys(byMoment))) {
			var all []revise.Op
			for _, n := range byMoment[at] {
				if op, ok := r.opOn(do, n); ok {
					all = append(all, op)
				}
			}
			if len(all) == len(byMoment[at]) {
				list = append(list, all)
			}
			for _, op := range all {
				if len(all) > 1 {
					list = append(list, []revise.Op{op})
				}
			}
		}
	}
	return list
}

// opOn is an operation on a note; ok is false where it cannot be.
func (r *run) opOn(do revise.Op, n int) (op revise.Op, ok bool) {
	do.Note = n
	str := r.plan.Strings[n]
	if do.Do != revise.OtherHand && !r.mayChange(n) {
		return do, false
	}
	switch do.Do {
	case revise.OtherHand:
		if do.Staff = 2; r.music.Passage.Notes[n].Staff > 1 {
			do.Staff = 1
		}
		if r.music.Passage.Notes[n].Staff > 2 {
			return do, false
		}
	case revise.Octave:
		return do, str.OK && r.harp.Disced(pedal.StringName{Letter: str.Letter, Octave: str.Octave + do.Octaves})
	}
	return do, true
}

// pedalActs are about the notes on the letters of one foot around a change: all of a
// letter that begin together end sooner, go to their other string or are left out.
func (r *run) pedalActs(f finding.Finding) [][]revise.Op {
	at := r.back[f.Moment]
	letters := r.lettersOf(f)
	all := r.music.Passage.Moments
	type group struct {
		moment int
		letter pedal.Letter
		notes  []int
		apart  time.Duration
	}
	var groups []group
	for i := range all {
		apart := (all[i].At - all[at].At).Abs()
		if apart > around && !(f.Kind == "held-string" && i < at && apart < 4*around) {
			continue
		}
		byLetter := map[pedal.Letter][]int{}
		for _, n := range r.draft.at(i) {
			if s := r.plan.Strings[n]; s.OK && letters.Has(s.Letter) && r.draft.first[n] == i && !r.pinned(n) && len(r.draft.notes[n]) == 0 {
				byLetter[s.Letter] = append(byLetter[s.Letter], n)
			}
		}
		for l := range pedal.Letter(pedal.Letters) {
			if len(byLetter[l]) > 0 {
				groups = append(groups, group{i, l, byLetter[l], apart})
			}
		}
	}
	slices.SortStableFunc(groups, func(a, b group) int { return int(a.apart - b.apart) })
	groups = groups[:min(len(groups), mostActs)]
	var list [][]revise.Op
	stays := func(n int) bool { return !r.mayChange(n) }
	for _, g := range groups {
		if f.Kind == "held-string" && g.moment < at && !slices.ContainsFunc(g.notes, stays) {
			list = append(list, r.shorter(g.notes, g.moment, at)...)
		}
	}
	for _, g := range groups {
		if ops := r.otherStrings(g.notes); ops != nil {
			list = append(list, ops)
		}
	}
	for _, g := range groups {
		if slices.ContainsFunc(g.notes, stays) {
			continue
		}
		var ops []revise.Op
		for _, n := range g.notes {
			ops = append(ops, revise.Op{Do: revise.LeaveOut, Note: n})
		}
		list = append(list, ops)
	}
	return list
}

// lettersOf are the letters whose notes may be in the way: the one that is held, or
// all of the foot.
func (r *run) lettersOf(f finding.Finding) (set pedal.LetterSet) {
	if f.Kind == "held-string" {
		for _, h := range r.plan.Held {
			if h.Moment == f.Moment {
				set |= pedal.SetOf(h.Letter)
			}
		}
		return set
	}
	for _, mv := range r.plan.Moves {
		if mv.Needed != f.Moment || !mv.Rushed {
			continue
		}
		for l := range pedal.Letter(pedal.Letters) {
			if l.Foot() == mv.Letter.Foot() {
				set |= pedal.SetOf(l)
			}
		}
	}
	return set
}

// otherStrings plays notes on their other strings; nil where one has none.
func (r *run) otherStrings(notes []int) []revise.Op {
	var ops []revise.Op
	for _, n := range notes {
		other := r.elsewhere(n)
		if len(other) == 0 {
			return nil
		}
		ops = append(ops, onString(n, other[0].Letter))
	}
	return ops
}

// shorter ends notes before a moment, as late as they can be written so.
func (r *run) shorter(notes []int, from, to int) [][]revise.Op {
	if r.o.Shorter == nil {
		return nil
	}
	all := r.music.Passage.Moments
	var ops []revise.Op
	for _, s := range all[from].Strikes {
		if !slices.Contains(notes, s.Note) || s.End <= all[to].Onset {
			continue
		}
		lengths := r.o.Shorter(s.Note)
		i := slices.IndexFunc(lengths, func(t int64) bool { return all[from].Onset+t <= all[to].Onset })
		if i < 0 {
			return nil
		}
		ops = append(ops, revise.Op{Do: revise.Shorten, Note: s.Note, Ticks: lengths[i]})
	}
	if len(ops) == 0 {
		return nil
	}
	return [][]revise.Op{ops}
}
