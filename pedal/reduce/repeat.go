package reduce

import (
	"context"
	"encoding/binary"
	"slices"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// Bounds of the search over strings that are plucked again too soon: in a window of a
// few moments, and in a longer one.
const (
	fewMoments                 = 6
	mostLabels, mostLabelsLong = 600, 48 // at one moment
	mostWays, mostWaysLong     = 800, 48 // to pluck one moment
)

// lastWire is the highest wire string, G2; wires take half as long again [EIN-strings].
var lastWire = pedal.StringName{Letter: pedal.G, Octave: 2}.Rank()

// soon is how soon a string can be plucked again.
func (r *run) soon(rank int) time.Duration {
	if rank <= lastWire {
		return r.again * 3 / 2
	}
	return r.again
}

// A cluster is moments of the music, in playing order, between which strings are
// plucked again too soon, and the notes that are.
type cluster struct {
	from, to int
	notes    map[int]bool
}

// plucksAt lists the notes that are plucked at a moment of the music as it stands,
// those left out that the rule leaves out too.
func (r *run) plucksAt(moment int) []int {
	if r.music.Passage.Moments[moment].Grace {
		return nil
	}
	var list []int
	for _, n := range r.draft.at(moment) {
		if r.plan.Strings[n].OK && !r.gone(n) && !r.ahead(moment, n) {
			list = append(list, n)
		}
	}
	return list
}

// clusters lists what is plucked again too soon.
func (r *run) clusters() []cluster {
	type pluck struct{ moment, note int }
	last := map[int]pluck{}
	var list []cluster
	for i := range r.music.Passage.Moments {
		for _, n := range r.plucksAt(i) {
			k := r.plan.Strings[n].Rank()
			before, known := last[k]
			last[k] = pluck{i, n}
			s := r.signs(n)
			if !known || before.moment == i || s.Tremolo != finding.NoTremolo || s.Plucks > 1 || s.Trill || r.at(i)-r.at(before.moment) >= r.soon(k) {
				continue
			}
			c := cluster{before.moment, i, map[int]bool{before.note: true, n: true}}
			for len(list) > 0 && list[len(list)-1].to >= c.from {
				old := list[len(list)-1]
				c.from = min(c.from, old.from)
				for n := range old.notes {
					c.notes[n] = true
				}
				list = list[:len(list)-1]
			}
			list = append(list, c)
		}
	}
	return list
}

// repeats treats what is plucked again too soon.
func (r *run) repeats(ctx context.Context, found []finding.Finding, touched map[int]bool) (changed bool, err error) {
	if !slices.ContainsFunc(found, func(f finding.Finding) bool { return f.Kind == "repeated-string" }) {
		return false, nil
	}
	for _, c := range r.clusters() {
		at := place{"repeated-string", c.from}
		told := slices.IndexFunc(found, func(f finding.Finding) bool {
			return f.Kind == at.kind && r.back[f.Moment] >= c.from && r.back[f.Moment] <= c.to
		})
		busy := false
		for i := c.from; i <= c.to; i++ {
			busy = busy || touched[r.firstOf(i)]
		}
		if told < 0 || busy || r.settled[at] {
			continue
		}
		ops, heuristic, err := r.cluster(ctx, c)
		if err != nil {
			return changed, err
		}
		if len(ops) == 0 {
			r.settled[at] = true
			r.tried[at] = "leaving out every second note, alternate octaves and the other string"
			continue
		}
		changed = true
		r.take(ops, treatment{kinds: []finding.Kind{at.kind}, heuristic: heuristic, why: []string{found[told].Text}})
		for i := c.from; i <= c.to; i++ {
			touched[r.firstOf(i)] = true
		}
	}
	return changed, nil
}

// cluster works out what is done about one cluster; nothing if there is no way. What
// the planner refuses is tried again without other strings.
func (r *run) cluster(ctx context.Context, c cluster) (ops []revise.Op, heuristic bool, err error) {
	s := r.scene(r.cur.Moments[c.from], r.cur.Moments[c.to])
	before, err := s.judge(ctx, nil)
	if err != nil {
		return nil, false, err
	}
	for range 3 {
		ops, heuristic = r.path(c)
		if len(ops) == 0 {
			return nil, false, nil
		}
		v, err := s.judge(ctx, ops)
		if err != nil {
			return nil, false, err
		}
		if len(v.found) < len(before.found) && !worse(before.found, v.found) {
			return ops, heuristic, nil
		}
		again := false
		for _, op := range ops {
			if op.Do == revise.OtherString {
				r.banned[op.Note], again = true, true
			}
		}
		if !again {
			if len(v.found) < len(before.found) {
				return ops, true, nil
			}
			return nil, false, nil
		}
	}
	return nil, false, nil
}

// worse tells whether there is more of some kind than before, but of repeated strings.
func worse(before, after []finding.Finding) bool {
	n := map[finding.Kind]int{}
	for _, f := range before {
		n[f.Kind]++
	}
	for _, f := range after {
		if n[f.Kind]--; n[f.Kind] < 0 {
			return true
		}
	}
	return false
}

// A recent is a string plucked lately.
type recent struct {
	rank int
	at   time.Duration
}

// A label is one way to have plucked up to a moment.
type label struct {
	key    string // of lately
	loss   vector
	lately []recent
	ops    []revise.Op
	before *label
}

// A way is one way to pluck a moment.
type way struct {
	ops   []revise.Op
	loss  vector
	ranks []int
}

// path finds the cheapest way through a cluster, by dynamic programming: of labels
// with the same strings plucked lately, the cheapest stays.
func (r *run) path(c cluster) (ops []revise.Op, heuristic bool) {
	labels := []*label{{lately: r.before(c.from)}}
	many, most := mostLabels, mostWays
	if c.to-c.from >= fewMoments {
		many, most = mostLabelsLong, mostWaysLong
	}
	for i := c.from; i <= c.to; i++ {
		if len(r.plucksAt(i)) == 0 {
			continue
		}
		ways, cut := r.ways(i, c.notes, most)
		heuristic = heuristic || cut
		labels, cut = r.extend(labels, i, ways, many)
		heuristic = heuristic || cut
	}
	for _, l := range labels {
		if r.goesOn(l, c.to) {
			for ; l != nil; l = l.before {
				ops = append(ops, l.ops...)
			}
			slices.Reverse(ops)
			return ops, heuristic
		}
	}
	return nil, heuristic
}

// extend takes labels one moment further, the cheapest first, so many at most; cut tells
// whether there would be more. Ways come the cheapest first.
func (r *run) extend(labels []*label, moment int, ways []way, most int) (list []*label, cut bool) {
	f := frontier{most: most, byKey: map[string]*label{}}
	at := r.at(moment)
	var lately []recent
	for _, l := range labels {
		for k := range ways {
			w := &ways[k]
			loss := l.loss.plus(&w.loss)
			if f.beyond(loss) {
				break // and so are all that cost more
			}
			if !r.follows(l.lately, w.ranks, at) {
				continue
			}
			lately = lately[:0]
			for _, p := range l.lately {
				if at-p.at < r.soon(p.rank) {
					lately = append(lately, p)
				}
			}
			for _, k := range w.ranks {
				lately = append(lately, recent{k, at})
			}
			f.add(loss, lately, w, l)
		}
	}
	f.trim()
	return f.list, f.cut
}

// A frontier is the cheapest labels with different strings plucked lately.
type frontier struct {
	most  int
	list  []*label // each once
	byKey map[string]*label
	limit *vector // labels that cost so much are not among the cheapest; nil while all are
	cut   bool
	key   []byte
}

// beyond tells whether a loss is too much.
func (f *frontier) beyond(loss vector) bool {
	return f.limit != nil && loss.compare(*f.limit) >= 0
}

// add adds a label, unless one with the same strings costs no more.
func (f *frontier) add(loss vector, lately []recent, w *way, before *label) {
	f.key = f.key[:0]
	for _, p := range lately {
		f.key = binary.AppendVarint(binary.AppendVarint(f.key, int64(p.rank)), int64(p.at))
	}
	old := f.byKey[string(f.key)]
	if old != nil {
		if loss.compare(old.loss) < 0 {
			old.loss, old.ops, old.before = loss, w.ops, before
		}
		return
	}
	l := &label{key: string(f.key), loss: loss, lately: slices.Clone(lately), ops: w.ops, before: before}
	f.byKey[l.key] = l
	if f.list = append(f.list, l); len(f.list) >= 4*f.most {
		f.trim()
	}
}

// trim leaves the cheapest labels.
func (f *frontier) trim() {
	slices.SortStableFunc(f.list, func(a, b *label) int { return a.loss.compare(b.loss) })
	if len(f.list) <= f.most {
		return
	}
	for _, l := range f.list[f.most:] {
		delete(f.byKey, l.key)
	}
	f.list, f.cut = f.list[:f.most], true
	limit := f.list[f.most-1].loss
	f.limit = &limit
}

// follows tells whether strings can be plucked that soon.
func (r *run) follows(lately []recent, ranks []int, at time.Duration) bool {
	for _, p := range lately {
		if at > p.at && at-p.at < r.soon(p.rank) && slices.Contains(ranks, p.rank) {
			return false
		}
	}
	return true
}

// before lists what was plucked just before a moment.
func (r *run) before(moment int) []recent {
	var list []recent
	for i := moment - 1; i >= 0 && r.at(moment)-r.at(i) < r.soon(0); i-- {
		for _, n := range r.plucksAt(i) {
			list = append(list, recent{r.plan.Strings[n].Rank(), r.at(i)})
		}
	}
	return list
}

// goesOn tells whether what is plucked after a moment can be, after a label.
func (r *run) goesOn(l *label, moment int) bool {
	for i := moment + 1; i < len(r.music.Passage.Moments) && r.at(i)-r.at(moment) < r.soon(0); i++ {
		var ranks []int
		for _, n := range r.plucksAt(i) {
			ranks = append(ranks, r.plan.Strings[n].Rank())
		}
		if !r.follows(l.lately, ranks, r.at(i)) {
			return false
		}
	}
	return true
}

// ways lists how a moment can be plucked: what is done about those of its notes that
// are wanted again too soon. cut tells that there are more.
func (r *run) ways(moment int, wanted map[int]bool, most int) (list []way, cut bool) {
	var fixed, open []int
	for _, n := range r.plucksAt(moment) {
		if wanted[n] && !r.pinned(n) && len(r.draft.notes[n]) == 0 && r.draft.first[n] == moment {
			open = append(open, n)
		} else {
			fixed = append(fixed, r.plan.Strings[n].Rank())
		}
	}
	acts := make([][]act, len(open))
	product := 1
	for i, n := range open {
		acts[i] = r.acts(n)
		product *= len(acts[i])
	}
	done := r.draft.of(moment, nil)
	add := func(taken []int) {
		w := way{ranks: slices.Clone(fixed)}
		for i, n := range open {
			a := acts[i][taken[i]]
			if a.op != nil {
				op := *a.op
				op.Note = n
				w.ops = append(w.ops, op)
			}
			if !a.out {
				if a.op != nil && slices.Contains(w.ranks, a.rank) {
					return // two notes on one string
				}
				w.ranks = append(w.ranks, a.rank)
			}
		}
		grip := slices.Sorted(slices.Values(w.ranks))
		if len(w.ops) > 0 && slices.ContainsFunc(w.ops, func(o revise.Op) bool { return o.Do == revise.Octave }) && !fits(slices.Compact(grip), r.limit("wide-chord")) {
			return
		}
		w.loss = r.vector(r.draft.ledger.Of(append(slices.Clone(done), w.ops...)))
		if r.music.Passage.Moments[moment].Beat {
			for _, op := range w.ops {
				if op.Do != revise.OtherString {
					w.loss[len(w.loss)-1] += 1 + count(r.draft.ledger.Melody(op.Note))
				}
			}
		}
		list = append(list, w)
	}
	taken := make([]int, len(open))
	if product <= mostWays && product <= 3*most {
		each(acts, taken, 0, func() { add(taken) })
	} else {
		cut = true
		subsets(acts, taken, add)
	}
	slices.SortStableFunc(list, func(a, b way) int { return a.loss.compare(b.loss) })
	if len(list) > most {
		list, cut = list[:most], true
	}
	return list, cut
}

// each goes through all combinations.
func each(acts [][]act, taken []int, i int, do func()) {
	if i == len(acts) {
		do()
		return
	}
	for k := range acts[i] {
		taken[i] = k
		each(acts, taken, i+1, do)
	}
}

// subsets goes through the combinations in which something is kept and the same is done
// with the rest.
func subsets(acts [][]act, taken []int, add func([]int)) {
	most := 0
	for _, a := range acts {
		most = max(most, len(a))
	}
	n := min(len(acts), 8)
	for set := range 1 << n {
		for k := 1; k < most && (k == 1 || set > 0); k++ {
			for i := range acts {
				if taken[i] = 0; i < n && set>>i&1 == 1 {
					taken[i] = min(k, len(acts[i])-1)
				}
			}
			add(taken)
		}
	}
}

// An act is what can be done about a note that is wanted again too soon.
type act struct {
	op   *revise.Op // nil to keep it
	out  bool
	rank int
}

// acts lists what can be done about a note: to keep it, to leave it out, an octave up
// or down, its other string.
func (r *run) acts(note int) []act {
	str := r.plan.Strings[note]
	list := []act{{rank: str.Rank()}}
	var moves []int
	if r.mayChange(note) {
		list = append(list, act{op: &revise.Op{Do: revise.LeaveOut}, out: true})
		both := r.octaves(note)
		moves = both[:]
	}
	for _, octaves := range moves {
		to := pedal.StringName{Letter: str.Letter, Octave: str.Octave + octaves}
		if r.harp.Disced(to) {
			list = append(list, act{op: &revise.Op{Do: revise.Octave, Octaves: octaves}, rank: to.Rank()})
		}
	}
	for _, o := range r.elsewhere(note) {
		op := onString(note, o.Letter)
		list = append(list, act{op: &op, rank: o.Rank()})
	}
	return list
}
