package pedal

import (
	"cmp"
	"slices"
	"time"
)

// Where in its window a change is made costs nothing; it is a matter of comfort. A
// tier is how well a place suits a player, the best first. The order and what it
// means are common practice; feet go with the music, and on the beat, which hides
// their noise [PHI-tips] [EIN-pedaling].
type tier uint8

const (
	inRest    tier = iota // on a beat of the player's last rest; or where the mark of an earlier pass stands
	onBeat                // on a beat
	withNotes             // with an attack of the player's
	asLate                // as late as the foot can
	ahead                 // the same, before a repeat sign or jump though there is time after it
	tiers
)

// worth is what a change in a tier counts for. First as few as can be stand before a
// sign, then as many as can be in rests, then on beats, then with attacks.
var worth = [tiers]int64{inRest: 1 << 32, onBeat: 1 << 16, withNotes: 1, ahead: -1 << 48}

// A want is a change that looks for its place.
type want struct {
	*task
	lo, hi   time.Duration // the first and last start, after the last sign where the window leaves room there
	mark     int           // where it is marked, wherever it starts; -1 if that is where it starts
	from, to int           // the moments before the need at which it may start; none if from > to
	sign     int           // the first moment after the last sign

	open  uint    // bits of the tiers that it may have
	rests []int32 // the moments of the best one

	// What is decided.
	left  uint          // bits of the tiers that it may still have
	fixed bool          // it is settled when it starts
	tier  tier          // once the tier is
	at    int           // the moment at which it starts; -1 for none
	start time.Duration // the same in seconds
	shown shown         // while it is settled with others
	group int           // of changes settled together, see comfort.solve
}

// settle gives the changes of each foot that are not rushed their places and times, and
// those that are the places of their marks: what is printed once stands at one place.
func (m *music) settle(tasks []task) {
	line := newTimeline(m.p, m.closing)
	for foot := range Foot(2) {
		c := &comfort{m: m, line: line, marks: map[printed]*mark{}}
		for i := range tasks {
			if t := &tasks[i]; t.Letter.Foot() == foot && !t.Rushed {
				c.add(t)
			}
		}
		for i := range tasks {
			if t := &tasks[i]; t.Letter.Foot() == foot && t.Rushed {
				c.addRushed(t)
			}
		}
		c.settle()
	}
}

// A printed change is printed once for all its passes.
type printed struct {
	measure, index int // where the moment that needs it is written
	letter         Letter
	to             Position
}

// A mark is where a printed change stands.
type mark struct {
	wants  []*want // that it serves, in playing order
	rushed []*task // that it serves too
	known  bool
	before int // how many moments before the one that needs it
}

func (m *music) printed(t *task) printed {
	if t.Needed == len(m.p.Moments) || len(m.p.Measures) == 0 {
		return printed{-1, t.Needed, t.Letter, t.To}
	}
	measure := &m.p.Measures[m.p.Moments[t.Needed].Measure]
	return printed{measure.Written, t.Needed - measure.First, t.Letter, t.To}
}

// A comfort settles the changes of one foot.
type comfort struct {
	m     *music
	line  *timeline
	list  []*want // in the order of need
	marks map[printed]*mark

	byLetter     [4][]*want // of those settled together, for each of the foot's letters
	labels, next []label
	steps        []step // to all labels of one call of best
	outcome      int32  // the last step to its best label; -1 for none
}

// add takes a change on, and finds out between which moments it may be made.
func (c *comfort) add(t *task) {
	p := c.m.p
	w := &want{task: t, lo: t.WindowStart, hi: t.WindowEnd, mark: -1}
	if n := len(p.Measures); n > 0 {
		k := n - 1
		if t.Needed < len(p.Moments) {
			k = p.Moments[t.Needed].Measure
		}
		if s := c.line.signs[k]; s >= 0 {
			sign := &p.Measures[s]
			w.sign = min(sign.First, t.Needed)
			if sign.At <= w.hi {
				w.lo = max(w.lo, sign.At)
			} else {
				w.mark = w.sign
			}
		}
	}
	w.from, w.to = max(t.after+1, p.from(w.lo)), min(t.Needed, p.from(w.hi+1))-1
	if w.mark < 0 {
		w.from = max(w.from, w.sign)
	}
	c.list = append(c.list, w)
	key := c.m.printed(t)
	mk := c.marks[key]
	if mk == nil {
		mk = &mark{}
		c.marks[key] = mk
	}
	mk.wants = append(mk.wants, w)
	if first := mk.wants[0]; first.mark < 0 && w.mark < 0 { // it stands in the windows of all passes
		between := first.Needed - w.Needed
		first.from, first.to = max(first.from, w.from+between), min(first.to, w.to+between)
	}
}

// addRushed takes a rushed change on, which stands where it is needed, or at the mark
// of those that are not.
func (c *comfort) addRushed(t *task) {
	t.Place = t.Needed
	mk := c.marks[c.m.printed(t)]
	if mk == nil {
		return
	}
	mk.rushed = append(mk.rushed, t)
	if first := mk.wants[0]; first.mark < 0 {
		first.from = max(first.from, first.Needed-t.Needed+t.after+1)
	}
}

// settle puts the changes where they are best off. The first change that a mark
// serves says where it stands. The others start there if they can, so they may
// be in the way of first ones after them; then it is all done again.
func (c *comfort) settle() {
	const most = 4 // times; after that all marks stay where they are
	slices.SortStableFunc(c.list, func(a, b *want) int {
		return cmp.Or(cmp.Compare(a.Needed, b.Needed), cmp.Compare(a.Letter, b.Letter))
	})
	for try := 1; ; try++ {
		for _, mk := range c.marks {
			for i, w := range mk.wants {
				c.offer(w, mk.known && (i > 0 || try > most), mk.before)
			}
		}
		c.solve()
		if try > most || c.agree() {
			break
		}
	}
	for _, mk := range c.marks {
		for _, w := range mk.wants {
			w.Start, w.End, w.Place = w.start, w.start+c.m.pace.Move, w.Needed-mk.before
		}
		for _, t := range mk.rushed {
			t.Place = t.Needed - mk.before
		}
	}
}

// agree puts each mark where the first change that it serves starts, and tells whether
// they all stood there before, or all other changes start there too.
func (c *comfort) agree() bool {
	agree := true
	for _, mk := range c.marks {
		first := mk.wants[0]
		before := first.Needed - first.place()
		moved := !mk.known || mk.before != before
		mk.known, mk.before = true, before
		for _, w := range mk.wants[1:] {
			if moved && w.mark < 0 && w.Needed-w.place() != before {
				agree = false
			}
		}
	}
	return agree
}

// place is where a change would be marked if it were alone.
func (w *want) place() int {
	switch {
	case w.mark >= 0:
		return w.mark
	case w.tier == ahead:
		return w.sign
	case w.at >= 0:
		return w.at
	}
	return w.Needed
}

// offer opens all tiers to a want that it may have by itself. If its mark stands
// already, that is where it is best off, and as late as can be otherwise.
func (c *comfort) offer(w *want, stands bool, before int) {
	p, move := c.m.p, c.m.pace.Move
	w.open, w.rests = 1<<onBeat|1<<withNotes|1<<asLate, nil
	if w.lo > w.WindowStart {
		w.open |= 1 << ahead
	}
	if stands && w.mark < 0 {
		w.open &^= 1<<onBeat | 1<<withNotes
		if at := w.Needed - before; at >= w.from && at <= w.to {
			w.rests = []int32{int32(at)}
		}
	} else if r := c.line.lastRest(w.lo, w.hi, move); r.to > r.from {
		w.rests = within(c.line.beats, max(w.from, p.from(r.from)), min(w.to, p.from(r.to-move+1)-1))
	}
	if len(w.rests) > 0 {
		w.open |= 1 << inRest
	}
}

// places lists the moments that a want may have in a tier, in playing order, and
// tells whether the first is the best one, and not the last.
func (c *comfort) places(w *want, t tier) (list []int32, first bool) {
	switch t {
	case inRest:
		return w.rests, true
	case onBeat:
		return within(c.line.beats, w.from, w.to), false
	case withNotes:
		return within(c.line.attacks, w.from, w.to), false
	}
	return nil, false
}
