package part

import (
	"fmt"
	"slices"
	"strconv"

	"pedalogue/pedal/spelling"
)

// A Style says how the marks of a page are written. The zero value writes changes
// below the staves, settings as letters and as a diagram, and a text above
// respelt notes, all in English.
type Style struct {
	Side     Side              // where changes are written
	Form     Form              // how settings are written
	Respelt  RespeltForm       // how respelt notes are told
	Language spelling.Language // of all texts
	// Replace takes out the pedal marks that stand in the score.
	Replace bool
}

// A Side is where changes are written. The zero value is Below.
type Side uint8

// The sides. Marks between the staves are against the rule of notation manuals
// [EIN-notating], but customary in parts that players have edited (common
// practice).
const (
	Below   Side = iota // below the lowest staff
	Above               // above the top staff
	Between             // below the top staff
)

var sideNames = []string{Below: "below", Above: "above", Between: "between"}

// ParseSide reads "below", "above" or "between".
func ParseSide(text string) (Side, error) {
	i := slices.Index(sideNames, text)
	if i < 0 {
		return Below, fmt.Errorf("%q is none of below, above and between", text)
	}
	return Side(i), nil
}

// String returns what ParseSide reads.
func (s Side) String() string { return nameOf(sideNames, s) }

// nameOf is the name of one of a few; a number for none of them.
func nameOf[T ~uint8](names []string, i T) string {
	if int(i) < len(names) {
		return names[i]
	}
	return strconv.Itoa(int(i))
}

// A Form says how full settings are written. The zero value is Both.
type Form uint8

// The forms.
const (
	Both    Form = iota
	Letters      // in words
	Diagram      // as a harp-pedals element
)

var formNames = []string{Both: "both", Letters: "letters", Diagram: "diagram"}

// ParseForm reads "letters", "diagram" or "both".
func ParseForm(text string) (Form, error) {
	i := slices.Index(formNames, text)
	if i < 0 {
		return Both, fmt.Errorf("%q is none of letters, diagram and both", text)
	}
	return Form(i), nil
}

// String returns what ParseForm reads.
func (f Form) String() string { return nameOf(formNames, f) }

// A RespeltForm says how a player is told of notes that are played on another
// string than the written one. The zero value is Text.
type RespeltForm uint8

// The ways.
const (
	Text    RespeltForm = iota // the string's name above the note
	Rewrite                    // the note itself is rewritten, where that can be
	Untold                     // not at all
)

var respeltNames = []string{Text: "text", Rewrite: "rewrite", Untold: "none"}

// ParseRespeltForm reads "text", "rewrite" or "none".
func ParseRespeltForm(text string) (RespeltForm, error) {
	i := slices.Index(respeltNames, text)
	if i < 0 {
		return Text, fmt.Errorf("%q is none of text, rewrite and none", text)
	}
	return RespeltForm(i), nil
}

// String returns what ParseRespeltForm reads.
func (f RespeltForm) String() string { return nameOf(respeltNames, f) }
