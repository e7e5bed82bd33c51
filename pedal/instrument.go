package pedal

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// An Instrument is the strings of a harp: all from the lowest to the highest,
// and which of them have no discs. The zero value is Concert47.
//
// The pedals do not reach a string without discs: it is tuned by hand, to one
// position for the whole piece, so a note on it neither constrains a pedal nor
// is held back by one. It is taken to be tuned as the first note written on it
// wants, or, if there is none, as the first note that has no other string; no other note
// is respelt onto it at another position. A note written on it at another
// position counts as sounding: the caller finds those in Plan.Strings.
type Instrument struct {
	Lowest, Highest StringName   // both included
	Undisced        []StringName // in ascending order
}

// A StringName names a string by letter and scientific octave: middle C is C4.
type StringName struct {
	Letter Letter // of the pedal
	Octave int    // scientific
}

// allOctaves is further than any pitch that a score can write.
const allOctaves = 1 << 16

// The usual instruments.
//
// Compass: 47 strings C1-G7 [HIO] [BLI 4], 48 strings C1-A7 [WIKI], 44 strings
// D1-E7 [GLOSS]; 46 strings D1-G7, common practice. No discs: C1 and D1
// [WIKI] [BLI 3] [C&O-PED]; the top string where it is G7 [C&O-PED] [BLI 3],
// and, by analogy, where it is A7.
func Concert47() Instrument { return span(StringName{C, 1}, StringName{G, 7}) }

// Concert48 is the extended concert grand, C1-A7; see Concert47.
func Concert48() Instrument { return span(StringName{C, 1}, StringName{A, 7}) }

// SemiGrand46 is the harp of 46 strings, D1-G7; see Concert47.
func SemiGrand46() Instrument { return span(StringName{D, 1}, StringName{G, 7}) }

// Harp44 is the harp of 44 strings, D1-E7; see Concert47.
func Harp44() Instrument { return span(StringName{D, 1}, StringName{E, 7}) }

// AllStrings is a harp without ends on which every string has discs: no
// instrument, but the plain model of seven pedals.
func AllStrings() Instrument {
	return Instrument{Lowest: StringName{C, -allOctaves}, Highest: StringName{B, allOctaves}}
}

// span is the harp from one string to another, without discs where the usual
// concert harps have none.
func span(low, high StringName) Instrument {
	h := Instrument{Lowest: low, Highest: high}
	for _, s := range []StringName{{C, 1}, {D, 1}} {
		if low.Rank() <= s.Rank() && s.Rank() <= high.Rank() {
			h.Undisced = append(h.Undisced, s)
		}
	}
	if top := (StringName{G, 7}); high.Rank() >= top.Rank() {
		h.Undisced = append(h.Undisced, high)
	}
	return h
}

// ParseInstrument returns the harp of "47", "46", "44", "48", "all", or of a
// compass such as "C1-G7". In a compass C1, D1 and a top string from G7 up have
// no discs, as on the usual instruments.
func ParseInstrument(text string) (Instrument, error) {
	switch text {
	case "47":
		return Concert47(), nil
	case "46":
		return SemiGrand46(), nil
	case "44":
		return Harp44(), nil
	case "48":
		return Concert48(), nil
	case "all":
		return AllStrings(), nil
	}
	low, high, ok := strings.Cut(text, "-")
	l, lok := parseStringName(low)
	h, hok := parseStringName(high)
	if !ok || !lok || !hok {
		return Instrument{}, fmt.Errorf("%q is not a harp: 47, 46, 44, 48, all or a compass such as C1-G7", text)
	}
	if l.Rank() > h.Rank() {
		return Instrument{}, fmt.Errorf("the harp %q has its lowest string above its highest", text)
	}
	return span(l, h), nil
}

func parseStringName(text string) (StringName, bool) {
	if len(text) != 2 || text[1] < '0' || text[1] > '9' {
		return StringName{}, false
	}
	l, ok := ParseLetter(text[:1])
	return StringName{l, int(text[1] - '0')}, ok
}

// String returns the compass, "C1-G7", or "all".
func (h Instrument) String() string {
	h = h.OrDefault()
	if h.Lowest.Octave == -allOctaves && h.Highest.Octave == allOctaves {
		return "all"
	}
	return h.Lowest.String() + "-" + h.Highest.String()
}

// String returns the name of the string, "C4".
func (s StringName) String() string { return s.Letter.String() + strconv.Itoa(s.Octave) }

// Has tells whether the harp has the string.
func (h Instrument) Has(s StringName) bool {
	return h.OrDefault().reaches(s)
}

func (h Instrument) reaches(s StringName) bool {
	rank := s.Rank()
	return h.Lowest.Rank() <= rank && rank <= h.Highest.Rank()
}

// Disced tells whether the pedals reach the string. It is false for a string
// that the harp does not have.
func (h Instrument) Disced(s StringName) bool {
	h = h.OrDefault()
	return h.reaches(s) && !slices.Contains(h.Undisced, s)
}

// Strings returns the number of strings.
func (h Instrument) Strings() int {
	h = h.OrDefault()
	return h.Highest.Rank() - h.Lowest.Rank() + 1
}

// OrDefault returns the harp, Concert47 for the zero value. Has and Disced do so at each
// call.
func (h Instrument) OrDefault() Instrument {
	if h.Lowest == (StringName{}) && h.Highest == (StringName{}) && h.Undisced == nil {
		return Concert47()
	}
	return h
}

func (h Instrument) check() error {
	h = h.OrDefault()
	for _, s := range append([]StringName{h.Lowest, h.Highest}, h.Undisced...) {
		if s.Letter >= Letters {
			return fmt.Errorf("letter %d is no pedal", s.Letter)
		}
	}
	if h.Lowest.Rank() > h.Highest.Rank() {
		return fmt.Errorf("the harp %v has its lowest string above its highest", h)
	}
	return nil
}

// Rank counts strings upwards; C0 has rank 0.
func (s StringName) Rank() int {
	return 7*s.Octave + [Letters]int{D: 1, C: 0, B: 6, E: 2, F: 3, G: 4, A: 5}[s.Letter]
}

var lettersUp = [Letters]Letter{C, D, E, F, G, A, B}

// StringAt is the string with a rank.
func StringAt(rank int) StringName {
	octave := (rank - (rank%7+7)%7) / 7
	return StringName{Letter: lettersUp[rank-7*octave], Octave: octave}
}
