package engrave

import "fmt"

// draw draws everything with the staves at their places.
func (e *engraver) draw(tops []int) {
	e.out = newCanvas(tops, e.width, !e.options.Anonymous)
	e.out.points = e.options.Points
	e.ledgers = map[ledgerKey]bool{}
	e.drawFrame()
	for _, g := range e.beams {
		g.place(e)
	}
	for _, b := range e.bars {
		e.drawBar(b)
		e.out.flush(fmt.Sprintf(` data-measure="%d"`, b.index))
	}
	e.drawTies()
	e.drawGlides()
	e.out.flush("")
	// What stands over and under the notes finds its place when all of them have
	// theirs.
	for _, b := range e.bars {
		e.drawTuplets(b)
		e.drawCircles(b)
	}
	e.drawShifts()
	e.drawEndings()
	e.out.flush("")
	if e.options.Bare && !e.options.Pedals {
		return
	}
	if !e.options.Bare {
		for _, b := range e.bars {
			e.drawNumber(b)
		}
		e.out.flush(` class="numbers"`)
	}
	for _, b := range e.bars {
		e.drawMarks(b)
		e.out.flush(fmt.Sprintf(` class="marks" data-measure="%d"`, b.index))
	}
}

// drawFrame draws the staff lines, and the line and brace that join staves.
func (e *engraver) drawFrame() {
	bottom := e.out.tops[len(e.out.tops)-1] + staffHeight
	e.out.element(`<path class="lines" d="`)
	for _, top := range e.out.tops {
		for i := range 5 {
			e.out.element("M0 %dH%d", top+i*space, e.width)
		}
	}
	e.out.element(`"/>`)
	if len(e.out.tops) > 1 {
		e.out.line(barPath, "M0 0V%d", bottom)
		e.drawBrace(bottom)
	}
	e.out.flush(` class="frame"`)
}

// drawBrace draws the brace left of the staves, as high as they are.
func (e *engraver) drawBrace(h int) {
	at := func(percent int) int { return h * percent / 100 }
	e.out.solid("M-10 0C-44 %d -6 %d -44 %dC-6 %d -44 %d -10 %d", at(17), at(36), at(50), at(64), at(83), h)
	e.out.solid("C-58 %d -18 %d -44 %dC-18 %d -58 %d -10 0z", at(85), at(62), at(50), at(38), at(15))
	e.out.cover(0, box{-46, 0, 0, h})
}

// drawBar draws a measure with its notes.
func (e *engraver) drawBar(b *bar) {
	e.drawLead(b)
	e.drawTail(b)
	e.drawBarlines(b)
	for _, c := range b.columns {
		e.drawChanges(b, c)
		for _, r := range c.rolls {
			e.drawRoll(b.place(c), r)
		}
	}
	for _, c := range b.chords {
		if c.rest() {
			e.drawRest(c)
			continue
		}
		e.drawChord(c)
	}
	for _, g := range e.beams {
		if g.chords[0].bar == b {
			g.draw(e)
		}
	}
}

// drawTail draws the clefs that change at the next measure.
func (e *engraver) drawTail(b *bar) {
	if b.index+1 == len(e.bars) {
		return
	}
	for staff := 1; staff <= e.music.Staves; staff++ {
		if b.tail.clefs[staff-1] {
			e.drawClef(e.bars[b.index+1].opening(staff).Clef, b.end-b.tail.clef, cueSize, staff)
		}
	}
}

// drawChanges draws clefs and keys that change within a measure.
func (e *engraver) drawChanges(b *bar, c *column) {
	for _, change := range c.changes {
		if change.Staff < 1 || change.Staff > e.music.Staves {
			continue
		}
		x := b.place(c) - c.left[change.Staff-1]
		if change.Clef != nil {
			e.drawClef(*change.Clef, x, cueSize, change.Staff)
			x += clefWidth(*change.Clef)*cueSize/100 + leastGap
		}
		if change.Key != nil {
			e.drawKey(*change.Key, nil, b.at(change.Staff, change.At).Clef, x, change.Staff)
		}
	}
}

// drawBarlines draws the barline at a measure's end, and that at its start where
// it has one of its own.
func (e *engraver) drawBarlines(b *bar) {
	bottom := e.out.tops[len(e.out.tops)-1] + staffHeight
	thin := func(x int) { e.out.line(barPath, "M%d 0V%d", x, bottom) }
	thick := func(x int) { e.out.solid("M%d 0h%dv%dh-%dz", x, thickBar, bottom, thickBar) }
	dots := func(x int) {
		for staff := range e.out.tops {
			for _, pos := range []int{3, 5} {
				e.out.use(dot, x, e.y(staff+1, pos), 100, staff+1, "")
			}
		}
	}
	x := b.end
	switch r := b.Right; {
	case r.Style == Final || r.Repeat && r.Style == Single:
		thick(x - thickBar)
		thin(x - thickBar - barGap)
	case r.Style == HeavyLight:
		thin(x)
		thick(x - barGap - thickBar)
	case r.Style == Double:
		thin(x)
		thin(x - barGap)
	case r.Style == Heavy:
		thick(x - thickBar)
	case r.Style == HeavyHeavy:
		thick(x - thickBar)
		thick(x - thickBar - barGap - thickBar)
	case r.Style == Dashed || r.Style == Dotted:
		e.out.line(dashPath, "M%d 0V%d", x, bottom)
	case r.Style == NoBarline:
	case b.index+1 < len(e.bars) && e.bars[b.index+1].Left != (Barline{}):
		// The next measure draws its own.
	default:
		thin(x)
	}
	if b.Right.Repeat {
		dots(x - thickBar - 2*barGap - dot.width())
	}
	if b.Left == (Barline{}) {
		return
	}
	x = b.x + b.lead.bar
	thick(x)
	thin(x + thickBar + barGap)
	if b.Left.Repeat {
		dots(x + thickBar + 2*barGap)
	}
}

// drawRoll draws an arpeggio sign or bracket beside a column at x.
func (e *engraver) drawRoll(x int, r roll) {
	x += r.x
	top, bottom := e.headY(r.top)-half, e.headY(r.bottom)+half
	if r.kind == Together {
		e.out.line(barPath, "M%d %dh-12V%dh12", x+14, top, bottom)
		e.out.cover(0, box{x, top, x + rollWidth, bottom})
		return
	}
	n := (bottom - top + space - 1) / space
	bottom = top + n*space
	for i := 1; i <= n; i++ {
		e.out.use(wiggle, x, top+i*space, 100, 0, "")
	}
	switch r.kind {
	case RollUp:
		e.out.solid("M%d %dl12-26 12 26z", x-1, top+4)
	case RollDown:
		e.out.solid("M%d %dl12 26 12-26z", x-1, bottom-4)
	}
	if r.top.Staff == r.bottom.Staff {
		e.out.cover(r.top.Staff, box{x, top - 24, x + rollWidth, bottom + 24})
	}
}
