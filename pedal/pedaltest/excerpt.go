package pedaltest

import (
	"slices"

	"pedalogue/pedal"
)

// Excerpt is a stretch of a passage from one moment up to another, bare beats and
// all, as if nothing stood before and after it. The place of the first setting is
// its first moment, which is not played again.
func Excerpt(p *pedal.Passage, from, to int) *pedal.Passage {
	e := &pedal.Passage{Key: p.Key}
	number := map[int]int{}
	for _, m := range p.Moments[from:to] {
		m.Strikes = slices.Clone(m.Strikes)
		for i, s := range m.Strikes {
			if _, known := number[s.Note]; !known {
				number[s.Note] = len(e.Notes)
				e.Notes = append(e.Notes, p.Notes[s.Note])
			}
			m.Strikes[i].Note = number[s.Note]
		}
		m.Restart = false
		m.Measure -= p.Moments[from].Measure
		e.Moments = append(e.Moments, m)
	}
	if p.Measures != nil && from < to {
		e.Measures = slices.Clone(p.Measures[p.Moments[from].Measure : p.Moments[to-1].Measure+1])
		for i := range e.Measures {
			e.Measures[i].First = min(max(0, e.Measures[i].First-from), to-from)
		}
	}
	return e
}

// Struck is the moment at which a passage has struck some moments with notes, from
// 0; the number of moments if there are not so many.
func Struck(p *pedal.Passage, count int) int {
	for i, m := range p.Moments {
		if len(m.Strikes) > 0 {
			if count == 0 {
				return i
			}
			count--
		}
	}
	return len(p.Moments)
}
