package pedal

import (
	"math/bits"
	"slices"
)

const (
	maxNames = 32                 // that a search follows
	eachName = 0x5555555555555555 // the first bit of each name in a habit or wording
)

// A habit is how names have last been spelt, as far as it can still matter: two
// bits a name, the first for the first of its letters, the second for the other,
// in the place of the measure in which it last sounded, counted modulo the
// measures that are remembered. A name that is at home, or has no spelling before,
// has no bits.
type habit [remembered + 1]uint64

// A wording is by which letters a chord plays its names; bits as in habit.
type wording struct {
	letters uint64
	names   uint64 // the first bit of each name that sounds
	habit   uint64 // what is remembered of letters: all but those of names at home
	twice   int    // names on both their letters
}

// worse is how many switches a plan may have more for a wording in place of another:
// two for each name whose letters are others, one now and one when it next sounds.
// One letter is never worse than both, for these cost two switches more than the
// one if they are fresh and one more if the name was on both before, and save one
// at most later.
func (w *wording) worse(o *wording) int {
	x := w.letters ^ o.letters
	both := o.letters & (o.letters >> 1) & w.names
	return 2 * bits.OnesCount64((x|x>>1)&eachName&^both)
}

// A naming is what a music knows of the names that a search follows: those that
// can be on either of two letters somewhere. Names past maxNames are not followed,
// and a plan has more switches then than the search may know of.
type naming struct {
	homes   uint64  // the first bit of each name that has a home
	count   int     // of the names that are followed
	measure []int   // of each chord
	live    []habit // after each chord, both bits of what can sound before it lapses
	letters []uint8 // of each name of the music the first of its letters, as a bit; 0 if it is not followed
	place   []uint8 // of each name of the music its place among those followed
}

// followNames finds the names to follow.
func (m *music) followNames() {
	open := make([]uint8, len(m.names))
	for _, c := range m.classes {
		for w := range int(c.n) {
			open[c.name] |= 1 << c.ways[w].Letter
		}
	}
	t := &m.naming
	t.letters, t.place = make([]uint8, len(m.names)), make([]uint8, len(m.names))
	for n, name := range m.names {
		home := name.home()
		if bits.OnesCount8(open[n]|home) < 2 || t.count == maxNames {
			continue
		}
		t.place[n], t.letters[n] = uint8(t.count), home
		if home == 0 {
			t.letters[n] = open[n] & -open[n]
		} else {
			t.homes |= 1 << (2 * t.count)
		}
		t.count++
	}
	m.outlive()
}

// outlive finds what can matter of a habit after each chord.
func (m *music) outlive() {
	t := &m.naming
	t.measure, t.live = make([]int, len(m.chords)), make([]habit, len(m.chords))
	const never = 1 << 62
	next := slices.Repeat([]int{never}, t.count) // the measure in which each name sounds next
	for k := range m.chords {
		t.measure[k] = m.p.measure(int(m.chords[k].moment))
	}
	for k, ch := range slices.Backward(m.chords) {
		for at, measure := range next {
			for back := range remembered + 1 {
				if last := t.measure[k] - back; last >= 0 && measure-last <= remembered {
					t.live[k][last%len(habit{})] |= 3 << (2 * at)
				}
			}
		}
		for i := range ch.tones {
			if c := m.classes[ch.tones[i].class]; c.n > 0 && t.follows(m, &ch.tones[i]) {
				next[t.place[c.name]] = t.measure[k]
			}
		}
	}
}

// follows tells whether the name of a tone is followed.
func (t *naming) follows(m *music, of *tone) bool {
	return !of.silent && t.letters[m.classes[of.class].name] != 0
}

// word is the bit of a way of a tone in a wording; 0 if its name is not followed.
func (m *music) word(of *tone, w int) uint64 {
	if !m.naming.follows(m, of) {
		return 0
	}
	c := m.classes[of.class]
	at := 2 * m.naming.place[c.name]
	if m.naming.letters[c.name] == 1<<c.ways[w].Letter {
		return 1 << at
	}
	return 2 << at
}

// wording completes one of which the letters are known.
func (t *naming) wording(letters uint64) wording {
	first, second := letters&eachName, letters>>1&eachName
	home := first &^ second & t.homes
	return wording{letters, first | second, letters &^ home, bits.OnesCount64(first & second)}
}

// use takes a chord's wording into a habit, and counts the switches.
func (t *naming) use(k int, h *habit, w *wording) (after habit, switches int) {
	var before uint64
	for i, b := range h {
		before |= b
		after[i] = b &^ (3 * w.names)
	}
	fresh := w.names &^ (before | before>>1) // names without bits
	before |= fresh & t.homes
	switches = bits.OnesCount64(w.letters&^before) + w.twice - bits.OnesCount64(fresh&^t.homes)
	after[t.measure[k]%len(after)] |= w.habit
	for i := range after {
		after[i] &= t.live[k][i]
	}
	return after, switches
}

// worse counts the switches that a plan going on from habit a may have more than one
// from habit b that spells all as it does: at most one for each name, when that next
// sounds, for then both habits are the same. None are more if a has both letters,
// unless it forgets them sooner, nor if a has no spelling before and b has one
// letter.
func (t *naming) worse(a, b *habit) int {
	var differ, inA, inB, same uint64
	for i := range a {
		differ |= a[i] ^ b[i]
		inA, inB = inA|a[i], inB|b[i]
		same |= (a[i] | a[i]>>1) & (b[i] | b[i]>>1) // of the same measure
	}
	if differ == 0 {
		return 0
	}
	none := ^(inA | inA>>1) &^ t.homes &^ (inB & (inB >> 1))
	both := inA & (inA >> 1) & (same | ^(inB | inB>>1))
	return bits.OnesCount64((differ | differ>>1) & eachName &^ (none | both))
}

// loosest is a habit from which no plan has more switches than from any other, just
// before chord k.
func (t *naming) loosest(k int) (h habit) {
	h[t.measure[k]%len(h)] = 1<<(2*t.count) - 1
	return h
}

// Habits follow the spelling of names through a search.
type habits struct {
	t     *naming
	made  habitTable // after the chord that is being crossed
	known []habitStep
	words int
	need  []habit
	index []int32
}

// A habitStep is what a wording makes of a habit.
type habitStep struct {
	habit    int32 // index into habits.made + 1; 0 if it is not known
	switches int32
}

// turn makes ready for a chord: from a front, with these readings.
func (t *habits) turn(from *front, l *listing) {
	t.made.reset()
	t.words = len(l.words)
	n := len(from.habits) * t.words
	t.known = slices.Grow(t.known[:0], n)[:n]
	clear(t.known)
}

// step returns what a wording makes of a habit at chord k, both given by index.
func (t *habits) step(k int, from *front, habit int32, l *listing, word uint16) (next int32, switches int) {
	s := &t.known[int(habit)*t.words+int(word)]
	if s.habit == 0 {
		after, n := t.t.use(k, &from.habits[habit], &l.words[word])
		*s = habitStep{t.made.number(&after) + 1, int32(n)}
	}
	return s.habit - 1, int(s.switches)
}

// worse is as naming's, for habits made.
func (t *habits) worse(a, b int32) int {
	if a == b {
		return 0
	}
	return t.t.worse(&t.made.list[a], &t.made.list[b])
}

// number gives the entries of a front the habits that they need and no others, and
// returns these. The result is valid until the next call.
func (t *habits) number(list []entry) []habit {
	made := t.made.list
	t.index = slices.Grow(t.index[:0], len(made))[:len(made)]
	clear(t.index)
	t.need = t.need[:0]
	for i := range list {
		n := &t.index[list[i].habit]
		if *n == 0 {
			t.need = append(t.need, made[list[i].habit])
			*n = int32(len(t.need))
		}
		list[i].habit = *n - 1
	}
	return t.need
}

// A habitTable numbers habits.
type habitTable struct {
	list  []habit
	table []int32 // open addressing; index into list + 1
}

func (t *habitTable) reset() {
	t.list = t.list[:0]
	clear(t.table)
}

func (t *habitTable) number(h *habit) int32 {
	if 2*len(t.list) >= len(t.table) {
		t.grow()
	}
	i := t.find(h)
	if t.table[i] == 0 {
		t.list = append(t.list, *h)
		t.table[i] = int32(len(t.list))
	}
	return t.table[i] - 1
}

// find returns the place in the table of a habit, or where it is to go.
func (t *habitTable) find(h *habit) uint32 {
	for i := h.hash(); ; i++ {
		i &= uint32(len(t.table) - 1)
		if n := t.table[i]; n == 0 || t.list[n-1] == *h {
			return i
		}
	}
}

func (t *habitTable) grow() {
	t.table = make([]int32, max(64, 2*len(t.table)))
	for i := range t.list {
		t.table[t.find(&t.list[i])] = int32(i + 1)
	}
}

func (h *habit) hash() uint32 {
	sum := uint64(0)
	for i, b := range h {
		sum += (b ^ b>>29) * spread[i]
	}
	return uint32(sum >> 32)
}
