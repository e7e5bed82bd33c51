package pedaltest

import "pedalogue/pedal"

// A spelling is the letters of the strings that play one name at one moment.
type spelling struct {
	moment, measure int // indices of the passage, of its playing order
	letters         [pedal.Letters]bool
}

// A nameWay is how one name is spelt through the music: one spelling for each
// moment at which it sounds, in playing order.
type nameWay []spelling

// sound adds a tone of the name. Tones come in playing order.
func (n *nameWay) sound(moment, measure int, l pedal.Letter) {
	if k := len(*n); k == 0 || (*n)[k-1].moment != moment {
		*n = append(*n, spelling{moment: moment, measure: measure})
	}
	(*n)[len(*n)-1].letters[l] = true
}

// count counts the switches of the name, of which pitch is one octave: one for each
// letter that was not in the spelling before, one for each letter beyond the
// first. The spelling before is forgotten after two measures without the name; then
// it is the written letter. A double sharp or flat has none: one letter is free.
func (n nameWay) count(pitch pedal.Pitch) int {
	count := 0
	for i, s := range n {
		known := i > 0 && s.measure-n[i-1].measure <= 2
		letters, foreign := 0, 0
		for l, played := range s.letters {
			if !played {
				continue
			}
			letters++
			if known && !n[i-1].letters[l] || !known && pedal.Letter(l) != pitch.Letter {
				foreign++
			}
		}
		if !known && !simple(pitch) {
			foreign--
		}
		count += foreign + letters - 1
	}
	return count
}
