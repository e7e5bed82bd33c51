package pedal

import (
	"cmp"
	"math/bits"
	"slices"
	"time"
)

// A state is dominated by another if some plan from that one costs no more than any
// plan from it. Dominated states are forgotten, which keeps frontiers small: fewer
// than ten states as a rule, hundreds where both feet are followed in a hurry. Each
// of n states is compared with those that stay and cost less, which is n² at worst;
// most comparisons end with a look at two numbers.

// fewRanks are compared as they are; with more, what one state of a foot costs more
// than another is looked up.
const fewRanks = 32

// prune lists in s.kept the states of s.next by cost, and leaves out those that a
// cheaper one can stand in for.
func (s *search) prune(k int) {
	list := s.next.list
	s.order = s.order[:0]
	for i := range list {
		a := &list[i]
		a.wanted = s.ahead[k].wanted(a.pos)
		r := rank{cost: a.cost, i: int32(i), pos: a.pos, ready: lowBits}
		if s.feet != nil {
			left, right := &s.feet.made[Left], &s.feet.made[Right]
			r.ready = left.letters[a.feet[Left]] | right.letters[a.feet[Right]]
			r.comfort = left.comfort[a.feet[Left]] + right.comfort[a.feet[Right]]
			r.feet = a.feet
		}
		s.order = append(s.order, r)
	}
	s.paired = false
	// Many states give way to the cheapest; they need no order.
	least := 0
	for i := range s.order {
		if s.order[i].compare(&s.order[least]) < 0 {
			least = i
		}
	}
	s.order[0], s.order[least] = s.order[least], s.order[0]
	stay := 1
	for i := 1; i < len(s.order); i++ {
		if !s.beaten(&s.order[i], s.order[:1], k) {
			s.order[stay] = s.order[i]
			stay++
		}
	}
	s.order = s.order[:stay]
	s.paired = s.feet != nil && len(s.order) > fewRanks && s.feet.pair()
	slices.SortFunc(s.order[1:], func(a, b rank) int { return a.compare(&b) })
	s.kept = append(s.kept[:0], s.order[0].i)
	judged := 1 // the ranks before it are of states that stay
	for i := 1; i < len(s.order); i++ {
		b := s.order[i]
		if !s.beaten(&b, s.order[1:min(judged, judges)], k) {
			s.order[judged] = b
			judged++
			s.kept = append(s.kept, b.i)
		}
	}
}

// A rank is an arrival's place in the order of costs.
type rank struct {
	cost    weight
	comfort time.Duration // how well off the feet are; less is better
	i       int32         // index into next.list
	pos     uint16
	ready   uint16 // low bit of each letter whose next change needs no time
	feet    [2]int32
}

// compare orders arrivals: what costs less comes first, then what leaves the feet
// better off.
func (a *rank) compare(b *rank) int {
	if c := a.cost.compare(b.cost); c != 0 {
		return c
	}
	return cmp.Or(cmp.Compare(a.comfort, b.comfort), cmp.Compare(a.pos, b.pos), cmp.Compare(a.i, b.i))
}

// beaten tells whether one of these states can stand in for b after chord k.
func (s *search) beaten(b *rank, by []rank, k int) bool {
	to := &s.next.list[b.i].entry
	for i := range by {
		a := &by[i]
		// What standing in costs at least shows without a closer look.
		x := a.pos ^ b.pos
		again := (x | x>>1) & set(a.pos) & to.wanted
		late := bits.OnesCount16((b.ready | again) &^ a.ready)
		least := a.cost.plus(s.toll[bits.OnesCount16(again)][late])
		if s.paired && !b.cost.less(least) {
			late = max(late, s.feet.pairLate(Left, a.feet[Left], b.feet[Left], k)+s.feet.pairLate(Right, a.feet[Right], b.feet[Right], k))
			least = a.cost.plus(s.toll[bits.OnesCount16(again)][late])
		}
		if !b.cost.less(least) && s.standsIn(&s.next.list[a.i].entry, to, k) {
			return true
		}
	}
	return false
}

// standsIn tells whether some plan from state a after chord k costs no more than
// the best plan from state b: it plays what that plan plays, and moves each pedal
// that stands elsewhere when that plan first uses it. A position of b that will
// be of no use before its pedal moves anyway saves b no change, only notches.
func (s *search) standsIn(a, b *entry, k int) bool {
	x := a.pos ^ b.pos
	differ := (x | x>>1) & set(a.pos)
	again := differ & b.wanted               // a moves these once more than b
	wide := differ & (x>>1&^x | ^set(b.pos)) // two notches apart, or perhaps so
	cost := a.cost.plus(s.change[bits.OnesCount16(again)]).
		plus(s.notch[bits.OnesCount16(differ)+bits.OnesCount16(wide)])
	if a.held != 0 {
		held := bits.OnesCount16(a.held & again)
		for h := a.held &^ again; h != 0; h &= h - 1 {
			if l := bits.TrailingZeros16(h) / 2; a.release[l] > b.release[l] {
				held++
			}
		}
		cost = cost.plus(s.held[held])
	}
	if s.habits != nil {
		cost = cost.plus(s.turned[s.habits.worse(a.habit, b.habit)])
	}
	if b.cost.less(cost) {
		return false
	}
	if s.feet == nil {
		return true
	}
	spare := 0 // changes that a can rush and still cost no more
	for spare < Letters && !b.cost.less(cost.plus(s.rushed[spare+1])) {
		spare++
	}
	for f := range Foot(2) {
		if a.feet[f] == b.feet[f] && again&f.mask() == 0 {
			continue
		}
		made := s.feet.made[f].list
		if spare -= s.feet.late(f, &made[a.feet[f]], &made[b.feet[f]], k, again, spare); spare < 0 {
			return false
		}
	}
	return true
}
