package engrave

import (
	"fmt"
	"html"
	"strconv"
	"strings"
	"unicode"
)

// A canvas collects what is drawn, and what is covered by it.
type canvas struct {
	body   strings.Builder  // of the measures that are done
	uses   strings.Builder  // of the measure in hand: glyphs and texts
	alike  [glyphs][][2]int // of the measure in hand: places of glyphs that are drawn together
	paths  [pathKinds]strings.Builder
	used   [glyphs]bool
	ids    bool
	points bool // glyphs of notes are drawn at the points of paths

	tops     []int // y of the top line of each staff
	skylines []skyline
	covered  box // by everything
}

// A pathKind is a kind of line or shape, which a style sheet knows by its class.
type pathKind int

const (
	ledgerPath pathKind = iota
	stemPath
	barPath
	dashPath
	solidPath
	pathKinds
)

var pathClasses = [pathKinds]string{"ledgers", "stems", "thin", "dashes", "solid"}

// A skyline is what is covered above and below a staff, by stretches of it. Its
// heights are below the staff's top line.
type skyline struct{ top, bottom []int }

const stretch = 20 // units of a skyline's stretch

func newCanvas(tops []int, width int, ids bool) *canvas {
	c := &canvas{tops: tops, ids: ids, skylines: make([]skyline, len(tops)), covered: box{0, 0, width, tops[len(tops)-1] + staffHeight}}
	n := width/stretch + 2
	for i := range c.skylines {
		s := skyline{make([]int, n), make([]int, n)}
		for j := range n {
			s.bottom[j] = staffHeight
		}
		c.skylines[i] = s
	}
	return c
}

// stretches is the range of a skyline's stretches from one x to another.
func (s *skyline) stretches(left, right int) (from, to int) {
	n := len(s.top)
	from = min(max(left/stretch, 0), n-1)
	return from, min(max(right/stretch, from), n-1) + 1
}

// cover notes that a box is covered, by something of a staff, from 1; 0 is for
// what belongs to no single one.
func (c *canvas) cover(staff int, b box) {
	c.covered = box{min(c.covered.left, b.left), min(c.covered.top, b.top), max(c.covered.right, b.right), max(c.covered.bottom, b.bottom)}
	if staff == 0 {
		return
	}
	s, top := &c.skylines[staff-1], c.tops[staff-1]
	from, to := s.stretches(b.left, b.right)
	for i := from; i < to; i++ {
		s.top[i] = min(s.top[i], b.top-top)
		s.bottom[i] = max(s.bottom[i], b.bottom-top)
	}
}

// highest and lowest are the y down to and up to which nothing of a staff is
// covered between two x.
func (c *canvas) highest(staff, left, right int) int {
	s := &c.skylines[staff-1]
	from, to := s.stretches(left, right)
	y := s.top[from]
	for _, t := range s.top[from:to] {
		y = min(y, t)
	}
	return y + c.tops[staff-1]
}

func (c *canvas) lowest(staff, left, right int) int {
	s := &c.skylines[staff-1]
	from, to := s.stretches(left, right)
	y := s.bottom[from]
	for _, t := range s.bottom[from:to] {
		y = max(y, t)
	}
	return y + c.tops[staff-1]
}

// use draws a glyph of a staff in so many hundredths of its size.
func (c *canvas) use(g glyph, x, y, size, staff int, attributes string) {
	c.used[g] = true
	id := shapes[g].id
	if size == 100 {
		fmt.Fprintf(&c.uses, `<use href="#%s" x="%d" y="%d"%s/>`, id, x, y, attributes)
	} else {
		fmt.Fprintf(&c.uses, `<use href="#%s" transform="translate(%d %d)scale(%s)"%s/>`, id, x, y, percent(size), attributes)
	}
	c.cover(staff, shapes[g].box.scaled(size).at(x, y))
}

// note draws a glyph of a note as use does. With points, plain ones that are alike are drawn
// together when the group ends.
func (c *canvas) note(g glyph, x, y, size, staff int, attributes string) {
	if !c.points || size != 100 || attributes != "" {
		c.use(g, x, y, size, staff, attributes)
		return
	}
	c.used[g] = true
	c.alike[g] = append(c.alike[g], [2]int{x, y})
	c.cover(staff, shapes[g].box.at(x, y))
}

// together draws the glyphs that are alike, many of them at the points of one path.
func (c *canvas) together(group *strings.Builder) {
	for g, places := range c.alike {
		id := shapes[g].id
		if len(places) < fewAlike {
			for _, at := range places {
				fmt.Fprintf(group, `<use href="#%s" x="%d" y="%d"/>`, id, at[0], at[1])
			}
		} else {
			fmt.Fprintf(group, `<path class="alike" marker-start="url(#at-%s)" marker-mid="url(#at-%s)" marker-end="url(#at-%s)" d="`, id, id, id)
			for i, at := range places {
				fmt.Fprintf(group, "%c%d %d", "M "[min(i, 1)], at[0], at[1])
			}
			group.WriteString(`"/>`)
		}
		c.alike[g] = places[:0]
	}
}

const fewAlike = 4 // fewer glyphs are an element each

// percent writes hundredths as a number.
func percent(n int) string { return strconv.FormatFloat(float64(n)/100, 'g', -1, 64) }

// line and its like add to the paths of the measure in hand.
func (c *canvas) line(k pathKind, format string, args ...any) {
	fmt.Fprintf(&c.paths[k], format, args...)
}

func (c *canvas) solid(format string, args ...any) { c.line(solidPath, format, args...) }

// element draws anything else.
func (c *canvas) element(format string, args ...any) { fmt.Fprintf(&c.uses, format, args...) }

// text draws words. The anchor is "start", "middle" or "end".
func (c *canvas) text(x, y, size int, class, anchor, words string) {
	c.element(`<text x="%d" y="%d" font-size="%d"`, x, y, size)
	if class != "" {
		c.element(` class="%s"`, escaped(class))
	}
	if anchor != "start" {
		c.element(` text-anchor="%s"`, anchor)
	}
	c.element(`>%s</text>`, escaped(words))
}

// flush ends the group in hand, which attributes describe.
func (c *canvas) flush(attributes string) {
	var group strings.Builder
	for k := range c.paths {
		if c.paths[k].Len() > 0 {
			fmt.Fprintf(&group, `<path class="%s" d="%s"/>`, pathClasses[k], c.paths[k].String())
			c.paths[k].Reset()
		}
	}
	c.together(&group)
	group.WriteString(c.uses.String())
	c.uses.Reset()
	if group.Len() > 0 {
		c.body.WriteString("<g" + attributes + ">" + group.String() + "</g>")
	}
}

// escaped writes text for XML, on one line. Controls, invisible characters that
// turn the direction of text and the like become the replacement character; only
// the two joiners stay, as several scripts cannot do without.
func escaped(s string) string {
	const nonJoiner, joiner = '\u200C', '\u200D'
	s = strings.Map(func(r rune) rune {
		switch steers := unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp); {
		case r == nonJoiner || r == joiner:
			return r
		case steers && unicode.IsSpace(r):
			return ' '
		case steers || r == 0xFFFE || r == 0xFFFF:
			return unicode.ReplacementChar
		}
		return r
	}, strings.ToValidUTF8(s, string(unicode.ReplacementChar)))
	return html.EscapeString(s)
}

// textWidth estimates how wide words are: fonts differ, and this is a wide one.
func textWidth(words string, size int) int {
	n := 0
	for range words {
		n++
	}
	return n * size * 6 / 10
}
