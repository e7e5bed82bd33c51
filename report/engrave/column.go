package engrave

import (
	"cmp"
	"slices"
)

// arrange places everything in a column beside its heads: seconds, voices that
// collide, accidentals, dots, rolls, grace notes and changes.
func (e *engraver) arrange(b *bar, c *column) {
	for _, ch := range append(slices.Clone(c.chords), c.graces...) {
		ch.setSeconds()
	}
	for staff := 1; staff <= e.music.Staves; staff++ {
		e.partVoices(c, staff)
	}
	for staff := 1; staff <= e.music.Staves; staff++ {
		heads := headsOn(c.chords, staff)
		c.widen(staff, heads)
		placeDots(heads)
		for _, h := range heads {
			if h.chord.Dots > 0 {
				c.reach(staff, 0, h.dots+h.chord.scaled(h.chord.Dots*dotGap+(h.chord.Dots-1)*dot.width()))
			}
		}
		c.left[staff-1] = max(c.left[staff-1], e.placeSigns(heads, 0))
	}
	e.placeRolls(c)
	e.placeGraces(c)
	for staff := 1; staff <= e.music.Staves; staff++ {
		e.placeChanges(b, c, staff)
	}
}

func headsOn(chords []*chord, staff int) []*head {
	var list []*head
	for _, c := range chords {
		for _, h := range c.heads {
			if h.Staff == staff {
				list = append(list, h)
			}
		}
	}
	return list
}

// reach notes that something on a staff takes so much room left and right of the
// column.
func (c *column) reach(staff, left, right int) {
	s := staff - 1
	c.on[s] = true
	c.left[s], c.right[s] = max(c.left[s], left), max(c.right[s], right)
}

// widen takes in the heads, flags and rests of a staff.
func (c *column) widen(staff int, heads []*head) {
	for _, h := range heads {
		x := h.chord.dx + h.dx
		c.reach(staff, -x, x+h.width())
	}
	for _, ch := range c.chords {
		switch {
		case ch.rest() && ch.staff() == staff && ch.Whole:
			c.reach(staff, 0, 0)
		case ch.rest() && ch.staff() == staff:
			c.reach(staff, 0, ch.dx+ch.scaled(restWidth(ch.Value)+ch.Dots*(dotGap+dot.width())))
		case ch.flags() > 0 && ch.up && ch.top().Staff == staff:
			c.reach(staff, 0, ch.dx+ch.headWidth()+ch.scaled(flagUp.width()-stemThick))
		}
	}
}

// partVoices moves chords aside that would stand on others of their staff.
func (e *engraver) partVoices(c *column, staff int) {
	var placed []*chord
	chords := slices.Clone(c.chords)
	slices.SortStableFunc(chords, func(a, b *chord) int {
		return cmp.Or(compareBool(!a.up, !b.up), compareChords(a, b))
	})
	for _, ch := range chords {
		if ch.rest() || ch.spread() || ch.staff() != staff {
			continue
		}
		for _, other := range placed {
			if d := clash(other, ch); d > 0 {
				ch.dx = max(ch.dx, other.dx+d)
			}
		}
		placed = append(placed, ch)
	}
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// clash is how far chord b has to stand right of chord a, which it would stand
// on; 0 if they do not touch or share a head.
func clash(a, b *chord) int {
	if a.bottom().pos > b.top().pos+1 && a.up && !b.up {
		return 0
	}
	if shares(a, b) {
		return 0
	}
	d := 0
	for _, h := range a.heads {
		for _, k := range b.heads {
			if near(h.pos, k.pos) {
				d = max(d, h.dx+h.width()-k.dx+signGap/2)
			}
		}
	}
	if d > 0 || a.up != b.up && a.bottom().pos > b.top().pos {
		return d
	}
	return a.headWidth() + rightmost(a) + signGap/2
}

// rightmost is how far a displaced head of the chord stands out to the right.
func rightmost(c *chord) int {
	d := 0
	for _, h := range c.heads {
		d = max(d, h.dx)
	}
	return d
}

// shares reports whether two chords with stems on either side meet in one head
// that can stand for both: the lowest of the upper and the highest of the lower
// one, of the same look. Common practice.
func shares(a, b *chord) bool {
	h, k := a.bottom(), b.top()
	if a.up == b.up || !a.up || h.pos != k.pos || h.glyph != k.glyph || a.size != b.size || a.Dots != b.Dots || h.dx != 0 || k.dx != 0 {
		return false
	}
	if h.Sign != k.Sign && h.Sign != NoSign && k.Sign != NoSign {
		return false
	}
	for _, other := range b.heads[:len(b.heads)-1] {
		if near(other.pos, h.pos) {
			return false
		}
	}
	if len(a.heads) > 1 && near(a.heads[1].pos, h.pos) {
		return false
	}
	k.merge = true
	return true
}

// placeSigns puts the accidentals of heads left of them, of the column's x plus
// an offset. It returns how far they reach to the left of that. They are set from
// outside in, upper and lower in turn, each as far to the right as it can stand.
// Common practice.
func (e *engraver) placeSigns(heads []*head, offset int) int {
	lendSigns(heads)
	var signed []*head
	for _, h := range heads {
		if h.Sign == OtherSign {
			e.omit("accidentals other than sharps, flats and naturals, single and double")
			continue
		}
		if h.Sign != NoSign && !h.merge && h.Head != NoHead {
			signed = append(signed, h)
		}
	}
	slices.SortStableFunc(signed, func(a, b *head) int { return cmp.Compare(b.pos, a.pos) })
	var placed []box
	reach := 0
	for n := range signed {
		h := signed[n/2]
		if n%2 == 1 {
			h = signed[len(signed)-1-n/2]
		}
		b := signBox(h).at(0, -h.pos*half)
		right := -signGap
		for _, k := range heads {
			head := shapes[k.glyph].box.scaled(k.chord.size).at(k.chord.dx+k.dx, -k.pos*half)
			if head.top < b.bottom && b.top < head.bottom {
				right = min(right, head.left-signGap)
			}
		}
		right = clearOf(placed, b, right)
		placed = append(placed, b.at(right-b.right, 0))
		h.sign = offset + right - b.right
		reach = max(reach, -(right - b.right))
	}
	return reach
}

// lendSigns gives the accidental of a note that has no head, such as one whose stem
// stands at a head of another voice, to the head that is drawn in its place.
func lendSigns(heads []*head) {
	for _, h := range heads {
		if h.Head != NoHead || h.Sign == NoSign {
			continue
		}
		i := slices.IndexFunc(heads, func(k *head) bool { return k.Head != NoHead && !k.merge && k.pos == h.pos })
		if i < 0 || heads[i].Sign != NoSign {
			continue
		}
		n := *heads[i].Note
		n.Sign, n.Round = h.Sign, h.Round
		heads[i].Note = &n
	}
}

// clearOf moves a box to the left until it stands on none of those placed; right
// is where its right edge may be at most.
func clearOf(placed []box, b box, right int) int {
	for moved := true; moved; {
		moved = false
		for _, p := range placed {
			x := right - b.right
			if p.top < b.bottom && b.top < p.bottom && p.left < x+b.right+4 && x+b.left < p.right+4 {
				right, moved = p.left-5, true
			}
		}
	}
	return right
}

// signBox is what an accidental covers, from its left edge.
func signBox(h *head) box {
	b := box{}
	for _, g := range signGlyphs(h.Sign) {
		s := shapes[g].box
		b = box{0, min(b.top, s.top), b.right + s.right + 3, max(b.bottom, s.bottom)}
	}
	b.right -= 3
	if h.Round {
		b.right += 2 * (paren.width() + 2)
	}
	return b.scaled(h.chord.size)
}

func signGlyphs(s Sign) []glyph {
	switch s {
	case Natural:
		return []glyph{natural}
	case Sharp:
		return []glyph{sharp}
	case Flat:
		return []glyph{flat}
	case DoubleSharp:
		return []glyph{doubleSharp}
	case DoubleFlat:
		return []glyph{doubleFlat}
	case NaturalSharp:
		return []glyph{natural, sharp}
	case NaturalFlat:
		return []glyph{natural, flat}
	}
	return nil
}

// placeDots puts the dots of each chord in a row right of its heads and of all
// that stand at their height, in spaces, no two of them in one space.
func placeDots(heads []*head) {
	taken := map[int]bool{}
	sorted := slices.Clone(heads)
	slices.SortStableFunc(sorted, func(a, b *head) int { return cmp.Compare(b.pos, a.pos) })
	right := map[*chord]int{}
	for _, h := range sorted {
		c := h.chord
		if c.Dots == 0 {
			continue
		}
		h.dotUp = dotStep(h, taken)
		taken[h.pos+h.dotUp] = true
		for _, k := range heads {
			if k.chord == c || near(k.pos, h.pos+h.dotUp) {
				right[c] = max(right[c], k.chord.dx+k.dx+k.width())
			}
		}
	}
	for _, h := range sorted {
		h.dots = right[h.chord] + h.chord.scaled(dotGap)
	}
}

// dotStep is how many steps above its head a dot stands: in the same space, or
// beside a line in the one above, below for the lower voice.
func dotStep(h *head, taken map[int]bool) int {
	if h.pos%2 != 0 {
		return 0
	}
	step := 1
	if h.chord.many && h.chord.rank%2 == 1 {
		step = -1
	}
	if taken[h.pos+step] {
		step = -step
	}
	return step
}

// A roll is an arpeggio sign or bracket beside a column.
type roll struct {
	kind        RollKind
	x           int // from the column to its left edge
	top, bottom *head
}

// placeRolls puts rolls left of everything of the notes that they are for.
func (e *engraver) placeRolls(c *column) {
	type key struct{ group, staff int }
	groups := map[key]*roll{}
	var order []*roll
	for _, ch := range c.chords {
		if ch.Roll.Kind == NoRoll || ch.rest() {
			continue
		}
		k := key{group: ch.Roll.Group}
		if k.group == 0 {
			k.staff = ch.staff()
		}
		r := groups[k]
		if r == nil {
			r = &roll{kind: ch.Roll.Kind, top: ch.top(), bottom: ch.bottom()}
			order = append(order, r)
			groups[k] = r
			continue
		}
		if above(ch.top(), r.top) {
			r.top = ch.top()
		}
		if above(r.bottom, ch.bottom()) {
			r.bottom = ch.bottom()
		}
	}
	for _, r := range order {
		left := 0
		for s := r.top.Staff; s <= r.bottom.Staff; s++ {
			left = max(left, c.left[s-1])
		}
		left += rollWidth + signGap
		r.x = -left
		for s := r.top.Staff; s <= r.bottom.Staff; s++ {
			c.reach(s, left, 0)
		}
		c.rolls = append(c.rolls, *r)
	}
}

// above reports whether head a stands higher than b.
func above(a, b *head) bool { return a.Staff < b.Staff || a.Staff == b.Staff && a.pos > b.pos }

// placeGraces puts the grace notes left of what they lead to on their staff, the last
// one nearest, and those of one voice one after the other on whatever staves.
func (e *engraver) placeGraces(c *column) {
	taken := map[int]int{} // by the graces of a voice so far
	for i := len(c.graces) - 1; i >= 0; i-- {
		g := c.graces[i]
		staff := g.staff()
		left := e.placeSigns(g.heads, 0)
		width := g.scaled(headWidth) + leastGap
		if !g.rest() {
			width += rightmost(g) + g.scaled(g.Dots*(dotGap+dot.width()))
		}
		if g.flags() > 0 && g.up {
			width += g.scaled(flagUp.width()) / 2
		}
		g.dx = -(max(c.left[staff-1], taken[g.Voice]) + width)
		for _, h := range g.heads {
			h.sign += g.dx
		}
		placeDots(g.heads)
		taken[g.Voice] = left - g.dx
		c.reach(staff, left-g.dx, 0)
	}
}

// placeChanges puts a clef or key signature that changes here left of all notes of
// the column.
func (e *engraver) placeChanges(b *bar, c *column, staff int) {
	for _, change := range c.changes {
		if change.Staff != staff {
			continue
		}
		width := 0
		if change.Clef != nil {
			width += clefWidth(*change.Clef)*cueSize/100 + leastGap
		}
		if change.Key != nil {
			width += keyWidth(*change.Key, nil) + leastGap
		}
		c.reach(staff, c.left[staff-1]+width, 0)
		c.clefs[staff-1] = -c.left[staff-1]
	}
}
