package engrave

import "slices"

// A lead is what stands before the first note of a measure. Its places are from
// the barline at its left; 0 is for what it has not.
type lead struct {
	start bool // of the line
	clef  int
	key   int
	meter int
	bar   int // the barline at its start, where that is not the one before it
	keys  [MostStaves]bool
}

// A tail is what stands between the last note of a measure and the next one.
type tail struct {
	width int
	clef  int // from the end, to the left edges of clefs that change
	clefs [MostStaves]bool
}

// openBar finds room for clefs, key and time signature at the start of a bar.
func (e *engraver) openBar(b *bar, start bool) {
	l := lead{start: start}
	x := 0
	wide := func(width func(staff int) int) int {
		most := 0
		for s := 1; s <= e.music.Staves; s++ {
			most = max(most, width(s))
		}
		return most
	}
	if start {
		l.clef = leadGap
		x = l.clef + wide(func(s int) int { return clefWidth(b.opening(s).Clef) })
	} else if b.Left != (Barline{}) {
		x += e.leftBar(b, &l, 0)
	}
	key := wide(func(s int) int {
		before, ok := e.keyBefore(b, s)
		now := b.opening(s).Key
		l.keys[s-1] = start || ok && !slices.Equal(before, now)
		if !l.keys[s-1] {
			return 0
		}
		if start {
			before = nil
		}
		return keyWidth(now, before)
	})
	if key > 0 {
		l.key = x + leadGap
		x = l.key + key
	}
	if b.Meter != (Meter{}) {
		l.meter = x + leadGap
		x = l.meter + meterWidth(b.Meter)
	}
	if start && b.Left != (Barline{}) {
		x += e.leftBar(b, &l, x+measureGap)
	}
	b.lead = l
	b.body = x + measureGap
}

// leftBar finds room for a barline at the start of a measure, at x.
func (e *engraver) leftBar(b *bar, l *lead, x int) int {
	l.bar = x
	width := thickBar + barGap
	if b.Left.Repeat {
		width += barGap + dot.width()
	}
	if l.start {
		width += measureGap
	}
	return width
}

// keyBefore is the key in force on a staff before a bar; ok is false if it is not
// known.
func (e *engraver) keyBefore(b *bar, staff int) (k Key, ok bool) {
	if b.index == 0 {
		return nil, false
	}
	return e.music.Measures[b.index-1].closing(staff).Key, true
}

// closeBar finds room for clefs that change at the next measure, and for the
// barline between them.
func (e *engraver) closeBar(b *bar) {
	t := tail{}
	width := 0
	if b.index+1 < len(e.bars) {
		next := e.bars[b.index+1]
		for s := 1; s <= e.music.Staves; s++ {
			clef := next.opening(s).Clef
			if clef.usual() != b.closing(s).Clef.usual() {
				t.clefs[s-1] = true
				width = max(width, clefWidth(clef)*cueSize/100)
			}
		}
	}
	if width > 0 {
		t.clef = width + leastGap
		t.width = t.clef
	}
	bar := rightBarWidth(b.Right)
	t.clef += bar
	t.width += bar
	b.tail = t
}

// rightBarWidth is how far a barline reaches to the left of a measure's end.
func rightBarWidth(r Barline) int {
	width := 0
	switch r.Style {
	case Double:
		width = barGap
	case Final, HeavyHeavy:
		width = thickBar + barGap
	case HeavyLight:
		width = thickBar + barGap
	case Heavy:
		width = thickBar
	}
	if r.Repeat {
		width = max(width, thickBar+barGap) + barGap + dot.width()
	}
	return width
}

func clefWidth(c Clef) int { return shapes[clefGlyph(c)].box.right }

func clefGlyph(c Clef) glyph {
	switch c.usual().Sign {
	case 'F':
		return clefF
	case 'C':
		return clefC
	case 'P':
		return clefPercussion
	}
	return clefG
}

// keyWidth is the width of a key signature after another; nil is none.
func keyWidth(k, before Key) int {
	width := 0
	for _, s := range keySigns(k, before) {
		for _, g := range signGlyphs(s.Sign) {
			width += g.width() + 3
		}
	}
	return width
}

// keySigns are what is drawn of a key signature: its signs or, where it has none,
// naturals for those before it. Common practice.
func keySigns(k, before Key) []KeySign {
	if len(k) > 0 {
		return k
	}
	list := make([]KeySign, len(before))
	for i, s := range before {
		list[i] = KeySign{s.Step, Natural}
	}
	return list
}

// meterGlyphs are the glyphs of a number in a time signature; what is neither a
// digit nor a plus is left out.
func (e *engraver) meterGlyphs(text string) []glyph {
	var list []glyph
	for _, r := range text {
		switch {
		case r >= '0' && r <= '9':
			list = append(list, digit0+glyph(r-'0'))
		case r == '+':
			list = append(list, plus)
		case r == ' ':
		default:
			e.omit("signs in time signatures other than numbers")
		}
	}
	return list
}

func rowWidth(row []glyph) int {
	width := 0
	for _, g := range row {
		width += g.width() + 6
	}
	return width
}

func meterWidth(m Meter) int {
	switch m.Symbol {
	case 'C', '|':
		return common.width()
	}
	e := &engraver{}
	return max(rowWidth(e.meterGlyphs(m.Beats)), rowWidth(e.meterGlyphs(m.Unit)))
}

// drawLead draws what stands at the start of a bar.
func (e *engraver) drawLead(b *bar) {
	l := b.lead
	for staff := 1; staff <= e.music.Staves; staff++ {
		open := b.opening(staff)
		if l.start {
			e.drawClef(open.Clef, b.x+l.clef, 100, staff)
		}
		if l.keys[staff-1] && l.key > 0 {
			before, _ := e.keyBefore(b, staff)
			if l.start {
				before = nil
			}
			e.drawKey(open.Key, before, open.Clef, b.x+l.key, staff)
		}
		if l.meter > 0 {
			e.drawMeter(b.Meter, b.x+l.meter, staff)
		}
	}
}

// drawClef draws a clef with its left edge at x.
func (e *engraver) drawClef(c Clef, x, size, staff int) {
	switch c.Sign {
	case 0, 'G', 'F', 'C', 'P':
	default:
		e.omit("clefs other than G, F, C and percussion")
	}
	u := c.usual()
	y := e.out.tops[staff-1] + (5-u.Line)*space
	if u.Sign == 'P' {
		y = e.out.tops[staff-1] + 2*space
	}
	g := clefGlyph(c)
	e.out.use(g, x, y, size, staff, "")
	if c.Octaves == 0 {
		return
	}
	b := shapes[g].box.scaled(size).at(x, y)
	eight, count := []glyph{digit8}, abs(c.Octaves)
	if count == 2 {
		eight = []glyph{digit1, digit5}
	}
	const small = 55
	ny := b.bottom + 40*small/100
	if c.Octaves > 0 {
		ny = b.top - 40*small/100
	}
	nx := (b.left+b.right)/2 - rowWidth(eight)*small/200
	for _, d := range eight {
		e.out.use(d, nx, ny, small, staff, "")
		nx += (d.width() + 6) * small / 100
	}
}

// drawKey draws a key signature with its left edge at x.
func (e *engraver) drawKey(k, before Key, c Clef, x, staff int) {
	for i, s := range keySigns(k, before) {
		as := s.Sign
		if as == Natural && i < len(before) && len(k) == 0 {
			as = before[i].Sign
		}
		y := e.y(staff, c.keyPosition(s, as))
		for _, g := range signGlyphs(s.Sign) {
			e.out.use(g, x, y, 100, staff, "")
			x += g.width() + 3
		}
		if s.Sign == OtherSign {
			e.omit("accidentals other than sharps, flats and naturals, single and double")
		}
	}
}

// drawMeter draws a time signature with its left edge at x.
func (e *engraver) drawMeter(m Meter, x, staff int) {
	middle := e.out.tops[staff-1] + 2*space
	switch m.Symbol {
	case 'C':
		e.out.use(common, x, middle, 100, staff, "")
		return
	case '|':
		e.out.use(cut, x, middle, 100, staff, "")
		return
	}
	width := meterWidth(m)
	for i, row := range [][]glyph{e.meterGlyphs(m.Beats), e.meterGlyphs(m.Unit)} {
		at := x + (width-rowWidth(row))/2
		for _, g := range row {
			e.out.use(g, at, middle+(2*i-1)*space, 100, staff, "")
			at += g.width() + 6
		}
	}
}

// y is the height of a staff position, of a staff from 1.
func (e *engraver) y(staff, pos int) int { return e.out.tops[staff-1] + staffHeight - pos*half }

func (e *engraver) headY(h *head) int { return e.y(h.Staff, h.pos) }
