package proof

import "pedalogue/pedal"

// Switches count how often a name goes to other strings, as package pedal defines it.
type switches struct {
	p     *pedal.Passage
	spelt map[pedal.Pitch]spelt // of each name, as its pitch in octave 0, when it sounded last
	count int
}

type spelt struct {
	letters pedal.LetterSet
	measure int
}

// at counts the names that sound at a moment.
func (w *switches) at(moment int, heard map[pedal.Pitch]pedal.String) {
	now := map[pedal.Pitch]pedal.LetterSet{}
	for name, s := range heard {
		name.Octave = 0
		now[name] |= pedal.SetOf(s.Letter)
	}
	measure := w.p.Moments[moment].Measure
	for name, letters := range now {
		hasHome := name.Cents >= -100 && name.Cents <= 100
		var before pedal.LetterSet
		if hasHome {
			before = pedal.SetOf(name.Letter)
		}
		last, ok := w.spelt[name]
		if ok = ok && measure-last.measure <= 2; ok {
			before = last.letters
		}
		used := 0
		for l := range pedal.Letter(pedal.Letters) {
			if !letters.Has(l) {
				continue
			}
			used++
			if !before.Has(l) {
				w.count++
			}
		}
		if !ok && !hasHome {
			w.count-- // the first letter is free
		}
		w.count += used - 1
		w.spelt[name] = spelt{letters, measure}
	}
}
