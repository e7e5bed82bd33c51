package extract

import (
	"slices"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
)

// Where a cue lies that is written otherwise than the upper staff stands, in semitones
// from C0, by the mean of its notes: in a treble clef instead of a bass clef from middle
// C on, in a bass clef instead of a treble clef below the A under it, and an octave lower
// with a line that says so, up to its end, what lies above the third ledger line there
// with no note that would then be below the staff. Common practice.
var (
	cueHigh    = musicxml.NewFrac(12*4, 1)
	cueLow     = musicxml.NewFrac(12*3+9, 1)
	cueHighest = musicxml.NewFrac(12*6+4, 1)
	cueLeast   = musicxml.NewFrac(12*5+2, 1) // the lowest note that is written an octave lower
)

// inClef puts a clef in front of a cue that could not be read well in the one in which
// the upper staff stands, and the clef that was there behind it. Where the part changes
// its clef meanwhile, all stays as it is.
func (w *cueWriter) inClef(c *cue, written map[int][]*etree.Element) {
	was := &clefSign{sign: "G"}
	for i := range w.clefs {
		f := &w.clefs[i]
		if f.part != w.part || f.staff > 1 {
			continue
		}
		if f.measure > c.from && f.measure < c.to || f.measure == c.from && f.offset.Sign() > 0 {
			return
		}
		if f.measure <= c.from {
			was = f
		}
	}
	var to *etree.Element
	switch height := w.heightOf(c); {
	case was.sign == "F" && cueHigh.Less(height):
		to = w.clef("G", "2")
	case was.sign == "G" && height.Less(cueLow):
		to = w.clef("F", "4")
	default:
		return
	}
	// At the very start of the measure, where every reader looks for clefs.
	if w.hasRoom(c.from) {
		w.after(w.part.Measures[c.from].Head, c.from, to)
	} else {
		written[c.from] = slices.Insert(written[c.from], 1, to) // behind the way back
	}
	back := w.clef("G", "2")
	if was.element != nil {
		back = w.element("attributes")
		back.AddChild(was.element.Copy())
	}
	written[c.to-1] = append(written[c.to-1], back)
}

// heightOf is the mean of the notes of a cue, in semitones from C0.
func (w *cueWriter) heightOf(c *cue) musicxml.Frac {
	m, _ := w.melodyOf(c.source, c.voice, c)
	return m.height
}

// octaveLower is the note from which on a cue is written an octave lower; nil for none.
func (w *cueWriter) octaveLower(c *cue) (from *musicxml.Note) {
	var sum musicxml.Frac
	count := int64(0)
	notes := topNotes(c)
	for i := len(notes) - 1; i >= 0; i-- {
		if notes[i].Kind != musicxml.Sounding {
			continue
		}
		h := height(concert(c.source, notes[i]))
		if h.Less(cueLeast) {
			break
		}
		from, sum, count = notes[i], sum.Add(h), count+1
	}
	if count == 0 || !cueHighest.Mul(musicxml.NewFrac(count, 1)).Less(sum) {
		return nil
	}
	return from
}

// octaveLine begins or ends the line over what is written an octave lower.
func (w *cueWriter) octaveLine(role string) *etree.Element {
	d := w.element("direction")
	d.CreateAttr("placement", "above")
	shift := w.child(w.child(d, "direction-type", ""), "octave-shift", "")
	shift.CreateAttr("type", role)
	shift.CreateAttr("number", itoa(mostLines)) // that of no line of the part's own
	shift.CreateAttr("size", "8")
	w.staff(d)
	return d
}

// clef makes a change of the upper staff's clef.
func (w *cueWriter) clef(sign, line string) *etree.Element {
	a := w.element("attributes")
	c := w.child(a, "clef", "")
	if w.part.Staves > 1 {
		c.CreateAttr("number", "1")
	}
	w.child(c, "sign", sign)
	w.child(c, "line", line)
	return a
}
