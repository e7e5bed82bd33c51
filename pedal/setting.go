package pedal

import (
	"fmt"
	"strings"
)

// A Letter names one of the seven pedals, and with it every string of that
// letter. Letters count from 0 in the order in which the pedals stand from the
// player's left: D C B, then E F G A. The zero value is D.
//
// Source: common practice of the double-action pedal harp; the order is the
// one in which MusicXML recommends to write harp-pedals.
type Letter uint8

// The seven letters in foot order.
const (
	D Letter = iota
	C
	B
	E
	F
	G
	A
)

// Letters is the number of pedals.
const Letters = 7

const letterNames = "DCBEFGA"

// String returns the letter's English name, "D".
func (l Letter) String() string { return letterNames[l : l+1] }

// ParseLetter returns the letter of an English name in upper case; ok is false
// for anything else.
func ParseLetter(name string) (l Letter, ok bool) {
	i := strings.Index(letterNames, name)
	if len(name) != 1 || i < 0 {
		return 0, false
	}
	return Letter(i), true
}

// Semitones is the distance of the letter's natural string above the C below
// it, in semitones: 0 for C to 11 for B.
func (l Letter) Semitones() int { return [Letters]int{2, 0, 11, 4, 5, 7, 9}[l] }

// A LetterSet is a set of letters. The zero value is empty.
type LetterSet uint8

// AllLetters are the seven.
const AllLetters LetterSet = 1<<Letters - 1

// SetOf is the set of some letters.
func SetOf(letters ...Letter) (s LetterSet) {
	for _, l := range letters {
		s |= 1 << l
	}
	return s
}

// Has tells whether a letter is in the set.
func (s LetterSet) Has(l Letter) bool { return s>>l&1 != 0 }

// A Foot is the foot that moves a pedal. The zero value is the left foot.
type Foot uint8

// The two feet.
const (
	Left Foot = iota
	Right
)

// String returns "left" or "right".
func (f Foot) String() string {
	if f == Left {
		return "left"
	}
	return "right"
}

// Foot returns the foot that moves the letter's pedal: left for D C B, right
// for E F G A.
func (l Letter) Foot() Foot {
	if l <= B {
		return Left
	}
	return Right
}

// A Position is the notch in which a pedal stands, in semitones from natural.
// The zero value is Natural.
type Position int8

// The three notches, from the top one to the bottom one.
const (
	Flat    Position = -1
	Natural Position = 0
	Sharp   Position = 1
)

// Sign returns the sign of the position: "♭", "♮" or "♯".
func (p Position) Sign() string { return [3]string{"♭", "♮", "♯"}[p+1] }

// A Setting is the position of all seven pedals, indexed by Letter. The zero
// value has every pedal at natural.
type Setting [Letters]Position

// String writes the setting in foot order with real signs, a bare letter being
// natural: "D C B♭ | E♭ F G A♭".
func (s Setting) String() string {
	var b strings.Builder
	for l := range Letter(Letters) {
		switch l {
		case D:
		case E:
			b.WriteString(" | ")
		default:
			b.WriteByte(' ')
		}
		b.WriteString(l.String())
		if s[l] != Natural {
			b.WriteString(s[l].Sign())
		}
	}
	return b.String()
}

// ParseSetting reads a setting of all seven letters, each once, in any order,
// with or without the bar between the feet. Signs are ♭ ♮ ♯ or b n #; a bare
// letter is natural.
func ParseSetting(text string) (Setting, error) {
	var s Setting
	var seen [Letters]bool
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '|' || r == ',' || r == '\t' }) {
		l, ok := ParseLetter(word[:1])
		if !ok {
			return s, fmt.Errorf("%q is not a pedal; a setting reads \"D C B♭ | E♭ F G A♭\"", word)
		}
		p := Natural
		switch word[1:] {
		case "", "n", "♮":
		case "b", "♭":
			p = Flat
		case "#", "♯":
			p = Sharp
		default:
			return s, fmt.Errorf("%q is not a position of the %v pedal: flat (♭ or b), natural (bare, ♮ or n) or sharp (♯ or #)", word, l)
		}
		if seen[l] {
			return s, fmt.Errorf("the %v pedal is named twice", l)
		}
		seen[l], s[l] = true, p
	}
	for l, ok := range seen {
		if !ok {
			return s, fmt.Errorf("the %v pedal is missing; a setting names all seven", Letter(l))
		}
	}
	return s, nil
}
