package musicxml

import (
	"fmt"
	"slices"
)

// A section is a stretch of measures that a backward repeat plays again, with
// the endings that belong to it.
type section struct {
	first, last int  // measure indexes, endings included
	back        int  // the measure of its backward repeat; the first one, where endings have one each
	plays       int  // how often it is played
	times       bool // a repeat sign says so
	afterJump   string
	pass        int  // the pass under way, from 1; 0 before the first
	made        bool // it has been repeated already
}

// A roadMap is the signposts of a score, put together.
type roadMap struct {
	posts    []signpost
	sections []section // in the order of their ends
	inner    []int     // for each measure the innermost section around it; -1 for none
	returns  []int     // for each measure the section that its backward repeat plays again; -1 for none
	endings  [][]int   // for each measure the passes of the ending over it; nil for none
	begins   []int     // for each measure that of the beginning of the ending over it
	ofEnding []int     // for each measure the section whose ending it is in; -1 for none
	unclosed []int     // measures with a forward repeat to which nothing leads back
	restarts []int     // measures at which the printed numbers begin again
}

// newRoadMap finds the sections and endings. A backward repeat goes to the
// nearest forward repeat before it that is still open; if there is none, to the
// measure after the section repeated before it, or to the start.
func newRoadMap(posts []signpost) *roadMap {
	n := len(posts)
	m := &roadMap{posts: posts, inner: fill(n, -1), returns: fill(n, -1), ofEnding: fill(n, -1)}
	m.endings, m.begins = spreadEndings(posts)
	var open []int // first measures of the sections that are open
	free := 0      // the first measure after the last section
	for k := 0; k < n; k++ {
		if posts[k].opens {
			open = append(open, k)
		}
		if posts[k].closes == nil {
			continue
		}
		first := free
		if len(open) > 0 {
			first = open[len(open)-1]
			open = open[:len(open)-1]
		}
		k = m.addSection(first, k)
		free = k + 1
	}
	m.unclosed = open
	for i := len(m.sections) - 1; i >= 0; i-- {
		for k := m.sections[i].first; k <= m.sections[i].last; k++ {
			m.inner[k] = i
		}
	}
	m.nest()
	return m
}

// nest makes the innermost section of each measure the shortest one around it.
func (m *roadMap) nest() {
	for i, s := range m.sections {
		for k := s.first; k <= s.last; k++ {
			if j := m.inner[k]; j < 0 || s.last-s.first < m.sections[j].last-m.sections[j].first {
				m.inner[k] = i
			}
		}
	}
}

// addSection adds the section that ends with the backward repeat of a measure
// and with the endings around it, which may have repeats of their own. It
// returns the section's last measure.
func (m *roadMap) addSection(first, back int) (last int) {
	s := section{first: first, last: back, back: back, afterJump: m.posts[back].closes.afterJump}
	index := len(m.sections)
	to := back
	for to+1 < len(m.posts) && m.endings[to+1] != nil && !m.posts[to+1].opens && !slices.Contains(m.endings[to+1], 1) {
		to++
	}
	highest := 0
	for k := first; k <= to; k++ {
		if c := m.posts[k].closes; c != nil && k >= back {
			s.plays = max(s.plays, c.times)
			m.returns[k] = index
		}
		// An ending that begins before the section is that of one around it.
		if m.endings[k] != nil && m.ofEnding[k] < 0 && m.begins[k] >= first {
			m.ofEnding[k] = index
			highest = max(highest, slices.Max(m.endings[k]))
		}
	}
	s.times = s.plays > 0
	if !s.times {
		// An ending for the first pass alone is left out in the second.
		s.plays = max(highest, 2)
	}
	s.last = to
	m.sections = append(m.sections, s)
	return to
}

// spreadEndings gives each measure the passes of the ending over it, and the
// measure with which that begins.
func spreadEndings(posts []signpost) (over [][]int, begins []int) {
	over, begins = make([][]int, len(posts)), make([]int, len(posts))
	for k := 0; k < len(posts); k++ {
		if posts[k].ending == nil {
			continue
		}
		last := endingEnd(posts, k)
		for i := k; i <= last; i++ {
			over[i], begins[i] = posts[k].ending, k
		}
		k = last
	}
	return over, begins
}

// endingEnd returns the last measure of the ending that begins with measure k:
// that of its stop. Without a stop before the next ending begins, it ends with a
// backward repeat, or before a forward one, or where the next one begins.
func endingEnd(posts []signpost, k int) int {
	last := -1
	for i := k; i < len(posts); i++ {
		switch {
		case i > k && posts[i].ending != nil:
			if last < 0 {
				last = i - 1
			}
			return last
		case posts[i].stops:
			return i
		case last < 0 && posts[i].closes != nil:
			last = i
		case last < 0 && i > k && posts[i].opens:
			last = i - 1
		}
	}
	if last < 0 {
		return len(posts) - 1
	}
	return last
}

func fill(n, value int) []int {
	s := make([]int, n)
	for i := range s {
		s[i] = value
	}
	return s
}

// A walker follows a road map from the start to the end.
type walker struct {
	*roadMap
	words  bool // follow jumps that only words ask for
	most   int
	order  []int
	jumped bool // a da capo or dal segno has been followed
	toCoda bool // one has been since the last jump to a coda
	used   map[*jump]bool
	report reporter
}

// walk returns the measures in playing order. It fails if there are more than
// most.
func (m *roadMap) walk(words bool, most int, report reporter) ([]int, error) {
	w := &walker{roadMap: m, words: words, most: most, used: map[*jump]bool{}, report: report}
	for i := range m.sections {
		m.sections[i].pass, m.sections[i].made = 0, false
	}
	for k := 0; k < len(m.posts); {
		w.enter(k)
		if w.passedOver(k) {
			k++
			continue
		}
		if len(w.order) == most {
			return nil, fmt.Errorf("the playing order has more than %d measures", most)
		}
		w.order = append(w.order, k)
		next, end := w.leave(k)
		if end {
			break
		}
		k = next
	}
	return w.order, nil
}

// enter starts the first pass of the sections that begin with a measure.
func (w *walker) enter(k int) {
	for i := range w.sections {
		s := &w.sections[i]
		if s.first == k && s.pass == 0 {
			s.pass = 1
			if w.jumped && !w.repeats(s) {
				s.pass = s.plays // the last ending is taken
				if s.afterJump == "" {
					w.report("repeat-after-jump", k, -1, "the score does not say whether this section is repeated after the jump; it is played once")
				}
			}
		}
	}
}

// repeats reports whether a section that is entered after a jump is repeated:
// one that has been is not, unless its sign says so.
func (w *walker) repeats(s *section) bool { return !s.made || s.afterJump == "yes" }

// passedOver reports whether a measure is in an ending of another pass.
func (w *walker) passedOver(k int) bool {
	if w.endings[k] == nil {
		return false
	}
	pass := 1
	if i := w.ofEnding[k]; i >= 0 {
		pass = w.sections[i].pass
		if pass == 0 {
			// A jump led into the middle of the section.
			pass = w.sections[i].plays
		}
	} else if !slices.Contains(w.endings[k], 1) {
		return false // an ending that belongs to no repeat is played
	}
	return !slices.Contains(w.endings[k], pass)
}

// leave returns the measure that follows k, or that k is the end.
func (w *walker) leave(k int) (next int, end bool) {
	if j := w.find(k, fine); j != nil && w.jumped {
		return 0, true
	}
	if j := w.find(k, toCoda); j != nil && w.toCoda && !w.used[j] {
		w.used[j], w.toCoda = true, false
		if target := w.target(k, j); target >= 0 {
			w.closeSections(len(w.posts))
			w.arrive(target)
			return target, false
		}
	}
	if i := w.returns[k]; i >= 0 {
		s := &w.sections[i]
		if s.pass > 0 && s.pass < s.plays {
			s.pass++
			w.restart(s)
			return s.first, false
		}
	}
	for _, kind := range []jumpKind{daCapo, dalSegno} {
		j := w.find(k, kind)
		if j == nil || w.used[j] || !w.lastTime(k) {
			continue
		}
		w.used[j] = true
		if j.words {
			w.report("jump-from-words", k, j.offset, "only printed words ask for this jump; it is followed")
		}
		if target := w.target(k, j); target >= 0 {
			w.jumped, w.toCoda = true, true
			w.closeSections(len(w.posts))
			w.arrive(target)
			return target, false
		}
	}
	w.closeSections(k + 1)
	return k + 1, false
}

// restart begins the sections inside s anew.
func (w *walker) restart(s *section) {
	for i := range w.sections {
		inner := &w.sections[i]
		if inner != s && inner.first >= s.first && inner.last <= s.last {
			inner.made = inner.made || inner.pass > 1
			inner.pass = 0
		}
	}
}

// closeSections ends the sections that lie before a measure.
func (w *walker) closeSections(before int) {
	for i := range w.sections {
		if s := &w.sections[i]; s.pass > 0 && s.last < before {
			s.made = s.made || s.pass > 1
			s.pass = 0
		}
	}
}

// arrive sets the passes of the sections that a jump leads into.
func (w *walker) arrive(target int) {
	for i := range w.sections {
		s := &w.sections[i]
		s.pass = 0
		if s.first < target && target <= s.last {
			s.pass = s.plays
			if w.repeats(s) && s.afterJump == "yes" {
				s.pass = 1
			}
		}
	}
}

// find returns the jump of a kind that counts in the pass under way.
func (w *walker) find(k int, kind jumpKind) *jump {
	for i := range w.posts[k].jumps {
		j := &w.posts[k].jumps[i]
		if j.kind != kind || j.words && !w.words {
			continue
		}
		if j.passes == nil || slices.Contains(j.passes, w.passOf(k)) {
			return j
		}
	}
	return nil
}

func (w *walker) passOf(k int) int {
	if i := w.inner[k]; i >= 0 {
		return max(w.sections[i].pass, 1)
	}
	return 1
}

// lastTime reports whether the repeats around a measure have been made, so that
// it is left for good.
func (w *walker) lastTime(k int) bool {
	for i := range w.sections {
		s := &w.sections[i]
		if k < s.first || k > s.last || s.pass == 0 || s.pass == s.plays {
			continue
		}
		last := s.plays
		if w.ofEnding[k] == i {
			last = slices.Max(w.endings[k])
		}
		if s.pass < last {
			return false
		}
	}
	return true
}
