package engrave

import (
	"cmp"
	"slices"
)

// A chord is a Chord in the making: a chord, note or rest.
type chord struct {
	*Chord
	bar   *bar
	col   *column
	index int     // in the measure's Chords
	heads []*head // the lowest first
	up    bool
	stem  bool
	many  bool // another voice is on its staff
	rank  int  // of its voice on its staff, from 0
	size  int  // hundredths
	dx    int  // from the column to its usual heads
	beam  *beam
	tip   int // y of the end of its stem
}

// A head is a note's head in the making.
type head struct {
	*Note
	chord *chord
	pos   int // steps above the bottom line of its staff
	dx    int // from the chord's usual heads, in a second
	glyph glyph
	sign  int  // from the column to the left edge of its accidental
	dots  int  // from the column to its first dot
	dotUp int  // steps from the head to its dots
	merge bool // another voice has the same head
}

// newChord takes in a chord, nil if it is hidden.
func (e *engraver) newChord(b *bar, index int) *chord {
	c := &chord{Chord: &b.Chords[index], bar: b, index: index, size: 100}
	if c.Hidden {
		return nil
	}
	switch {
	case c.Grace:
		c.size = graceSize
	case c.Small:
		c.size = cueSize
	}
	for i := range c.Notes {
		n := &c.Notes[i]
		if n.Staff < 1 || n.Staff > e.music.Staves {
			e.omit("notes on more than %d staves", MostStaves)
			continue
		}
		h := &head{Note: n, chord: c, glyph: headGlyph(c.Value, n.Head), pos: b.at(n.Staff, c.At).position(n.Step, n.Octave)}
		if n.Head == OtherHead {
			e.omit("other shapes of noteheads than the usual ones, crosses and diamonds")
		}
		c.heads = append(c.heads, h)
		if n.ID != 0 {
			e.notes[n.ID] = h
		}
	}
	if len(c.heads) == 0 && (len(c.Notes) > 0 || c.Staff < 1 || c.Staff > e.music.Staves) {
		return nil
	}
	slices.SortStableFunc(c.heads, func(a, b *head) int { return cmp.Or(cmp.Compare(b.Staff, a.Staff), cmp.Compare(a.pos, b.pos)) })
	voices := b.voices[c.staff()-1]
	c.rank, c.many = max(0, slices.Index(voices, c.Voice)), len(voices) > 1
	c.stem = len(c.heads) > 0 && c.Stem != NoStem && (c.Value == Unknown || c.Value >= Half)
	c.up = c.stemUp()
	return c
}

func headGlyph(v Value, shape Head) glyph {
	switch shape {
	case Cross:
		return noteX
	case Diamond:
		return noteDiamond
	}
	switch {
	case v == Unknown || v >= Quarter:
		return noteBlack
	case v == Half:
		return noteHalf
	}
	return noteWhole
}

// staff is the one that the chord belongs to, from 1: that of its top note.
func (c *chord) staff() int {
	if len(c.heads) == 0 {
		return c.Chord.Staff
	}
	return c.heads[len(c.heads)-1].Staff
}

// spread reports whether the chord's notes stand on more than one staff.
func (c *chord) spread() bool {
	return len(c.heads) > 0 && c.heads[0].Staff != c.heads[len(c.heads)-1].Staff
}

func (c *chord) rest() bool { return len(c.heads) == 0 }

// stemUp decides which way the stem goes, where no beam decides: as the file
// says, else away from the other voice, else towards the middle of the staff.
func (c *chord) stemUp() bool {
	switch {
	case c.Stem == Up:
		return true
	case c.Stem == Down:
		return false
	case c.Grace:
		return !c.many || c.rank%2 == 0
	case c.many:
		return c.rank%2 == 0
	case c.rest() || c.spread():
		return true
	}
	return c.lean() < 0
}

// lean is how far the chord lies from the middle line, to the side on which it
// goes farther; below zero is below the line.
func (c *chord) lean() int {
	const middle = 4
	low, high := c.heads[0].pos-middle, c.heads[len(c.heads)-1].pos-middle
	if -low > high {
		return low
	}
	return high
}

// top and bottom are its outer heads.
func (c *chord) top() *head    { return c.heads[len(c.heads)-1] }
func (c *chord) bottom() *head { return c.heads[0] }

// near and far are the head at the stem's end and that at its root.
func (c *chord) near() *head {
	if c.up {
		return c.top()
	}
	return c.bottom()
}

func (c *chord) far() *head {
	if c.up {
		return c.bottom()
	}
	return c.top()
}

// scaled is a length in the size of the chord.
func (c *chord) scaled(n int) int { return n * c.size / 100 }

func (c *chord) headWidth() int { return c.scaled(c.heads[0].glyph.width()) }

// stemX is the middle of the stem.
func (c *chord) stemX() int {
	x := c.x()
	if c.rest() {
		return x + c.scaled(headWidth)/2
	}
	if c.up {
		return x + c.headWidth() - stemThick/2
	}
	return x + stemThick/2
}

// x is the left edge of its usual heads.
func (c *chord) x() int { return c.bar.place(c.col) + c.dx }

func (h *head) x() int { return h.chord.x() + h.dx }

func (h *head) width() int { return h.chord.scaled(h.glyph.width()) }

// setSeconds puts every other head of neighbouring ones on the other side of the
// stem.
func (c *chord) setSeconds() {
	heads, shift := c.heads, c.headWidthOrNone()-stemThick
	if !c.up {
		heads = slices.Clone(heads)
		slices.Reverse(heads)
		shift = -shift
	}
	for i := 1; i < len(heads); i++ {
		a, b := heads[i-1], heads[i]
		if a.Staff == b.Staff && near(a.pos, b.pos) && a.dx == 0 {
			b.dx = shift
		}
	}
}

func (c *chord) headWidthOrNone() int {
	if c.rest() {
		return 0
	}
	return c.headWidth()
}

// near reports whether heads at two positions touch.
func near(a, b int) bool { return a-b <= 1 && b-a <= 1 }

// flags is how many flags the chord has of its own.
func (c *chord) flags() int {
	if c.beam != nil || !c.stem {
		return 0
	}
	return c.Value.flags()
}

// beams is how many beams the chord has.
func (c *chord) beams() int {
	n := 0
	for i, b := range c.Beams {
		if b != NoBeam {
			n = i + 1
		}
	}
	return n
}
