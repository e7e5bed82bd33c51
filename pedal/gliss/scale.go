package gliss

import "strings"

// A ladder is the degrees of a scale above its root.
type ladder []degree

// A degree is one note of a scale or chord: how many letters and how many
// semitones above the root.
type degree struct{ letters, semitones int }

// major is the scale that degrees are counted by, in semitones above the root.
var major = [7]int{0, 2, 4, 5, 7, 9, 11}

// degreeOf is the note of a number, 1 for the root, 9 for the second an octave up,
// altered by so many semitones.
func degreeOf(number, alter int) degree {
	n := number - 1
	return degree{n % 7, major[n%7] + alter}
}

// on spells the degrees from a root.
func (l ladder) on(root Name) []Name {
	var first int
	for i, letter := range scaleOrder {
		if letter == root.Letter {
			first = i
		}
	}
	var names []Name
	for _, d := range l {
		n := Name{Letter: scaleOrder[(first+d.letters)%7]}
		natural := n.Class() - Name{Letter: root.Letter}.Class()
		// The alteration that makes the distance right, from -6 to 5.
		n.Alter = (root.Alter+d.semitones-natural+6+24)%12 - 6
		names = append(names, n)
	}
	return names
}

// steps reads a ladder: numbers by the major scale, each with its signs before it.
func steps(text string) ladder {
	var l ladder
	for _, word := range strings.Fields(text) {
		alter := strings.Count(word, "♯") - strings.Count(word, "♭")
		number := strings.TrimLeft(word, "♯♭")
		l = append(l, degreeOf(int(number[0]-'0'), alter))
	}
	return l
}

// keys are the scales that share their name with a chord: they are meant only
// where the word scale stands.
var keys = map[string]ladder{
	"major":   steps("1 2 3 4 5 6 7"),
	"minor":   steps("1 2 ♭3 4 5 ♭6 ♭7"),
	"natural": steps("1 2 3 4 5 6 7"),
}

// scales are the scales by name. Their degrees are common practice.
var scales = map[string]ladder{
	"natural minor":    steps("1 2 ♭3 4 5 ♭6 ♭7"),
	"harmonic minor":   steps("1 2 ♭3 4 5 ♭6 7"),
	"harmonic major":   steps("1 2 3 4 5 ♭6 7"),
	"melodic minor":    steps("1 2 ♭3 4 5 6 7"),
	"ionian":           steps("1 2 3 4 5 6 7"),
	"dorian":           steps("1 2 ♭3 4 5 6 ♭7"),
	"phrygian":         steps("1 ♭2 ♭3 4 5 ♭6 ♭7"),
	"lydian":           steps("1 2 3 ♯4 5 6 7"),
	"mixolydian":       steps("1 2 3 4 5 6 ♭7"),
	"aeolian":          steps("1 2 ♭3 4 5 ♭6 ♭7"),
	"locrian":          steps("1 ♭2 ♭3 4 ♭5 ♭6 ♭7"),
	"lydian dominant":  steps("1 2 3 ♯4 5 6 ♭7"),
	"acoustic":         steps("1 2 3 ♯4 5 6 ♭7"),
	"altered":          steps("1 ♭2 ♭3 ♭4 ♭5 ♭6 ♭7"),
	"phrygian major":   steps("1 ♭2 3 4 5 ♭6 ♭7"),
	"double harmonic":  steps("1 ♭2 3 4 5 ♭6 7"),
	"hungarian minor":  steps("1 2 ♭3 ♯4 5 ♭6 7"),
	"pentatonic":       steps("1 2 3 5 6"),
	"major pentatonic": steps("1 2 3 5 6"),
	"minor pentatonic": steps("1 ♭3 4 5 ♭7"),
	"blues":            steps("1 ♭3 4 ♭5 5 ♭7"),
	"whole tone":       steps("1 2 3 ♯4 ♯5 ♯6"),
	"wholetone":        steps("1 2 3 ♯4 ♯5 ♯6"),
	"hexatonic":        steps("1 ♭3 3 5 ♭6 7"),
	"octatonic":        steps("1 2 ♭3 4 ♭5 ♭6 6 7"),
	"chromatic":        steps("1 ♯1 2 ♯2 3 4 ♯4 5 ♯5 6 ♯6 7"),
}
