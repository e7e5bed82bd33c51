package pedal

import (
	"cmp"
	"math/bits"
	"slices"
)

// A weight is a whole cost vector packed into 128 bits, the most important cost
// in the highest bits, so that vectors compare and add as numbers do.
//
// Unsounded notes are not in it: see the package comment for why every plan
// that the search looks at drops the same number of them.
type weight struct{ hi, lo uint64 }

func (a weight) plus(b weight) weight {
	lo, carry := bits.Add64(a.lo, b.lo, 0)
	return weight{a.hi + b.hi + carry, lo}
}

func (a weight) minus(b weight) weight {
	lo, borrow := bits.Sub64(a.lo, b.lo, 0)
	return weight{a.hi - b.hi - borrow, lo}
}

func (a weight) times(n int) weight {
	hi, lo := bits.Mul64(a.lo, uint64(n))
	return weight{a.hi*uint64(n) + hi, lo}
}

func (a weight) less(b weight) bool {
	_, borrow := bits.Sub64(a.lo, b.lo, 0)
	_, borrow = bits.Sub64(a.hi, b.hi, borrow)
	return borrow != 0
}

func (a weight) compare(b weight) int {
	if a.hi != b.hi {
		return cmp.Compare(a.hi, b.hi)
	}
	return cmp.Compare(a.lo, b.lo)
}

// unit is the weight of 1 in the bits from shift on.
func unit(shift int) weight {
	if shift >= 64 {
		return weight{hi: 1 << (shift - 64)}
	}
	return weight{lo: 1 << shift}
}

// field returns the bits from shift to shift+width as a number.
func (a weight) field(shift, width int) int {
	v := a.lo >> shift
	if shift >= 64 {
		v = a.hi >> (shift - 64)
	} else if shift > 0 {
		v |= a.hi << (64 - shift)
	}
	return int(v & (1<<width - 1))
}

// A scale gives the weight of one of each cost in the order of a mode. Below
// the costs of the contract lie two that only break ties: strikes against the
// spelling asked for in tie-breaking (see branch.go), and tones on a string at
// sharp, since flats ring best [GOSS-66] [PHI-tips].
type scale struct {
	held, rushed, respelt, change, turn, notch, against, sharp weight // turn: of a switch

	mode   Mode
	prices prices
	fields [6]field // held, rushed, first, second, switches, notches
	tie    int      // bits below this one only break ties
}

// A field is some bits of a weight.
type field struct{ shift, width int }

// A size is what the costs of a passage cannot exceed, nor a sum that is compared
// with them.
type size struct {
	changes, tones, switches int
	again                    int // tones that may go against a preference
}

// newScale lays out the fields for a passage of a size. Very long music has no bits
// left for what only breaks ties; newScale fails where costs do not fit either.
func newScale(mode Mode, p prices, n size) (*scale, error) {
	s := &scale{mode: mode, prices: p}
	first, second, third := n.tones, n.changes, 0
	switch mode {
	case Free:
		first, second = n.changes, n.tones
	case Balanced:
		first, third = p.change*n.changes+p.turn*n.switches+n.tones, n.switches
	}
	costs := [6]int{n.changes, n.changes, first, second, third, 2 * n.changes}
	for _, ties := range [][2]int{{n.tones, n.again}, {0, n.again}, {0, 0}} {
		if s.layOut(costs, ties) {
			return s, nil
		}
	}
	return nil, ErrTooLong
}

// layOut gives each cost its bits, and tells whether there are enough. Costs and
// what breaks ties are given by the most that they can be.
func (s *scale) layOut(costs [6]int, ties [2]int) (ok bool) {
	at := 0
	take := func(limit int) (f field) {
		f = field{at, bits.Len(uint(limit))}
		at += f.width
		return f
	}
	one := func(f field) weight {
		if f.width == 0 {
			return weight{}
		}
		return unit(f.shift)
	}
	s.sharp = one(take(ties[0]))
	s.against = one(take(ties[1]))
	s.tie = at
	for i := len(costs) - 1; i >= 0; i-- {
		s.fields[i] = take(costs[i])
	}
	if at > 128 {
		return false
	}
	f := func(i int) weight { return one(s.fields[i]) }
	s.held, s.rushed, s.notch = f(0), f(1), f(5)
	switch s.mode {
	case Free:
		s.change, s.respelt = f(2), f(3)
	case Balanced:
		s.respelt = f(2)
		s.change = f(2).times(s.prices.change).plus(f(3))
		s.turn = f(2).times(s.prices.turn).plus(f(4))
	default:
		s.respelt, s.change = f(2), f(3)
	}
	return true
}

// strict clears the bits that only break ties.
func (s *scale) strict(w weight) weight {
	if s.tie >= 64 {
		return weight{hi: w.hi >> (s.tie - 64) << (s.tie - 64)}
	}
	return weight{w.hi, w.lo >> s.tie << s.tie}
}

// cost unpacks a weight. It knows of switches in mode Balanced only.
func (s *scale) cost(w weight, unsounded int) Cost {
	f := func(i int) int { return w.field(s.fields[i].shift, s.fields[i].width) }
	c := Cost{Unsounded: unsounded, Held: f(0), Rushed: f(1), Notches: f(5)}
	switch s.mode {
	case Free:
		c.Changes, c.Respelt = f(2), f(3)
	case Balanced:
		c.Changes, c.Switches = f(3), f(4)
		c.Respelt = f(2) - s.prices.change*c.Changes - s.prices.turn*c.Switches
	default:
		c.Respelt, c.Changes = f(2), f(3)
	}
	return c
}

// vector lists a cost in the order of the mode, most important first. Notches come
// last; a mode that does not weigh switches has 0 in their place.
func (c Cost) vector(m Mode, p prices) [7]int {
	switch m {
	case Free:
		return [7]int{c.Unsounded, c.Held, c.Rushed, c.Changes, c.Respelt, 0, c.Notches}
	case Balanced:
		return [7]int{c.Unsounded, c.Held, c.Rushed, p.change*c.Changes + p.turn*c.Switches + c.Respelt, c.Changes, c.Switches, c.Notches}
	}
	return [7]int{c.Unsounded, c.Held, c.Rushed, c.Respelt, c.Changes, 0, c.Notches}
}

// same tells whether two costs are equal in all that a mode weighs.
func (c Cost) same(o Cost, m Mode) bool {
	if m != Balanced {
		o.Switches = c.Switches
	}
	return c == o
}

// less compares two costs in the order of a mode.
func (c Cost) less(o Cost, m Mode, p prices) bool {
	a, b := c.vector(m, p), o.vector(m, p)
	return slices.Compare(a[:], b[:]) < 0
}

// Compare orders two costs as the mode of o does, with its prices: it is negative
// where a is the better one, 0 where neither is. Switches count in mode Balanced
// only.
func (o Options) Compare(a, b Cost) int {
	p := o.prices()
	x, y := a.vector(o.Mode, p), b.vector(o.Mode, p)
	return slices.Compare(x[:], y[:])
}
