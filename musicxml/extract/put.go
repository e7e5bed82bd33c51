package extract

import (
	"strings"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
	"pedalogue/musicxml/internal/insert"
	"pedalogue/musicxml/internal/xmltext"
)

// A putter puts things into one part.
type putter struct {
	*layout
	part   *musicxml.Part
	placer *musicxml.Placer
	cues   map[int][]*etree.Element // by measure
	pauses map[int]*etree.Element   // fermatas of measures that have no rest for them
	edits  []musicxml.Edit
	ends   []musicxml.Edit // that come after all others at their places: barlines
}

// element makes an element with the prefix of the score's.
func (p *putter) element(name string) *etree.Element { return etree.NewElement(p.score.Prefix + name) }

func (p *putter) child(e *etree.Element, name, text string) *etree.Element {
	c := e.CreateElement(p.score.Prefix + name)
	if text != "" {
		c.SetText(text)
	}
	return c
}

// insert puts a text in.
func (p *putter) insert(at int, text string) {
	p.edits = append(p.edits, musicxml.Edit{Start: at, End: at, New: text})
}

// before puts elements in front of what begins at an offset in a measure, each on a
// line of its own where the document has lines.
func (p *putter) before(at, measure int, elements ...*etree.Element) {
	indent, own := insert.IndentAt(p.doc.Text, at)
	line, unit := "\n"+indent, insert.Unit(p.doc.Text, p.part.Measures[measure].Tag, indent)
	if !own {
		line = ""
	}
	for _, e := range elements {
		insert.Tree(e, line, unit)
		p.insert(at, insert.String(e)+line)
	}
}

// hasRoom reports whether there is a measure element with a place for content.
func (p *putter) hasRoom(measure int) bool {
	if measure >= len(p.part.Measures) {
		return false
	}
	m := &p.part.Measures[measure]
	return m.Tag >= 0 && m.End != m.Tag
}

// direction makes the element of a carried sign: a direction, or a sound alone.
func (p *putter) direction(c *carried, offset string) *etree.Element {
	sound := p.element("sound")
	for _, a := range c.sound {
		sound.CreateAttr(a.Name, a.Value)
	}
	if len(c.elements) == 0 {
		if offset != "" {
			p.child(sound, "offset", offset)
		}
		return sound
	}
	d := p.element("direction")
	d.CreateAttr("placement", "above")
	for _, e := range c.elements {
		p.child(d, "direction-type", "").AddChild(e.Copy())
	}
	if offset != "" {
		p.child(d, "offset", offset)
	}
	if p.part.Staves > 1 {
		p.child(d, "staff", "1")
	}
	if len(c.sound) > 0 {
		d.AddChild(sound)
	}
	return d
}

// sign puts a carried sign at its time.
func (p *putter) sign(c *carried) {
	if c.before != nil {
		distance := c.at.Sub(c.before.cursor).Mul(c.before.divisions)
		if offset, ok := distance.Decimal(); ok {
			p.before(c.before.start, c.measure, p.direction(c, nonZero(offset)))
			return
		}
	}
	mark := musicxml.Mark{Part: p.part, Measure: c.measure, Offset: c.at, Before: -1, Staff: 1}
	at, offset, err := p.placer.Place(&mark)
	if err == nil {
		p.before(at, c.measure, p.direction(c, offset))
		return
	}
	// The time cannot be told in the divisions that hold here.
	m := &p.part.Measures[c.measure]
	p.before(m.End, c.measure, p.finely(m.EndDivisions, c.at.Sub(m.Cursor), true, p.direction(c, ""))...)
}

func nonZero(text string) string {
	if text == "0" {
		return ""
	}
	return text
}

// finely puts an element a distance away from the cursor, for which the divisions are
// made as fine as it takes, and goes back to the cursor if it is to.
func (p *putter) finely(divisions, distance musicxml.Frac, back bool, e *etree.Element) []*etree.Element {
	fine := divisions
	if _, ok := distance.Mul(divisions).Decimal(); !ok {
		fine = divisions.Mul(musicxml.NewFrac(distance.Mul(divisions).Den(), 1))
	}
	var list []*etree.Element
	add := func(e *etree.Element) {
		if e != nil {
			list = append(list, e)
		}
	}
	if fine != divisions {
		add(p.divisions(fine))
	}
	add(p.move(distance.Mul(fine)))
	add(e)
	if back {
		add(p.move(musicxml.Frac{}.Sub(distance.Mul(fine))))
	}
	if fine != divisions {
		add(p.divisions(divisions))
	}
	return list
}

// divisions makes an attributes element that says how many divisions a quarter note has.
func (p *putter) divisions(n musicxml.Frac) *etree.Element {
	text, _ := n.Decimal()
	e := p.element("attributes")
	p.child(e, "divisions", text)
	return e
}

// move makes a forward or backup by a number of divisions; nil for none.
func (p *putter) move(divisions musicxml.Frac) *etree.Element {
	name := "forward"
	if divisions.Sign() < 0 {
		name, divisions = "backup", musicxml.Frac{}.Sub(divisions)
	}
	if divisions.Sign() == 0 {
		return nil
	}
	text, _ := divisions.Decimal()
	e := p.element(name)
	p.child(e, "duration", text)
	return e
}

// numbers lets measures be numbered where only other parts say so, or the part that
// stood below them says that its own are not.
func (p *putter) numbers() {
	own, done := map[int]*printSign{}, map[int]bool{}
	for i := range p.prints {
		if s := &p.prints[i]; s.part == p.part {
			own[s.measure] = s
		}
	}
	for i := range p.prints {
		s := &p.prints[i]
		if s.part == p.part || s.numbering == "" || s.numbering == "none" || done[s.measure] {
			continue
		}
		done[s.measure] = true
		switch has := own[s.measure]; {
		case has == nil && p.hasRoom(s.measure):
			e := p.element("print")
			e.AddChild(s.element.Copy())
			p.after(p.bars[p.part][s.measure].content, s.measure, e)
		case has == nil:
		case has.numbering == "none":
			p.edits = append(p.edits, musicxml.Edit{Start: has.numbers.start, End: has.numbers.end, New: s.numbering})
		case has.numbering != "":
		case has.empty:
			tag := strings.TrimSuffix(string(p.doc.Text[has.start:has.content]), "/>")
			p.edits = append(p.edits, musicxml.Edit{Start: has.start, End: has.content,
				New: tag + ">" + insert.String(s.element.Copy()) + "</" + xmltext.TagName(tag) + ">"})
		default:
			p.insert(has.names, insert.String(s.element.Copy()))
		}
	}
}

// bar makes a barline element of what is put in at one end of a measure.
func (p *putter) bar(b *barline) *etree.Element {
	e := p.element("barline")
	e.CreateAttr("location", b.location)
	for _, name := range barlineOrder {
		for _, t := range b.things {
			if t.name == name {
				e.AddChild(t.element.Copy())
			}
		}
	}
	return e
}

// addTo puts what a barline of the part lacks into it. What cannot stand there beside
// what it has goes into a barline of its own.
func (p *putter) addTo(own *barline, b *barline) {
	apart := *b
	apart.things = nil
	var into []thing
	for _, t := range b.things {
		if t.name != "fermata" && t.name != "bar-style" && own.has(t.name) {
			apart.things = append(apart.things, t)
			continue
		}
		into = append(into, t)
	}
	if own.close == own.start && len(into) > 0 {
		whole := *b
		whole.things = into
		e := p.bar(&whole)
		p.edits = append(p.edits, musicxml.Edit{Start: own.start, End: own.end, New: insert.String(e)})
		into = nil
	}
	for _, t := range into {
		p.addThing(own, &t)
	}
	if len(apart.things) > 0 {
		p.before(own.start, b.measure, p.bar(&apart))
	}
}

func (b *barline) has(name string) bool {
	for _, t := range b.things {
		if t.name == name {
			return true
		}
	}
	return false
}

// addThing puts a child into a barline of the part, or in the place of its style.
func (p *putter) addThing(own *barline, t *thing) {
	text := insert.String(t.element.Copy())
	at := own.close
	for _, c := range own.things {
		if c.name == "bar-style" && t.name == "bar-style" {
			p.edits = append(p.edits, musicxml.Edit{Start: c.start, End: c.end, New: text})
			return
		}
		if order(c.name) > order(t.name) {
			at = c.start
			break
		}
	}
	if at < own.close {
		if indent, is := insert.IndentAt(p.doc.Text, at); is {
			text += "\n" + indent
		}
	} else {
		// The end tag keeps its line.
		last := own.content
		for _, c := range own.things {
			last = c.end
		}
		if gap := string(p.doc.Text[last:at]); len(own.things) > 0 && xmltext.Blank(gap) {
			if indent, is := insert.IndentAt(p.doc.Text, own.things[0].start); is {
				text = "\n" + indent + text
			}
			at = last
		}
	}
	p.insert(at, text)
}

// lines joins elements into the content of an element on lines of their own; line is
// the line end and indentation of that element, "" where there are no lines.
func lines(elements []*etree.Element, line, unit string) string {
	inner := ""
	if line != "" {
		inner = line + unit
	}
	var b strings.Builder
	for _, e := range elements {
		insert.Tree(e, inner, unit)
		b.WriteString(inner + insert.String(e))
	}
	return b.String() + line
}
