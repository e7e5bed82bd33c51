package reduced

import (
	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/revise"
)

// stringFor is a pitch as the string of a letter plays it.
func stringFor(p pedal.Pitch, l pedal.Letter) pedal.Pitch {
	height := 1200*p.Octave + 100*p.Letter.Semitones() + p.Cents
	for octave := p.Octave - 1; octave <= p.Octave+1; octave++ {
		if cents := height - 1200*octave - 100*l.Semitones(); cents >= -100 && cents <= 100 {
			return pedal.Pitch{Letter: l, Cents: cents, Octave: octave}
		}
	}
	return p
}

// length is how long a shortened note is, in quarter notes: as much of its written
// length as of its ticks.
func (h *harp) length(op revise.Op) musicxml.Frac {
	p := h.part.Passage
	for i := range p.Moments {
		for _, s := range p.Moments[i].Strikes {
			if s.Note == op.Note && s.End > p.Moments[i].Onset {
				return h.written(op.Note).Mul(musicxml.NewFrac(op.Ticks, s.End-p.Moments[i].Onset))
			}
		}
	}
	return musicxml.Frac{}
}

// written is the written length of a note, ties counted in.
func (h *harp) written(note int) musicxml.Frac {
	n := h.part.Note(note)
	end := n.Ends()
	for q := h.partOf(note); n.TiedTo >= 0; {
		n = &q.Notes[n.TiedTo]
		end = n.Ends()
	}
	return end.Sub(h.part.Note(note).Onset)
}

// partOf is the part in which a note stands.
func (h *harp) partOf(note int) *musicxml.Part {
	n := h.part.Note(note)
	for _, q := range h.part.Player.Parts {
		if len(q.Notes) > 0 && n.Head >= 0 && n.Head < len(q.Notes) && &q.Notes[n.Head] == n || indexIn(q, n) >= 0 {
			return q
		}
	}
	return h.part.Player.Parts[0]
}

// indexIn is the index of a note in a part; -1 if it is of another.
func indexIn(q *musicxml.Part, n *musicxml.Note) int {
	first, notes := q.NotesOf(n.Measure)
	for i := range notes {
		if &q.Notes[first+i] == n {
			return first + i
		}
	}
	return -1
}
