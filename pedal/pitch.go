package pedal

import (
	"fmt"
	"strconv"
	"strings"
)

// A Pitch is a pitch as it is written.
type Pitch struct {
	Letter Letter // as written
	Cents  int    // alteration in cents: -100 flat, 0 natural, 100 sharp; not a multiple of 100 for a microtone
	Octave int    // scientific: middle C is C4. B♯3 sounds as C4, C♭4 as B3
}

// Height is the pitch in cents above C0.
func (p Pitch) Height() int { return 1200*p.Octave + 100*p.Letter.Semitones() + p.Cents }

// String writes the pitch with real signs, "C♯5", "F𝄪4", or with its alteration
// in semitones where that is not whole, "C(0.5)5".
func (p Pitch) String() string {
	return p.Name() + strconv.Itoa(p.Octave)
}

// Name writes the pitch without its octave, "C♯".
func (p Pitch) Name() string {
	l := p.Letter.String()
	switch {
	case p.Cents == 200:
		return l + "𝄪"
	case p.Cents == -200:
		return l + "𝄫"
	case p.Cents%100 != 0:
		return l + "(" + strconv.FormatFloat(float64(p.Cents)/100, 'f', -1, 64) + ")"
	case p.Cents > 0:
		return l + strings.Repeat("♯", p.Cents/100)
	default:
		return l + strings.Repeat("♭", -p.Cents/100)
	}
}

// alterations are the signs that ParsePitch takes, in cents.
var alterations = []struct {
	sign  string
	cents int
}{{"♯", 100}, {"#", 100}, {"𝄪", 200}, {"x", 200}, {"♭", -100}, {"b", -100}, {"𝄫", -200}, {"♮", 0}, {"n", 0}}

// ParsePitch reads a pitch: an upper-case letter, signs, and an octave, C4 being
// middle C. Signs are ♯ or #, ♭ or b, ♮ or n, 𝄪 or x, 𝄫, as many as there are: "C♯4",
// "C#4", "Ebb5", "B-1". It reads all that String writes.
func ParsePitch(text string) (Pitch, error) {
	fault := fmt.Errorf("%q is not a pitch; a pitch reads \"C♯4\" or \"C#4\", C4 being middle C", text)
	if text == "" {
		return Pitch{}, fault
	}
	l, ok := ParseLetter(text[:1])
	if !ok {
		return Pitch{}, fault
	}
	p, rest := Pitch{Letter: l}, text[1:]
	if strings.HasPrefix(rest, "(") {
		semitones, after, _ := strings.Cut(rest[1:], ")")
		cents, err := strconv.ParseFloat(semitones, 64)
		if err != nil || !(cents >= -1e4 && cents <= 1e4) {
			return Pitch{}, fault
		}
		p.Cents, rest = roundCents(cents), after
	}
	for found := true; found; {
		found = false
		for _, a := range alterations {
			if after, ok := strings.CutPrefix(rest, a.sign); ok {
				p.Cents, rest, found = p.Cents+a.cents, after, true
			}
		}
	}
	octave, err := strconv.Atoi(rest)
	if err != nil || octave < -allOctaves/2 || octave > allOctaves/2 {
		return Pitch{}, fault
	}
	p.Octave = octave
	return p, nil
}

// roundCents turns semitones into whole cents.
func roundCents(semitones float64) int {
	if semitones < 0 {
		return -roundCents(-semitones)
	}
	return int(semitones*100 + 0.5)
}

// As is the pitch by the name that it has on the string of a letter; ok is false where no
// string of that letter sounds it.
func (p Pitch) As(l Letter) (to Pitch, ok bool) {
	for octave := p.Octave - 1; octave <= p.Octave+1; octave++ {
		to = Pitch{Letter: l, Octave: octave}
		if to.Cents = p.Height() - to.Height(); to.Cents%100 == 0 && to.Cents >= -100 && to.Cents <= 100 {
			return to, true
		}
	}
	return p, false
}
