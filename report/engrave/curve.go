package engrave

import "slices"

// drawTies draws the ties between notes, those into the line and out of it, and
// those that let a note ring.
func (e *engraver) drawTies() {
	into := map[int]bool{}
	for _, b := range e.bars {
		for _, c := range b.chords {
			for _, h := range c.heads {
				into[h.TiedTo] = into[h.TiedTo] || h.TiedTo > 0
			}
		}
	}
	for _, b := range e.bars {
		for _, c := range b.chords {
			for i, h := range c.heads {
				up := c.tieUp(i)
				from := h.x() + h.width() + 4
				switch to := e.notes[h.TiedTo]; {
				case h.TiedTo > 0 && to != nil:
					e.tie(h, from, to.x()-4, up)
				case h.TiedTo != 0:
					e.tie(h, from, max(b.end-8, from+space), up)
				case h.Ringing:
					e.tie(h, from, from+space*3/2, up)
				}
				if h.TiedIn && !into[h.ID] {
					left := max(b.x+b.body-measureGap, h.x()-space*3/2)
					if h.Sign != NoSign {
						left = h.x() - space
					}
					e.tie(h, left, h.x()-4, up)
				}
			}
		}
	}
}

// tieUp reports whether the tie of head i bends upward: away from the stem or the
// other voice, and in a chord outward from its middle.
func (c *chord) tieUp(i int) bool {
	n := len(c.heads)
	switch {
	case c.many && n == 1:
		return c.up
	case n == 1 && c.stem:
		return !c.up
	case n == 1:
		return c.heads[0].pos >= 4
	case 2*i+1 == n:
		return c.up == c.many
	}
	return 2*i >= n
}

// tie draws a curve at a head's height from one x to another.
func (e *engraver) tie(h *head, x0, x1 int, up bool) {
	if x1-x0 < space/2 {
		x0, x1 = x0-6, max(x1+6, x0+space/2)
	}
	sign := 1
	if up {
		sign = -1
	}
	y := e.headY(h) + sign*8
	bend := sign * min(max((x1-x0)/5, 12), space)
	in := min((x1-x0)/4, space)
	thick := sign * 9
	e.out.solid("M%d %dC%d %d %d %d %d %dC%d %d %d %d %d %dz", x0, y, x0+in, y+bend+thick/2, x1-in, y+bend+thick/2, x1, y,
		x1-in, y+bend-thick/2, x0+in, y+bend-thick/2, x0, y)
	e.out.cover(h.Staff, box{x0, min(y, y+bend), x1, max(y, y+bend)})
}

// drawGlides draws the lines of glissandi.
func (e *engraver) drawGlides() {
	for _, g := range e.music.Glides {
		from, to := e.notes[g.From], e.notes[g.To]
		if from == nil {
			continue
		}
		x0, y0 := from.x()+from.width()+8, e.headY(from)
		x1, y1 := from.chord.bar.end-8, y0
		staves := []int{from.Staff}
		if to != nil {
			x1, y1 = to.x()-10, e.headY(to)
			if to.Sign != NoSign {
				x1 -= signBox(to).right + signGap
			}
			staves = append(staves, to.Staff)
		}
		if x1 <= x0 {
			continue
		}
		e.glide(g, x0, y0, x1, y1)
		const pieces = 8 // as it slopes, it covers little at each place
		for i := range pieces {
			a, b := between(0, pieces, i, y0, y1), between(0, pieces, i+1, y0, y1)
			for _, staff := range staves {
				e.out.cover(staff, box{between(0, pieces, i, x0, x1), min(a, b) - 12, between(0, pieces, i+1, x0, x1), max(a, b) + 12})
			}
		}
	}
}

func (e *engraver) glide(g Glide, x0, y0, x1, y1 int) {
	if !g.Wavy {
		e.out.line(stemPath, "M%d %dL%d %d", x0, y0, x1, y1)
	} else {
		n := max(2, (x1-x0)/16) &^ 1
		e.out.line(stemPath, "M%d %d", x0, y0)
		for i := 1; i <= n; i++ {
			bend := 10 - 20*(i&1)
			e.out.line(stemPath, "Q%d %d %d %d", between(0, 2*n, 2*i-1, x0, x1), between(0, 2*n, 2*i-1, y0, y1)+bend, between(0, n, i, x0, x1), between(0, n, i, y0, y1))
		}
	}
	if width := textWidth(g.Text, numberSize); g.Text != "" && x1-x0 > width {
		x, y := (x0+x1)/2, (y0+y1)/2-space
		e.out.text(x, y, numberSize, "words italic", "middle", g.Text)
		e.out.cover(0, box{x - width/2, y - numberSize, x + width/2, y})
	}
}

// drawCircles draws the circles of harmonics.
func (e *engraver) drawCircles(b *bar) {
	for _, c := range b.chords {
		if !c.Circle || c.rest() {
			continue
		}
		x := c.x() + c.headWidth()/2 - circle.width()/2
		y := e.out.highest(c.staff(), x, x+circle.width()) - space/2
		e.out.use(circle, x, y, 100, c.staff(), "")
	}
}

// drawTuplets draws the numbers and brackets of tuplets.
func (e *engraver) drawTuplets(b *bar) {
	for _, t := range b.Tuplets {
		if t.First < 0 || t.Last >= len(b.Chords) || t.First > t.Last {
			continue
		}
		find := func(index int) *chord {
			i := slices.IndexFunc(b.chords, func(c *chord) bool { return c.index == index })
			if i < 0 {
				return nil
			}
			return b.chords[i]
		}
		first, last := find(t.First), find(t.Last)
		if first == nil || last == nil {
			continue
		}
		e.drawTuplet(t, first, last)
	}
}

func (e *engraver) drawTuplet(t Tuplet, first, last *chord) {
	staff := first.staff()
	if t.Below {
		staff = last.staff()
	}
	x0, x1 := first.x(), last.x()+last.scaled(headWidth)
	y, sign := e.out.highest(staff, x0, x1)-10, 1
	if t.Below {
		y, sign = e.out.lowest(staff, x0, x1)+10, -1
	}
	width := textWidth(t.Text, numberSize)
	middle := (x0 + x1) / 2
	if t.Bracket {
		y -= sign * 12
		e.out.line(barPath, "M%d %dv%dH%d", x0, y+sign*14, -sign*14, middle-width/2-6)
		e.out.line(barPath, "M%d %dH%dv%d", middle+width/2+6, y, x1, sign*14)
		e.out.cover(staff, box{x0, y - 14, x1, y + 14})
	}
	if t.Text == "" {
		return
	}
	base := y + numberSize/3
	if !t.Bracket {
		base = y - 2
		if t.Below {
			base = y + numberSize*3/4
		}
	}
	e.out.text(middle, base, numberSize, "tuplet", "middle", t.Text)
	e.out.cover(staff, box{middle - width/2, base - numberSize*3/4, middle + width/2, base})
}
