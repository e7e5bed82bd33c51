package extract

import (
	"slices"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
)

// A line is a line of dashes or a bracket of one part.
type line struct {
	part         *musicxml.Part
	name, number string
}

// mostLines is how many lines can run at one time. Source: number-level of MusicXML 4.0.
const mostLines = 16

// lackingLines are the lines behind the words of tempo that are carried, from "rit." as
// far as it lasts: their beginnings go beside the words, and the ends are what is carried
// too. A line without an end, or for which no number is left, is not carried.
func (l *layout) lackingLines(player []*musicxml.Part, list []carried) (ends []carried) {
	numbers := map[line]string{} // under which a line is carried
	taken := map[line]bool{}     // in the part
	for i := range l.signs {
		for _, e := range l.signs[i].lines {
			if slices.Contains(player, l.signs[i].part) {
				taken[line{name: e.name, number: e.number}] = true
			}
		}
	}
	for i := range list {
		c := &list[i]
		if c.words == nil {
			continue
		}
		for _, from := range l.linesBehind(c.words) {
			at := line{c.words.part, from.name, from.number}
			to, end := l.endOf(c.words, &from)
			if _, known := numbers[at]; !known {
				numbers[at] = freeNumber(taken, from.name, from.number, len(player) > 1)
			}
			if to == nil || numbers[at] == "" {
				continue
			}
			c.elements = append(c.elements, numbered(from.element, numbers[at]))
			ends = append(ends, carried{measure: to.measure, at: to.at, elements: []*etree.Element{numbered(end, numbers[at])}})
		}
	}
	return ends
}

// linesBehind are the lines that begin in the direction of a sign, or right behind it at
// its time in a direction of their own.
func (l *layout) linesBehind(words *sign) (list []lineEnd) {
	for i := l.indexOf(words); i < len(l.signs); i++ {
		s := &l.signs[i]
		if s.part != words.part || s.measure != words.measure || s.at.Cmp(words.at) != 0 || s != words && len(s.atoms) > 0 {
			break
		}
		for _, e := range s.lines {
			if !e.end {
				list = append(list, e)
			}
		}
	}
	return list
}

// endOf is where a line ends that begins in or behind a sign; nil where it does not
// before another of its number begins.
func (l *layout) endOf(words *sign, from *lineEnd) (*sign, *etree.Element) {
	begun := false
	for i := l.indexOf(words); i < len(l.signs); i++ {
		s := &l.signs[i]
		if s.part != words.part {
			continue
		}
		for j := range s.lines {
			switch e := &s.lines[j]; {
			case e.name != from.name || e.number != from.number:
			case e.element == from.element:
				begun = true
			case begun && e.end:
				return s, e.element
			case begun:
				return nil, nil
			}
		}
	}
	return nil, nil
}

// indexOf is the index of a sign among those of the layout.
func (l *layout) indexOf(s *sign) int {
	return slices.IndexFunc(l.signs, func(o sign) bool { return o.start == s.start })
}

// freeNumber is a number that no line of the name has in the part, the line's own if it
// can be; "" for none. It is taken then. Where parts are joined it is as high as can be,
// since those of the later ones are counted on from the first's.
func freeNumber(taken map[line]bool, name, number string, joined bool) string {
	for i := mostLines; joined || taken[line{name: name, number: number}]; i-- {
		if i == 0 {
			return ""
		}
		number, joined = itoa(i), false
	}
	taken[line{name: name, number: number}] = true
	return number
}

// numbered is an element with a number of its own.
func numbered(e *etree.Element, number string) *etree.Element {
	e = e.Copy()
	if number != "1" || e.SelectAttr("number") != nil {
		e.CreateAttr("number", number)
	}
	return e
}
