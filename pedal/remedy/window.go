package remedy

import (
	"context"
	"slices"
	"sort"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// reach is how far before and after a finding the music is tried again: far longer than
// a foot with four pedals is busy.
const reach = 3 * time.Second

// most is how many moments on each side are tried at the most.
const most = 48

// A window is a stretch of the music as a piece of its own.
type window struct {
	music    *finding.Music
	from     int // the moment of the music with which it begins
	notes    map[int]int
	original []int // for each note, that of the music
	options  pedal.Options
	plan     *pedal.Plan
	found    []finding.Finding // in it, as it is
}

// windowAt cuts the music about some moments out of the whole. Its notes are pinned to
// the plan's strings, but those that have none.
func (t *trial) windowAt(first, last int) *window {
	all := t.music.Passage.Moments
	from := max(first-most, sort.Search(len(all), func(i int) bool { return all[i].At >= all[first].At-reach }))
	to := min(last+most, sort.Search(len(all), func(i int) bool { return all[i].At > all[last].At+reach }))
	to = min(max(to, last+1), len(all))
	w := &window{music: &finding.Music{Tempos: t.music.Tempos}, from: from, notes: map[int]int{}, options: t.o.Plan}
	p := &pedal.Passage{Moments: slices.Clone(all[from:to]), Key: t.plan.Settings[from]}
	w.music.Passage = p
	for i := range p.Moments {
		m := &p.Moments[i]
		m.Strikes = slices.Clone(m.Strikes)
		for j := range m.Strikes {
			m.Strikes[j].Note = w.note(t, m.Strikes[j].Note)
		}
		if m.Restart {
			m.Restart = false
			t.standAsAtFirst(w, i)
		}
	}
	w.cutMeasures(t, from, to)
	w.cutSigns(t)
	start := t.plan.Start
	if from > 0 {
		start = t.plan.Settings[from-1]
	}
	w.options.Start, w.options.Effort, w.options.Workers = &start, 0, 1
	if to < len(all) {
		end := t.plan.Settings[to]
		w.options.End = &end
	}
	return w
}

// note returns a note of the music in the window, and adds it if need be.
func (w *window) note(t *trial, note int) int {
	k, known := w.notes[note]
	if !known {
		p := w.music.Passage
		k = len(p.Notes)
		w.notes[note] = k
		n := t.music.Passage.Notes[note]
		if str := t.plan.Strings[note]; str.OK && !t.dropped[note] && !n.Fixed && n.Pitch.Letter < pedal.Letters {
			n.On = pedal.SetOf(str.Letter)
		}
		p.Notes, w.original = append(p.Notes, n), append(w.original, note)
	}
	return k
}

// standAsAtFirst asks all pedals to stand as at first when a moment of the window comes.
func (t *trial) standAsAtFirst(w *window, moment int) {
	p := w.music.Passage
	m := &p.Moments[moment]
	for l, pos := range t.plan.Start {
		m.Strikes = append(m.Strikes, pedal.Strike{Note: len(p.Notes), End: m.Onset, Until: m.At})
		pitch := pedal.Pitch{Letter: pedal.Letter(l), Cents: 100 * int(pos), Octave: 4}
		p.Notes, w.original = append(p.Notes, pedal.Note{Pitch: pitch, Implied: true, Silent: true, Fixed: true}), append(w.original, -1)
	}
}

// cutMeasures takes over the measures that the window touches.
func (w *window) cutMeasures(t *trial, from, to int) {
	measures := t.music.Passage.Measures
	p := w.music.Passage
	if len(measures) == 0 {
		return
	}
	first, last := t.music.Passage.Moments[from].Measure, t.music.Passage.Moments[to-1].Measure
	p.Measures = slices.Clone(measures[first : last+1])
	for k := range p.Measures {
		p.Measures[k].First = max(0, p.Measures[k].First-from)
	}
	for i := range p.Moments {
		p.Moments[i].Measure -= first
	}
}

// cutSigns takes over what the signs at the window's notes say.
func (w *window) cutSigns(t *trial) {
	w.music.Signs = make([]finding.Signs, len(w.original))
	for k, note := range w.original {
		if note < 0 || note >= len(t.music.Signs) {
			continue
		}
		s := t.music.Signs[note]
		if s.Of > 0 {
			of, ok := w.notes[s.Of-1]
			if s.Of = of + 1; !ok {
				s.Of = 0
			}
		}
		w.music.Signs[k] = s
	}
	for _, g := range t.music.Glissandi {
		note, ok := w.notes[g.Note]
		swept := make([]int, 0, len(g.Swept))
		for _, n := range g.Swept {
			if k, ok := w.notes[n]; ok {
				swept = append(swept, k)
			}
		}
		if g.Note = note; (ok || g.Held) && len(swept) == len(g.Swept) {
			g.Swept = swept
			w.music.Glissandi = append(w.music.Glissandi, g)
		}
	}
}

// judge plans and judges the window as it is.
func (w *window) judge(ctx context.Context, o finding.Options) (err error) {
	w.plan, w.found, err = w.judged(ctx, w.music, o)
	return err
}

func (w *window) judged(ctx context.Context, m *finding.Music, o finding.Options) (*pedal.Plan, []finding.Finding, error) {
	plan, err := pedal.Solve(ctx, m.Passage, w.options)
	if err != nil {
		return nil, nil, err
	}
	o.Plan = w.options
	found, err := finding.All(m, plan, o)
	return plan, found, err
}

// mends tells whether operations on the window let a finding go and bring nothing that
// is as bad.
func (w *window) mends(ctx context.Context, t *trial, f *finding.Finding, ops []revise.Op) (bool, error) {
	r, err := revise.Apply(w.unpinned(t, ops), ops)
	if err != nil {
		return false, nil // the operation is not for this note
	}
	plan, found, err := w.judged(ctx, r.Music, t.quiet)
	if err != nil {
		return false, ctx.Err() // there may be no such string
	}
	before, after := w.plan.Cost, plan.Cost
	if after.Unsounded > before.Unsounded || after.Held > before.Held || after.Rushed > before.Rushed {
		return false, nil
	}
	if ofPedals(f.Kind) && after.Unsounded == before.Unsounded && after.Held == before.Held && after.Rushed == before.Rushed {
		return false, nil // it may go here and come back elsewhere
	}
	type place struct {
		kind   finding.Kind
		moment int
	}
	allowed := map[place]int{{f.Kind, f.Moment - w.from}: -1} // the finding itself must go
	for _, b := range w.found {
		if b.Severity >= f.Severity {
			allowed[place{b.Kind, b.Moment}]++
		}
	}
	for _, g := range found {
		if g.Severity < f.Severity {
			continue
		}
		at := place{g.Kind, g.Moment}
		if allowed[at]--; allowed[at] < 0 {
			return false, nil
		}
	}
	return true, nil
}

// ofPedals tells whether a plan counts what findings of a kind are about.
func ofPedals(k finding.Kind) bool {
	return slices.Contains([]finding.Kind{"string-clash", "held-string", "rushed-change", "one-foot", "out-of-compass"}, k)
}

// unpinned is the window's music with those notes free that are to be played on another
// string.
func (w *window) unpinned(t *trial, ops []revise.Op) *finding.Music {
	if !slices.ContainsFunc(ops, func(op revise.Op) bool { return op.Do == revise.OtherString }) {
		return w.music
	}
	m, p := *w.music, *w.music.Passage
	p.Notes, m.Passage = slices.Clone(p.Notes), &p
	for _, op := range ops {
		if op.Do == revise.OtherString {
			p.Notes[op.Note].On = t.music.Passage.Notes[w.original[op.Note]].On
		}
	}
	return &m
}

// has tells whether a finding is there in the window as well.
func (w *window) has(f *finding.Finding) bool {
	return slices.ContainsFunc(w.found, func(g finding.Finding) bool {
		return g.Kind == f.Kind && g.Moment == f.Moment-w.from && g.Severity >= f.Severity &&
			(len(f.Notes) == 0 || slices.ContainsFunc(g.Notes, func(n int) bool { return slices.Contains(f.Notes, w.original[n]) }))
	})
}
