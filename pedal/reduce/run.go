package reduce

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// mostRounds is how often the whole part is planned anew. What is tried out on excerpts
// is bounded by the moments of all of them: so many, and so many times those of the
// part.
const (
	mostRounds  = 6
	leastBudget = 4000
	budgetFor   = 100
)

// A run is one reduction as it is worked out.
type run struct {
	music  *finding.Music
	o      Options
	judged finding.Options // of what is treated alone
	harp   pedal.Instrument
	draft  *draft
	tuning map[int]pedal.Position // of strings without discs, by rank

	limits map[finding.Kind]int
	again  time.Duration // how soon a string of gut or nylon can be plucked again
	budget int           // how many moments of excerpts may still be planned

	round    int
	hurry    *pedal.Hurry    // of plan; nil until it is asked for
	cur      *revise.Revised // the music as the draft has it
	taken    []revise.Op     // what has been decided since cur was made
	back     []int           // from moments of cur to those of the music
	plan     *pedal.Plan     // of cur
	adorned  map[int]bool    // notes that ask for others
	banned   map[int]bool    // notes that must not go to their other string
	settled  map[place]bool  // nothing has helped there
	wasThere map[place]bool  // found in the music as it was
	treats   []treatment
	vain     map[place][][]revise.Op // operations that have not helped there
	tried    map[place]string        // what was tried in vain, in words
}

// A place is where something is found.
type place struct {
	kind   finding.Kind
	moment int // of the music
}

// A treatment is what was done about some findings.
type treatment struct {
	kinds     []finding.Kind
	moments   []int // of the music
	heuristic bool
	why       []string // what was found
	ops       []revise.Op
	hoped     *place // where the next plan shows whether they have helped; nil if they have
}

// Music works out a reduction. The music stays as it is. An error is that of the
// planner: options that no plan can be made with, or a context that has ended.
func Music(ctx context.Context, m *finding.Music, o Options) (*Result, error) {
	return newRun(m, o).rounds(ctx)
}

// newRun gets a run ready.
func newRun(m *finding.Music, o Options) *run {
	r := &run{music: m, o: o, judged: o.Judge, draft: newDraft(m), adorned: map[int]bool{}, banned: map[int]bool{}, settled: map[place]bool{}, wasThere: map[place]bool{}, vain: map[place][][]revise.Op{}, tried: map[place]string{}}
	r.judged.Severities = maps.Clone(o.Judge.Severities)
	if r.judged.Severities == nil {
		r.judged.Severities = map[finding.Kind]finding.Severity{}
	}
	for _, rule := range finding.Rules() {
		if !slices.Contains(Kinds(), rule.Kind) && !slices.Contains(leftKinds, rule.Kind) {
			r.judged.Severities[rule.Kind] = finding.Off
		}
	}
	r.harp = o.Judge.Plan.Instrument.OrDefault() // made once, not at each question
	r.limits = map[finding.Kind]int{}
	for _, rule := range finding.Rules() {
		r.limits[rule.Kind] = int(rule.Limit)
		if l, ok := o.Judge.Limits[rule.Kind]; ok {
			r.limits[rule.Kind] = int(l)
		}
	}
	r.budget = leastBudget + budgetFor*len(m.Passage.Moments)
	r.again = time.Duration(r.limit("repeated-string")) * time.Millisecond
	r.tuning = r.tunings()
	for _, s := range m.Signs {
		if s.Of > 0 {
			r.adorned[s.Of-1] = true
		}
	}
	return r
}

// rounds plans and treats the music, turn about, until nothing more is done.
func (r *run) rounds(ctx context.Context) (*Result, error) {
	res := &Result{}
	for r.round = 0; ; r.round++ {
		found, err := r.look(ctx, res)
		if err != nil {
			return nil, err
		}
		if r.round == mostRounds {
			break
		}
		changed, err := r.treat(ctx, found)
		if err != nil {
			return nil, err
		}
		if !changed {
			break
		}
	}
	r.result(res)
	return res, nil
}

// look plans and judges the music as the draft has it.
func (r *run) look(ctx context.Context, res *Result) (found []finding.Finding, err error) {
	if r.cur, err = revise.Apply(r.music, r.draft.ops()); err != nil {
		return nil, err
	}
	r.back = make([]int, len(r.cur.Music.Passage.Moments))
	for i, k := range r.cur.Moments {
		if r.back[k] = i; k > 0 && r.cur.Music.Passage.Moments[k-1].Grace {
			r.back[k-1] = i // a grace note that was put in; others are told themselves
		}
	}
	for i, k := range r.cur.Moments {
		r.back[k] = i
	}
	if r.plan = r.o.First; r.round > 0 || r.plan == nil {
		if r.plan, err = pedal.Solve(ctx, r.cur.Music.Passage, r.o.Judge.Plan); err != nil {
			return nil, err
		}
	}
	r.hurry, r.taken = nil, nil
	if found, err = finding.All(r.cur.Music, r.plan, r.judged); err != nil {
		return nil, err
	}
	if r.round == 0 {
		res.Before = found
		for _, f := range found {
			r.wasThere[place{f.Kind, r.back[f.Moment]}] = true
		}
	}
	res.After, res.Plan, res.Revised = found, r.plan, r.cur
	return treated(found), nil
}

// treated are the findings that something is done about.
func treated(list []finding.Finding) []finding.Finding {
	var out []finding.Finding
	for _, f := range list {
		if Treats(f.Kind, f.Severity) {
			out = append(out, f)
		}
	}
	return out
}

// treat does something about what was found; changed tells whether it has.
func (r *run) treat(ctx context.Context, found []finding.Finding) (changed bool, err error) {
	if r.round == 0 && r.small() && slices.ContainsFunc(found, func(f finding.Finding) bool { return slices.Contains(windowKinds, f.Kind) }) {
		if changed, err := r.joint(ctx, found); changed || err != nil {
			return changed, err
		}
	}
	touched := map[int]bool{} // moments of this round
	chords, why := map[int][]finding.Kind{}, map[int][]string{}
	for _, f := range found {
		if at := r.back[f.Moment]; slices.Contains(chordKinds, f.Kind) && (f.Kind != "two-tunings" || r.without(f.Notes)) {
			chords[at], why[at] = append(chords[at], f.Kind), append(why[at], f.Text)
		}
	}
	for _, at := range r.mistuned() {
		chords[at], why[at] = append(chords[at], "two-tunings"), append(why[at], "A string without discs is tuned once, and is wanted otherwise here.")
	}
	for _, at := range slices.Sorted(maps.Keys(chords)) {
		first := r.firstOf(at)
		if touched[first] {
			continue
		}
		twice := !slices.ContainsFunc(chords[at], func(k finding.Kind) bool { return k != "one-string-twice" })
		ops, heuristic, err := r.chord(ctx, first, twice)
		if err != nil {
			return changed, err
		}
		if len(ops) == 0 {
			continue
		}
		touched[first], changed = true, true
		heuristic = heuristic || len(r.draft.of(first, nil)) > 0
		r.take(ops, treatment{kinds: chords[at], moments: []int{first}, heuristic: heuristic, why: why[at]})
	}
	if changed && r.round == 0 {
		return true, nil // the rest is looked at with the chords as they are then
	}
	repeats, err := r.repeats(ctx, found, touched)
	if err != nil {
		return changed, err
	}
	changed = changed || repeats
	windows, err := r.windows(ctx, found, touched)
	if err != nil {
		return changed, err
	}
	for _, f := range found {
		if r.settled[place{f.Kind, r.back[f.Moment]}] && r.release(f) {
			windows = true
		}
	}
	return changed || windows, nil
}

// take takes operations over into the draft.
func (r *run) take(ops []revise.Op, t treatment) {
	r.draft.add(ops)
	r.taken = append(r.taken, ops...)
	for _, op := range ops {
		if at := r.draft.first[op.Note]; !slices.Contains(t.moments, at) {
			t.moments = append(t.moments, at)
		}
	}
	slices.Sort(t.moments)
	t.ops = ops
	r.treats = append(r.treats, t)
}

// firstOf is the moment at which the notes of a moment are struck first.
func (r *run) firstOf(moment int) int {
	for _, n := range r.draft.at(moment) {
		return r.draft.first[n]
	}
	return moment
}

// gone tells whether a note has been left out of its chord.
func (r *run) gone(note int) bool {
	return slices.ContainsFunc(r.draft.notes[note], func(o revise.Op) bool { return o.Do == revise.LeaveOut || o.Do == revise.Grace })
}

// mayChange tells whether a note may be left out, moved or cut short.
func (r *run) mayChange(note int) bool {
	l := r.draft.ledger
	return !r.pinned(note) && !(r.o.Stay != nil && r.o.Stay(note)) && !(r.o.KeepMelody && l.Melody(note)) && !(r.o.KeepBass && l.Bass(note))
}

// pinned tells whether nothing at all may be done with a note.
func (r *run) pinned(note int) bool { return r.o.Keep != nil && r.o.Keep(note) }

func (r *run) signs(note int) finding.Signs {
	if note < len(r.music.Signs) {
		return r.music.Signs[note]
	}
	return finding.Signs{}
}

// ahead tells whether a note is the second half of a tremolo at the start of the
// first, which is struck there for the pedals alone.
func (r *run) ahead(moment, note int) bool {
	if r.signs(note).Tremolo != finding.SecondHalf {
		return false
	}
	strikes := r.music.Passage.Moments[moment].Strikes
	i := slices.IndexFunc(strikes, func(s pedal.Strike) bool { return s.Note == note })
	return slices.ContainsFunc(strikes, func(s pedal.Strike) bool {
		return r.signs(s.Note).Tremolo == finding.FirstHalf && s.End == strikes[i].End
	})
}

// limit is the limit of a kind of finding.
func (r *run) limit(kind finding.Kind) int { return r.limits[kind] }

// rollTime is how long a rolled chord takes for each of its notes.
func (r *run) rollTime() time.Duration {
	return time.Duration(r.limit("no-time-to-roll")) * time.Millisecond
}

// A vector is a loss as it is compared, what is minded most first. Of windows that lose the
// same, the one is taken that changes fewer notes on beats, least of all the melody's: the
// last number.
type vector [8]int

func (v vector) compare(w vector) int { return slices.Compare(v[:], w[:]) }

// plus adds vectors up that are of different moments.
func (v vector) plus(w *vector) vector {
	for i := range v {
		v[i] += w[i]
	}
	return v
}

func (r *run) vector(l revise.Loss) vector {
	return vector{l.Melody, l.Bass, l.PitchClasses, l.Notes - l.Doubled, l.Moved, r.o.rollPrice()*l.Rolled + l.Doubled, l.Hands, 0}
}

// compareCost compares what pedals cost, in the order of the mode.
func (r *run) compareCost(a, b pedal.Cost) int {
	o := r.o.Judge.Plan
	weigh := func(c pedal.Cost) []int {
		changes, respelt := c.Changes, c.Respelt
		switch o.Mode {
		case pedal.Balanced:
			change, turn := cmp.Or(o.ChangePrice, pedal.DefaultChangePrice), max(0, cmp.Or(o.SwitchPrice, pedal.DefaultSwitchPrice))
			return []int{c.Unsounded, c.Held, c.Rushed, change*changes + respelt + turn*c.Switches, c.Notches}
		case pedal.Free:
			return []int{c.Unsounded, c.Held, c.Rushed, changes, respelt, c.Notches}
		}
		return []int{c.Unsounded, c.Held, c.Rushed, respelt, changes, c.Notches}
	}
	return slices.Compare(weigh(a), weigh(b))
}

// stringsOf lists the strings of the harp on which a pitch of a note can be played: as
// planned first where that pitch was planned, then as written.
func (r *run) stringsOf(note int, p pedal.Pitch, planned bool) []pedal.String {
	if p.Cents%100 != 0 {
		return nil
	}
	n := r.music.Passage.Notes[note]
	var list []pedal.String
	height := p.Height()
	for i := range pedal.Letter(pedal.Letters) {
		l := (p.Letter + i) % pedal.Letters
		if l != p.Letter && (n.Fixed || r.o.Judge.Plan.Mode == pedal.Written) || n.On != 0 && !n.On.Has(l) {
			continue
		}
		for _, octave := range [3]int{p.Octave - 1, p.Octave, p.Octave + 1} {
			cents := height - 1200*octave - 100*l.Semitones()
			s := pedal.String{Letter: l, Octave: octave, Position: pedal.Position(cents / 100), OK: true}
			name := pedal.StringName{Letter: l, Octave: octave}
			if cents < -100 || cents > 100 || !r.harp.Has(name) {
				continue
			}
			if at, tuned := r.tuning[s.Rank()]; !r.harp.Disced(name) && (tuned && at != s.Position || !tuned && !(planned && s == r.plan.Strings[note])) {
				continue
			}
			list = append(list, s)
		}
	}
	if str := r.plan.Strings[note]; planned && str.OK {
		slices.SortStableFunc(list, func(a, b pedal.String) int { return count(b == str) - count(a == str) })
	}
	return list
}

// elsewhere lists the strings with discs on which a note can be played but for that of
// the plan. A note with an ornament has none: under another name its upper note
// would be another one.
func (r *run) elsewhere(note int) []pedal.String {
	if r.adorned[note] || r.banned[note] {
		return nil
	}
	return slices.DeleteFunc(r.stringsOf(note, r.music.Passage.Notes[note].Pitch, false), func(s pedal.String) bool {
		return s.Letter == r.plan.Strings[note].Letter || !r.harp.Disced(pedal.StringName{Letter: s.Letter, Octave: s.Octave})
	})
}

// onString plays a note on the string of a letter, by whose name it is written then.
func onString(note int, l pedal.Letter) revise.Op {
	return revise.Op{Do: revise.OtherString, Note: note, Letter: l, Renamed: true}
}

// tunings are how strings without discs are best tuned: as notes want it that must stay,
// else as most notes that are written on them do, the first of them where as many want it
// otherwise.
func (r *run) tunings() map[int]pedal.Position {
	wanted := map[int]map[pedal.Position]int{}
	first := map[int]pedal.Position{}
	for n, note := range r.music.Passage.Notes {
		name := pedal.StringName{Letter: note.Pitch.Letter, Octave: note.Pitch.Octave}
		if cents := note.Pitch.Cents; note.Silent || r.draft.first[n] < 0 || cents%100 != 0 || cents < -100 || cents > 100 || !r.harp.Has(name) || r.harp.Disced(name) {
			continue
		}
		at, rank := pedal.Position(note.Pitch.Cents/100), name.Rank()
		if wanted[rank] == nil {
			wanted[rank], first[rank] = map[pedal.Position]int{}, at
		}
		if wanted[rank][at]++; !r.mayChange(n) {
			wanted[rank][at] += len(r.music.Passage.Notes)
		}
	}
	tuned := map[int]pedal.Position{}
	for rank, list := range wanted {
		best := first[rank]
		for at := pedal.Flat; at <= pedal.Sharp; at++ {
			if list[at] > list[best] {
				best = at
			}
		}
		tuned[rank] = best
	}
	return tuned
}

// without tells whether one of notes has no string in the plan.
func (r *run) without(notes []int) bool {
	return slices.ContainsFunc(notes, func(n int) bool { return !r.plan.Strings[n].OK })
}

// mistuned lists the moments at which a string without discs is wanted in another
// tuning than it has.
func (r *run) mistuned() []int {
	if r.limitOff("two-tunings") {
		return nil
	}
	var list []int
	for i := range r.music.Passage.Moments {
		for _, n := range r.draft.at(i) {
			s := r.plan.Strings[n]
			if at, tuned := r.tuning[s.Rank()]; s.OK && tuned && !r.gone(n) && at != s.Position && r.draft.first[n] == i {
				list = append(list, i)
				break
			}
		}
	}
	return list
}

func (r *run) limitOff(kind finding.Kind) bool { return r.o.Judge.Severities[kind] == finding.Off }

func (r *run) heightOf(note int) int { return r.music.Passage.Notes[note].Pitch.Height() }

// at is when a moment of the music is played.
func (r *run) at(moment int) time.Duration { return r.music.Passage.Moments[moment].At }

// classOf is the pitch class; quarter tones are classes of their own.
func classOf(p pedal.Pitch) int {
	cents := (p.Height()%1200 + 1200) % 1200
	if cents%100 != 0 {
		return 12 + cents%52
	}
	return cents / 100
}
