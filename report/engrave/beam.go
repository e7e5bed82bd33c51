package engrave

// A beam joins chords of one voice.
type beam struct {
	chords []*chord
	kneed  bool // stems go both ways
	y0, y1 int  // of its first and last stem's end
}

// makeBeams joins chords as their beams say, also over barlines. Chords whose
// beams begin or end nowhere keep their flags.
func (e *engraver) makeBeams() {
	type key struct {
		voice int
		grace bool
	}
	open := map[key]*beam{}
	var all []*beam
	for _, b := range e.bars {
		for _, c := range b.chords {
			if len(c.Beams) == 0 || c.rest() || !c.stem {
				continue
			}
			k := key{c.Voice, c.Grace}
			switch c.Beams[0] {
			case Begin:
				open[k] = &beam{chords: []*chord{c}}
				all = append(all, open[k])
			case Continue, End:
				if g := open[k]; g != nil {
					g.chords = append(g.chords, c)
				}
				if c.Beams[0] == End {
					delete(open, k)
				}
			}
		}
	}
	for _, g := range all {
		if len(g.chords) < 2 {
			continue
		}
		for _, c := range g.chords {
			c.beam = g
		}
		g.agree()
		e.beams = append(e.beams, g)
	}
}

// agree decides which way the stems go that the file leaves open: all the same,
// away from the note that lies farthest from the middle.
func (g *beam) agree() {
	lean, many := 0, false
	for _, c := range g.chords {
		many = many || c.many || c.Grace
		if l := c.lean(); abs(l) > abs(lean) {
			lean = l
		}
	}
	up := lean < 0
	if many {
		up = g.chords[0].up
	}
	for _, c := range g.chords {
		if c.Stem == AnyStem {
			c.up = up
		}
		g.kneed = g.kneed || c.up != g.chords[0].up
	}
}

func abs(n int) int { return max(n, -n) }

// steepest is how far a beam rises or falls at most.
const steepest = space * 5 / 4

// place finds the heights of the beam's ends; staves must have their places.
func (g *beam) place(e *engraver) {
	if g.kneed {
		g.placeBetween(e)
		return
	}
	first, last := g.chords[0], g.chords[len(g.chords)-1]
	sign := 1 // from a head to its stem's end
	if first.up {
		sign = -1
	}
	y0, y1 := e.stemEnd(first), e.stemEnd(last)
	most := min(steepest, (last.stemX()-first.stemX())/4)
	fall := min(max(y1-y0, -most), most)
	for _, c := range g.chords[1 : len(g.chords)-1] {
		if end := e.stemEnd(c); sign*(end-y0) > 0 && sign*(end-y1) > 0 {
			fall = 0 // an inner note goes farther than both ends
		}
	}
	// The end that goes farther keeps its length.
	if sign*(y1-y0) > 0 {
		y0 = y1 - fall
	} else {
		y1 = y0 + fall
	}
	g.y0, g.y1 = y0, y1
	for _, c := range g.chords {
		if short := sign * (e.leastStem(c, sign) - g.y(c.stemX())); short > 0 {
			g.y0, g.y1 = g.y0+sign*short, g.y1+sign*short
		}
	}
	for _, c := range g.chords {
		c.tip = g.y(c.stemX())
	}
}

// leastStem is where the stem of a beamed chord ends if it is as short as it can
// be with its beams.
func (e *engraver) leastStem(c *chord, sign int) int {
	return e.headY(c.near()) + sign*c.scaled(stemLength-space+max(0, c.beams()-1)*beamStep)
}

// placeBetween puts the beam between the notes above and those below it.
func (g *beam) placeBetween(e *engraver) {
	low, high := -1<<30, 1<<30
	levels := 1
	for _, c := range g.chords {
		levels = max(levels, c.beams())
		if c.up {
			high = min(high, e.headY(c.near()))
		} else {
			low = max(low, e.headY(c.near()))
		}
	}
	y := (low+high)/2 - (beamThick+(levels-1)*beamStep)/2
	g.y0, g.y1 = y, y
	for _, c := range g.chords {
		c.tip = y
		if !c.up {
			c.tip = y + beamThick + (max(1, c.beams())-1)*beamStep
		}
	}
}

// draw draws the beam on all its levels.
func (g *beam) draw(e *engraver) {
	levels := 0
	for _, c := range g.chords {
		levels = max(levels, c.beams())
	}
	for level := range levels {
		start := -1
		for i, c := range g.chords {
			switch c.level(level) {
			case Begin:
				start = i
			case Continue:
				if start < 0 {
					start = i
				}
			case End:
				if start >= 0 {
					g.bar(e, level, g.chords[start].stemX(), c.stemX(), c)
				}
				start = -1
			case Forward:
				g.bar(e, level, c.stemX(), c.stemX()+g.short(i, i+1), c)
			case Backward:
				g.bar(e, level, c.stemX()-g.short(i-1, i), c.stemX(), c)
			}
		}
		if start >= 0 {
			last := g.chords[len(g.chords)-1]
			g.bar(e, level, g.chords[start].stemX(), last.stemX(), last)
		}
	}
}

func (c *chord) level(n int) Beam {
	if n >= len(c.Beams) {
		return NoBeam
	}
	return c.Beams[n]
}

// short is the length of a short beam beside a stem: a head's width, or half the
// way to the neighbour, chords i and j.
func (g *beam) short(i, j int) int {
	c := g.chords[0]
	if i < 0 || j >= len(g.chords) {
		return c.scaled(headWidth)
	}
	return min(c.scaled(headWidth), (g.chords[j].stemX()-g.chords[i].stemX())/2)
}

// bar draws the beam of one level from one stem to another.
func (g *beam) bar(e *engraver, level, x0, x1 int, c *chord) {
	first := g.chords[0]
	thick, step := first.scaled(beamThick), first.scaled(beamStep)
	offset := step * level
	if !g.kneed && !first.up {
		offset = -thick - offset
	}
	x0, x1 = x0-stemThick/2, x1+stemThick/2+1
	y0, y1 := g.y(x0)+offset, g.y(x1)+offset
	e.out.solid("M%d %dL%d %dv%dL%d %dz", x0, y0, x1, y1, thick, x0, y0+thick)
	staff := c.staff()
	if g.kneed || g.crosses() {
		staff = 0
	}
	e.out.cover(staff, box{x0, min(y0, y1), x1, max(y0, y1) + thick})
}

// y is the height of the beam at a place: of the edge that stems end at.
func (g *beam) y(x int) int {
	first, last := g.chords[0].stemX(), g.chords[len(g.chords)-1].stemX()
	if last <= first {
		return g.y0
	}
	return g.y0 + (g.y1-g.y0)*(x-first)/(last-first)
}

// crosses reports whether the beam has notes on more than one staff.
func (g *beam) crosses() bool {
	for _, c := range g.chords {
		if c.spread() || c.staff() != g.chords[0].staff() {
			return true
		}
	}
	return false
}
