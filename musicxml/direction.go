package musicxml

import (
	"slices"
	"strings"

	"pedalogue/musicxml/internal/xmltext"
)

// direction reads a direction: its texts, the pedal settings and the signs of
// the playing order in it.
func (r *reader) direction(p *partReader, e *xmltext.Element) error {
	at := p.cursor
	if o := e.Child("offset"); o != nil {
		var err error
		if at, err = p.offset(o); err != nil {
			return err
		}
	}
	staff := 1
	if c := e.Child("staff"); c != nil {
		n, ok := whole(c.Text)
		if !ok || n < 1 || n > mostStaves {
			return faultAt(c, "the staff %q is not a whole number from 1 to %d", c.Trimmed(), mostStaves)
		}
		staff = n
	}
	sound := e.Child("sound")
	if sound != nil {
		if err := r.sound(p, sound, at); err != nil {
			return err
		}
	}
	for t := e.First; t != nil; t = t.Next {
		if t.Name != "direction-type" {
			continue
		}
		for c := t.First; c != nil; c = c.Next {
			switch c.Name {
			case "words":
				p.part.Directions = append(p.part.Directions, Direction{
					Measure: p.measure, Onset: at, Staff: staff, Words: c.Text, Start: e.Start,
				})
				if sound == nil || !jumps(sound) {
					r.road[p.measure].word(c.Trimmed(), e.Start)
				}
			case "rehearsal":
				if r.road[p.measure].rehearsal == "" {
					r.road[p.measure].rehearsal = fold(c.Text)
				}
			case "segno", "coda":
				if sound == nil || !jumps(sound) {
					r.road[p.measure].sign(c.Name)
				}
			case "metronome":
				if sound == nil || sound.Attr("tempo") == "" {
					r.metronome(p, c, at)
				}
			case "pedal":
				if t := c.Attr("type"); p.part.Harp && (t == "start" || t == "change") {
					p.part.Dampers = append(p.part.Dampers, Damper{p.measure, at})
				}
			case "harp-pedals":
				if err := r.harpPedals(p, e, c, at, staff); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// offset is the time that an offset element says, from the start of the measure.
func (p *partReader) offset(o *xmltext.Element) (Frac, error) {
	f, ok := ParseDecimal(o.Text)
	if !ok || !f.OK() {
		return Frac{}, faultAt(o, "the offset %q is not a number", o.Trimmed())
	}
	at := p.cursor.Add(f.Div(p.divisionsOrOne()))
	if !at.OK() {
		return Frac{}, faultAt(o, "the offset %q is too large or too fine", o.Trimmed())
	}
	return at, nil
}

// harpPedals reads a pedal setting that stands in the score.
func (r *reader) harpPedals(p *partReader, dir, e *xmltext.Element, at Frac, staff int) error {
	h := HarpPedals{Measure: p.measure, Onset: at, Staff: staff, Start: dir.Start}
	var notch = true
	for c := e.First; c != nil; c = c.Next {
		if c.Name != "pedal-tuning" {
			continue
		}
		step, alter := c.ChildText("pedal-step"), c.ChildText("pedal-alter")
		if len(step) != 1 || step[0] < 'A' || step[0] > 'G' {
			return faultAt(c, "the pedal step %q is not a letter from A to G", step)
		}
		a, ok := ParseDecimal(alter)
		if !ok || !a.OK() {
			return faultAt(c, "the pedal alteration %q is not a number", alter)
		}
		if a.Den() != 1 || abs(a.Num()) > 1 {
			notch = false
		}
		h.add(KeyStep{step[0], a})
	}
	if p.part.Harp {
		if len(h.Duplicates) > 0 {
			r.warn("harp-pedals-duplicate", dir.Start, "a pedal setting names %s twice", letters(h.Duplicates))
		}
		if len(h.Tunings)+len(h.Duplicates) < 7 {
			r.warn("harp-pedals-incomplete", dir.Start, "a pedal setting names %d of the seven pedals", len(h.Tunings)+len(h.Duplicates))
		}
		if !notch {
			r.warn("harp-pedals-not-a-notch", dir.Start, "a pedal setting has a value between or beyond the notches flat, natural and sharp")
		}
	}
	p.part.Settings = append(p.part.Settings, h)
	return nil
}

// add takes in one pedal; one that is named twice counts as neither.
func (h *HarpPedals) add(t KeyStep) {
	if slices.Contains(h.Duplicates, t.Step) {
		return
	}
	if i := slices.IndexFunc(h.Tunings, func(k KeyStep) bool { return k.Step == t.Step }); i >= 0 {
		h.Duplicates = append(h.Duplicates, t.Step)
		h.Tunings = slices.Delete(h.Tunings, i, i+1)
		return
	}
	h.Tunings = append(h.Tunings, t)
}

func letters(steps []byte) string {
	return strings.Join(strings.Split(string(steps), ""), " and ")
}

// A tempoMark is a tempo that some part gives.
type tempoMark struct {
	Tempo
	printed bool // from a metronome mark only
}

// sound reads a sound element at a time: tempo, jumps and changes of instrument.
// An offset of its own goes before that of the direction that it stands in.
func (r *reader) sound(p *partReader, e *xmltext.Element, at Frac) error {
	if o := e.Child("offset"); o != nil {
		var err error
		if at, err = p.offset(o); err != nil {
			return err
		}
	}
	if t := e.Attr("tempo"); t != "" {
		f, ok := ParseDecimal(t)
		if !ok || !f.OK() || f.Sign() < 0 {
			return faultAt(e, "the tempo %q is not a number of quarter notes a minute", t)
		}
		r.tempo(p, at, f, false)
	}
	r.changeInstruments(p, e, at)
	r.road[p.measure].sound(e)
	return nil
}

// tempo notes a speed; one of 0 says nothing.
func (r *reader) tempo(p *partReader, at, quarter Frac, printed bool) {
	if quarter.Sign() > 0 {
		r.tempos = append(r.tempos, tempoMark{Tempo{p.measure, at, quarter}, printed})
	}
}

// noteTypes gives the length of the note types in quarter notes. Source:
// MusicXML 4.0, note-type-value.
var noteTypes = map[string]Frac{
	"maxima": NewFrac(32, 1), "long": NewFrac(16, 1), "breve": NewFrac(8, 1), "whole": NewFrac(4, 1),
	"half": NewFrac(2, 1), "quarter": NewFrac(1, 1), "eighth": NewFrac(1, 2), "16th": NewFrac(1, 4),
	"32nd": NewFrac(1, 8), "64th": NewFrac(1, 16), "128th": NewFrac(1, 32), "256th": NewFrac(1, 64),
	"512th": NewFrac(1, 128), "1024th": NewFrac(1, 256),
}

// metronome reads a metronome mark of the form beat = number a minute, where the beat may
// be several notes tied together. A mark of another form, or whose number is a text such
// as "c. 80–92", says nothing.
func (r *reader) metronome(p *partReader, e *xmltext.Element, at Frac) {
	length, known := beatLength(e)
	for c := e.First; c != nil && known; c = c.Next {
		switch c.Name {
		case "beat-unit-tied":
			var more Frac
			more, known = beatLength(c)
			length = length.Add(more)
		case "per-minute":
			digits := strings.TrimLeft(c.Trimmed(), "ca. ~≈=")
			if f, ok := ParseDecimal(digits); ok && f.OK() {
				r.tempo(p, at, f.Mul(length), true)
			}
			return
		}
	}
}

// beatLength is how long the note of a beat-unit and its dots is, in quarter notes.
func beatLength(e *xmltext.Element) (length Frac, known bool) {
	length, known = noteTypes[e.ChildText("beat-unit")]
	half := NewFrac(1, 2)
	part := length
	for c := e.First; c != nil; c = c.Next {
		if c.Name == "beat-unit-dot" {
			part = part.Mul(half)
			length = length.Add(part)
		}
	}
	return length, known
}
