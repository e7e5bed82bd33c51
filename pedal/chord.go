package pedal

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"sort"
	"sync"
	"time"
)

// A chord is a moment at which something is struck, ready for the search.
type chord struct {
	moment int32
	first  int32  // its first tone, as index into music.tones
	tones  []tone // longest first
	// A restart is no chord: the place of the first setting is played again, and all
	// pedals are asked for as they stand there. It has no tones.
	restart bool
}

// A tone is one pitch of a chord, however many printed notes it merges.
type tone struct {
	class   int32         // index into music.classes: the printed notes that are spelt alike
	release int32         // first chord at whose onset the tone no longer lasts
	end     int64         // the last Strike.End
	until   time.Duration // the last Strike.Until
	silent  bool          // all of it is
}

// A class is a set of printed notes that must be spelt alike: those that merge
// into one tone somewhere. Most classes hold one note.
type class struct {
	ways    [2]way
	n       int8  // how many ways there are
	written uint8 // bits of the ways open in mode Written
	name    int32 // index into music.names
}

// as is the class as it is wanted.
func (c *class) as(w wanted) *class {
	if !w.fixed && w.on == AllLetters {
		return c
	}
	only := *c
	only.n, only.written = 0, 0
	for i, way := range c.ways[:c.n] {
		if !w.on.Has(way.Letter) || w.fixed && way.respelt {
			continue
		}
		only.written |= c.written >> i & 1 << only.n
		only.ways[only.n] = way
		only.n++
	}
	if only.written == 0 && w.on != AllLetters { // what is wanted holds in mode Written too
		only.written = 1<<only.n - 1
	}
	return &only
}

// A music is a passage made ready for the search; it is the same for all modes.
type music struct {
	p        *Passage
	o        Options
	chords   []chord
	times    []time.Duration // of the chords
	classes  []*class        // shared by those that are alike
	names    []name          // in the order of their first note
	naming   naming
	class    []int32   // of each note
	struck   [][]int32 // for each class the chords that strike it, in order
	tones    []tone    // of all chords, in order
	again    int       // tones of classes that are struck more than once
	restarts []int32   // which of the chords are
	// Where notes are spelt as written, where they may be on either string, and where
	// it matters for each name on which (see spellings). Nil until read is called, and
	// when it is not needed any more.
	surveys [3]*survey
	likes   func() *alikeness // found when first asked for
	pace    Times
	closing time.Duration
	// With how much care a search begins to follow each foot before each chord, and
	// after the last.
	care [2][]care
}

// prepare checks a passage and makes it ready.
func prepare(p *Passage, o Options) (*music, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	strikes, err := p.check()
	if err != nil {
		return nil, err
	}
	if len(p.Moments) == 0 && o.Start != nil && o.End != nil && *o.Start != *o.End {
		return nil, errors.New("there is no moment at which the harp could go from the setting of the start to that of the end")
	}
	m := &music{p: p, o: o, pace: o.Times()}
	m.closing = closing(p, m.pace.Foot)
	m.o.Instrument = o.Instrument.OrDefault()
	groups := newUnion(len(p.Notes))
	m.tones = make([]tone, 0, strikes) // never grown, since chords share it
	var order []int32
	for i := range p.Moments {
		first := len(m.tones)
		if i > 0 && p.Moments[i].Restart {
			m.restarts = append(m.restarts, int32(len(m.chords)))
			m.chords = append(m.chords, chord{moment: int32(i), first: int32(first), restart: true})
			m.times = append(m.times, p.Moments[i].At)
		}
		m.tones, order = mergePitches(p, i, m.tones, order, groups)
		if len(m.tones) > first {
			if err := m.sameOrder(i, m.tones[first:]); err != nil {
				return nil, err
			}
			m.chords = append(m.chords, chord{moment: int32(i), first: int32(first), tones: m.tones[first:len(m.tones):len(m.tones)]})
			m.times = append(m.times, p.Moments[i].At)
		}
	}
	if err := m.nameClasses(groups); err != nil {
		return nil, err
	}
	m.release()
	m.followNames()
	m.likes = sync.OnceValue(m.alike)
	for f := range m.care {
		m.care[f] = slices.Repeat([]care{loose}, len(m.chords)+1)
	}
	return m, nil
}

// mergePitches appends the tones of a moment. Until nameClasses runs, a tone's
// class is one of its notes.
func mergePitches(p *Passage, moment int, slab []tone, order []int32, groups union) ([]tone, []int32) {
	strikes := p.Moments[moment].Strikes
	order = order[:0]
	for i := range strikes {
		order = append(order, int32(i))
	}
	pitch := func(i int32) Pitch { return p.Notes[strikes[i].Note].Pitch }
	if len(order) > 1 {
		slices.SortStableFunc(order, func(a, b int32) int { return comparePitch(pitch(a), pitch(b)) })
	}
	from := len(slab)
	for k, i := range order {
		s := strikes[i]
		if k > 0 && pitch(order[k-1]) == pitch(i) {
			t := &slab[len(slab)-1]
			groups.join(t.class, int32(s.Note))
			t.end, t.until = max(t.end, s.End), max(t.until, s.Until)
			t.silent = t.silent && p.Notes[s.Note].Silent
			continue
		}
		slab = append(slab, tone{class: int32(s.Note), end: s.End, until: s.Until, silent: p.Notes[s.Note].Silent})
	}
	if tones := slab[from:]; len(tones) > 1 {
		slices.SortStableFunc(tones, func(a, b tone) int {
			return cmp.Or(cmp.Compare(b.end, a.end), cmp.Compare(b.until, a.until))
		})
	}
	return slab, order
}

func comparePitch(a, b Pitch) int {
	return cmp.Or(cmp.Compare(a.Octave, b.Octave), cmp.Compare(a.Letter, b.Letter), cmp.Compare(a.Cents, b.Cents))
}

// sameOrder checks that tones, the longest first, are so in seconds too: then one of
// them lasts longest on a letter by both clocks.
func (m *music) sameOrder(moment int, tones []tone) error {
	for k := 1; k < len(tones); k++ {
		if tones[k].until > tones[k-1].until {
			return faultAt(moment, "of notes %d and %d each ends before the other, in ticks or in seconds", tones[k-1].class, tones[k].class)
		}
	}
	return nil
}

// nameClasses numbers the classes in the order of their first note and finds
// the strings of each.
func (m *music) nameClasses(groups union) error {
	tuned := tuning(m.o.Instrument, m.p)
	m.class = make([]int32, len(m.p.Notes))
	wanted := m.wanted(groups)
	known, names := make(map[Pitch]*class), make(map[name]int32)
	for i, n := range m.p.Notes {
		root := groups.find(int32(i))
		if int(root) != i {
			m.class[i] = m.class[root]
			continue
		}
		c, ok := known[n.Pitch]
		if !ok {
			called, ok := names[n.Pitch.inAnyOctave()]
			if !ok {
				called = int32(len(m.names))
				m.names = append(m.names, n.Pitch.inAnyOctave())
				names[n.Pitch.inAnyOctave()] = called
			}
			c = &class{name: called}
			ways := waysOf(m.o.Instrument, n.Pitch, tuned)
			c.n = int8(copy(c.ways[:], ways))
			for w := range ways {
				if !ways[w].respelt || !n.Pitch.settable() {
					c.written |= 1 << w
				}
			}
			known[n.Pitch] = c
		}
		playable := c.n > 0
		if c = c.as(wanted[i]); playable && c.n == 0 && wanted[i].on != AllLetters {
			return m.unmet(i)
		}
		m.class[i] = int32(len(m.classes))
		m.classes = append(m.classes, c)
	}
	m.countClasses()
	return nil
}

// What is wanted of the notes of a class.
type wanted struct {
	on    LetterSet
	fixed bool
}

// wanted returns for the first note of each class what is wanted of all of them.
func (m *music) wanted(groups union) []wanted {
	list := make([]wanted, len(m.p.Notes))
	for i := range list {
		list[i] = wanted{on: AllLetters}
	}
	for i, n := range m.p.Notes {
		w := &list[groups.find(int32(i))]
		if n.On != 0 {
			w.on &= n.On
		}
		w.fixed = w.fixed || n.Fixed
	}
	return list
}

// unmet is the error of a note that has no string of those that are wanted for it,
// at the moment where it is struck first.
func (m *music) unmet(note int) error {
	for i := range m.p.Moments {
		for _, s := range m.p.Moments[i].Strikes {
			if s.Note == note {
				return faultAt(i, "%v has no string of those that are wanted for it", m.p.Notes[note].Pitch)
			}
		}
	}
	return fmt.Errorf("note %d has no string of those that are wanted for it", note)
}

// countClasses finds where each class is struck.
func (m *music) countClasses() {
	counts := make([]int, len(m.classes))
	for i := range m.tones {
		t := &m.tones[i]
		t.class = m.class[t.class]
		counts[t.class]++
	}
	for _, n := range counts {
		if n > 1 {
			m.again += n
		}
	}
	m.struck = make([][]int32, len(m.classes))
	slab := make([]int32, len(m.tones))
	for c, n := range counts {
		m.struck[c], slab = slab[:0:n], slab[n:]
	}
	for k := range m.chords {
		for _, t := range m.chords[k].tones {
			if s := m.struck[t.class]; len(s) == 0 || s[len(s)-1] != int32(k) {
				m.struck[t.class] = append(s, int32(k))
			}
		}
	}
}

// release finds for each tone the first chord that it does not reach.
func (m *music) release() {
	onset := func(k int) int64 { return m.p.Moments[m.chords[k].moment].Onset }
	for k := range m.chords {
		for i := range m.chords[k].tones {
			t := &m.chords[k].tones[i]
			next := k + 1
			if next < len(m.chords) && onset(next) < t.end {
				next += sort.Search(len(m.chords)-next, func(j int) bool { return onset(next+j) >= t.end })
			}
			t.release = int32(next)
		}
	}
}

// spellings is the index into music.surveys for a mode.
func spellings(mode Mode) int {
	switch mode {
	case Written:
		return 0
	case Balanced:
		return 2
	}
	return 1
}

// size is what the costs of plans cannot exceed.
func (m *music) size() size {
	names := 0
	for i := range m.tones {
		if m.naming.follows(m, &m.tones[i]) {
			names++
		}
	}
	// To what a plan costs, what it takes to stand in for another may be added.
	tones, again := len(m.tones), m.again
	if m.likes() != nil {
		again = tones
	}
	return size{min(Letters*len(m.chords), tones+Letters*len(m.restarts)) + 2*Letters, tones + 2*Letters, names + maxNames, again}
}

// A survey is what the chords ask for where every class may be spelt as it likes.
type survey struct {
	listings []*listing // of each chord
	ahead    []mentions // after each chord
	gains    []gain     // of each chord; nil where feet do not count
}

// read surveys the music for a mode, and for the others that may spell as much.
func (m *music) read(mode Mode) {
	i := spellings(mode)
	if m.surveys[i] != nil {
		return
	}
	n := len(m.chords)
	v := &survey{listings: make([]*listing, n), ahead: make([]mentions, n)}
	r := m.newReader(mode)
	var pasts []past
	if r.feet {
		pasts = m.pasts(r.allowed)
		v.gains = make([]gain, n)
		r.gains = v.gains
	}
	next := m.last()
	may := next // whatever the first setting
	for k := n - 1; k >= 0; k-- {
		if r.feet {
			v.gains[k] = pasts[k].gain(&may)
		}
		v.listings[k] = r.read(k)
		v.ahead[k] = next
		next.before(k, v.listings[k])
		if may.before(k, v.listings[k]); m.chords[k].restart {
			may.all(k)
		}
	}
	m.surveys[i] = v
}

// open returns for each class the bits of the ways that a mode leaves open.
func (m *music) open(mode Mode) []uint8 {
	open := make([]uint8, len(m.classes))
	for i, c := range m.classes {
		open[i] = 1<<c.n - 1
		if mode == Written {
			open[i] &= c.written
		}
	}
	return open
}

// newReader returns a reader for a mode without further restrictions.
func (m *music) newReader(mode Mode) reader {
	return reader{
		m: m, allowed: m.open(mode), prefer: make([]uint8, len(m.classes)), home: m.home(), feet: m.pace.Foot > 0, names: mode == Balanced,
	}
}

// chordAt returns the chord of a moment; ok is false if nothing is struck at it.
func (m *music) chordAt(moment int) (k int, ok bool) {
	return slices.BinarySearchFunc(m.chords, int32(moment), func(c chord, at int32) int { return cmp.Compare(c.moment, at) })
}

// at is the time of a chord in seconds.
func (m *music) at(k int) time.Duration { return m.times[k] }

// A union joins notes into classes; the root of a class is its first note.
type union []int32

func newUnion(n int) union {
	u := make(union, n)
	for i := range u {
		u[i] = int32(i)
	}
	return u
}

func (u union) find(i int32) int32 {
	for u[i] != i {
		u[i] = u[u[i]]
		i = u[i]
	}
	return i
}

func (u union) join(a, b int32) {
	a, b = u.find(a), u.find(b)
	u[max(a, b)] = min(a, b)
}
