package musicxml

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"

	"pedalogue/musicxml/internal/insert"
	"pedalogue/musicxml/internal/xmltext"
)

// A Respelling gives a note another name for what it sounds as.
type Respelling struct {
	Part  *Part // that it stands in
	Note  int   // index into Part.Notes
	Pitch Pitch // what is written instead
}

// A SignChange is an accidental that appears on a note or goes from it because
// other notes are respelt.
type SignChange struct {
	Part  *Part  // that it stands in
	Note  int    // index into Part.Notes
	Sign  string // the MusicXML accidental-value that stands there now; "" for none
	Added bool   // it was not there before; otherwise it was taken away
}

// Respell returns the edits that rewrite notes, and those tied to them: step,
// alter, octave and accidental. Beams, ties and all else stay. It also gives
// other notes the accidentals that this makes necessary later in the measure on
// their staff, and takes away those that it makes needless; reminders stand where a
// reader would stumble, see reminders. signs are these notes. An accidental that was needless before, as a reminder, stays, and so does
// the want of one that was wanting before.
//
// An accidental holds for its line or space until the end of the measure, and
// for a note tied over the barline; common practice. [Document.StripEdits]
// brings everything back. A note that the document does not hold where it was
// read is an error, as is a context that has ended.
func (s *Score) Respell(ctx context.Context, doc *Document, list []Respelling) (edits []Edit, signs []SignChange, err error) {
	for _, p := range s.Parts {
		r := rewriter{score: s, doc: doc, part: p, pitches: map[int]Pitch{}}
		staves := map[measureStaff]bool{}
		for _, l := range list {
			if l.Part != p {
				continue
			}
			if l.Note < 0 || l.Note >= len(p.Notes) || !p.Notes[l.Note].hasPitch() {
				return nil, nil, &Error{File: doc.Name, Part: p.ID, Err: fmt.Errorf("there is no note %d with a pitch to be respelt", l.Note)}
			}
			for i := l.Note; i >= 0; i = p.Notes[i].TiedTo {
				if _, known := r.pitches[i]; known {
					break
				}
				r.pitches[i] = l.Pitch
				staves[measureStaff{p.Notes[i].Measure, p.Notes[i].Staff}] = true
			}
		}
		r.continued, r.keys = p.continuations(), keysByStaff(p, p.Keys)
		places := r.around(slices.SortedFunc(maps.Keys(staves), measureStaff.compare))
		if err := r.readAgain(ctx, places); err != nil {
			return nil, nil, err
		}
		reminded := r.reminders(places)
		for _, at := range places {
			r.staff(at, reminded)
		}
		edits = append(edits, r.edits...)
		signs = append(signs, r.signs...)
	}
	return edits, signs, nil
}

// A measureStaff is one staff of one measure: as far as an accidental holds.
type measureStaff struct{ measure, staff int }

func (a measureStaff) compare(b measureStaff) int {
	return cmp.Or(cmp.Compare(a.measure, b.measure), cmp.Compare(a.staff, b.staff))
}

// A rewriter rewrites notes of one part.
type rewriter struct {
	score     *Score
	doc       *Document
	part      *Part
	pitches   map[int]Pitch // what is written instead, by index of the note
	continued map[int]bool  // notes tied to one in an earlier measure
	keys      staffKeys
	elements  map[int]*xmltext.Element // of the notes that may change, by offset
	edits     []Edit
	signs     []SignChange
}

func (r *rewriter) pitchBefore(i int) Pitch { return r.part.Notes[i].Pitch }

func (r *rewriter) pitchAfter(i int) Pitch {
	if p, ok := r.pitches[i]; ok {
		return p
	}
	return r.part.Notes[i].Pitch
}

// staff rewrites the notes on one staff of a measure. reminded are notes that have a
// sign beyond those that the measure needs.
func (r *rewriter) staff(at measureStaff, reminded map[int]bool) {
	notes := r.part.pitched(at)
	before, after := r.needed(notes, r.pitchBefore), r.needed(notes, r.pitchAfter)
	touched := map[line]bool{}
	for _, i := range notes {
		if p, ok := r.pitches[i]; ok {
			touched[lineOf(p)], touched[lineOf(r.pitchBefore(i))] = true, true
		}
	}
	for _, i := range notes {
		wanted := after[i] || reminded[i]
		if pitch, ok := r.pitches[i]; ok {
			e := r.element(i)
			r.rewritePitch(e, pitch)
			r.setSign(i, e, wanted)
			continue
		}
		if reminded[i] || touched[lineOf(r.pitchBefore(i))] && before[i] != after[i] {
			if e := r.element(i); e.Has("accidental") != wanted && r.setSign(i, e, wanted) {
				r.note(i, wanted)
			}
		}
	}
}

// needed tells which of the notes of one staff and measure need a sign.
func (r *rewriter) needed(notes []int, pitch func(int) Pitch) map[int]bool {
	return r.part.needsSign(notes, pitch, r.keys, r.continued)
}

func (r *rewriter) note(i int, added bool) {
	c := SignChange{Part: r.part, Note: i, Added: added}
	if added {
		c.Sign = signName(r.pitchAfter(i).Alter)
	}
	r.signs = append(r.signs, c)
}

// readAgain reads the notes of staves from the document.
func (r *rewriter) readAgain(ctx context.Context, places []measureStaff) (err error) {
	var starts []int
	for _, at := range places {
		for _, i := range r.part.pitched(at) {
			starts = append(starts, r.part.Notes[i].Start)
		}
	}
	r.elements, err = r.doc.elements(ctx, starts)
	return err
}

func (r *rewriter) element(i int) *xmltext.Element { return r.elements[r.part.Notes[i].Start] }

// rewritePitch replaces the pitch element of a note, with the white space that
// it had.
func (r *rewriter) rewritePitch(note *xmltext.Element, to Pitch) {
	e := note.Child("pitch")
	step, octave := e.Child("step"), e.Child("octave")
	gap := ""
	if step.Next != nil {
		if between := string(r.doc.Text[step.End:step.Next.Start]); xmltext.Blank(between) {
			gap = between
		}
	}
	before, after := string(r.doc.Text[e.Content:step.Start]), string(r.doc.Text[octave.End:e.Close])
	if !xmltext.Blank(before) || !xmltext.Blank(after) {
		before, after = "", "" // comments, which come back with the old pitch
	}
	text := string(r.doc.Text[e.Start:e.Content]) + before + r.tag("step", string(to.Step))
	if to.Alter.Sign() != 0 {
		alter, _ := to.Alter.Decimal()
		text += gap + r.tag("alter", alter)
	}
	text += gap + r.tag("octave", itoa(to.Octave)) + after + string(r.doc.Text[e.Close:e.End])
	r.edits = append(r.edits, r.doc.Replacing(e.Start, e.End, text))
}

func (r *rewriter) tag(name, text string) string {
	name = r.score.Prefix + name
	return "<" + name + ">" + text + "</" + name + ">"
}

// setSign gives a note its accidental, or takes it away. It reports whether
// that has changed anything.
func (r *rewriter) setSign(i int, note *xmltext.Element, wanted bool) bool {
	name := signName(r.pitchAfter(i).Alter)
	e := note.Child("accidental")
	switch {
	case wanted && name == "":
		return false // no sign is known for it
	case r.part.Notes[i].LeftOut():
		return false // between comments of ours nothing changes
	case e == nil && !wanted, e != nil && wanted && e.Trimmed() == name:
		return false
	case e == nil:
		r.edits = append(r.edits, r.insertSign(note, r.tag("accidental", name)))
	case wanted:
		r.edits = append(r.edits, r.doc.Replacing(e.Start, e.End, r.tag("accidental", name)))
	default:
		r.edits = append(r.edits, r.doc.Replacing(e.Start, e.End, ""))
	}
	return true
}

// beforeSign are the children of a note that stand before its accidental.
// Source: MusicXML 4.0, note.
var beforeSign = map[string]bool{
	"grace": true, "cue": true, "chord": true, "pitch": true, "duration": true, "tie": true, "instrument": true,
	"footnote": true, "level": true, "voice": true, "type": true, "dot": true,
}

// signPlace is where an accidental belongs among the children of a note.
func signPlace(note *xmltext.Element) int {
	for c := note.First; c != nil; c = c.Next {
		if !beforeSign[c.Name] {
			return c.Start
		}
	}
	return note.Close
}

// insertSign puts an accidental where it belongs among the children of a note.
func (r *rewriter) insertSign(note *xmltext.Element, sign string) Edit {
	at := signPlace(note)
	indent, own := insert.IndentAt(r.doc.Text, at)
	line := ""
	if own {
		line = "\n" + indent
	}
	return Edit{Start: at, End: at, New: wrapped(line, sign, line) + line}
}
