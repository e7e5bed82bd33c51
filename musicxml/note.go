package musicxml

import (
	"slices"
	"strings"

	"pedalogue/musicxml/internal/xmltext"
)

// note reads a note element.
func (r *reader) note(p *partReader, e *xmltext.Element) error {
	length, missing, err := r.duration(p, e)
	if err != nil {
		return err
	}
	n := Note{
		Measure: p.measure, Chord: e.Has("chord"), Hidden: e.Attr("print-object") == "no",
		Staff: 1, Voice: e.ChildText("voice"), Instrument: p.instrument, TiedTo: -1,
		Divisions: p.divisionsOrOne(), Start: e.Start, End: e.End, ties: readTies(e),
		Accidental: e.ChildText("accidental"),
	}
	grace := e.Has("grace")
	if n.Kind, err = r.pitch(e, grace, &n.Pitch); err != nil {
		return err
	}
	if s := e.Child("staff"); s != nil {
		staff, ok := whole(s.Text)
		if !ok || staff < 1 || staff > mostStaves {
			return faultAt(s, "the staff %q is not a whole number from 1 to %d", s.Trimmed(), mostStaves)
		}
		n.Staff = staff
		p.part.Staves = max(p.part.Staves, staff)
	}
	if i := e.Child("instrument"); i != nil {
		if index := p.part.instrument(i.Attr("id"), -1); index >= 0 {
			n.Instrument, n.named = index, true
		}
	}
	switch {
	case grace:
		n.Length = Frac{}
	case missing:
		r.warn("no-duration", e.Start, "a note has no duration and is read as one without length")
	default:
		n.Length = length
	}
	n.Signs = readSigns(e)
	if n.Chord && p.lastHead < 0 {
		r.warn("chord-without-note", e.Start, "a chord note stands before any note of its measure and is read as the first of its chord")
	}
	if n.cue = e.Has("cue") && n.sounds(); n.cue {
		p.cues = true
	}
	if at, out := r.reduced.leftOut[e.Start]; out && n.sounds() {
		n.Kind, n.outer, n.cue = Cue, at, false
	}
	n.String = r.reduced.held[e.Start]
	p.place(&n)
	if count := len(p.part.Notes); count == cap(p.part.Notes) {
		p.part.Notes = slices.Grow(p.part.Notes, count+64) // notes are large: copy them seldom
	}
	p.part.Notes = append(p.part.Notes, n)
	return nil
}

// place sets where a note begins and moves the cursor past it.
func (p *partReader) place(n *Note) {
	index := len(p.part.Notes)
	if n.Chord && p.lastHead >= 0 {
		n.Onset, n.Head = p.lastOnset, p.lastHead
		return
	}
	n.Onset, n.Head, n.Chord = p.cursor, index, false
	p.lastOnset, p.lastHead = p.cursor, index
	if n.Kind != Grace {
		p.advance(n.Length)
	}
	p.moved = true
}

// pitch tells what kind of note it is and reads its pitch.
func (r *reader) pitch(e *xmltext.Element, grace bool, pitch *Pitch) (Kind, error) {
	c := e.Child("pitch")
	if c == nil {
		if e.Has("unpitched") {
			return Unpitched, nil
		}
		return Rest, nil
	}
	step, octave := c.ChildText("step"), c.Child("octave")
	if len(step) != 1 || step[0] < 'A' || step[0] > 'G' {
		return 0, faultAt(c, "the step %q is not a letter from A to G", step)
	}
	if octave == nil {
		return 0, faultAt(c, "a pitch has no octave")
	}
	o, ok := whole(octave.Text)
	if !ok || o < -10 || o > 20 {
		return 0, faultAt(octave, "the octave %q is not a whole number from 0 to 9", octave.Trimmed())
	}
	pitch.Step, pitch.Octave = step[0], o
	if a := c.Child("alter"); a != nil {
		f, ok := ParseDecimal(a.Text)
		if !ok || !f.OK() || NewFrac(100, 1).Less(f) || f.Less(NewFrac(-100, 1)) {
			return 0, faultAt(a, "the alteration %q is not a number of semitones", a.Trimmed())
		}
		pitch.Alter = f
	}
	if grace {
		return Grace, nil
	}
	return Sounding, nil
}

// readTies takes the tie elements; where there is none, the printed ones.
func readTies(e *xmltext.Element) ties {
	var t ties
	for c := e.First; c != nil; c = c.Next {
		if c.Name == "tie" {
			t.start = t.start || c.Attr("type") == "start"
			t.stop = t.stop || c.Attr("type") == "stop"
		}
	}
	if t.start || t.stop || e.Has("tie") {
		return t
	}
	for n := e.First; n != nil; n = n.Next {
		if n.Name != "notations" {
			continue
		}
		for c := n.First; c != nil; c = c.Next {
			if c.Name == "tied" {
				t.printedOnly = true
				t.start = t.start || c.Attr("type") == "start"
				t.stop = t.stop || c.Attr("type") == "stop"
			}
		}
	}
	return t
}

// ornaments that are played with a neighbour of the printed note.
var neighbourOrnaments = map[string]bool{
	"trill-mark": true, "turn": true, "delayed-turn": true, "inverted-turn": true,
	"delayed-inverted-turn": true, "vertical-turn": true, "inverted-vertical-turn": true,
	"shake": true, "mordent": true, "inverted-mordent": true, "haydn": true,
}

// readSigns reads the notations that matter to a harp; nil if there are none.
func readSigns(e *xmltext.Element) *Signs {
	var s Signs
	found := false
	for n := e.First; n != nil; n = n.Next {
		if n.Name != "notations" {
			continue
		}
		for c := n.First; c != nil; c = c.Next {
			found = s.notation(c) || found
		}
	}
	if !found {
		return nil
	}
	return &s
}

// notation takes in one child of notations and reports whether it matters.
func (s *Signs) notation(c *xmltext.Element) bool {
	switch c.Name {
	case "arpeggiate":
		s.Arpeggiate = true
	case "non-arpeggiate":
		s.NonArpeggiate = true
	case "glissando", "slide":
		number := c.Attr("number")
		if number == "" {
			number = "1"
		}
		s.glissandi = append(s.glissandi, spanner{c.Name, number, c.Attr("type") == "start"})
	case "technical":
		// Over a harp's note a small circle is a harmonic, whatever it is called: some
		// files have the sign of an open string or of an open horn there.
		if !c.Has("harmonic") && !c.Has("open-string") && !c.Has("open") {
			return false
		}
		s.Harmonic = true
	case "ornaments":
		return s.ornaments(c)
	default:
		return false
	}
	return true
}

func (s *Signs) ornaments(c *xmltext.Element) bool {
	found := false
	for o := c.First; o != nil; o = o.Next {
		switch {
		case o.Name == "tremolo":
			s.Tremolo = o.Attr("type")
			if s.Tremolo == "" {
				s.Tremolo = "single"
			}
			if n, ok := whole(o.Text); ok && n >= 0 && n <= 8 {
				s.TremoloMarks = n
			}
			found = true
		case neighbourOrnaments[o.Name]:
			s.Ornaments = append(s.Ornaments, Ornament{Name: o.Name})
			found = true
		case o.Name == "accidental-mark" && len(s.Ornaments) > 0:
			alter, known := accidentals[o.Trimmed()]
			if !known {
				continue
			}
			last := &s.Ornaments[len(s.Ornaments)-1]
			if o.Attr("placement") == "below" {
				last.Below = &alter
			} else {
				last.Above = &alter
			}
		}
	}
	return found
}

// accidentals gives the alteration of the accidental-values that have one, in
// semitones. Source: MusicXML 4.0, accidental-value.
var accidentals = map[string]Frac{
	"sharp": NewFrac(1, 1), "natural": {}, "flat": NewFrac(-1, 1),
	"double-sharp": NewFrac(2, 1), "sharp-sharp": NewFrac(2, 1), "flat-flat": NewFrac(-2, 1),
	"natural-sharp": NewFrac(1, 1), "natural-flat": NewFrac(-1, 1),
	"quarter-flat": NewFrac(-1, 2), "quarter-sharp": NewFrac(1, 2),
	"three-quarters-flat": NewFrac(-3, 2), "three-quarters-sharp": NewFrac(3, 2),
	"triple-sharp": NewFrac(3, 1), "triple-flat": NewFrac(-3, 1),
}

// checkAccidentals tells the user where in a measure a harp note's printed
// accidental and its alteration disagree, and where no pedal gives the pitch.
func (r *reader) checkAccidentals(p *partReader) {
	if !p.part.Harp {
		return
	}
	for i := p.part.Measures[p.measure].FirstNote; i < len(p.part.Notes); i++ {
		n := &p.part.Notes[i]
		if !n.sounds() {
			continue
		}
		if n.Pitch.Alter.Den() != 1 {
			r.warn("microtone", n.Start, "no pedal position gives %s; the note is not sounded", n.Pitch)
		}
		if n.Accidental == "" {
			continue
		}
		if alter, known := accidentals[n.Accidental]; known && alter.Cmp(n.Pitch.Alter) != 0 {
			r.warn("accidental-contradicts-alter", n.Start,
				"the note prints %s, but the file's pitch is %s; the pitch is taken", strings.ReplaceAll(n.Accidental, "-", " "), n.Pitch)
		}
	}
}
