package gliss

import (
	"fmt"
	"strings"
	"unicode"
)

// Forms shows the ways in which a request can be written, a line or two each,
// for a message to a person.
const Forms = `pitches        "C E G B♭", "C, Eb, G", "F#", "C4 E4 G4"
a chord        "Dm7", "C9", "F♯ø7", "A♭maj7", "E7sus4", "G/B",
               "E major", "B diminished seventh"
a scale        "D♭ whole tone", "whole tone on D♭", "C minor pentatonic",
               "G major scale", "D dorian"`

// A FormError is returned for a request that is not understood.
type FormError struct {
	Text string // the request
	Why  string // what is wrong with it, if that is known; else ""
}

// Error names the request and, where it is known, what is wrong with it.
func (e *FormError) Error() string {
	if e.Why == "" {
		return fmt.Sprintf("%q is not understood as pitches, a chord or a scale", e.Text)
	}
	return fmt.Sprintf("%q is not understood: %s", e.Text, e.Why)
}

// Parse returns the pitch classes that a text asks for, in the order of the text or,
// for a chord or scale, from its root up. A pitch class that is named twice has
// its first name; double signs are spelt as a string has them, B𝄫 as A.
//
// The text is a list of pitches, a chord or a scale; see Forms. A lone letter, with
// or without a sign, is a pitch; a chord has more than that. Letters are English
// ones, in capitals. The error is a *FormError.
func Parse(text string) ([]Name, error) {
	clean := strings.Join(strings.Fields(text), " ")
	if clean == "" {
		return nil, &FormError{Text: text, Why: "nothing is asked for"}
	}
	names, stop, ok := pitches(clean)
	if ok {
		return distinct(names), nil
	}
	if names, ok := onRoot(clean); ok {
		return distinct(names), nil
	}
	root, rest, ok := cutName(clean)
	if !ok {
		return nil, &FormError{Text: text, Why: why(clean)}
	}
	if names, ok := named(root, rest); ok {
		return distinct(names), nil
	}
	chord, err := symbol(root, rest)
	switch {
	case err == nil:
		return distinct(chord), nil
	case len(names) > 1 && stop != "": // they were to be pitches
		err = fmt.Errorf("%q is no pitch", stop)
	}
	return nil, &FormError{Text: text, Why: err.Error()}
}

// why says what may be wrong with a text that does not begin with a letter's name.
func why(text string) string {
	if first := text[0]; first >= 'a' && first <= 'g' && (len(text) == 1 || !unicode.IsLetter(rune(text[1])) || text[1] == 'b') {
		return "letters of pitches are capitals"
	}
	on := Name{Letter: scaleOrder[0]}
	_, is := named(on, text)
	if _, err := symbol(on, text); is || err == nil {
		return fmt.Sprintf("it has no root; say %s on %v, or on another note", text, on)
	}
	return ""
}

// pitches reads a list of pitches: one without anything after it, or several, with
// or without octaves. Where it is none, names are those before the word at which it
// stops to be one.
func pitches(text string) (names []Name, stop string, ok bool) {
	octaves := 0
	for rest := text; rest != ""; {
		n, after, ok := cutName(rest)
		if ok && after != "" && after[0] >= '0' && after[0] <= '9' {
			after = after[1:]
			octaves++
		}
		next := apart(after)
		if !ok || next != "" && next == after { // something else, or it is joined to the name
			stop, _, _ = strings.Cut(rest, " ")
			return names, stop, false
		}
		names, rest = append(names, n), next
	}
	return names, "", len(names) > 0 && (octaves == 0 || octaves == len(names) && len(names) > 1)
}

// apart takes what stands between two pitches off the front of a text: blanks,
// commas, semicolons, or a hyphen or dash right before the next letter.
func apart(text string) string {
	for _, hyphen := range []string{"-", "–"} {
		after, cut := strings.CutPrefix(text, hyphen)
		if _, _, isName := cutName(after); cut && isName {
			return after
		}
	}
	return strings.TrimLeft(text, " ,;")
}

// onRoot reads "SCALE on ROOT" and the like.
func onRoot(text string) (names []Name, ok bool) {
	for _, word := range []string{" on ", " from ", " of "} {
		name, root, found := strings.Cut(text, word)
		if !found {
			continue
		}
		r, rest, isName := cutName(root)
		if !isName || rest != "" {
			continue
		}
		if names, ok := named(r, name); ok {
			return names, true
		}
		if names, err := symbol(r, name); err == nil { // "7 on D"
			return names, true
		}
	}
	return nil, false
}

// named reads a scale or a chord that is named in words.
func named(root Name, words string) (names []Name, ok bool) {
	words = strings.ToLower(strings.Join(strings.FieldsFunc(words, func(r rune) bool { return r == ' ' || r == '-' }), " "))
	words = strings.TrimPrefix(words, "the ")
	if steps, ok := scales[words]; ok {
		return steps.on(root), true
	}
	if stem, isScale := strings.CutSuffix(words, " scale"); isScale {
		if steps, ok := scales[stem]; ok {
			return steps.on(root), true
		}
		if steps, ok := keys[stem]; ok {
			return steps.on(root), true
		}
	}
	words = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(words, " chord"), " arpeggio"))
	if s, ok := chordWords[words]; ok {
		if names, err := symbol(root, s); err == nil {
			return names, true
		}
	}
	return nil, false
}
