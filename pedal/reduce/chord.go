package reduce

import (
	"context"
	"math/bits"
	"slices"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// fingers is how many strings one hand plucks at once [EIN-hand] [BLI 2].
const fingers = 4

// Bounds of the search in one moment.
const (
	mostNodes = 150_000 // of the tree
	mostTies  = 12      // reductions of one cost whose pedals are compared
	mostTried = 12      // times that the planner may refuse what the search has found
)

// A choice is what may be done about a note of a chord.
type choice uint8

const (
	keep choice = iota
	leave
	up
	down
	early
	choices
)

// A chordNote is a note of a chord that is to be reduced.
type chordNote struct {
	note         int
	staff        int
	class        int
	melody, bass bool
	can          [choices]bool
	order        [choices]choice         // what is tried first: of ways that cost the same the first is taken
	twice        bool                    // one before it sounds as it does
	rolled       bool                    // its staff is rolled already
	strings      [choices][]pedal.String // on which it can be played, the planned one first
	planned      pedal.String            // not OK if the plan has none, or if it is free
	turns        bool                    // it may be written for another string
}

// A chord is the notes of one moment, and what of them can be done.
type chord struct {
	r      *run
	moment int // of the music as it was
	notes  []chordNote
	fixed  []revise.Op // of windows around it
	bound  [pedal.Letters]*pedal.Position
	roll   bool // it may be rolled
	time   time.Duration
	span   int
	most   int

	rollSpan int

	refused map[string]bool
	best    []answer // of equal loss
	limit   *vector  // that loss, or one that can be had; nil at first
	coarse  bool     // notes are but left out
	nodes   int
	taken   []choice
	rolling bool

	turning bool           // notes may go to their other strings
	on      []pedal.String // where notes are then, as assign has found
}

// An answer is one way to reduce a chord.
type answer struct {
	key  string
	ops  []revise.Op
	loss revise.Loss
}

// chord works out the reduction of a moment, exactly but for the limits above. Of a note
// that is only written twice one is left out, whatever its other string would cost. In
// music of a few moments what leaves nothing to be done about others is preferred to what
// costs less by itself.
func (r *run) chord(ctx context.Context, moment int, twice bool) (ops []revise.Op, heuristic bool, err error) {
	var spare []revise.Op // the cheapest that leaves something to do
	c := r.chordAt(moment)
	s := r.scene(r.cur.Moments[moment], r.cur.Moments[moment])
	for try := range mostTried {
		c.search()
		if try == 0 && !twice {
			ops, cut, err := r.turned(ctx, s, c)
			if ops != nil || err != nil {
				return ops, cut, err
			}
			heuristic = cut
		}
		if len(c.best) == 0 && spare == nil && len(c.refused) == 0 && c.nodes <= mostNodes {
			return nil, false, nil // what must be kept cannot be played
		}
		kept, partly, err := c.pick(ctx, s)
		if err != nil {
			return nil, false, err
		}
		if kept != nil {
			return kept.ops, heuristic || c.nodes > mostNodes || spare != nil, nil
		}
		if spare == nil && partly != nil {
			spare = partly.ops
		}
	}
	if spare != nil {
		return spare, true, nil
	}
	for _, ops := range c.thinned() {
		if v, err := r.tryChord(ctx, s, moment, ops); v != nil || err != nil {
			return ops, true, err
		}
	}
	return nil, false, nil
}

// pick judges the answers that were found and refuses those that do not mend the chord, or
// that leave others something to do (partly). Of the rest the one is kept whose pedals cost
// least; nil if there is none.
func (c *chord) pick(ctx context.Context, s *scene) (kept, partly *answer, err error) {
	var least, leastPartly pedal.Cost
	for i := range c.best {
		a := &c.best[i]
		v, err := c.r.tryChord(ctx, s, c.moment, a.ops)
		if err != nil {
			return nil, nil, err
		}
		switch {
		case v == nil:
			c.refused[a.key] = true
		case c.r.small() && slices.ContainsFunc(v.found, func(f finding.Finding) bool { return slices.Contains(windowKinds, f.Kind) }):
			if c.refused[a.key] = true; partly == nil || c.r.compareCost(v.cost, leastPartly) < 0 {
				partly, leastPartly = a, v.cost
			}
		case kept == nil || c.r.compareCost(v.cost, least) < 0:
			kept, least = a, v.cost
		}
	}
	return kept, partly, nil
}

// turned is an answer that loses less than those found, since notes go to their other
// strings, and lets no other finding come; nil if there is none. cut tells that not all were
// looked at.
func (r *run) turned(ctx context.Context, s *scene, c *chord) (ops []revise.Op, cut bool, err error) {
	found, nodes, limit := c.best, c.nodes, c.limit
	defer func() { c.best, c.nodes, c.limit = found, nodes, limit }()
	if !c.turn() {
		return nil, c.nodes > mostNodes, nil
	}
	base, err := s.judge(ctx, nil)
	if err != nil {
		return nil, false, err
	}
	var least pedal.Cost
	for i := range c.best {
		v, err := r.tryChord(ctx, s, c.moment, c.best[i].ops)
		if err != nil {
			return nil, false, err
		}
		if v != nil && !worse(base.found, v.found) && (ops == nil || r.compareCost(v.cost, least) < 0) {
			ops, least = c.best[i].ops, v.cost
		}
	}
	return ops, c.nodes > mostNodes || ops == nil, nil
}

// tryChord judges a reduction of a moment; nil if something about it remains.
func (r *run) tryChord(ctx context.Context, s *scene, moment int, ops []revise.Op) (*verdict, error) {
	v, err := s.judge(ctx, ops)
	if err != nil {
		return nil, err
	}
	at := v.moved[r.cur.Moments[moment]-s.first]
	for _, f := range v.found {
		if f.Moment == at && slices.Contains(chordKinds, f.Kind) {
			return nil, nil
		}
	}
	return &v, nil
}

// search finds the answers of least loss that are not refused: first among those that
// only leave notes out, which bounds the search among all.
func (c *chord) search() {
	c.best, c.limit, c.nodes = nil, nil, 0
	for _, c.coarse = range [2]bool{true, false} {
		c.best = nil // it is found again
		c.both()
	}
}

// both searches without a roll and, where there may be one, with it.
func (c *chord) both() {
	for _, c.rolling = range [2]bool{false, true} {
		if !c.rolling || c.roll {
			c.descend(0)
		}
	}
}

// turn searches for answers that lose less if notes may go to their other strings; it
// tells whether there are any.
func (c *chord) turn() bool {
	if c.limit == nil || *c.limit == (vector{}) || !slices.ContainsFunc(c.notes, func(n chordNote) bool { return n.turns }) {
		return false
	}
	c.best, c.nodes, c.turning = nil, 0, true
	c.both()
	c.turning = false
	return len(c.best) > 0
}

func (c *chord) descend(i int) {
	if c.nodes++; c.nodes > mostNodes && (c.limit != nil || c.nodes > 4*mostNodes) || c.tooMany(i) {
		return
	}
	if c.limit != nil && c.bounds(i).compare(*c.limit) > 0 {
		return
	}
	if i == len(c.notes) {
		c.leaf()
		return
	}
	for _, ch := range c.notes[i].order {
		if c.notes[i].can[ch] && (!c.coarse || ch <= leave) {
			c.taken[i] = ch
			c.descend(i + 1)
		}
	}
}

// tooMany tells whether the choices for the first notes keep more strings than the
// hands have fingers.
func (c *chord) tooMany(i int) bool {
	kept := 0
	for j := range i {
		n := &c.notes[j]
		kept += count(c.taken[j] != leave && c.taken[j] != early && !n.twice)
	}
	return kept > c.most
}

// bounds is what the choices for the first notes cost at the least, whatever is chosen
// for the others.
func (c *chord) bounds(i int) vector {
	var l revise.Loss
	var before, open uint64
	out := 0
	for j, n := range c.notes {
		bit := uint64(1) << (n.class % 64)
		before |= bit
		if j >= i || c.taken[j] != leave {
			open |= bit
		} else {
			out++
		}
		if j < i && c.taken[j] != keep {
			l.Melody += count(n.melody)
			l.Bass += count(n.bass)
			l.Moved += count(c.taken[j] != leave)
		}
	}
	l.PitchClasses = bits.OnesCount64(before &^ open)
	for j := range i {
		if c.taken[j] == leave {
			l.Notes++
			l.Doubled += count(open&(1<<(c.notes[j].class%64)) != 0)
		}
	}
	l.Rolled = count(c.rolling)
	return c.r.vector(l)
}

// leaf takes an answer that can be played.
func (c *chord) leaf() {
	key := string([]byte{byte(count(c.rolling))}) + string(bytesOf(c.taken))
	if c.refused[key] || !c.playable() {
		return
	}
	ops := slices.Clone(c.fixed)
	var mine []revise.Op
	roll := -1
	for i, n := range c.notes {
		switch c.taken[i] {
		case leave:
			mine = append(mine, revise.Op{Do: revise.LeaveOut, Note: n.note})
			continue
		case up:
			mine = append(mine, revise.Op{Do: revise.Octave, Note: n.note, Octaves: 1})
		case down:
			mine = append(mine, revise.Op{Do: revise.Octave, Note: n.note, Octaves: -1})
		case early:
			mine = append(mine, revise.Op{Do: revise.Grace, Note: n.note})
			continue
		}
		if c.turning && c.taken[i] == keep && c.on[i].OK && !n.stays(c.on[i]) {
			mine = append(mine, onString(n.note, c.on[i].Letter))
		}
		if roll < 0 || n.note < roll {
			roll = n.note
		}
	}
	if c.rolling {
		if roll < 0 {
			return
		}
		mine = append(mine, revise.Op{Do: revise.Roll, Note: roll})
	}
	a := answer{key, mine, c.r.draft.ledger.Of(append(ops, mine...))}
	loss := c.r.vector(a.loss)
	switch {
	case c.limit == nil || loss.compare(*c.limit) < 0:
		c.best, c.limit = nil, &loss
	case c.turning && len(c.best) == 0: // it costs what there is already
		return
	case loss.compare(*c.limit) > 0:
		return
	}
	if len(c.best) < mostTies {
		c.best = append(c.best, a)
	}
}

// thinned is what works where the planner will have nothing else: to leave out all but
// the melody and the bass, all but the melody, all.
func (c *chord) thinned() (list [][]revise.Op) {
	for _, stays := range []func(n *chordNote) bool{
		func(n *chordNote) bool { return n.melody || n.bass },
		func(n *chordNote) bool { return n.melody },
		func(n *chordNote) bool { return false },
	} {
		var ops []revise.Op
		for i := range c.notes {
			if n := &c.notes[i]; n.can[leave] && !stays(n) {
				ops = append(ops, revise.Op{Do: revise.LeaveOut, Note: n.note})
			}
		}
		list = append(list, ops)
	}
	return list
}

func bytesOf(list []choice) []byte {
	b := make([]byte, len(list))
	for i, c := range list {
		b[i] = byte(c)
	}
	return b
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}
