package part

import (
	"slices"

	"pedalogue/musicxml"
	"pedalogue/pedal"
)

// held is the pitch of a note by the name of the string to which a reduction of the score
// holds it, and that string's letter: both copies of a reduction are read alike. Where
// no string of the letter sounds it, as after an edit, it is the pitch as it is written.
func held(n *musicxml.Note) (pedal.Pitch, pedal.LetterSet) {
	pitch := PitchOf(n.Pitch)
	if n.String == 0 {
		return pitch, 0
	}
	if l, ok := pedal.ParseLetter(string(n.String)); ok {
		if to, ok := pitch.As(l); ok {
			return to, pedal.SetOf(l)
		}
	}
	return pitch, 0
}

// Held counts the notes that a reduction of the score holds to strings.
func (p *Part) Held() (count int) {
	for i := range p.Passage.Notes {
		n := p.Note(i)
		if n == nil || p.Passage.Notes[i].Implied {
			continue
		}
		if _, on := held(n); on != 0 && p.Passage.Notes[i].On == on {
			count++
		}
	}
	return count
}

// released is the part without holds to strings that a harp has not; itself where there
// are none of those.
func (p *Part) released(h pedal.Instrument) *Part {
	if p.Held() == 0 {
		return p
	}
	q := p
	for i, ways := range p.Passage.Ways(h) {
		n := &p.Passage.Notes[i]
		if n.On == 0 || slices.ContainsFunc(ways, func(s pedal.String) bool { return n.On.Has(s.Letter) }) {
			continue
		}
		if q == p {
			q = p.copy()
		}
		q.Passage.Notes[i].On = 0
		if note := p.Note(i); !n.Implied {
			q.Passage.Notes[i].Pitch = PitchOf(note.Pitch)
		}
	}
	return q
}

// free is a note without the string to which a reduction holds it: what the player pins is
// above that. It is the note itself where it is not held.
func free(n *pedal.Note, written *musicxml.Note) *pedal.Note {
	if _, on := held(written); on == 0 || n.On != on {
		return n
	}
	freed := *n
	freed.Pitch, freed.On = PitchOf(written.Pitch), 0
	return &freed
}
