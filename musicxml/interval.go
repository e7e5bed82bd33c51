package musicxml

import "strings"

// An Interval is how far music is moved, up where positive. Steps are those of the
// staff: a minor third up is 3 semitones and 2 steps, an augmented second 3 and 1.
// The zero value moves nothing.
type Interval struct {
	Semitones, Steps int // up where positive
}

// Fifths returns by how many fifths the interval moves a key signature: sharps more
// or flats fewer.
func (i Interval) Fifths() int { return 7*i.Semitones - 12*i.Steps }

// stepLetters are the steps of an octave from C, stepSemitones how high they lie in it.
const stepLetters = "CDEFGAB"

var stepSemitones = [...]int{0, 2, 4, 5, 7, 9, 11}

// Move returns the pitch that lies the interval away. Its alteration is whatever
// that takes, however large.
func (i Interval) Move(p Pitch) Pitch {
	from := p.Octave*len(stepLetters) + strings.IndexByte(stepLetters, p.Step)
	to := from + i.Steps
	moved := Pitch{Octave: floorDiv(to, len(stepLetters))}
	moved.Step = stepLetters[to-moved.Octave*len(stepLetters)]
	moved.Alter = p.Alter.Add(NewFrac(int64(i.Semitones-naturalHeight(to)+naturalHeight(from)), 1))
	return moved
}

// naturalHeight is the height of a step, counted from C0, in semitones from there.
func naturalHeight(step int) int {
	octave := floorDiv(step, len(stepLetters))
	return 12*octave + stepSemitones[step-octave*len(stepLetters)]
}

func floorDiv(a, b int) int {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// moveStep moves a pitch without an octave, as that of a chord or of a key
// signature, and returns by how many octaves it has come out of its own.
func (i Interval) moveStep(k KeyStep) (KeyStep, int) {
	p := i.Move(Pitch{Step: k.Step, Alter: k.Alter})
	return KeyStep{p.Step, p.Alter}, p.Octave
}

// mostFifths is the most sharps or flats of a key signature.
const mostFifths = 7

// asKey returns the interval by which a section in a key of so many fifths moves,
// and its new key: one beyond seven sharps or flats is spelt otherwise, by a step
// more or less for the same semitones.
func (i Interval) asKey(fifths int) (Interval, int) {
	moved := fifths + i.Fifths()
	for ; moved > mostFifths; moved -= 12 {
		i.Steps++
	}
	for ; moved < -mostFifths; moved += 12 {
		i.Steps--
	}
	return i, moved
}
