package part

import (
	"pedalogue/musicxml"
	"pedalogue/pedal"
)

// At is where a note of the passage stands in the score: its part, and its index
// there; nil for one that stands for none.
func (p *Part) At(note int) (*musicxml.Part, int) {
	if p.Note(note) == nil {
		return nil, -1
	}
	return p.notes[note].part, p.notes[note].index
}

// Written is a pitch as a score says it.
func Written(p pedal.Pitch) musicxml.Pitch {
	return musicxml.Pitch{Step: p.Letter.String()[0], Alter: musicxml.NewFrac(int64(p.Cents), 100), Octave: p.Octave}
}

// StaffIn is the staff of a part of the player on which a staff of the player lies,
// both counted from 1; ok is false for another part's.
func (p *Part) StaffIn(q *musicxml.Part, staff int) (in int, ok bool) {
	for _, o := range p.Player.Parts {
		if o == q {
			return staff, staff >= 1 && staff <= o.Staves
		}
		staff -= o.Staves
	}
	return 0, false
}
