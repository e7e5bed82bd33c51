package pedal

import (
	"fmt"
	"slices"
	"strings"
)

// unlike counts the measures with the written notes of an earlier one that are not
// played on the strings of the first such measure.
func (v *verifier) unlike() (count int) {
	first := map[string]string{}
	var lasting []Strike // into the measure at hand
	moments := v.p.Moments
	for i, span := range v.p.Measures {
		notes, _ := v.written(lasting, span.Onset, span.End)
		notes += ";"
		on := ""
		for ; len(moments) > 0 && moments[0].Measure == i; moments = moments[1:] {
			m := &moments[0]
			struck := slices.DeleteFunc(slices.Clone(m.Strikes), func(s Strike) bool { return v.p.Notes[s.Note].Implied })
			if len(struck) == 0 {
				continue
			}
			n, o := v.written(struck, m.Onset, span.End)
			notes += fmt.Sprintf("at %d, grace %v: %s;", m.Onset-span.Onset, m.Grace, n)
			on += o + ";"
			lasting = append(lasting, struck...)
		}
		lasting = slices.DeleteFunc(lasting, func(s Strike) bool { return s.End <= span.End })
		if known, ok := first[notes]; !ok {
			first[notes] = on
		} else if known != on {
			count++
		}
	}
	return count
}

// written writes down, in order and each once, notes that sound from a time on in a
// measure up to another, and their strings.
func (v *verifier) written(list []Strike, from, end int64) (notes, on string) {
	var all, played []string
	for _, s := range list {
		n := fmt.Sprintf("%v for %d", v.p.Notes[s.Note].Pitch, min(s.End, end)-from)
		if s.End > end {
			n += " and on"
		}
		if !slices.Contains(all, n) {
			all = append(all, n)
			played = append(played, fmt.Sprint(n, " on ", v.plan.Strings[s.Note]))
		}
	}
	slices.Sort(all)
	slices.Sort(played)
	return strings.Join(all, ","), strings.Join(played, ",")
}
