package engrave

import "fmt"

// drawChord draws heads, accidentals, ledger lines, dots, stem and flags.
func (e *engraver) drawChord(c *chord) {
	if c.beam == nil {
		c.tip = e.stemEnd(c)
	}
	for _, h := range c.heads {
		e.drawHead(h)
	}
	if !c.stem {
		e.drawStrokes(c)
		return
	}
	x, from := c.stemX(), e.headY(c.far())-c.scaled(headStem)
	if !c.up {
		from = e.headY(c.far()) + c.scaled(headStem)
	}
	e.out.line(stemPath, "M%d %dV%d", x, from, c.tip)
	staff := c.staff()
	if c.spread() || c.beam != nil && (c.beam.kneed || c.beam.crosses()) {
		staff = 0
	}
	e.out.cover(staff, box{x - stemThick, min(from, c.tip), x + stemThick, max(from, c.tip)})
	e.drawFlags(c, x, staff)
	e.drawStrokes(c)
	if c.Slash {
		e.drawSlash(c, x)
	}
}

// drawHead draws a head with its accidental, dots and ledger lines.
func (e *engraver) drawHead(h *head) {
	if h.Head == NoHead {
		return
	}
	c := h.chord
	x, y := h.x(), e.headY(h)
	e.drawLedgers(h, x)
	name := ""
	if e.out.ids && h.ID != 0 {
		name = fmt.Sprintf(` data-note="%d"`, h.ID)
	}
	class := name
	if concern := e.options.Concerns[h.ID]; concern != NoConcern && h.ID != 0 {
		class += fmt.Sprintf(` class="%s"`, concerns[concern])
		rx, ry := c.scaled(38), c.scaled(33)
		cx := x + h.width()/2
		e.out.element(`<ellipse class="ring %s" cx="%d" cy="%d" rx="%d" ry="%d"/>`, concerns[concern], cx, y, rx, ry)
		e.out.cover(h.Staff, box{cx - rx, y - ry, cx + rx, y + ry})
	}
	e.out.note(h.glyph, x, y, c.size, h.Staff, class)
	if c.Value != Unknown && c.Value <= Breve {
		e.out.line(stemPath, "M%d %dv%dM%d %dv%d", x-4, y-c.scaled(26), c.scaled(52), x+h.width()+4, y-c.scaled(26), c.scaled(52))
	}
	e.drawSign(h, y, class)
	for i := range c.Dots {
		e.out.note(dot, c.bar.place(c.col)+h.dots+i*c.scaled(dot.width()+dotGap/2), y-h.dotUp*half, c.size, h.Staff, "")
	}
}

var concerns = [...]string{Error: "error", Warning: "warning", Remark: "note"}

// drawSign draws the accidental of a head.
func (e *engraver) drawSign(h *head, y int, class string) {
	list := signGlyphs(h.Sign)
	if len(list) == 0 || h.merge {
		return
	}
	c := h.chord
	x := c.bar.place(c.col) + h.sign
	if h.Round {
		e.out.use(paren, x, y, c.size, h.Staff, "")
		x += c.scaled(paren.width() + 2)
	}
	for _, g := range list {
		e.out.note(g, x, y, c.size, h.Staff, class)
		x += c.scaled(g.width() + 3)
	}
	if h.Round {
		s := percent(c.size)
		e.out.used[paren] = true
		e.out.element(`<use href="#%s" transform="translate(%d %d)scale(-%s %s)"/>`, shapes[paren].id, x+c.scaled(paren.width()), y, s, s)
	}
}

// drawLedgers draws the ledger lines of a head outside its staff.
func (e *engraver) drawLedgers(h *head, x int) {
	over := h.chord.scaled(ledgerOver)
	for pos := 10; pos <= h.pos-h.pos&1; pos += 2 {
		e.ledger(h, pos, x-over, x+h.width()+over)
	}
	for pos := -2; pos >= h.pos+h.pos&1; pos -= 2 {
		e.ledger(h, pos, x-over, x+h.width()+over)
	}
}

func (e *engraver) ledger(h *head, pos, from, to int) {
	key := ledgerKey{h.chord.bar.index, h.Staff, pos, from}
	if e.ledgers[key] {
		return
	}
	e.ledgers[key] = true
	y := e.y(h.Staff, pos)
	e.out.line(ledgerPath, "M%d %dH%d", from, y, to)
	e.out.cover(h.Staff, box{from, y, to, y})
}

type ledgerKey struct{ bar, staff, pos, from int }

// stemEnd is where the stem of a chord ends by itself: an octave from the last
// head, and at the middle line at least. Common practice.
func (e *engraver) stemEnd(c *chord) int {
	length := c.scaled(stemLength + max(0, max(c.flags(), c.beams())-2)*beamStep)
	h := c.near()
	middle := e.y(h.Staff, 4)
	if c.up {
		y := e.headY(h) - length
		if !c.Grace {
			y = min(y, middle)
		}
		return y
	}
	y := e.headY(h) + length
	if !c.Grace {
		y = max(y, middle)
	}
	return y
}

// drawFlags draws the flags of a chord without a beam: the longest is nearest to
// the head.
func (e *engraver) drawFlags(c *chord, x, staff int) {
	n := c.flags()
	for i := range n {
		g, sign := flagUp, 1
		if i < n-1 {
			g = flagMoreUp
		}
		if !c.up {
			g, sign = flagDown, -1
			if i < n-1 {
				g = flagMoreDown
			}
		}
		e.out.note(g, x-stemThick/2, c.tip+sign*i*c.scaled(beamStep), c.size, staff, "")
	}
}

// drawSlash draws the slash of a short grace note.
func (e *engraver) drawSlash(c *chord, x int) {
	y := c.tip + c.scaled(62)
	if !c.up {
		y = c.tip - c.scaled(62) + 24
	}
	e.out.line(stemPath, "M%d %dl38 -26", x-16, y)
}

// drawStrokes draws the strokes of a tremolo: on the stem, or between the chord
// and the next one of its voice.
func (e *engraver) drawStrokes(c *chord) {
	if c.Strokes == 0 {
		return
	}
	if next := c.next(); c.Between && next != nil {
		if !next.stem || next.beam == nil {
			next.tip = e.stemEnd(next)
		}
		e.drawBetween(c, next)
		return
	}
	sign := 1
	if !c.up {
		sign = -1
	}
	x, y := c.stemX(), c.tip+sign*(space+max(c.flags(), c.beams())*beamStep)
	if !c.stem {
		x, y = c.x()+c.headWidth()/2, e.headY(c.top())-space-c.Strokes*beamStep
		sign = 1
	}
	for i := range c.Strokes {
		at := y + sign*i*beamStep
		e.out.solid("M%d %dl48 -12v16l-48 12z", x-24, at)
		e.out.cover(c.staff(), box{x - 24, at - 12, x + 24, at + 16})
	}
}

// next is the chord after it in its voice and measure, nil if there is none.
func (c *chord) next() *chord {
	found := false
	for _, o := range c.bar.chords {
		if found && o.Voice == c.Voice && !o.Grace && !o.rest() {
			return o
		}
		found = found || o == c
	}
	return nil
}

// drawBetween draws the strokes of a tremolo of two chords.
func (e *engraver) drawBetween(a, b *chord) {
	x0, x1 := a.stemX()+leastGap, b.stemX()-leastGap
	y0, y1, sign := a.tip, b.tip, 1
	if !a.up {
		sign = -1
	}
	if !a.stem {
		x0, x1 = a.x()+a.headWidth()+leastGap, b.x()-leastGap
		y0, y1, sign = e.headY(a.top())-half, e.headY(b.top())-half, 1
	}
	beams := 0
	if a.beam != nil && a.beam == b.beam {
		beams = a.beams()
	}
	for i := range a.Strokes {
		d := sign * (beams + i) * beamStep
		if sign < 0 {
			d -= beamThick
		}
		e.out.solid("M%d %dL%d %dv%dL%d %dz", x0, y0+d, x1, y1+d, beamThick, x0, y0+d+beamThick)
		e.out.cover(a.staff(), box{x0, min(y0, y1) + d, x1, max(y0, y1) + d + beamThick})
	}
}

// restWidth is the width of a rest.
func restWidth(v Value) int {
	n := v.flags()
	return restGlyph(v).width() + max(0, n-1)*restLean
}

// restLean is how far the stem of a rest leans from hook to hook.
const restLean = 11

func restGlyph(v Value) glyph {
	switch {
	case v == Whole:
		return restWhole
	case v == Half:
		return restHalf
	case v == Quarter || v == Unknown:
		return restQuarter
	case v > Quarter:
		return restEighth
	}
	return restBreve
}

// drawRest draws a rest. One of a whole measure stands in the middle of it.
func (e *engraver) drawRest(c *chord) {
	staff, v := c.staff(), c.Value
	if c.Whole && (v == Unknown || v >= Whole) {
		v = Whole
	}
	x := c.x()
	if c.Whole {
		from := c.bar.x + c.bar.body - measureGap
		x = (from+c.bar.end-c.bar.tail.width)/2 - restWidth(v)/2
	}
	pos := e.restPosition(c, v)
	y := e.y(staff, pos)
	g, n := restGlyph(v), max(1, v.flags())
	for i := range n {
		down := 0
		if n > 1 {
			down = (1 - i) * c.scaled(space)
		}
		e.out.use(g, x+i*c.scaled(restLean), y+down, c.size, staff, "")
	}
	if (v == Whole || v == Half) && (pos < 0 || pos > 8) {
		e.out.line(ledgerPath, "M%d %dh%d", x-ledgerOver, y, g.width()+2*ledgerOver)
	}
	if c.Whole {
		return // whatever the measure's length
	}
	for i := range c.Dots {
		e.out.note(dot, x+c.scaled(restWidth(v)+dotGap+i*(dot.width()+dotGap/2)), e.y(staff, pos+1-pos&1), c.size, staff, "")
	}
}

// restPosition is where a rest stands: where the file says, else in the middle, or
// away from the other voice.
func (e *engraver) restPosition(c *chord, v Value) int {
	staff := c.staff()
	if r := c.Rest; r.Step >= 'A' && r.Step <= 'G' {
		return c.bar.at(staff, c.At).position(r.Step, r.Octave)
	}
	pos := 4
	if c.many {
		pos = e.apartFrom(c, staff)
	}
	if v == Whole {
		pos += 2
	}
	return pos
}

// apartFrom is a place for a rest above or below the other voices' notes that
// begin with it.
func (e *engraver) apartFrom(c *chord, staff int) int {
	pos := 8
	if c.rank%2 == 1 {
		pos = 0
	}
	for _, h := range headsOn(c.col.chords, staff) {
		if c.rank%2 == 0 {
			pos = max(pos, (h.pos+5)&^1)
		} else {
			pos = min(pos, (h.pos-4)&^1)
		}
	}
	return pos
}
