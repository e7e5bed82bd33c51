package pedal

import (
	"cmp"
	"slices"
	"strconv"
)

// Music that comes again should be played as before. Where plans cost the same, the
// one is taken in which measures with the same written notes are played on the same
// strings, as far as it is found: when the plan stands, the search is run again with
// a preference for what most measures of a kind do, and the outcome is taken if it
// costs the same. No proof speaks of it.

// An alikeness says which measures of the playing order hold the same written notes.
type alikeness struct {
	kind  []int32   // of each measure; -1 of those in which nothing is struck
	first []int32   // of each kind its first measure
	notes [][]int32 // of each measure the classes of its notes, in the same order for all of a kind
}

// alike finds the measures that are alike; nil if none are.
func (m *music) alike() *alikeness {
	n := len(m.p.Measures)
	a := &alikeness{kind: make([]int32, n), notes: make([][]int32, n)}
	known := make(map[string]int32)
	r := measureReader{m: m}
	for i, next := 0, 0; i < n; i++ {
		from := next
		for next < len(m.p.Moments) && m.p.Moments[next].Measure == i {
			next++
		}
		key, classes := r.read(i, from, next)
		a.kind[i] = -1
		if len(classes) == 0 {
			continue
		}
		k, ok := known[string(key)]
		if !ok {
			k = int32(len(known))
			known[string(key)] = k
			a.first = append(a.first, int32(i))
		}
		a.kind[i], a.notes[i] = k, slices.Clone(classes)
	}
	if len(a.first) == n {
		return nil
	}
	return a
}

// A measureReader writes down what is written in measures, read in playing order.
type measureReader struct {
	m       *music
	sounds  []Strike // that may last into the next measure
	key     []byte
	written []writtenNote
	classes []int32
}

// A writtenNote is one in a measure.
type writtenNote struct {
	pitch  Pitch
	length int64 // as far as the measure goes
	tied   bool  // it goes on in the next
	class  int32
}

func (a writtenNote) compare(b writtenNote) int {
	tied := 0
	if a.tied != b.tied {
		tied = 1
		if b.tied {
			tied = -1
		}
	}
	return cmp.Or(comparePitch(a.pitch, b.pitch), cmp.Compare(a.length, b.length), tied)
}

// read returns what is written in a measure, whose moments are given, whatever the
// staff and the voice: what is held from the measure before, then moment by moment
// what is struck, with the classes of that. Both are valid until the next call.
func (r *measureReader) read(measure, from, to int) (key []byte, classes []int32) {
	span := &r.m.p.Measures[measure]
	r.key, r.classes, r.written = r.key[:0], r.classes[:0], r.written[:0]
	for _, s := range r.sounds {
		if s.End > span.Onset {
			r.write(s, span.Onset, span.End)
		}
	}
	r.flush()
	r.classes = r.classes[:0] // struck before
	r.sounds = slices.DeleteFunc(r.sounds, func(s Strike) bool { return s.End <= span.End })
	for i := from; i < to; i++ {
		mo := &r.m.p.Moments[i]
		for _, s := range mo.Strikes {
			if r.m.p.Notes[s.Note].Implied {
				continue
			}
			r.write(s, mo.Onset, span.End)
			if s.End > span.End {
				r.sounds = append(r.sounds, s)
			}
		}
		if len(r.written) == 0 {
			continue
		}
		r.number(mo.Onset - span.Onset)
		if mo.Grace {
			r.key = append(r.key, 'g')
		}
		r.flush()
	}
	return r.key, r.classes
}

// write takes a note that sounds from a time on, in a measure up to another.
func (r *measureReader) write(s Strike, from, end int64) {
	r.written = append(r.written, writtenNote{r.m.p.Notes[s.Note].Pitch, min(s.End, end) - from, s.End > end, r.m.class[s.Note]})
}

// flush appends the notes taken to the key, each once, and their classes.
func (r *measureReader) flush() {
	slices.SortFunc(r.written, writtenNote.compare)
	last := writtenNote{}
	for i, n := range r.written {
		if i > 0 && n.compare(last) == 0 {
			continue
		}
		last = n
		r.key = append(r.key, n.pitch.Letter.String()...)
		r.number(int64(n.pitch.Cents))
		r.number(int64(n.pitch.Octave))
		r.number(n.length)
		if n.tied {
			r.key = append(r.key, 't')
		}
		r.classes = append(r.classes, n.class)
	}
	r.key = append(r.key, '.')
	r.written = r.written[:0]
}

func (r *measureReader) number(n int64) {
	r.key = append(strconv.AppendInt(r.key, n, 10), ',')
}

// A playing is for each class of a music the letter that plays it; -1 for none.
type playing []int8

// playing returns how a solution plays the classes.
func (m *music) playing(sol *solution) playing {
	p := slices.Repeat(playing{-1}, len(m.classes))
	for i, w := range sol.ways {
		if c := m.tones[i].class; w >= 0 {
			p[c] = int8(m.classes[c].ways[w].Letter)
		}
	}
	return p
}

// differs tells whether a measure is played otherwise than another of its kind.
func (a *alikeness) differs(p playing, measure, other int) bool {
	for i, c := range a.notes[measure] {
		if p[c] != p[a.notes[other][i]] {
			return true
		}
	}
	return false
}

// unlike counts the measures that are not played as the first of their kind.
func (a *alikeness) unlike(p playing) (count int) {
	if a == nil {
		return 0
	}
	for i, k := range a.kind {
		if k >= 0 && a.differs(p, i, int(a.first[k])) {
			count++
		}
	}
	return count
}

// models returns for each kind of which not all measures are played alike the one
// to follow: that which is played as most are, the first of several; with other,
// that among those which are played otherwise. For other kinds it is -1.
func (a *alikeness) models(p playing, other bool) []int {
	models := make([]int, len(a.first))
	members := make([][]int, len(a.first))
	for i, k := range a.kind {
		if k >= 0 {
			members[k] = append(members[k], i)
		}
	}
	for k, list := range members {
		models[k] = a.model(p, list)
		rest := slices.DeleteFunc(list, func(i int) bool { return !a.differs(p, i, models[k]) })
		switch {
		case len(rest) == 0:
			models[k] = -1
		case other:
			models[k] = a.model(p, rest)
		}
	}
	return models
}

// model returns of measures of a kind the first that is played as most are.
func (a *alikeness) model(p playing, list []int) int {
	votes := map[string]int{}
	for _, i := range list {
		votes[a.measure(p, i)]++
	}
	model := list[0]
	for _, i := range list {
		if votes[a.measure(p, i)] > votes[a.measure(p, model)] {
			model = i
		}
	}
	return model
}

// measure is how a measure is played, as a text.
func (a *alikeness) measure(p playing, measure int) string {
	play := make([]byte, len(a.notes[measure]))
	for i, c := range a.notes[measure] {
		play[i] = byte(p[c])
	}
	return string(play)
}

// preferences are those that there were, but for the classes of measures of which
// not all of their kind are played alike: they are to be played as the model is.
func (a *alikeness) preferences(m *music, p playing, models []int, were []uint8) []uint8 {
	prefer := slices.Clone(were)
	for i, k := range slices.Backward(a.kind) { // the first has the last word
		if k < 0 || models[k] < 0 {
			continue
		}
		for j, c := range a.notes[i] {
			if to := m.preference(c, p[a.notes[models[k]][j]]); to > 0 {
				prefer[c] = to
			}
		}
	}
	return prefer
}

// preference is for a class to be played by a letter, as in reader.prefer; 0 if it
// cannot be.
func (m *music) preference(class int32, letter int8) uint8 {
	c := m.classes[class]
	for w := range int(c.n) {
		if int8(c.ways[w].Letter) == letter {
			return uint8(w + 1)
		}
	}
	return 0
}

// harmonise looks for a plan that costs the same and has fewer measures that are not
// played as the first of their kind.
func (r *refinement) harmonise(m *music) error {
	const most = 4 // runs
	// No other begins after a quarter of the work so far, or after little work.
	const share, little = 4, 1 << 12
	a, s := m.likes(), r.search
	if a == nil || r.best.sol.cut {
		return nil
	}
	best, now := r.best, m.playing(r.best.sol)
	unlike := a.unlike(now)
	other, end := false, s.work+max(s.work/share, little)
	for run := 0; run < most && unlike > 0 && s.work < end && !s.spent(); run++ {
		under := best.sol.under
		prefer := a.preferences(m, now, a.models(now, other), best.sol.prefer)
		s.restrict(under, prefer)
		s.narrow = true
		sol, err := s.run()
		s.narrow = false
		if err != nil {
			return err
		}
		h := s.homes(sol, under.home)
		sol.under, sol.prefer, sol.home = under, prefer, h.setting
		plan, next := m.outline(sol), m.playing(sol)
		n := a.unlike(next)
		printable := h.disputed == 0 && len(s.disputes(sol)) == 0
		if printable && n < unlike && plan.Cost.same(best.Cost, r.mode) {
			best, now, unlike, other = plan, next, n, false
			continue
		}
		if other {
			break
		}
		other = true
	}
	r.best = best
	return nil
}
