package engrave

import "math/bits"

// A Time is an exact number of quarter notes, Num/Den. The zero value is none; a
// Den of 0 counts as 1. A Num or Den below zero counts as nothing.
type Time struct{ Num, Den int64 }

// parts returns the fraction with a denominator of at least 1.
func (t Time) parts() (num, den uint64) { return uint64(max(t.Num, 0)), uint64(max(t.Den, 1)) }

// Cmp returns -1 if t is before u, 0 if they are the same and 1 if t is after u.
func (t Time) Cmp(u Time) int {
	tn, td := t.parts()
	un, ud := u.parts()
	h1, l1 := bits.Mul64(tn, ud)
	h2, l2 := bits.Mul64(un, td)
	switch {
	case h1 < h2 || h1 == h2 && l1 < l2:
		return -1
	case h1 > h2 || l1 > l2:
		return 1
	}
	return 0
}

// perQuarter is how finely a time is known where only the space that it takes is
// asked for.
const perQuarter = 1 << 12

// ticks rounds a time down to whole ticks, perQuarter of which are a quarter
// note. It serves for distances on paper alone; what comes first is told by Cmp.
func (t Time) ticks() int {
	n, d := t.parts()
	high, low := bits.Mul64(n, perQuarter)
	if high >= d {
		return 1 << 40 // longer than any music
	}
	q, _ := bits.Div64(high, low, d)
	return int(min(q, 1<<40))
}
