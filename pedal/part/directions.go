package part

import (
	"pedalogue/musicxml"
	"pedalogue/pedal"
)

// directions turns the page into directions.
func (p *Page) directions(style Style) []musicxml.Mark {
	var list []musicxml.Mark
	for i := range p.Marks {
		m := &p.Marks[i]
		base := p.above(m.Place)
		if !m.Full {
			base = p.beside(m.Place, style.Side)
			base.Words = style.Language.Changes(m.Pedals)
			list = append(list, base)
			continue
		}
		if style.Form != Letters {
			diagram := base
			diagram.Pedals = tunings(m.Setting())
			list = append(list, diagram)
		}
		if style.Form != Diagram {
			base.Words = style.Language.Setting(m.Setting())
			list = append(list, base)
		}
	}
	for _, r := range p.Resets {
		m := p.beside(r.Place, style.Side)
		m.Words = style.Language.Repeat(r.Pedals)
		list = append(list, m)
	}
	if c := p.Closing; c != nil {
		m := p.beside(c.Place, style.Side)
		m.Words = style.Language.AtEnd(c.Pedals)
		list = append(list, m)
	}
	return list
}

// above is a mark over the top staff at a place.
func (p *Page) above(at Place) musicxml.Mark { return p.part.above(at) }

// beside is a mark at a place, on the side where changes are written.
func (p *Page) beside(at Place, where Side) musicxml.Mark { return p.part.beside(at, where) }

// Direction is a mark as it is written into the score by itself, a full setting as
// letters or, with diagram, as a harp-pedals element.
func (p *Part) Direction(m *Mark, style Style, diagram bool) musicxml.Mark {
	if !m.Full {
		d := p.beside(m.Place, style.Side)
		d.Words = style.Language.Changes(m.Pedals)
		return d
	}
	d := p.above(m.Place)
	if diagram {
		d.Pedals = tunings(m.Setting())
	} else {
		d.Words = style.Language.Setting(m.Setting())
	}
	return d
}

// at is a place of a measure, the end of the measure if it is behind all of them.
func (p *Part) at(place Place) written {
	if moments := p.written[place.Measure].moments; place.At < len(moments) {
		return moments[place.At]
	}
	return written{offset: p.Score.Measures[place.Measure].Length}
}

func (p *Part) above(at Place) musicxml.Mark {
	w := p.at(at)
	m := musicxml.Mark{Measure: at.Measure, Offset: w.offset, Before: -1, Part: p.Player.Parts[0], Staff: 1, Placement: "above"}
	beforeGrace(&m, w)
	return m
}

func (p *Part) beside(at Place, where Side) musicxml.Mark {
	m := p.above(at)
	switch where {
	case Below:
		bottom := p.Player.Parts[len(p.Player.Parts)-1]
		m.Part, m.Staff, m.Placement, m.Before = bottom, bottom.Staves, "below", -1
		beforeGrace(&m, p.at(at))
	case Between:
		m.Placement = "below"
	}
	return m
}

// beforeGrace puts the mark of a grace moment before its first note.
func beforeGrace(m *musicxml.Mark, w written) {
	if w.grace.part != nil {
		m.Part, m.Before = w.grace.part, w.grace.index
		m.Staff = min(m.Staff, m.Part.Staves)
	}
}

// tunings writes a setting in the order of the pedals.
func tunings(s pedal.Setting) []musicxml.KeyStep {
	var list []musicxml.KeyStep
	for l, position := range s {
		list = append(list, musicxml.KeyStep{Step: pedal.Letter(l).String()[0], Alter: musicxml.NewFrac(int64(position), 1)})
	}
	return list
}
