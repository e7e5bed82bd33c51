package engrave

import (
	"fmt"
	"slices"
	"strings"
)

// Options say how music is drawn. The zero value draws everything.
type Options struct {
	Bare      bool            // leaves out measure numbers and marks
	Pedals    bool            // with Bare: draws marks that are not of the class "text" all the same
	Anonymous bool            // leaves out the IDs of notes
	Points    bool            // with Anonymous: draws glyphs of notes that are alike at the points of one path; Points makes them
	Concerns  map[int]Concern // of notes, by their IDs
}

// A Drawing is music on one line. Its lengths are in units, 40 to a staff space;
// the top line of the first staff has the y 0.
type Drawing struct {
	Left, Top     int // the corner of what is drawn
	Width, Height int
	Staves        []int    // y of the top line of each staff
	Body          string   // SVG elements, which refer to those of Defs
	Omitted       []string // what the music has and the drawing has not, each once
	bars          []*bar
	points        bool
	used          [glyphs]bool
}

// An engraver makes one drawing.
type engraver struct {
	music   *Music
	options Options
	bars    []*bar
	beams   []*beam
	notes   map[int]*head
	ledgers map[ledgerKey]bool
	width   int
	out     *canvas
	omitted []string
}

// Draw draws music on one line, as wide as it wants to be. The error says that
// there are no measures, or too many staves or too few.
func Draw(m *Music, o Options) (*Drawing, error) {
	e, err := lay(m)
	if err != nil {
		return nil, err
	}
	e.options = o
	e.join()
	tops := make([]int, m.Staves)
	for i := range tops {
		tops[i] = i * betweenStaves
	}
	e.draw(tops) // to see how much room each staff needs
	e.draw(e.out.apart())
	c := e.out
	d := &Drawing{
		Left: c.covered.left - edge, Top: c.covered.top - edge, Staves: c.tops,
		Body: c.body.String(), Omitted: e.omitted, bars: e.bars, points: o.Points, used: c.used,
	}
	d.Width = c.covered.right + edge - d.Left
	d.Height = c.covered.bottom + edge - d.Top
	return d, nil
}

// lay finds what stands where from left to right within each measure.
func lay(m *Music) (*engraver, error) {
	if len(m.Measures) == 0 {
		return nil, fmt.Errorf("there are no measures to draw")
	}
	if m.Staves < 1 || m.Staves > MostStaves {
		return nil, fmt.Errorf("%d staves cannot be drawn, but 1 to %d", m.Staves, MostStaves)
	}
	e := &engraver{music: m, notes: map[int]*head{}}
	for i := range m.Measures {
		e.bars = append(e.bars, e.newBar(i))
	}
	e.makeBeams()
	for _, b := range e.bars {
		b.makeColumns()
		for _, c := range b.columns {
			e.arrange(b, c)
		}
	}
	return e, nil
}

// join puts the measures side by side.
func (e *engraver) join() {
	x := 0
	for i, b := range e.bars {
		x += e.lead(b, i == 0, x)
	}
	e.width = x
}

// lead gives a bar its place from x on and returns its width; first is at the
// start of a line.
func (e *engraver) lead(b *bar, first bool, x int) int {
	b.x = x
	e.openBar(b, first)
	length := b.spread(e.music.Staves)
	e.closeBar(b)
	b.end = b.x + b.body + length + b.tail.width
	return b.end - b.x
}

// Widths returns how wide each measure is at the start of a line and within one,
// in units, to find out how many of them fit.
func Widths(m *Music) (first, within []int, err error) {
	e, err := lay(m)
	if err != nil {
		return nil, nil, err
	}
	for _, b := range e.bars {
		first = append(first, e.lead(b, true, 0))
		within = append(within, e.lead(b, false, 0))
	}
	return first, within, nil
}

// Break divides measures into lines of at most so many units, and returns the
// index of the first measure of each. A measure that is wider has a line to
// itself.
func Break(m *Music, width int) ([]int, error) {
	first, within, err := Widths(m)
	if err != nil {
		return nil, err
	}
	var starts []int
	filled := 0
	for i := range first {
		if i == 0 || filled+within[i] > width {
			starts = append(starts, i)
			filled = first[i]
			continue
		}
		filled += within[i]
	}
	return starts, nil
}

// X is the place of a time in a measure, an index from 0, in the drawing: that of
// the heads which stand there.
func (d *Drawing) X(measure int, at Time) int { return d.bars[measure].timeX(at) }

// Bounds are the barlines left and right of a measure.
func (d *Drawing) Bounds(measure int) (left, right int) {
	return d.bars[measure].x, d.bars[measure].end
}

// omit notes that something is not drawn.
func (e *engraver) omit(format string, args ...any) {
	if s := fmt.Sprintf(format, args...); !slices.Contains(e.omitted, s) {
		e.omitted = append(e.omitted, s)
	}
}

// apart moves the staves apart so that nothing of one stands on the next, and
// returns their places.
func (c *canvas) apart() []int {
	tops := make([]int, len(c.tops))
	for i := 1; i < len(tops); i++ {
		need := betweenStaves
		for j := range c.skylines[i].top {
			need = max(need, c.skylines[i-1].bottom[j]-c.skylines[i].top[j]+staffClearance)
		}
		tops[i] = tops[i-1] + need
	}
	return tops
}

// Inline returns the drawing as an SVG element for a page that holds Defs and
// Style, with so many pixels to a staff space. The label says in words what it
// shows; the classes are for the page's style sheet.
func (d *Drawing) Inline(pixels int, class, label string) string {
	return d.open(pixels, class, label) + d.Body + "</svg>"
}

func (d *Drawing) open(pixels int, class, label string) string {
	return fmt.Sprintf(`<svg class="%s" viewBox="%d %d %d %d" width="%d" height="%d" role="img" aria-label="%s">`,
		escaped(strings.TrimSpace("music "+class)), d.Left, d.Top, d.Width, d.Height,
		(d.Width*pixels+space-1)/space, (d.Height*pixels+space-1)/space, escaped(label))
}

// Standalone returns the drawing as an SVG document that needs nothing else, on
// white paper.
func (d *Drawing) Standalone(pixels int, label string) string {
	var b strings.Builder
	b.WriteString(strings.Replace(d.open(pixels, "", label), "<svg ", `<svg xmlns="http://www.w3.org/2000/svg" `, 1))
	b.WriteString("<style>" + Style + "</style>")
	if d.points {
		b.WriteString(Points())
	}
	b.WriteString("<defs>")
	for g, used := range d.used {
		if used {
			b.WriteString(shapes[g].def())
		}
	}
	fmt.Fprintf(&b, `</defs><rect x="%d" y="%d" width="%d" height="%d" fill="#fff"/>`, d.Left, d.Top, d.Width, d.Height)
	b.WriteString(d.Body + "</svg>\n")
	return b.String()
}
