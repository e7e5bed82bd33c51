package part

import (
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal/beat"
)

// parseBeat reads the number of a beat: 3, 2.5, 5/2, 2 1/2, or as reports write it, 2½.
func parseBeat(text string) (sum musicxml.Frac, ok bool) {
	for _, word := range strings.Fields(beat.Plain(text)) {
		over, under, fraction := strings.Cut(word, "/")
		f, ok := musicxml.ParseDecimal(over)
		if fraction {
			d, whole := musicxml.ParseDecimal(under)
			if ok = ok && whole && d.Sign() > 0; ok {
				f = f.Div(d)
			}
		}
		if !ok || f.Sign() < 0 {
			return musicxml.Frac{}, false
		}
		sum = sum.Add(f)
	}
	return sum, sum.OK() && sum.Sign() > 0
}
