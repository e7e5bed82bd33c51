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
// spelling asked for in tie-breaking (see repeats.go), and tones on a string at
// sharp, since flats ring best [GOSS-66] [PHI-tips].
type scale struct {
	held, rushed, respelt, change, notch, against, sharp weight

	mode   Mode
	price  int
	fields [5]struct{ shift, width int } // held, rushed, first, second, notches
	tie    int                           // bits below this one only break ties
}

// newScale lays out the fields for a passage of so many chords and tones, of which
// some are struck again. It fails where they do not fit.
func newScale(mode Mode, price, chords, tones, again int) (*scale, error) {
	changes := min(7*chords, tones) + 2*Letters
	tones += 2 * Letters
	if mode == Balanced && price > tones {
		mode = Free // no number of respelt notes outweighs a change
	}
	first, second := tones, changes
	switch mode {
	case Free:
		first, second = changes, tones
	case Balanced:
		if price > (1<<62)/changes {
			return nil, ErrTooLong
		}
		first = price*changes + tones
	}
	s := &scale{mode: mode, price: price}
	at := 0
	take := func(limit int) (shift, width int) {
		shift, width = at, bits.Len(uint(limit))
		at += width
		return shift, width
	}
	sharp, _ := take(tones)
	against, _ := take(again)
	s.tie = at
	for i, limit := range []int{2 * changes, second, first, changes, changes} {
		s.fields[4-i].shift, s.fields[4-i].width = take(limit)
	}
	if at > 128 {
		return nil, ErrTooLong
	}
	f := func(i int) weight { return unit(s.fields[i].shift) }
	s.sharp, s.against = unit(sharp), unit(against)
	s.held, s.rushed, s.notch = f(0), f(1), f(4)
	switch mode {
	case Free:
		s.change, s.respelt = f(2), f(3)
	case Balanced:
		s.change, s.respelt = f(2).times(price).plus(f(3)), f(2)
	default:
		s.respelt, s.change = f(2), f(3)
	}
	return s, nil
}

// strict clears the bits that only break ties.
func (s *scale) strict(w weight) weight {
	if s.tie >= 64 {
		return weight{hi: w.hi >> (s.tie - 64) << (s.tie - 64)}
	}
	return weight{w.hi, w.lo >> s.tie << s.tie}
}

// cost unpacks a weight.
func (s *scale) cost(w weight, unsounded int) Cost {
	f := func(i int) int { return w.field(s.fields[i].shift, s.fields[i].width) }
	c := Cost{Unsounded: unsounded, Held: f(0), Rushed: f(1), Notches: f(4)}
	switch s.mode {
	case Free:
		c.Changes, c.Respelt = f(2), f(3)
	case Balanced:
		c.Changes = f(3)
		c.Respelt = f(2) - s.price*c.Changes
	default:
		c.Respelt, c.Changes = f(2), f(3)
	}
	return c
}

// vector lists a cost in the order of the mode, most important first.
func (c Cost) vector(m Mode, price int) [6]int {
	switch m {
	case Free:
		return [6]int{c.Unsounded, c.Held, c.Rushed, c.Changes, c.Respelt, c.Notches}
	case Balanced:
		return [6]int{c.Unsounded, c.Held, c.Rushed, price*c.Changes + c.Respelt, c.Changes, c.Notches}
	}
	return [6]int{c.Unsounded, c.Held, c.Rushed, c.Respelt, c.Changes, c.Notches}
}

// less compares two costs in the order of a mode.
func (c Cost) less(o Cost, m Mode, price int) bool {
	a, b := c.vector(m, price), o.vector(m, price)
	return slices.Compare(a[:], b[:]) < 0
}
