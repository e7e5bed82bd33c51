package musicxml

import (
	"strings"

	"pedalogue/musicxml/internal/xmltext"
)

// A partReader is a part in the making: its cursor and what is in force.
type partReader struct {
	part   *Part
	index  int  // in the part-list, from 0
	opened bool // its part element has been seen

	divisions       Frac // 0 before the first
	warnedDivisions bool
	instrument      int  // index into part.Instruments; -1 if there is none
	asHarp          bool // the user takes it as a harp, though none of its instruments is one
	changes         []instrumentChange
	repeatStaves    map[string]bool // measure-repeat signs in force, by staff
	small           cueCount        // cue notes that sound
	silentCues      cueCount        // cue notes of another player
	cues            bool            // the measure has cue notes

	measure                  int  // index of the current measure
	content                  int  // offset after its start tag
	cursor                   Frac // from the start of the measure
	farthest                 Frac
	moved                    bool // a note, backup or forward has been read
	lastOnset                Frac // of the last note without chord
	lastHead                 int  // its index
	head                     int
	headDivisions            Frac
	barlineStart, barlineEnd int // offsets of the last barline; 0 if there was none

	inRest, restLeft int // of a rest of several measures: how many have been read, and are to come
}

// beginMeasure sets the cursor to the start of a new measure.
func (p *partReader) beginMeasure(number string, inside *xmltext.Element, index int) {
	p.part.Measures = append(p.part.Measures, PartMeasure{Number: number, FirstNote: len(p.part.Notes), Tag: inside.Start})
	p.measure, p.content = index, inside.Content
	p.cursor, p.farthest, p.lastOnset = Frac{}, Frac{}, Frac{}
	p.moved, p.lastHead, p.head = false, -1, -1
	p.barlineStart, p.barlineEnd = 0, 0
}

// emptyMeasure is a measure that a timewise score does not give the part.
func (p *partReader) emptyMeasure(number string) {
	p.part.Measures = append(p.part.Measures, PartMeasure{
		Number: number, FirstNote: len(p.part.Notes), Tag: -1, Head: -1, End: -1,
		HeadDivisions: p.divisionsOrOne(), EndDivisions: p.divisionsOrOne(),
	})
}

// endMeasure closes the measure after its last child.
func (r *reader) endMeasure(p *partReader) error {
	m := &p.part.Measures[p.measure]
	m.End = r.scan.TokenStart()
	if p.barlineEnd > 0 && xmltext.Blank(string(r.doc.Text[p.barlineEnd:m.End])) {
		m.End = p.barlineStart
	}
	r.settleCues(p)
	r.checkAccidentals(p)
	p.countRest(m)
	m.Cursor, m.EndDivisions = p.cursor, p.divisionsOrOne()
	m.Head, m.HeadDivisions = p.head, p.headDivisions
	if p.head < 0 {
		m.Head, m.HeadDivisions = p.content, p.divisionsOrOne()
	}
	if r.farthest[p.measure].Less(p.farthest) {
		r.farthest[p.measure] = p.farthest
	}
	if len(p.repeatStaves) > 0 && p.silent(p.measure) {
		r.warn("measure-repeat-without-notes", m.Tag,
			"this measure shows a sign to play the measures before it again, and the file does not hold their notes: they are not counted")
	}
	return nil
}

// countRest counts a measure of a rest of several measures, which ends early where
// something is played.
func (p *partReader) countRest(m *PartMeasure) {
	if p.restLeft <= 0 || !p.silent(p.measure) {
		p.restLeft, m.RestHead = 0, 0
		return
	}
	p.inRest++
	p.restLeft--
	m.InRest = p.inRest
}

// silent reports whether the part has no note in a measure.
func (p *partReader) silent(measure int) bool {
	for i := p.part.Measures[measure].FirstNote; i < len(p.part.Notes); i++ {
		if p.part.Notes[i].Kind != Rest {
			return false
		}
	}
	return true
}

func (p *partReader) divisionsOrOne() Frac {
	if p.divisions.Sign() == 0 {
		return NewFrac(1, 1)
	}
	return p.divisions
}

// duration reads the duration child of an element as quarter notes; missing
// reports that there is none.
func (r *reader) duration(p *partReader, e *xmltext.Element) (length Frac, missing bool, err error) {
	d := e.Child("duration")
	if d == nil {
		return Frac{}, true, nil
	}
	f, ok := ParseDecimal(d.Text)
	switch {
	case !ok:
		return Frac{}, false, faultAt(d, "the duration %q is not a number", d.Trimmed())
	case !f.OK():
		return Frac{}, false, faultAt(d, "the duration %q is too large or too fine", d.Trimmed())
	case f.Sign() < 0:
		return Frac{}, false, faultAt(d, "the duration %q is negative", d.Trimmed())
	}
	if p.divisions.Sign() == 0 && !p.warnedDivisions {
		p.warnedDivisions = true
		r.warn("no-divisions", e.Start, "a duration is used before the part says how many divisions a quarter note has; one division is read as a quarter note")
	}
	return f.Div(p.divisionsOrOne()), false, nil
}

// advance moves the cursor forward.
func (p *partReader) advance(length Frac) {
	p.cursor = p.cursor.Add(length)
	if p.farthest.Less(p.cursor) {
		p.farthest = p.cursor
	}
	p.moved = true
}

// moveCursor reads a backup or forward.
func (r *reader) moveCursor(p *partReader, e *xmltext.Element) error {
	length, missing, err := r.duration(p, e)
	if err != nil {
		return err
	}
	if missing {
		r.warn("no-duration", e.Start, "a <%s> has no duration and moves nothing", e.Name)
	}
	if e.Name == "forward" {
		p.advance(length)
		return nil
	}
	p.moved = true
	p.cursor = p.cursor.Sub(length)
	if p.cursor.Sign() < 0 {
		r.warn("backup-before-start", e.Start,
			"a backup goes %v quarter notes before the start of the measure; the start is taken", Frac{}.Sub(p.cursor))
		p.cursor = Frac{}
	}
	return nil
}

// attributes reads divisions, key, time, staves, clef, transposition and signs
// of repetition.
func (r *reader) attributes(p *partReader, e *xmltext.Element) error {
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "divisions":
			f, ok := ParseDecimal(c.Text)
			if !ok || !f.OK() || f.Sign() <= 0 {
				return faultAt(c, "the divisions %q are not a positive number", c.Trimmed())
			}
			p.divisions = f
		case "key":
			if err := r.key(p, c); err != nil {
				return err
			}
		case "time":
			r.time(p, c)
		case "staves":
			n, ok := whole(c.Text)
			if !ok || n < 1 || n > mostStaves {
				return faultAt(c, "the number of staves %q is not a whole number from 1 to %d", c.Trimmed(), mostStaves)
			}
			p.part.Staves = max(p.part.Staves, n)
		case "clef":
			n, ok := whole(c.Attr("number"))
			if !ok {
				n = 1
			}
			if _, known := p.part.Clefs[n]; !known {
				p.part.Clefs[n] = c.ChildText("sign")
			}
		case "transpose":
			r.transpose(p, c)
		case "measure-style":
			p.measureStyle(e, c)
		}
	}
	return nil
}

// mostStaves is the most staves that a part may have.
const mostStaves = 100

// staffNumber reads the number attribute of a key or transposition: 0, all
// staves, where there is none.
func staffNumber(e *xmltext.Element) int {
	n, ok := whole(e.Attr("number"))
	if !ok {
		return 0
	}
	return n
}

func (r *reader) key(p *partReader, e *xmltext.Element) error {
	k := Key{Measure: p.measure, Onset: p.cursor, Staff: staffNumber(e), Start: e.Start}
	if f := e.Child("fifths"); f != nil {
		n, ok := whole(f.Text)
		if !ok || n < -99 || n > 99 {
			return faultAt(f, "the key signature %q is not a number of sharps or flats", f.Trimmed())
		}
		k.Fifths = n
		p.part.Keys = append(p.part.Keys, k)
		return nil
	}
	var step byte
	k.Steps = []KeyStep{}
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "key-step":
			t := c.Trimmed()
			if len(t) != 1 || t[0] < 'A' || t[0] > 'G' {
				return faultAt(c, "the key step %q is not a letter from A to G", t)
			}
			step = t[0]
		case "key-alter":
			a, ok := ParseDecimal(c.Text)
			if !ok || !a.OK() || step == 0 {
				return faultAt(c, "the key alteration %q is not a number after a step", c.Trimmed())
			}
			k.Steps = append(k.Steps, KeyStep{step, a})
		}
	}
	p.part.Keys = append(p.part.Keys, k)
	return nil
}

// A meter is what a time signature says of its measures.
type meter struct {
	length, beat Frac
	known        bool
}

// time reads a time signature; the first part that gives one decides. A
// signature that is not a number is left to the durations, with a warning.
func (r *reader) time(p *partReader, e *xmltext.Element) {
	if r.times[p.measure].known {
		return
	}
	m := meter{known: true}
	var beats string
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "beats":
			beats = c.Text
		case "beat-type":
			unit, ok := whole(c.Text)
			if !ok || unit < 1 || unit > 1<<20 {
				r.warnMeter(c)
				return
			}
			quarter := NewFrac(4, int64(unit))
			for _, b := range strings.Split(beats, "+") {
				n, ok := whole(b)
				if !ok || n < 1 || n > 1<<20 {
					r.warnMeter(e.Child("beats"))
					return
				}
				m.length = m.length.Add(quarter.Mul(NewFrac(int64(n), 1)))
				m.beat = beatOf(n, unit)
			}
		}
	}
	if m.length.Sign() > 0 {
		r.times[p.measure] = m
	}
}

// warnMeter says that a time signature is not taken; e is what is wrong in it.
func (r *reader) warnMeter(e *xmltext.Element) {
	if e != nil {
		r.warn("number-not-read", e.Start, "the <%s> %q is not a number of a time signature; the signature is not taken", e.Name, e.Trimmed())
	}
}

// beatOf is the length of a beat in quarter notes: three units in compound time
// (6/8, 9/8, 12/8 and their like), else one. Common practice.
func beatOf(beats, unit int) Frac {
	if unit >= 8 && beats > 3 && beats%3 == 0 {
		return NewFrac(12, int64(unit))
	}
	return NewFrac(4, int64(unit))
}

func (r *reader) transpose(p *partReader, e *xmltext.Element) {
	t := Transpose{Measure: p.measure, Onset: p.cursor, Staff: staffNumber(e)}
	t.Diatonic = r.number(e.Child("diatonic"))
	t.Chromatic = r.number(e.Child("chromatic"))
	t.Octave = r.number(e.Child("octave-change"))
	p.part.Transposes = append(p.part.Transposes, t)
}

// number reads a whole number, which may be written as a decimal, on which no
// pedal depends; 0 where there is none, with a warning where there is something
// else.
func (r *reader) number(e *xmltext.Element) int {
	if e == nil {
		return 0
	}
	f, ok := ParseDecimal(e.Text)
	if !ok || !f.OK() || f.Den() != 1 {
		r.warn("number-not-read", e.Start, "the <%s> %q is not a whole number and is not taken", e.Name, e.Trimmed())
		return 0
	}
	return int(f.Num())
}

// measureStyle follows the signs that say "the same again", and rests of several
// measures.
func (p *partReader) measureStyle(attributes, e *xmltext.Element) {
	if n, ok := whole(e.ChildText("multiple-rest")); ok && !p.moved {
		p.inRest, p.restLeft = 0, n
		if alone := attributes.First == e && e.Next == nil; alone || p.measure > 0 {
			p.part.Measures[p.measure].RestHead = attributes.Start
		}
	}
	c := e.Child("measure-repeat")
	if c == nil {
		return
	}
	staff := e.Attr("number")
	if c.Attr("type") == "start" {
		if p.repeatStaves == nil {
			p.repeatStaves = map[string]bool{}
		}
		p.repeatStaves[staff] = true
		return
	}
	delete(p.repeatStaves, staff)
}
