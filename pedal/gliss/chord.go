package gliss

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// chordWords are chords by name, as the symbol that follows the root.
var chordWords = map[string]string{
	"major": "maj", "minor": "m", "diminished": "dim", "augmented": "aug",
	"major triad": "maj", "minor triad": "m", "diminished triad": "dim", "augmented triad": "aug",
	"seventh": "7", "7th": "7", "dominant": "7", "dominant seventh": "7", "dominant 7th": "7", "dominant 7": "7",
	"major seventh": "maj7", "major 7th": "maj7", "major 7": "maj7",
	"minor seventh": "m7", "minor 7th": "m7", "minor 7": "m7",
	"minor major seventh": "mM7", "minor major 7th": "mM7", "minor major 7": "mM7",
	"diminished seventh": "dim7", "diminished 7th": "dim7", "diminished 7": "dim7",
	"half diminished": "ø7", "half diminished seventh": "ø7", "half diminished 7th": "ø7", "half diminished 7": "ø7",
	"augmented seventh": "7♯5", "augmented 7th": "7♯5", "augmented dominant seventh": "7♯5", "augmented dominant 7": "7♯5",
	"sixth": "6", "major sixth": "6", "minor sixth": "m6", "six nine": "6/9",
	"ninth": "9", "9th": "9", "dominant ninth": "9", "dominant 9": "9", "major ninth": "maj9", "minor ninth": "m9",
	"dominant flat nine": "7b9", "dominant flat ninth": "7b9", "dominant minor ninth": "7b9", "seventh flat nine": "7b9", "seventh flat ninth": "7b9",
	"dominant seventh flat nine": "7b9", "dominant seventh flat ninth": "7b9", "dominant 7 flat 9": "7b9", "7 flat 9": "7b9",
	"eleventh": "11", "minor eleventh": "m11", "thirteenth": "13", "minor thirteenth": "m13",
	"suspended": "sus4", "suspended fourth": "sus4", "suspended second": "sus2",
}

// A chord is the notes of a chord symbol, by the number of the degree.
type chord map[int]degree

// symbol reads what follows the root in a chord symbol, and spells the chord. A
// thirteenth has no eleventh over a major third; else every third up to the
// highest is there (common practice).
func symbol(root Name, text string) ([]Name, error) {
	text, bass, slash := cutBass(text)
	r := &symbolReader{rest: strings.NewReplacer(" ", "", "(", "", ")", "", ",", "", "♭", "b", "♯", "#").Replace(text)}
	if r.rest == "" && !slash {
		return nil, errors.New("a chord has more than a letter")
	}
	c := chord{1: degreeOf(1, 0), 3: degreeOf(3, 0), 5: degreeOf(5, 0)}
	r.quality(c)
	for r.rest != "" {
		if err := r.modifier(c); err != nil {
			return nil, err
		}
	}
	numbers := make([]int, 0, len(c))
	for n := range c {
		numbers = append(numbers, n)
	}
	slices.Sort(numbers)
	var l ladder
	for _, n := range numbers {
		l = append(l, c[n])
	}
	names := l.on(root)
	if slash {
		names = append([]Name{bass}, names...)
	}
	return names, nil
}

// cutBass takes "/G" off the end of a symbol; "6/9" has none.
func cutBass(text string) (rest string, bass Name, ok bool) {
	i := strings.LastIndex(text, "/")
	if i < 0 {
		return text, bass, false
	}
	bass, after, ok := cutName(strings.TrimSpace(text[i+1:]))
	if !ok || after != "" {
		return text, bass, false
	}
	return text[:i], bass, true
}

// A symbolReader goes through a chord symbol.
type symbolReader struct {
	rest    string
	seventh int // alteration of the seventh that the symbol means, from the major one
}

// take takes the first of some words off the front.
func (r *symbolReader) take(words ...string) bool {
	for _, w := range words {
		if after, ok := strings.CutPrefix(r.rest, w); ok {
			r.rest = after
			return true
		}
	}
	return false
}

// quality reads the triad, and then how far thirds are piled on it.
func (r *symbolReader) quality(c chord) {
	r.seventh = -1
	switch {
	case r.take("dom"): // a dominant, as the number says already
	case r.take("maj", "Maj", "ma", "M", "Δ", "△"):
		r.seventh = 0
	case r.take("min", "mi", "m", "-"):
		c[3] = degreeOf(3, -1)
		if r.take("maj", "Maj", "ma", "M", "Δ", "△") {
			r.seventh = 0
		}
	case r.take("dim", "°", "º", "o"):
		c[3], c[5] = degreeOf(3, -1), degreeOf(5, -1)
		r.seventh = -2
	case r.take("ø", "Ø"):
		c[3], c[5], c[7] = degreeOf(3, -1), degreeOf(5, -1), degreeOf(7, -1)
	case r.take("aug", "+"):
		c[5] = degreeOf(5, 1)
	}
	switch {
	case r.take("6/9", "69"):
		c[6], c[9] = degreeOf(6, 0), degreeOf(9, 0)
	case r.take("6"):
		c[6] = degreeOf(6, 0)
	case r.take("13"):
		r.pile(c, 13)
	case r.take("11"):
		r.pile(c, 11)
	case r.take("9"):
		r.pile(c, 9)
	case r.take("7"):
		r.pile(c, 7)
	case r.take("5"):
		delete(c, 3)
	}
}

// pile adds thirds from the seventh up to a number.
func (r *symbolReader) pile(c chord, to int) {
	c[7] = degreeOf(7, r.seventh)
	for n := 9; n <= to; n += 2 {
		if n == 11 && to == 13 && c[3] == degreeOf(3, 0) {
			continue
		}
		c[n] = degreeOf(n, 0)
	}
}

// modifier reads one thing that changes the chord.
func (r *symbolReader) modifier(c chord) error {
	switch {
	case r.take("sus2"):
		delete(c, 3)
		c[2] = degreeOf(2, 0)
	case r.take("sus4", "sus"):
		delete(c, 3)
		c[4] = degreeOf(4, 0)
	case r.take("maj7", "M7"):
		c[7] = degreeOf(7, 0)
	case r.take("alt"):
		delete(c, 5)
		c[7], c[8], c[9], c[11], c[13] = degreeOf(7, -1), degreeOf(9, -1), degreeOf(9, 1), degreeOf(11, 1), degreeOf(13, -1)
	case r.take("no", "omit"):
		n, err := r.number()
		if err != nil {
			return err
		}
		delete(c, n)
	case r.take("add"):
		return r.altered(c, true)
	default:
		return r.altered(c, false)
	}
	return nil
}

// altered reads a degree with its sign, such as ♭5 or ♯11; with added, also one
// without.
func (r *symbolReader) altered(c chord, added bool) error {
	before, alter := r.rest, 0
	switch {
	case r.take("b"):
		alter = -1
	case r.take("#", "+"):
		alter = 1
	case !added:
		return fmt.Errorf("%q is no part of a chord's name", before)
	}
	n, err := r.number()
	if err != nil {
		return err
	}
	key := n
	if before, twice := c[9]; twice && n == 9 && before != degreeOf(9, 0) {
		key += alter // ♭9 and ♯9 together
	}
	c[key] = degreeOf(n, alter)
	return nil
}

// number reads the number of a degree.
func (r *symbolReader) number() (int, error) {
	for _, n := range []int{13, 11, 9, 7, 6, 5, 4, 3, 2} {
		if r.take(fmt.Sprint(n)) {
			return n, nil
		}
	}
	return 0, fmt.Errorf("%q is no degree of a chord", r.rest)
}
