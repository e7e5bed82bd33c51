package spelling

import (
	"fmt"
	"slices"

	"pedalogue/pedal"
)

// A Language is a way to name the pedals in a score. The zero value is English.
type Language uint8

// The languages. English and French names: [EIN-notating]; German ones,
// with H for B natural and B for B flat: [EVELIN]. Italian, whose letters are the
// French ones and whose signs are other words, is read and not written.
const (
	English Language = iota
	French
	German
	Italian
)

var languageCodes = [...]string{English: "en", French: "fr", German: "de", Italian: "it"}

// String returns the language's code, "en", "fr", "de" or "it".
func (g Language) String() string {
	if int(g) >= len(languageCodes) {
		return fmt.Sprintf("Language(%d)", uint8(g))
	}
	return languageCodes[g]
}

// ParseLanguage returns the language of a code as String writes it, if marks are
// written in it.
func ParseLanguage(code string) (Language, error) {
	if i := slices.Index(languageCodes[:Italian], code); i >= 0 {
		return Language(i), nil
	}
	return English, fmt.Errorf("%q is no language of pedal marks: en, fr or de", code)
}

// The names of the letters in foot order.
var (
	frenchNames = [pedal.Letters]string{"Ré", "Do", "Si", "Mi", "Fa", "Sol", "La"}
	germanFlats = [pedal.Letters]string{"Des", "Ces", "B", "Es", "Fes", "Ges", "As"}
	germanPlain = [pedal.Letters]string{"D", "C", "H", "E", "F", "G", "A"}
	germanSharp = [pedal.Letters]string{"Dis", "Cis", "His", "Eis", "Fis", "Gis", "Ais"}
)

// Word writes a pedal in a position: "F♯", "Fa♯", "Fis". With bare, as in a full
// setting, a natural is the letter alone, "F"; without, as in a change, it has
// its sign, "F♮" (in German "H♮").
func (g Language) Word(l pedal.Letter, p pedal.Position, bare bool) string {
	name := l.String()
	switch g {
	case French, Italian:
		name = frenchNames[l]
	case German:
		switch p {
		case pedal.Flat:
			return germanFlats[l]
		case pedal.Sharp:
			return germanSharp[l]
		}
		name = germanPlain[l]
	}
	if bare && p == pedal.Natural {
		return name
	}
	return name + p.Sign()
}
