package report

import (
	"math"
	"strconv"
	"strings"
)

// LiesOf makes shares of counts of moments: of all of them, those to decide and those
// that cannot be played. Where there are no moments, all lies as it stands.
func LiesOf(moments, toDecide, cannot int) Lies {
	l := Lies{ToDecide: ShareOf(toDecide, moments), Cannot: ShareOf(cannot, moments)}
	l.AsItStands = Share(math.Round(1000*(1-float64(l.ToDecide)-float64(l.Cannot))) / 1000)
	return l
}

// ShareOf is a part of a whole in thousandths; 0 of nothing. What is there is never 0.
func ShareOf(n, of int) Share {
	if n <= 0 || of <= 0 {
		return 0
	}
	return Share(max(1, math.Round(1000*float64(n)/float64(of))) / 1000)
}

// add adds the shares of another verdict, so many times.
func (l *Lies) add(o *Lies, times Share) {
	l.AsItStands += o.AsItStands * times
	l.ToDecide += o.ToDecide * times
	l.Cannot += o.Cannot * times
	for _, p := range [][2]*LiesParts{{&l.Hands, &o.Hands}, {&l.Strings, &o.Strings}, {&l.Feet, &o.Feet}} {
		p[0].ToDecide += p[1].ToDecide * times
		p[0].Cannot += p[1].Cannot * times
	}
}

// MarshalJSON writes the share with three decimals at most.
func (s Share) MarshalJSON() ([]byte, error) {
	return strconv.AppendFloat(nil, math.Round(1000*float64(s))/1000, 'f', -1, 64), nil
}

// percent writes a share for reading: "83 %", "under 1 %", "over 99 %".
func (s Share) percent() string {
	switch n := math.Round(100 * float64(s)); {
	case s > 0 && n == 0:
		return "under 1 %"
	case s < 1 && n == 100:
		return "over 99 %"
	default:
		return strconv.Itoa(int(n)) + " %"
	}
}

// hundredths is the share in whole per cents.
func (s Share) hundredths() int { return int(math.Round(100 * float64(s))) }

// sentence is the verdict on a part: "83 % of the music lies on the harp as it stands,
// 12 % needs a decision (hands 10 %, feet 2 %), 5 % cannot be played as planned (feet)."
func (l *Lies) sentence() string {
	if l == nil {
		return ""
	}
	if l.ToDecide+l.Cannot == 0 {
		return "All of the music lies on the harp as it stands."
	}
	as := l.AsItStands
	if all := l.ToDecide.hundredths() + l.Cannot.hundredths(); as.hundredths()+all != 100 && all > 0 && all <= 100 {
		as = Share(100-all) / 100 // so that what is read adds up
	}
	s := sentenceCase(as.percent()) + " of the music lies on the harp as it stands"
	if l.ToDecide > 0 {
		s += ", " + l.ToDecide.percent() + " needs a decision" + reasons(l.Hands.ToDecide, l.Strings.ToDecide, l.Feet.ToDecide)
	}
	if l.Cannot > 0 {
		s += ", " + l.Cannot.percent() + " cannot be played as planned" + reasons(l.Hands.Cannot, l.Strings.Cannot, l.Feet.Cannot)
	}
	return s + "."
}

// reasons tells by what, in brackets.
func reasons(hands, onStrings, feet Share) string {
	var list []string
	for _, r := range []struct {
		name string
		s    Share
	}{{"hands", hands}, {"strings", onStrings}, {"feet", feet}} {
		if r.s > 0 {
			list = append(list, r.name+" "+r.s.percent())
		}
	}
	if len(list) == 0 {
		return ""
	}
	return " (" + strings.Join(list, ", ") + ")"
}
