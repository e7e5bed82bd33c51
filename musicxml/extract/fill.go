package extract

import (
	"strings"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
	"pedalogue/musicxml/internal/insert"
	"pedalogue/musicxml/internal/xmltext"
)

// fill puts all that a part lacks into it, measure by measure: at the start barlines,
// signs in order of time, time to the end of the measure, barlines.
func (p *putter) fill(signs []carried, bars []barline, own map[barKey]*barline) {
	bySign, byBar := map[int][]*carried{}, map[int][]*barline{}
	for i := range signs {
		bySign[signs[i].measure] = append(bySign[signs[i].measure], &signs[i])
	}
	for i := range bars {
		byBar[bars[i].measure] = append(byBar[bars[i].measure], &bars[i])
	}
	for k := range p.score.Measures {
		if p.hasRoom(k) {
			p.measure(k, bySign[k], byBar[k], own)
		} else {
			p.newMeasure(k, bySign[k], byBar[k])
		}
	}
}

// measure fills a measure that is there.
func (p *putter) measure(k int, signs []*carried, bars []*barline, own map[barKey]*barline) {
	m := &p.part.Measures[k]
	p.label(k)
	for _, b := range bars {
		if have := own[barKey{k, b.location}]; have != nil {
			p.addTo(have, b)
		} else if b.location == "left" {
			p.after(m.Head, k, p.bar(b))
		}
	}
	if text := p.missingTime(k); text != "" {
		p.insert(m.Head, text)
	}
	for _, s := range signs {
		p.sign(s)
	}
	if gap := p.gap(k); gap.Sign() > 0 {
		p.before(m.End, k, p.finely(m.EndDivisions, gap, false, nil)...)
	}
	if cue := p.cues[k]; cue != nil {
		if p.gap(k).Sign() == 0 {
			// A voice may have led back from the end.
			p.before(m.End, k, p.finely(m.EndDivisions, p.score.Measures[k].Length.Sub(m.Cursor), false, nil)...)
		}
		p.before(m.End, k, cue...)
	}
	for _, b := range bars {
		if own[barKey{k, b.location}] == nil && b.location != "left" {
			n := len(p.edits)
			p.before(m.End, k, p.bar(b))
			p.ends = append(p.ends, p.edits[n:]...)
			p.edits = p.edits[:n]
		}
	}
}

// label gives a measure its number, and says that it is not counted, where only other
// parts say so.
func (p *putter) label(k int) {
	if p.score.Root != "score-partwise" {
		return // all parts share the element
	}
	b, m := &p.bars[p.part][k], &p.score.Measures[k]
	if !b.number && m.Number != "" {
		p.insert(b.attributes, attribute("number", m.Number))
	}
	if !b.implicit && m.Implicit {
		p.insert(b.attributes, attribute("implicit", "yes"))
	}
}

func attribute(name, value string) string {
	e := etree.NewElement("x")
	e.CreateAttr(name, value)
	return strings.TrimSuffix(strings.TrimPrefix(insert.String(e), "<x"), "/>")
}

// missingTime is the time signature of a measure, where the part has none at all.
func (p *putter) missingTime(k int) string {
	for i := range p.times {
		if p.times[i].part == p.part {
			return ""
		}
	}
	for i := range p.times {
		if t := &p.times[i]; t.measure == k && t.offset.Sign() == 0 {
			name := p.score.Prefix + "attributes"
			return "<" + name + ">" + t.text + "</" + name + ">"
		}
	}
	return ""
}

// gap is the time from where the part's measure ends to its end in the score.
func (p *putter) gap(k int) musicxml.Frac {
	length, b := p.score.Measures[k].Length, &p.bars[p.part][k]
	if !b.farthest.Less(length) || b.farthest.Sign() == 0 && b.meter.Cmp(length) == 0 {
		return musicxml.Frac{}
	}
	return length.Sub(p.part.Measures[k].Cursor)
}

// newMeasure makes a measure of a part that has none there, or fills one without
// content: with a rest.
func (p *putter) newMeasure(k int, signs []*carried, bars []*barline) {
	text, tag := p.doc.Text, -1
	if k < len(p.part.Measures) {
		tag = p.part.Measures[k].Tag
	}
	if tag >= 0 && len(signs)+len(bars)+len(p.cues[k]) == 0 && p.pauses[k] == nil && p.gap(k).Sign() == 0 {
		p.label(k)
		return
	}
	if tag >= 0 {
		indent, own := insert.IndentAt(text, tag)
		line := "\n" + indent
		if !own {
			line = ""
		}
		head := p.part.Measures[k].Head
		start := strings.TrimSuffix(string(text[tag:head]), "/>")
		name := xmltext.TagName(start)
		p.edits = append(p.edits, musicxml.Edit{Start: tag, End: head,
			New: start + ">" + lines(p.content(k, signs, bars), line, "  ") + "</" + name + ">"})
		return
	}
	e := p.element("measure")
	at := p.rootEnd[p.part]
	if p.score.Root == "score-timewise" {
		e = p.element("part")
		e.CreateAttr("id", p.part.ID)
		at = p.closings[k]
	} else {
		m := &p.score.Measures[k]
		e.CreateAttr("number", m.Number)
		if m.Implicit {
			e.CreateAttr("implicit", "yes")
		}
	}
	for _, c := range p.content(k, signs, bars) {
		e.AddChild(c)
	}
	indent, own := insert.IndentAt(text, at)
	line, unit := "\n"+indent, "  "
	if !own {
		line = ""
	}
	insert.Tree(e, line, unit)
	p.insert(at, insert.String(e)+line)
}

// content is what a measure holds that has no notes.
func (p *putter) content(k int, signs []*carried, bars []*barline) []*etree.Element {
	divisions := musicxml.NewFrac(1, 1)
	if n := len(p.part.Measures); n > 0 {
		divisions = p.part.Measures[min(k, n-1)].EndDivisions
	}
	var list []*etree.Element
	for _, b := range bars {
		if b.location == "left" {
			list = append(list, p.bar(b))
		}
	}
	for _, s := range signs {
		if offset, ok := s.at.Mul(divisions).Decimal(); ok {
			list = append(list, p.direction(s, nonZero(offset)))
		} else {
			list = append(list, p.finely(divisions, s.at, true, p.direction(s, ""))...)
		}
	}
	list = append(list, p.rests(p.score.Measures[k].Length, divisions, p.pauses[k])...)
	list = append(list, p.cues[k]...)
	for _, b := range bars {
		if b.location != "left" {
			list = append(list, p.bar(b))
		}
	}
	return list
}

// rests are rests of a whole measure on all staves, with a fermata over them if there is
// one.
func (p *putter) rests(length, divisions musicxml.Frac, pause *etree.Element) []*etree.Element {
	text, ok := length.Mul(divisions).Decimal()
	if !ok {
		return p.finely(divisions, length, false, nil)
	}
	var list []*etree.Element
	for staff := 1; staff <= p.part.Staves; staff++ {
		if staff > 1 {
			list = append(list, p.move(musicxml.Frac{}.Sub(length.Mul(divisions))))
		}
		n := p.element("note")
		p.child(n, "rest", "").CreateAttr("measure", "yes")
		p.child(n, "duration", text)
		p.child(n, "voice", itoa(staff))
		if p.part.Staves > 1 {
			p.child(n, "staff", itoa(staff))
		}
		if staff == 1 && pause != nil {
			p.child(n, "notations", "").AddChild(pause.Copy())
		}
		list = append(list, n)
	}
	return list
}
