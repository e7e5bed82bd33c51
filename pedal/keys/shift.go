package keys

import (
	"cmp"
	"slices"

	"pedalogue/pedal"
)

// A Shift moves music by an interval to another key. The zero value leaves it
// where it is, if that is C major.
type Shift struct {
	Semitones int // up; negative is down
	Steps     int // letters up; negative is down
	// Fifths is the key signature at the start after the shift: sharps, or flats where
	// negative, from -7 to 7.
	Fifths int
	// Name is that of the major key with this signature, with the direction where
	// another shift has the same: "E♭", "G♭ up".
	Name string
}

// Original tells whether the shift leaves the music as it is.
func (s Shift) Original() bool { return s.Semitones == 0 && s.Steps == 0 }

// majors are the major keys from seven flats to seven sharps.
var majors = [...]string{"C♭", "G♭", "D♭", "A♭", "E♭", "B♭", "F", "C", "G", "D", "A", "E", "B", "F♯", "C♯"}

// mostFifths is the number of signs of the fullest key signature.
const mostFifths = 7

// Shifts lists every shift of at most within semitones, up or down, from a key
// signature of so many fifths to one of at most seven signs, by semitones and then
// by steps.
func Shifts(fifths, within int) []Shift {
	var list []Shift
	for semitones := -within; semitones <= within; semitones++ {
		// Fifths after the shift fall by 12 with each step up; those from 7 down to -7 are keys.
		sum := fifths + 7*semitones
		for steps := ceilDiv(sum-mostFifths, 12); 12*steps <= sum+mostFifths; steps++ {
			to := sum - 12*steps
			list = append(list, Shift{Semitones: semitones, Steps: steps, Fifths: to, Name: majors[to+mostFifths]})
		}
	}
	for i := range list {
		if s := &list[i]; slices.ContainsFunc(list, func(o Shift) bool { return o.Fifths == s.Fifths && o.Semitones != s.Semitones }) {
			s.Name += direction(*s)
		}
	}
	return list
}

// direction is the word that tells two shifts to one key apart.
func direction(s Shift) string {
	switch c := cmp.Or(cmp.Compare(s.Semitones, 0), cmp.Compare(s.Steps, 0)); {
	case c > 0:
		return " up"
	case c < 0:
		return " down"
	}
	return ""
}

// ceilDiv divides by a positive number and rounds up.
func ceilDiv(a, b int) int {
	q := a / b
	if a%b > 0 {
		q++
	}
	return q
}

// scaleOrder counts the letters of an octave from C up, from 0.
var scaleOrder = [pedal.Letters]int{pedal.C: 0, pedal.D: 1, pedal.E: 2, pedal.F: 3, pedal.G: 4, pedal.A: 5, pedal.B: 6}

// letterAt has the letters in the order of scaleOrder.
var letterAt = [pedal.Letters]pedal.Letter{pedal.C, pedal.D, pedal.E, pedal.F, pedal.G, pedal.A, pedal.B}

// Pitch moves a pitch.
func (s Shift) Pitch(p pedal.Pitch) pedal.Pitch {
	place := 7*p.Octave + scaleOrder[p.Letter] + s.Steps
	octave := place / 7
	if place%7 < 0 {
		octave--
	}
	to := pedal.Pitch{Letter: letterAt[place-7*octave], Octave: octave}
	to.Cents = p.Height() + 100*s.Semitones - to.Height()
	return to
}

// Setting moves a setting of the pedals as the pitches that it sounds. A pedal that
// would have to stand in none of its notches stands at natural.
func (s Shift) Setting(from pedal.Setting) (to pedal.Setting) {
	for l, position := range from {
		const octave = 4 // any one
		p := s.Pitch(pedal.Pitch{Letter: pedal.Letter(l), Cents: 100 * int(position), Octave: octave})
		if p.Cents >= -100 && p.Cents <= 100 {
			to[p.Letter] = pedal.Position(p.Cents / 100)
		}
	}
	return to
}

// Passage returns a copy of a passage, moved. What it shares with the original is
// not changed by either.
func (s Shift) Passage(p *pedal.Passage) *pedal.Passage {
	moved := *p
	moved.Key = s.Setting(p.Key)
	moved.Notes = slices.Clone(p.Notes)
	for i := range moved.Notes {
		n := &moved.Notes[i]
		n.Pitch = s.Pitch(n.Pitch)
		if !s.Original() {
			n.On = 0 // strings are chosen for one key
		}
	}
	return &moved
}
