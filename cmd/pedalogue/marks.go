package main

import (
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal"
)

// A side is where the changes are written.
type side string

// The sides. Marks between the staves are against the rule of notation manuals
// [EIN-notating], but customary in parts that players have edited (common
// practice).
const (
	sideBelow   side = "below"
	sideAbove   side = "above"
	sideBetween side = "between"
)

// A markStyle says how the marks of a page are written.
type markStyle struct {
	side     side
	form     settingForm
	language pedal.Language
}

// directions turns the page into directions.
func (p *page) directions(style markStyle) []musicxml.Mark {
	var list []musicxml.Mark
	for i := range p.marks {
		m := &p.marks[i]
		base := p.above(m.place)
		if !m.full() {
			base = p.beside(m.place, style.side)
			base.Words = changeWords(m.changes, style.language)
			list = append(list, base)
			continue
		}
		if style.form.diagram {
			diagram := base
			diagram.Pedals = tunings(m.setting)
			list = append(list, diagram)
		}
		if style.form.letters {
			base.Words = settingWords(m.setting, style.language)
			list = append(list, base)
		}
	}
	for _, r := range p.resets {
		m := p.beside(r.place, style.side)
		m.Words = resetWords[style.language] + " " + strings.ReplaceAll(changeWords(r.changes, style.language), "\n", between)
		list = append(list, m)
	}
	return list
}

// resetWords stand before changes that a jump back needs.
var resetWords = [...]string{pedal.English: "for the repeat:", pedal.French: "pour la reprise :", pedal.German: "für die Wiederholung:"}

// above is a mark over the top staff at a place.
func (p *page) above(at place) musicxml.Mark {
	w := p.bridge.written[at.measure].moments[at.at]
	m := musicxml.Mark{Measure: at.measure, Offset: w.offset, Before: -1, Part: p.bridge.player.Parts[0], Staff: 1, Placement: "above"}
	beforeGrace(&m, w)
	return m
}

// beside is a mark at a place, on the side where changes are written.
func (p *page) beside(at place, where side) musicxml.Mark {
	m := p.above(at)
	switch where {
	case sideBelow:
		bottom := p.bridge.player.Parts[len(p.bridge.player.Parts)-1]
		m.Part, m.Staff, m.Placement, m.Before = bottom, bottom.Staves, "below", -1
		beforeGrace(&m, p.bridge.written[at.measure].moments[at.at])
	case sideBetween:
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

// between parts the pedals of one line: a no-break space, since programs that
// look for printed jumps take "D C" for da capo.
const between = "\u00a0"

// settingWords writes a full setting as letters on two lines, the right foot
// over the left, a bare letter being natural [EIN-notating].
func settingWords(s pedal.Setting, language pedal.Language) string {
	var feet [2][]string
	for l := range pedal.Letter(pedal.Letters) {
		feet[l.Foot()] = append(feet[l.Foot()], language.Word(l, s[l], true))
	}
	return footLines(feet)
}

// changeWords writes changes with their new signs, the right foot over the left
// [EIN-notating].
func changeWords(changes map[pedal.Letter]pedal.Position, language pedal.Language) string {
	var feet [2][]string
	for l := range pedal.Letter(pedal.Letters) {
		if position, ok := changes[l]; ok {
			feet[l.Foot()] = append(feet[l.Foot()], language.Word(l, position, false))
		}
	}
	return footLines(feet)
}

// footLines writes the right foot's words over the left foot's; a foot without
// any has no line.
func footLines(feet [2][]string) string {
	var lines []string
	for _, f := range []pedal.Foot{pedal.Right, pedal.Left} {
		if len(feet[f]) > 0 {
			lines = append(lines, strings.Join(feet[f], between))
		}
	}
	return strings.Join(lines, "\n")
}
