package musicxml

import (
	"math/bits"
	"strconv"
	"strings"
)

// A Frac is an exact fraction: a time or length in quarter notes, or an
// alteration in semitones. The zero value is 0. Results too large for 64 bits
// are not OK, and so is everything computed from them. Equal fractions are ==.
type Frac struct {
	num int64
	den int64 // 0 for a whole number, else greater than 1; -1 if not OK
}

// NewFrac returns num/den in lowest terms. A den of 0 is not OK.
func NewFrac(num, den int64) Frac {
	const least = -1 << 63
	if den == 0 || num == least || den == least {
		return Frac{0, -1}
	}
	if den < 0 {
		num, den = -num, -den
	}
	g := gcd(abs(num), den)
	if den == g {
		return Frac{num / g, 0}
	}
	return Frac{num / g, den / g}
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return max(a, 1)
}

func abs(a int64) int64 { return max(a, -a) }

// OK reports whether f was computed without overflow.
func (f Frac) OK() bool { return f.den >= 0 }

// Num returns the numerator of f in lowest terms.
func (f Frac) Num() int64 { return f.num }

// Den returns the denominator of f in lowest terms, at least 1 if f is OK.
func (f Frac) Den() int64 {
	if f.den == 0 {
		return 1
	}
	return f.den
}

// Sign returns -1, 0 or 1.
func (f Frac) Sign() int {
	switch {
	case f.num < 0:
		return -1
	case f.num > 0:
		return 1
	}
	return 0
}

// mul returns a*b; ok is false if it overflows.
func mul(a, b int64) (product int64, ok bool) {
	hi, lo := bits.Mul64(uint64(abs(a)), uint64(abs(b)))
	if hi != 0 || lo > 1<<62 {
		return 0, false
	}
	if (a < 0) != (b < 0) {
		return -int64(lo), true
	}
	return int64(lo), true
}

// Add returns f + g.
func (f Frac) Add(g Frac) Frac {
	if !f.OK() || !g.OK() {
		return Frac{0, -1}
	}
	fd, gd := f.Den(), g.Den()
	if fd == gd {
		return sum(f.num, g.num, fd)
	}
	d := gcd(fd, gd)
	a, ok1 := mul(f.num, gd/d)
	b, ok2 := mul(g.num, fd/d)
	den, ok3 := mul(fd, gd/d)
	if !ok1 || !ok2 || !ok3 {
		return Frac{0, -1}
	}
	return sum(a, b, den)
}

// sum returns (a+b)/den for a and b of at most 62 bits.
func sum(a, b, den int64) Frac {
	if abs(a) > 1<<62 || abs(b) > 1<<62 {
		return Frac{0, -1}
	}
	return NewFrac(a+b, den)
}

// Sub returns f - g.
func (f Frac) Sub(g Frac) Frac {
	g.num = -g.num
	return f.Add(g)
}

// Mul returns f * g.
func (f Frac) Mul(g Frac) Frac {
	if !f.OK() || !g.OK() {
		return Frac{0, -1}
	}
	d1, d2 := gcd(abs(f.num), g.Den()), gcd(abs(g.num), f.Den())
	n, ok1 := mul(f.num/d1, g.num/d2)
	d, ok2 := mul(f.Den()/d2, g.Den()/d1)
	if !ok1 || !ok2 {
		return Frac{0, -1}
	}
	return NewFrac(n, d)
}

// Div returns f / g. Division by zero is not OK.
func (f Frac) Div(g Frac) Frac {
	if g.num == 0 || !g.OK() {
		return Frac{0, -1}
	}
	return f.Mul(NewFrac(g.Den(), g.num))
}

// Cmp returns -1 if f < g, 0 if they are equal and 1 if f > g. What is not OK
// is equal to everything.
func (f Frac) Cmp(g Frac) int {
	if !f.OK() || !g.OK() {
		return 0
	}
	fd, gd := f.Den(), g.Den()
	if fd == gd {
		return compare(f.num, g.num)
	}
	if f.Sign() != g.Sign() {
		return compare(int64(f.Sign()), int64(g.Sign()))
	}
	h1, l1 := bits.Mul64(uint64(abs(f.num)), uint64(gd))
	h2, l2 := bits.Mul64(uint64(abs(g.num)), uint64(fd))
	c := 0
	switch {
	case h1 < h2 || h1 == h2 && l1 < l2:
		c = -1
	case h1 > h2 || l1 > l2:
		c = 1
	}
	return c * f.Sign()
}

func compare(a, b int64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// Less reports whether f < g.
func (f Frac) Less(g Frac) bool { return f.Cmp(g) < 0 }

// String returns "p" or "p/q" in lowest terms.
func (f Frac) String() string {
	if !f.OK() {
		return "overflow"
	}
	s := strconv.FormatInt(f.num, 10)
	if f.Den() != 1 {
		s += "/" + strconv.FormatInt(f.den, 10)
	}
	return s
}

// Decimal returns f as a decimal number without needless zeros; ok is false if
// it has no finite one.
func (f Frac) Decimal() (text string, ok bool) {
	den, digits, scale := f.Den(), 0, int64(1)
	for scale%den != 0 {
		if digits++; digits > 12 {
			return "", false
		}
		scale *= 10
	}
	n, ok := mul(abs(f.num), scale/den)
	if !ok || !f.OK() {
		return "", false
	}
	s := strconv.FormatInt(n, 10)
	if digits > 0 {
		s = strings.Repeat("0", max(0, digits+1-len(s))) + s
		s = s[:len(s)-digits] + "." + s[len(s)-digits:]
	}
	if f.num < 0 {
		s = "-" + s
	}
	return s, true
}

// ParseDecimal reads a decimal number as XML Schema writes it: an optional
// sign, digits, and an optional point with digits; white space around it does
// not count.
func ParseDecimal(text string) (f Frac, ok bool) {
	text = strings.Trim(text, " \t\r\n")
	negative := strings.HasPrefix(text, "-")
	if negative || strings.HasPrefix(text, "+") {
		text = text[1:]
	}
	whole, fraction, _ := strings.Cut(text, ".")
	if whole == "" && fraction == "" {
		return Frac{}, false
	}
	if len(fraction) > 1 {
		fraction = strings.TrimRight(fraction, "0")
	}
	var num int64
	den := int64(1)
	for i, c := range []byte(whole + fraction) {
		if c < '0' || c > '9' {
			return Frac{}, false
		}
		if num > 1<<62/10 {
			return Frac{0, -1}, true
		}
		num = num*10 + int64(c-'0')
		if i >= len(whole) {
			if den > 1<<62/10 {
				return Frac{0, -1}, true
			}
			den *= 10
		}
	}
	if negative {
		num = -num
	}
	return NewFrac(num, den), true
}
