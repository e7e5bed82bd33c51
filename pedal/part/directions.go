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
func (p *Page) above(at Place) musicxml.Mark {
	w := p.part.written[at.Measure].moments[at.At]
	m := musicxml.Mark{Measure: at.Measure, Offset: w.offset, Before: -1, Part: p.part.Player.Parts[0], Staff: 1, Placement: "above"}
	beforeGrace(&m, w)
	return m
}

// beside is a mark at a place, on the side where changes are written.
func (p *Page) beside(at Place, where Side) musicxml.Mark {
	m := p.above(at)
	switch where {
	case Below:
		bottom := p.part.Player.Parts[len(p.part.Player.Parts)-1]
		m.Part, m.Staff, m.Placement, m.Before = bottom, bottom.Staves, "below", -1
		beforeGrace(&m, p.part.written[at.Measure].moments[at.At])
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
