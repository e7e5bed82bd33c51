package part

import (
	"errors"
	"fmt"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/spelling"
)

// A Pin is what a player has decided: which strings are to play the notes of some
// measures, or how a pedal is to stand at a place.
type Pin struct {
	Text  string        // as it was given
	where string        // "all", a measure's printed number, or two of them
	beat  musicxml.Frac // from 1; 0 for none
	wants []want
}

// A want is one thing that a pin decides.
type want struct {
	kind   wantKind
	name   pedal.Pitch  // of wantOn and wantOff
	octave bool         // only in the octave of name
	letter pedal.Letter // of wantOn and wantOff: the string
	pedal  spelling.Tuning
}

type wantKind uint8

const (
	wantWritten wantKind = iota // every note on its written string
	wantOn                      // what is named so on the string of a letter
	wantOff                     // what is named so not on the string of a letter
	wantPedal                   // a pedal in a position
)

// ParsePins reads pins. One is PLACE: WANT, with more wants after commas; several
// stand on lines of their own or after semicolons. Empty lines and those that
// begin with // are passed over.
//
//	12-20: F♭=E        every F♭ in measures 12 to 20 is played on the E string
//	12: C♯5=D, A♯=B    C♯5, but in no other octave, and every A♯
//	all: C♭!=B         no C♭ is played on the B string, or C♭≠B
//	30-34: written     every note on its written string
//	33: F♯             the F pedal stands at F♯ when measure 33 begins
//	33@3: F♯           from its third beat on, as the report counts beats
//	33-36: F♯          from the beginning of measure 33 to the end of measure 36
//
// Measures go by their printed numbers, or by their place in the score as #8. Signs
// are ♭ ♮ ♯ 𝄫 𝄪, or b n # bb x; a bare letter is natural. On the right side of = the
// sign may stand or not: C♯=D♭ is C♯=D.
func ParsePins(text string) ([]Pin, error) {
	var pins []Pin
	for line := range strings.Lines(text) {
		if strings.HasPrefix(strings.TrimSpace(line), "//") {
			continue
		}
		for _, one := range strings.Split(line, ";") {
			if one = strings.TrimSpace(one); one == "" {
				continue
			}
			p, err := parsePin(one)
			if err != nil {
				return nil, fmt.Errorf("%q: %w", one, err)
			}
			pins = append(pins, p)
		}
	}
	return pins, nil
}

func parsePin(text string) (Pin, error) {
	p := Pin{Text: text}
	where, wants, ok := strings.Cut(text, ":")
	if !ok {
		return p, errors.New("a pin is a place, a colon and what is wanted there, such as 12-20: F♭=E or, for all of the music, all: F♭=E")
	}
	where, beat, at := strings.Cut(where, "@")
	if p.where = strings.TrimSpace(where); p.where == "" {
		return p, errors.New("no measure is named")
	}
	if at {
		if p.beat, ok = parseBeat(beat); !ok {
			return p, fmt.Errorf("%q is no beat", strings.TrimSpace(beat))
		}
	}
	for _, item := range strings.Split(wants, ",") {
		w, err := parseWant(strings.TrimSpace(item))
		if err != nil {
			return p, err
		}
		p.wants = append(p.wants, w)
	}
	return p, nil
}

func parseWant(text string) (w want, err error) {
	if text == "written" {
		return w, nil
	}
	text = strings.ReplaceAll(text, "≠", "!=")
	left, right, spelt := strings.Cut(text, "=")
	if left, ok := strings.CutSuffix(left, "!"); spelt && ok {
		return namedWant(wantOff, left, right)
	}
	if spelt {
		return namedWant(wantOn, left, right)
	}
	name, rest, ok := cutName(text)
	if !ok || rest != "" || !settable(name) {
		return w, fmt.Errorf("%q is neither a pedal nor a name and its string, such as F♯ or F♭=E", text)
	}
	w.kind, w.pedal = wantPedal, spelling.Tuning{Letter: name.Letter, Position: pedal.Position(name.Cents / 100)}
	return w, nil
}

// namedWant is what is wanted of a name.
func namedWant(kind wantKind, left, right string) (w want, err error) {
	w.kind = kind
	name, rest, ok := cutName(strings.TrimSpace(left))
	if !ok {
		return w, fmt.Errorf("%q is no name of a note", strings.TrimSpace(left))
	}
	if rest != "" {
		if len(rest) != 1 || rest[0] < '0' || rest[0] > '9' {
			return w, fmt.Errorf("%q is no octave", rest)
		}
		name.Octave, w.octave = int(rest[0]-'0'), true
	}
	w.name = name
	right = strings.TrimSpace(right)
	on, rest, ok := cutName(right)
	if !ok || rest != "" {
		return w, fmt.Errorf("%q is no string", right)
	}
	w.letter = on.Letter
	at, sounds := positionFor(name, on.Letter)
	switch {
	case !sounds:
		return w, fmt.Errorf("%s is on no %v string", name.Name(), on.Letter)
	case right != on.Letter.String() && on.Cents != 100*int(at):
		return w, fmt.Errorf("on the %v string %s is %s, not %s", on.Letter, name.Name(), spelling.Tuning{Letter: on.Letter, Position: at}, right)
	}
	return w, nil
}

// positionFor is how the strings of a letter stand where they sound a name; ok is
// false if they never do.
func positionFor(name pedal.Pitch, l pedal.Letter) (at pedal.Position, ok bool) {
	apart := (name.Letter.Semitones()+name.Cents/100-l.Semitones())%12 + 12
	for at := pedal.Flat; at <= pedal.Sharp; at++ {
		if (apart-int(at))%12 == 0 {
			return at, true
		}
	}
	return 0, false
}

// settable tells whether a pedal can be set so.
func settable(name pedal.Pitch) bool { return name.Cents >= -100 && name.Cents <= 100 }

// signs are the ways to write alterations, the longer ones first.
var signs = []struct {
	text  string
	cents int
}{
	{"𝄫", -200}, {"♭♭", -200}, {"bb", -200}, {"𝄪", 200}, {"♯♯", 200}, {"##", 200}, {"x", 200},
	{"♭", -100}, {"b", -100}, {"♯", 100}, {"#", 100}, {"♮", 0}, {"n", 0},
}

// cutName reads a letter and its signs at the beginning of a text.
func cutName(text string) (name pedal.Pitch, rest string, ok bool) {
	if text == "" {
		return name, text, false
	}
	if name.Letter, ok = pedal.ParseLetter(text[:1]); !ok {
		return name, text, false
	}
	for _, s := range signs {
		if rest, ok := strings.CutPrefix(text[1:], s.text); ok {
			name.Cents = s.cents
			return name, rest, true
		}
	}
	return name, text[1:], true
}
