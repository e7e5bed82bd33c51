package part

import (
	"errors"
	"fmt"
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

// ParseSide reads "below", "above" or "between".
func ParseSide(text string) (Side, error) {
	for i, name := range []string{Below: "below", Above: "above", Between: "between"} {
		if name == text {
			return Side(i), nil
		}
	}
	return Below, fmt.Errorf("%q is none of below, above and between", text)
}

// A Form says how full settings are written. The zero value is Both.
type Form uint8

// The forms.
const (
	Both    Form = iota
	Letters      // in words
	Diagram      // as a harp-pedals element
)

// ParseForm reads "letters", "diagram" or "both".
func ParseForm(text string) (Form, error) {
	switch text {
	case "letters":
		return Letters, nil
	case "diagram":
		return Diagram, nil
	case "both":
		return Both, nil
	}
	return Both, errors.New(strconv.Quote(text) + " is none of letters, diagram and both")
}

// A RespeltForm says how a player is told of notes that are played on another
// string than the written one. The zero value is Text.
type RespeltForm uint8

// The ways.
const (
	Text    RespeltForm = iota // the string's name above the note
	Rewrite                    // the note itself is rewritten, where that can be
	Untold                     // not at all
)

// ParseRespeltForm reads "text", "rewrite" or "none".
func ParseRespeltForm(text string) (RespeltForm, error) {
	for i, name := range []string{Text: "text", Rewrite: "rewrite", Untold: "none"} {
		if name == text {
			return RespeltForm(i), nil
		}
	}
	return Text, fmt.Errorf("%q is none of text, rewrite and none", text)
}
