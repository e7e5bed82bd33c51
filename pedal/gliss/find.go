package gliss

import (
	"cmp"
	"math/bits"
	"slices"

	"pedalogue/pedal"
)

// An Answer is the settings for a request.
type Answer struct {
	// Exact are the settings that sound what is wanted and nothing else: those first
	// that move the fewest pedals, then that take the fewest rounds, have the fewest
	// sharps, and come first by their text.
	Exact []Setting
	// Nearest are, where Exact is empty, all settings with the fewest pitch classes
	// foreign and missing together, in the same order.
	Nearest []Setting
}

// A Setting is a setting of the pedals for a glissando, and what it takes.
type Setting struct {
	Pedals pedal.Setting // all seven
	Moved  int           // pedals that stand elsewhere before
	Rounds int           // how often a foot must move: one pedal a foot at a time, both feet together
	Sharps int           // pedals at sharp; flats ring best [GOSS-66] [PHI-tips]
	// Doubled are the pitch classes wanted that two strings sound, Missing those that
	// none does, by the names that were asked for and in their order.
	Doubled, Missing []Name
	// Foreign are the pitch classes that sound though they are not wanted, upwards
	// from C, each by the name of a string that sounds it: a natural if there is one.
	Foreign []Name
}

// Find returns the settings for what is wanted, for a harp whose pedals stand at
// from before. An empty request has no answer.
func Find(want []Name, from pedal.Setting) Answer {
	var answer Answer
	wanted := classes(want)
	if wanted == 0 {
		return answer
	}
	least := 13
	for s := range all {
		sounds := uint16(0)
		for l, position := range s {
			sounds |= 1 << (Name{pedal.Letter(l), int(position)}).Class()
		}
		wrong := bits.OnesCount16(sounds ^ wanted)
		if wrong > least {
			continue
		}
		if wrong < least {
			least, answer.Nearest = wrong, nil
		}
		answer.Nearest = append(answer.Nearest, judge(s, from, want))
	}
	slices.SortFunc(answer.Nearest, func(a, b Setting) int {
		return cmp.Or(cmp.Compare(a.Moved, b.Moved), cmp.Compare(a.Rounds, b.Rounds), cmp.Compare(a.Sharps, b.Sharps),
			cmp.Compare(a.Pedals.String(), b.Pedals.String()))
	})
	if least == 0 {
		answer.Exact, answer.Nearest = answer.Nearest, nil
	}
	return answer
}

// all yields the 2187 settings.
func all(yield func(pedal.Setting) bool) {
	var s pedal.Setting
	for l := range s {
		s[l] = pedal.Flat
	}
	for yield(s) {
		l := 0
		for l < len(s) && s[l] == pedal.Sharp {
			s[l] = pedal.Flat
			l++
		}
		if l == len(s) {
			return
		}
		s[l]++
	}
}

// classes is the set of the pitch classes of some names, bit 0 for C.
func classes(names []Name) (set uint16) {
	for _, n := range names {
		set |= 1 << n.Class()
	}
	return set
}

// scaleOrder are the letters as they follow each other in a scale.
var scaleOrder = [pedal.Letters]pedal.Letter{pedal.C, pedal.D, pedal.E, pedal.F, pedal.G, pedal.A, pedal.B}

// judge says what a setting takes and gives.
func judge(s, from pedal.Setting, want []Name) Setting {
	out := Setting{Pedals: s}
	var feet [2]int
	var sounding [12]int
	for l, position := range s {
		letter := pedal.Letter(l)
		if from[l] != position {
			out.Moved++
			feet[letter.Foot()]++
		}
		if position == pedal.Sharp {
			out.Sharps++
		}
		sounding[Name{letter, int(position)}.Class()]++
	}
	out.Rounds = max(feet[pedal.Left], feet[pedal.Right])
	for _, n := range want {
		switch sounding[n.Class()] {
		case 0:
			out.Missing = append(out.Missing, n)
		case 1:
		default:
			out.Doubled = append(out.Doubled, n)
		}
	}
	wanted := classes(want)
	var foreign [12]*Name
	for _, letter := range scaleOrder {
		n := Name{letter, int(s[letter])}
		if c := n.Class(); wanted>>c&1 == 0 && (foreign[c] == nil || n.Alter == 0) {
			foreign[c] = &n
		}
	}
	for _, n := range foreign {
		if n != nil {
			out.Foreign = append(out.Foreign, *n)
		}
	}
	return out
}
