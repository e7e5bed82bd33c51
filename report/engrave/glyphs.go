package engrave

import (
	"fmt"
	"strings"
)

// A glyph is one of our own drawings. Their proportions are those of SMuFL 1.4:
// lengths are in staff spaces from an origin on the staff line or at the note's
// height; heads are 1.18 spaces wide, digits 2 high. Here one space is 40 units, x
// goes to the right and y down.
type glyph int

// A shape is the drawing of a glyph.
type shape struct {
	id   string // in the SVG
	box  box
	path string
}

// A box is what something covers.
type box struct{ left, top, right, bottom int }

func (b box) at(x, y int) box { return box{b.left + x, b.top + y, b.right + x, b.bottom + y} }

// scaled is the box of a drawing in so many hundredths of its size.
func (b box) scaled(percent int) box {
	return box{b.left * percent / 100, b.top * percent / 100, b.right * percent / 100, b.bottom * percent / 100}
}

func (g glyph) width() int { return shapes[g].box.right }

func (g glyph) height() int { return shapes[g].box.bottom - shapes[g].box.top }

// Defs returns the drawings that all others refer to, for a page to hold once: an
// SVG element that takes no room.
func Defs() string {
	var b strings.Builder
	b.WriteString(`<svg width="0" height="0" style="position:absolute" aria-hidden="true" focusable="false"><defs>`)
	for _, s := range shapes {
		b.WriteString(s.def())
	}
	b.WriteString(`</defs></svg>`)
	return b.String()
}

// Points returns what drawings made with the option Points need beside Defs. With an
// element for each glyph a browser takes half as long again to open a long page.
func Points() string {
	var b strings.Builder
	b.WriteString(`<svg width="0" height="0" style="position:absolute" aria-hidden="true" focusable="false"><style>`)
	b.WriteString(`.music .alike{stroke:none}marker use{stroke:none;fill:currentColor}</style><defs>`)
	for _, s := range shapes[:clefG] {
		fmt.Fprintf(&b, `<marker id="at-%s" markerUnits="userSpaceOnUse" overflow="visible"><use href="#%s"/></marker>`, s.id, s.id)
	}
	b.WriteString(`</defs></svg>`)
	return b.String()
}

func (s shape) def() string { return fmt.Sprintf(`<path id="%s" d="%s"/>`, s.id, s.path) }

// Space is the distance between two staff lines, in units.
const Space = space

// The measures of engraving, in units. Those of SMuFL are the defaults that it
// recommends to fonts, rounded; the others are common practice.
const (
	space          = 40            // between two staff lines
	half           = space / 2     // a step of the scale
	staffHeight    = 4 * space     // of five lines
	stemThick      = 5             // SMuFL: 0.12 spaces
	beamThick      = space / 2     // SMuFL: 0.5
	beamStep       = 30            // from beam to beam; SMuFL: 0.25 between them
	thickBar       = space / 2     // SMuFL: 0.5
	barGap         = 16            // SMuFL: 0.4 between the lines of a barline
	ledgerOver     = 15            // SMuFL: 0.4 beyond the head
	stemLength     = 7 * half      // an octave
	graceSize      = 65            // hundredths
	cueSize        = 75            // hundredths
	headWidth      = 47            // SMuFL: 1.18
	headStem       = 7             // where a stem leaves the head. SMuFL: 0.168
	signGap        = 8             // from an accidental to the head
	dotGap         = 14            // from the head to its dot
	rollWidth      = 20            // of an arpeggio sign
	leadGap        = 28            // from a barline to a clef
	measureGap     = 36            // from a barline to the first note
	leastMeasure   = 5 * space     // of a measure
	leastGap       = 14            // between what stands side by side
	betweenStaves  = 10 * space    // from the top of one to the top of the next, at least
	staffClearance = space * 5 / 4 // from the notes of one staff to those of the next
	clearance      = space / 2     // from the notes to marks
	textSize       = 56            // of words
	numberSize     = 44            // of measure numbers
	edge           = space / 4     // around the whole
)
