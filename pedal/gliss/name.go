package gliss

import (
	"strings"

	"pedalogue/pedal"
)

// A Name is a pitch class as it is spelt. The zero value is D natural.
type Name struct {
	Letter pedal.Letter // as spelt
	Alter  int          // semitones: -1 flat, 0 natural, 1 sharp
}

// Class returns the pitch class in semitones above C, 0 to 11.
func (n Name) Class() int { return ((n.Letter.Semitones()+n.Alter)%12 + 12) % 12 }

// String writes the name with a real sign, a bare letter being natural: "B♭".
func (n Name) String() string {
	switch {
	case n.Alter > 0:
		return n.Letter.String() + strings.Repeat("♯", n.Alter)
	default:
		return n.Letter.String() + strings.Repeat("♭", -n.Alter)
	}
}

// signs are the ways to write an alteration after a letter; those that begin like
// others come first.
var signs = []struct {
	text  string
	alter int
}{
	{"♭♭", -2}, {"𝄫", -2}, {"bb", -2}, {"♯♯", 2}, {"𝄪", 2}, {"##", 2}, {"x", 2},
	{"♭", -1}, {"b", -1}, {"♯", 1}, {"#", 1}, {"♮", 0},
	{" double flat", -2}, {"-double-flat", -2}, {" double sharp", 2}, {"-double-sharp", 2},
	{" flat", -1}, {"-flat", -1}, {" sharp", 1}, {"-sharp", 1}, {" natural", 0}, {"-natural", 0},
}

// cutName takes a name off the front of a text. What follows a word such as
// "flat" must not be a letter.
func cutName(text string) (n Name, rest string, ok bool) {
	if text == "" {
		return n, text, false
	}
	if n.Letter, ok = pedal.ParseLetter(text[:1]); !ok {
		return n, text, false
	}
	text = text[1:]
	for _, s := range signs {
		after, cut := strings.CutPrefix(text, s.text)
		if !cut || len(s.text) > 4 && after != "" && after[0] >= 'a' && after[0] <= 'z' {
			continue
		}
		if s.text == " natural" || s.text == "-natural" {
			// "A natural minor" is the scale on A, "A natural" a pitch.
			if strings.HasPrefix(strings.TrimLeft(after, " -"), "minor") {
				continue
			}
		}
		n.Alter = s.alter
		return n, after, true
	}
	return n, text, true
}

// plain spells a name with one sign at most, as a string of the harp has it: B𝄫 as
// A, F𝄪 as G. Where that can be done with a sign only, it is of the kind that the name had.
func (n Name) plain() Name {
	if n.Alter >= -1 && n.Alter <= 1 {
		return n
	}
	sign := 1
	if n.Alter < 0 {
		sign = -1
	}
	for _, alter := range []int{0, sign} {
		for _, l := range scaleOrder {
			if p := (Name{l, alter}); p.Class() == n.Class() {
				return p
			}
		}
	}
	return n // not reached: every pitch class has a natural, a flat and a sharp, or two of them
}

// distinct leaves out names of pitch classes that an earlier name has.
func distinct(names []Name) []Name {
	var list []Name
	seen := uint16(0)
	for _, n := range names {
		if n = n.plain(); seen>>n.Class()&1 == 0 {
			list = append(list, n)
			seen |= 1 << n.Class()
		}
	}
	return list
}
