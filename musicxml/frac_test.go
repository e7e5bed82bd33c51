package musicxml

import (
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
)

// interesting numbers are those at which overflow begins, and small ones.
var interesting = []int64{0, 1, 2, 3, 4, 5, 6, 7, 12, 480, 10080, 1 << 31, 1<<61 + 1, 1<<62 - 1, 1 << 62, 1<<62 + 1, math.MaxInt64, math.MinInt64, math.MinInt64 + 1}

func randomFrac(r *rand.Rand) (num, den int64) {
	pick := func() int64 {
		n := interesting[r.IntN(len(interesting))]
		if r.IntN(2) == 0 {
			n = r.Int64N(1<<40) >> r.IntN(40)
		}
		if r.IntN(2) == 0 && n != math.MinInt64 {
			n = -n
		}
		return n
	}
	return pick(), pick()
}

// checkFrac checks f against the exact value; a nil value must not be OK.
func checkFrac(t *testing.T, what string, f Frac, want *big.Rat) {
	t.Helper()
	if !f.OK() {
		return // allowed only where checkExact says so
	}
	if want == nil || f.Num() != want.Num().Int64() || f.Den() != want.Denom().Int64() || !want.Num().IsInt64() || !want.Denom().IsInt64() {
		t.Fatalf("%s = %v, want %v", what, f, want)
	}
}

// Every result is exact or not OK, and it is exact wherever 60 bits are enough
// for all that is computed on the way.
func TestFracAgainstBig(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 30000 {
		an, ad := randomFrac(r)
		bn, bd := randomFrac(r)
		a, b := NewFrac(an, ad), NewFrac(bn, bd)
		if ad == 0 && a.OK() {
			t.Fatalf("%d/0 is OK", an)
		}
		if !a.OK() || !b.OK() {
			if a.Add(b).OK() || a.Sub(b).OK() || a.Mul(b).OK() || a.Div(b).OK() || a.Cmp(b) != 0 {
				t.Fatalf("what is computed from %v and %v is OK", a, b)
			}
			continue
		}
		x, y := big.NewRat(an, ad), big.NewRat(bn, bd)
		checkFrac(t, "new", a, x)
		checkFrac(t, "sum", a.Add(b), new(big.Rat).Add(x, y))
		checkFrac(t, "difference", a.Sub(b), new(big.Rat).Sub(x, y))
		checkFrac(t, "product", a.Mul(b), new(big.Rat).Mul(x, y))
		if bn != 0 {
			checkFrac(t, "quotient", a.Div(b), new(big.Rat).Quo(x, y))
		} else if a.Div(b).OK() {
			t.Fatalf("%v / 0 is OK", a)
		}
		if a.Cmp(b) != x.Cmp(y) || a.Less(b) != (x.Cmp(y) < 0) || a.Sign() != x.Sign() {
			t.Fatalf("%v and %v compare as %d, want %d", a, b, a.Cmp(b), x.Cmp(y))
		}
		if (a == b) != (x.Cmp(y) == 0) {
			t.Fatalf("%v == %v is %v", a, b, a == b)
		}
	}
}

func TestFracIsExactWhereItFits(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	small := func() (int64, int64) { return r.Int64N(1<<29) - 1<<28, 1 + r.Int64N(1<<28) }
	for range 30000 {
		an, ad := small()
		bn, bd := small()
		a, b := NewFrac(an, ad), NewFrac(bn, bd)
		for _, f := range []Frac{a, b, a.Add(b), a.Sub(b), a.Mul(b)} {
			if !f.OK() {
				t.Fatalf("%d/%d and %d/%d overflow", an, ad, bn, bd)
			}
		}
		if bn != 0 && !a.Div(b).OK() {
			t.Fatalf("%d/%d by %d/%d overflows", an, ad, bn, bd)
		}
	}
}

// The laws of arithmetic, on sums as long as a score's.
func TestFracLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 20000 {
		f := func() Frac { return NewFrac(r.Int64N(2000)-1000, 1+r.Int64N(1000)) }
		a, b, c := f(), f(), f()
		switch {
		case a.Add(b) != b.Add(a), a.Mul(b) != b.Mul(a):
			t.Fatalf("%v and %v do not commute", a, b)
		case a.Add(b).Add(c) != a.Add(b.Add(c)), a.Mul(b).Mul(c) != a.Mul(b.Mul(c)):
			t.Fatalf("%v, %v and %v do not associate", a, b, c)
		case a.Mul(b.Add(c)) != a.Mul(b).Add(a.Mul(c)):
			t.Fatalf("%v, %v and %v do not distribute", a, b, c)
		case a.Sub(a) != Frac{}, a.Add(Frac{}) != a, a.Mul(NewFrac(1, 1)) != a:
			t.Fatalf("%v has no neutral element", a)
		}
	}
	sum := Frac{}
	for range 3 * 100000 {
		sum = sum.Add(NewFrac(1, 3))
	}
	if sum != NewFrac(100000, 1) {
		t.Errorf("300,000 thirds are %v", sum)
	}
}

func TestParseDecimal(t *testing.T) {
	for _, tt := range []struct {
		text, want string // "" is no number
		reason     string
	}{
		{"0", "0", "nought"},
		{"-0", "0", "nought"},
		{"12", "12", "whole"},
		{"+12", "12", "a sign"},
		{"-12", "-12", "negative"},
		{"007", "7", "leading zeros"},
		{"0.5", "1/2", "a half"},
		{".5", "1/2", "XML Schema: digits on one side are enough"},
		{"5.", "5", "on either"},
		{"1.250", "5/4", "trailing zeros"},
		{"-0.125", "-1/8", "negative"},
		{" \t\r\n3 ", "3", "white space around it"},
		{"0.333333333333", "333333333333/1000000000000", "no rounding"},
		{"1.0000000000000000000000000", "1", "zeros cost nothing"},
		{"4611686018427387903", "4611686018427387903", "62 bits"},
		{"9223372036854775808", "overflow", "64 bits"},
		{"0.0000000000000000001", "overflow", "64 bits below the point"},
		{"", "", "nothing"},
		{".", "", "a point alone"},
		{"-", "", "a sign alone"},
		{"+-1", "", "two signs"},
		{"1.2.3", "", "two points"},
		{"1 2", "", "white space inside"},
		{"1,5", "", "a comma"},
		{"1e3", "", "an exponent"},
		{"0x10", "", "hexadecimal"},
		{"١", "", "other digits"},
		{"INF", "", "a float's value"},
		{"NaN", "", "a float's value"},
	} {
		f, ok := ParseDecimal(tt.text)
		if ok != (tt.want != "") || ok && f.String() != tt.want {
			t.Errorf("%q is %v, %v, want %q: %s", tt.text, f, ok, tt.want, tt.reason)
		}
	}
}

// What Decimal writes ParseDecimal reads; what has no finite decimal is refused.
func TestDecimal(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 30000 {
		f := NewFrac(r.Int64N(1<<30)-1<<29, 1+r.Int64N(2000))
		text, ok := f.Decimal()
		odd := f.Den()
		for _, p := range []int64{2, 5} {
			for odd%p == 0 {
				odd /= p
			}
		}
		if ok != (odd == 1) {
			t.Fatalf("%v: decimal %v", f, ok)
		}
		if !ok {
			continue
		}
		if back, good := ParseDecimal(text); !good || back != f {
			t.Fatalf("%v is written as %q and read as %v", f, text, back)
		}
		if strings.Contains(text, ".") && strings.HasSuffix(text, "0") {
			t.Fatalf("%v is written with needless zeros: %s", f, text)
		}
	}
}
