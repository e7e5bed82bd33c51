package report

import (
	"math/big"

	"pedalogue/report/engrave"
)

// An axis is the measures of one system of the chart, from left to right: where a
// time lies in the music, there it lies in the lanes below.
type axis []cell

// A cell is one measure of a system.
type cell struct {
	bar         Bar
	left, right int // its barlines
	drawing     *engrave.Drawing
	index       int // in the drawing
	shift       int // from the drawing to the chart
	run         int // of measures with music that go on from each other; 0 without music
}

// at is the place of an offset in the measure: in music that of its notes, else in
// proportion to the measure's length. Offsets are quarter notes; one that is none
// lies at the barline.
func (c cell) at(offset string) int {
	o, ok := new(big.Rat).SetString(offset)
	if !ok || o.Sign() < 0 {
		return c.left
	}
	if c.drawing != nil && o.Num().IsInt64() && o.Denom().IsInt64() {
		return c.shift + c.drawing.X(c.index, engrave.Time{Num: o.Num().Int64(), Den: o.Denom().Int64()})
	}
	l, ok := new(big.Rat).SetString(c.bar.Length)
	if !ok || l.Sign() <= 0 {
		return c.left
	}
	o.Quo(o, l)
	o.Mul(o, big.NewRat(int64(c.right-c.left-2*unitsInPixel), 1))
	x := new(big.Int).Quo(o.Num(), o.Denom())
	if !x.IsInt64() || x.Int64() > int64(c.right-c.left) {
		return c.right
	}
	return c.left + int(x.Int64())
}

// drawings are the drawings of a system, each once.
func (row axis) drawings() []*engrave.Drawing {
	var list []*engrave.Drawing
	for _, c := range row {
		if c.drawing != nil && (len(list) == 0 || list[len(list)-1] != c.drawing) {
			list = append(list, c.drawing)
		}
	}
	return list
}

// axes divides the measures of a part into systems, and draws their music where
// there is something to see in it: a change, a setting or a finding.
func axes(p *Part, when *timeline) (rows []axis, left bool) {
	cells, widths, left := measured(p, when)
	var row axis
	x, bare := chartLeft, 0
	flush := func() {
		if len(row) > 0 {
			row.draw(p, when)
			rows = append(rows, row)
		}
		row, x, bare = nil, chartLeft, 0
	}
	for i, c := range cells {
		width := widths[i].within
		if n := len(row); n == 0 || c.run == 0 || row[n-1].run != c.run {
			width = widths[i].first
		}
		if x+width > chartWidth && len(row) > 0 || c.run == 0 && bare == barsInSystem {
			flush()
			width = widths[i].first
		}
		if c.run == 0 {
			bare++
		}
		c.left, c.right = x, x+width
		x += width
		row = append(row, c)
	}
	flush()
	return rows, left
}

// A cellWidth is how wide a measure is at the start of music, and within it.
type cellWidth struct{ first, within int }

// measured tells of each measure whether its music is shown, in which run, and how
// wide it is.
func measured(p *Part, when *timeline) (cells []cell, widths []cellWidth, left bool) {
	plain := min(max(barWidth, barsInSystem*barWidth/max(1, len(p.Bars))), widestBar)
	drawn, run := 0, 0
	var indexes []int // of the measures in the run
	close := func() {
		if len(indexes) == 0 {
			return
		}
		from := len(cells) - len(indexes)
		first, within, err := engrave.Widths(p.Music.Line(indexes...))
		for i := range indexes {
			if err != nil {
				cells[from+i].run = 0
				continue
			}
			widths[from+i] = cellWidth{first[i], within[i]}
		}
		indexes = nil
	}
	seen := map[int]bool{}
	for _, b := range p.Bars {
		c, n := cell{bar: b}, 0
		if p.engraved() {
			n = notesIn(p.Music.Measures[b.Index])
		}
		show := n >= 0 && p.engraved() && p.Music.Measures[b.Index] != nil && when.tells(b)
		if show && drawn+n > mostDrawn {
			show, left = false, true
		}
		if !show || seen[b.Index] {
			close()
			clear(seen)
		}
		if show {
			if len(indexes) == 0 {
				run++
			}
			c.run, seen[b.Index] = run, true
			drawn += n
			indexes = append(indexes, b.Index)
		}
		cells = append(cells, c)
		width := max(plain, changeWidth*(1+len(when.marked[visit{b.Index, b.Pass}])))
		widths = append(widths, cellWidth{width, width})
	}
	close()
	return cells, widths, left
}

func notesIn(m *engrave.Measure) int {
	n := 0
	if m != nil {
		for i := range m.Chords {
			n += len(m.Chords[i].Notes)
		}
	}
	return n
}

// tells reports whether something happens in a measure as it is played.
func (t *timeline) tells(b Bar) bool {
	v := visit{b.Index, b.Pass}
	return b.Section != "" || len(t.marked[v])+len(t.found[v]) > 0
}

// draw draws the runs of music in a system, and puts all barlines where the music
// has them.
func (row axis) draw(p *Part, when *timeline) {
	x := chartLeft
	for i := 0; i < len(row); {
		j := i + 1
		for row[i].run != 0 && j < len(row) && row[j].run == row[i].run {
			j++
		}
		d := row[i:j].drawing(p, when)
		for k := i; k < j; k++ {
			c := &row[k]
			if d != nil {
				left, right := d.Bounds(k - i)
				c.drawing, c.index, c.shift = d, k-i, x
				c.left, c.right = x+left, x+right
				continue
			}
			c.left, c.right = x, x+c.right-c.left
			x = c.right
		}
		x = row[j-1].right
		i = j
	}
}

// drawing draws the music of cells of one run, with the notes that findings are
// about; nil if there is none.
func (row axis) drawing(p *Part, when *timeline) *engrave.Drawing {
	if row[0].run == 0 {
		return nil
	}
	var indexes []int
	concerns := map[int]engrave.Concern{}
	for _, c := range row {
		indexes = append(indexes, c.bar.Index)
		for _, f := range when.found[visit{c.bar.Index, c.bar.Pass}] {
			f.concern(concerns)
		}
	}
	d, err := engrave.Draw(p.Music.Line(indexes...), engrave.Options{Bare: true, Pedals: p.AsPrinted, Anonymous: true, Points: tooLongForElements(len(p.Bars)), Concerns: concerns})
	if err != nil {
		return nil
	}
	return d
}

// concern marks the notes that a finding is about, unless a graver one has.
func (f *Finding) concern(concerns map[int]engrave.Concern) {
	as := [...]engrave.Concern{engrave.Error, engrave.Warning, engrave.Remark}[f.Severity.rank()]
	for _, id := range f.Concerned {
		if now := concerns[id]; now == engrave.NoConcern || as < now {
			concerns[id] = as
		}
	}
}
