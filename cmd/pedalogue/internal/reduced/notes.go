package reduced

import (
	"slices"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/revise"
	"pedalogue/report"
)

// pitchText is the pitch of a note as reports write it; "" for none.
func pitchText(n *musicxml.Note) string {
	if n.Kind == musicxml.Rest || n.Kind == musicxml.Unpitched {
		return ""
	}
	return part.PitchOf(n.Pitch).String()
}

// ticks is how long a note is, in ticks of the passage, and its written length, ties
// counted in; 0 and 0 if it is never struck.
func (h *harp) ticks(note int) (ticks int64, length musicxml.Frac) {
	p := h.part.Passage
	for i := range p.Moments {
		for _, s := range p.Moments[i].Strikes {
			if s.Note == note && s.End > p.Moments[i].Onset {
				return s.End - p.Moments[i].Onset, h.written(note)
			}
		}
	}
	return 0, musicxml.Frac{}
}

// length is how long a shortened note is, in quarter notes.
func (h *harp) length(op revise.Op) musicxml.Frac {
	ticks, all := h.ticks(op.Note)
	if ticks == 0 {
		return musicxml.Frac{}
	}
	return all.Mul(musicxml.NewFrac(op.Ticks, ticks))
}

// words say what operations do, and after how long notes end that end sooner: "End C4
// sooner, after 2 quarter notes."
func (h *harp) words(ops []revise.Op) string {
	text := revise.Sentence(&h.part.Music, ops)
	var lengths []musicxml.Frac
	for _, op := range ops {
		if op.Do != revise.Shorten {
			return text
		}
		if l := h.length(op); !slices.Contains(lengths, l) {
			lengths = append(lengths, l)
		}
	}
	if len(lengths) != 1 {
		return text
	}
	return strings.TrimSuffix(text, ".") + ", after " + report.Quarters(lengths[0].String()) + "."
}

// shorter lists how short a note can be written, in ticks, longest first.
func (h *harp) shorter(note int) []int64 {
	q, i := h.part.At(note)
	ticks, all := h.ticks(note)
	if q == nil || ticks == 0 {
		return nil
	}
	var list []int64
	for _, length := range q.Shorter(i) {
		if t := length.Mul(musicxml.NewFrac(ticks, 1)).Div(all); t.Den() == 1 && t.Num() > 0 && t.Num() < ticks {
			list = append(list, t.Num())
		}
	}
	return list
}

// written is the written length of a note, ties counted in.
func (h *harp) written(note int) musicxml.Frac {
	q, i := h.part.At(note)
	last := i
	for range q.Notes {
		if q.Notes[last].TiedTo < 0 {
			break
		}
		last = q.Notes[last].TiedTo
	}
	return q.Notes[last].Ends().Sub(q.Notes[i].Onset)
}

// revisions are what the operations change in the score.
func (h *harp) revisions() []musicxml.Revision {
	var list []musicxml.Revision
	pitches := map[int]pedal.Pitch{} // an octave and another string are one change
	for _, op := range h.result.Ops {
		q, i := h.part.At(op.Note)
		rev := musicxml.Revision{Part: q, Note: i}
		switch op.Do {
		case revise.LeaveOut:
			rev.Do = musicxml.TakeOut
		case revise.Grace:
			rev.Do = musicxml.AsGrace
		case revise.Octave, revise.OtherString:
			pitch, known := pitches[op.Note]
			if !known {
				pitch = h.part.Passage.Notes[op.Note].Pitch
			}
			if op.Do == revise.Octave {
				pitch.Octave += op.Octaves
			} else {
				pitch, rev.Hold = pitch.As(op.Letter)
			}
			pitches[op.Note] = pitch
			rev.Do, rev.Pitch = musicxml.Repitch, part.Written(pitch)
		case revise.OtherHand:
			staff, ok := h.part.StaffIn(q, op.Staff)
			if !ok {
				continue // the staff of another part, which cannot be written
			}
			rev.Do, rev.Staff = musicxml.Restaff, staff
		case revise.Shorten:
			rev.Do, rev.Length = musicxml.CutShort, h.length(op)
		case revise.Roll:
			list = append(list, h.rolls(op.Note)...)
			continue
		}
		list = append(list, rev)
	}
	return list
}

// rolls are the arpeggio signs of all that is struck with a note and stays.
func (h *harp) rolls(note int) []musicxml.Revision {
	p := h.part.Passage
	for i := range p.Moments {
		strikes := p.Moments[i].Strikes
		if !slices.ContainsFunc(strikes, func(s pedal.Strike) bool { return s.Note == note }) {
			continue
		}
		var list []musicxml.Revision
		for _, s := range strikes {
			gone := slices.ContainsFunc(h.result.Ops, func(o revise.Op) bool {
				return o.Note == s.Note && (o.Do == revise.LeaveOut || o.Do == revise.Grace)
			})
			if q, at := h.part.At(s.Note); q != nil && !gone && !p.Notes[s.Note].Implied {
				list = append(list, musicxml.Revision{Part: q, Note: at, Do: musicxml.RollIt})
			}
		}
		return list
	}
	return nil
}

// holds are the strings that are chosen for notes.
func (h *harp) holds() (list []musicxml.Hold) {
	for _, op := range h.result.Ops {
		if q, i := h.part.At(op.Note); op.Do == revise.OtherString {
			list = append(list, musicxml.Hold{NoteAt: musicxml.NoteAt{Part: q, Note: i}, String: op.Letter.String()[0]})
		}
	}
	return list
}

// texts tell above the notes what is done to them, other than leaving them out.
func (h *harp) texts() []musicxml.Mark {
	type chordAt struct {
		part           *musicxml.Part
		measure, staff int
		onset          musicxml.Frac
		before         int // the grace note that begins them; -1 if they are none
	}
	byChord := map[chordAt][]revise.Op{}
	var order []chordAt
	for _, op := range h.result.Ops {
		if op.Do == revise.LeaveOut {
			continue
		}
		q, i := h.part.At(op.Note)
		n := &q.Notes[i]
		at := chordAt{part: q, staff: n.Staff, measure: n.Measure, onset: n.Onset, before: -1}
		if n.Kind == musicxml.Grace {
			at.before = n.Head
		}
		if byChord[at] == nil {
			order = append(order, at)
		}
		byChord[at] = append(byChord[at], op)
	}
	var list []musicxml.Mark
	for _, at := range order {
		list = append(list, musicxml.Mark{
			Part: at.part, Measure: at.measure, Offset: at.onset.Sub(h.part.Score.Measures[at.measure].Start), Before: at.before, Staff: at.staff,
			Placement: "above", Words: strings.TrimSuffix(h.words(byChord[at]), "."), Small: true, Italic: true,
		})
	}
	return list
}
