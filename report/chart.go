package report

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"pedalogue/pedal"
	"pedalogue/report/engrave"
	"pedalogue/report/plain"
)

// A system is one line of the chart of all seven pedals, measures as they are
// played. Above stands their music, where there is something to see in it; below,
// on the same axis of time, each pedal in foot order on a lane of three levels,
// flat on top and sharp at the bottom, as the pedals themselves and the pedal
// diagram have it. Lengths are those of package engrave, five to a pixel.
type system struct {
	Label         string // what it shows, for those who do not see it
	ViewBox       string
	Width, Height int           // in pixels
	Music         template.HTML // SVG elements
	Down          int           // from the top to the lanes
	Guides        string        // SVG path of the natural levels
	Barlines      string
	Leads         string // from changes up to their notes
	Thick         string // repeat signs
	Dots          string // and their dots
	Bands         []band // measures played once more
	Spots         []spot // the measures, for links
	Numbers       []chartText
	Jumps         string // arrows where the measure does not follow the one before
	Lanes         []lane
	Marks         []chartMark // findings
}

type lane struct {
	Letter string
	Foot   string
	Path   string // the position over time
	Moves  string // a dot at each change
	Rushed string // a diamond around each rushed one
}

type band struct{ X, Y, Width, Height int }

type spot struct {
	ID string
	band
}

type chartText struct {
	X, Y int
	Text string
}

type chartMark struct {
	X, Y     int
	Severity Severity
	Finding  string // the ID of its row; "" for none
	Label    string
}

// The measures of a chart, in units.
const (
	unitsInPixel  = 5
	chartWidth    = 540 * unitsInPixel // of a system at most
	barsInSystem  = 12                 // without music
	barWidth      = 28 * unitsInPixel  // of a measure without music; more where there are few
	widestBar     = 84 * unitsInPixel
	changeWidth   = 11 * unitsInPixel // of a measure without music for each time at which something changes
	laneHeight    = 24 * unitsInPixel
	levelHeight   = 6 * unitsInPixel  // from flat to natural, from natural to sharp
	chartLeft     = 24 * unitsInPixel // for the letters
	chartTop      = 20 * unitsInPixel // for the measure numbers
	feetGap       = 8 * unitsInPixel
	chartMarks    = 20 * unitsInPixel // for the findings
	chartBottom   = chartTop + pedal.Letters*laneHeight + feetGap
	chartHeight   = chartBottom + chartMarks
	musicGap      = 6 * unitsInPixel // from the music to the lanes
	diamond       = 22               // half its width: two on neighbouring levels stay apart
	numberEvery   = 4                // measures
	longestNumber = 7                // characters of a measure's number
	mostDrawn     = 40000            // notes in a chart: more would make the page too heavy
)

func laneY(l pedal.Letter) int {
	y := chartTop + int(l)*laneHeight + laneHeight/2
	if l.Foot() == pedal.Right {
		y += feetGap
	}
	return y
}

// chartLetters are the names of the lanes, left of them.
func chartLetters() []chartText {
	var list []chartText
	for l := range pedal.Letter(pedal.Letters) {
		list = append(list, chartText{4 * unitsInPixel, laneY(l) + 4*unitsInPixel, l.String()})
	}
	return list
}

// chart draws the pedals of a part over its measures, in playing order. It
// follows the changes from the first setting.
func (h *harp) chart(p *Part, when *timeline) {
	now := p.Start
	var rows []axis
	rows, h.LeftOut = axes(p, when)
	for _, row := range rows {
		var s system
		s, now = systemOf(row, h.ID, now, when)
		h.Systems = append(h.Systems, s)
		for _, d := range row.drawings() {
			h.Music = true
			for _, what := range d.Omitted {
				if !slices.Contains(h.NotDrawn, what) {
					h.NotDrawn = append(h.NotDrawn, what)
				}
			}
		}
	}
}

func systemOf(row axis, harp int, now pedal.Setting, when *timeline) (system, pedal.Setting) {
	end := row[len(row)-1].right
	s := system{}
	s.music(row)
	s.numbers(row)
	s.barlines(row)
	pens := newPens(now)
	var leads strings.Builder
	for _, c := range row {
		b := c.bar
		at := band{c.left, chartTop, c.right - c.left, chartBottom - chartTop}
		if b.Pass > 1 {
			s.Bands = append(s.Bands, at)
		}
		v := visit{b.Index, b.Pass}
		s.Spots = append(s.Spots, spot{v.id("m", harp), at})
		for _, change := range when.marked[v] {
			x := c.at(change.Marked.Offset)
			if s.Music != "" {
				fmt.Fprintf(&leads, "M%d %dV%d", x, pens[change.Pedal].y(), -musicGap)
			}
			pens[change.Pedal].move(x, change)
		}
		s.addMarks(c, when)
	}
	s.Leads = leads.String()
	var guides strings.Builder
	for l := range pedal.Letter(pedal.Letters) {
		s.Lanes = append(s.Lanes, pens[l].lane(end))
		fmt.Fprintf(&guides, "M%d %dH%d", chartLeft, laneY(l), end)
		now[l] = pens[l].at
	}
	s.Guides = guides.String()
	s.Label = row.label(when)
	width, height := end+4*unitsInPixel, s.Down+chartHeight
	s.ViewBox = fmt.Sprintf("0 0 %d %d", width, height)
	s.Width, s.Height = width/unitsInPixel, height/unitsInPixel
	return s, now
}

// music puts the drawings of a system over its lanes, on one height.
func (s *system) music(row axis) {
	top, bottom := 0, 0
	for _, d := range row.drawings() {
		top, bottom = min(top, d.Top), max(bottom, d.Top+d.Height)
	}
	if bottom == 0 {
		return
	}
	var b strings.Builder
	for i, c := range row {
		if c.drawing != nil && (i == 0 || row[i-1].drawing != c.drawing) {
			fmt.Fprintf(&b, `<g transform="translate(%d %d)">%s</g>`, c.shift, -top, c.drawing.Body)
		}
	}
	s.Music = template.HTML(b.String()) // made of numbers and texts that engrave has escaped
	s.Down = bottom - top + musicGap
}

// addMarks shows the findings of a measure, the gravest of those at one time.
func (s *system) addMarks(c cell, when *timeline) {
	at := map[int]int{}
	for _, f := range when.found[visit{c.bar.Index, c.bar.Pass}] {
		x := c.at(f.Offset)
		i, known := at[x]
		if known && s.Marks[i].Severity.rank() <= f.Severity.rank() {
			continue
		}
		m := chartMark{X: x, Y: chartBottom + chartMarks/2 + unitsInPixel, Severity: f.Severity, Finding: when.rows[f.key()]}
		m.Label = string(f.Severity) + ", " + when.place(f.Place, max(1, f.Pass))
		if known {
			s.Marks[i] = m
			continue
		}
		at[x] = len(s.Marks)
		s.Marks = append(s.Marks, m)
	}
}

// label says in words what a system shows: every change and every finding.
func (row axis) label(when *timeline) string {
	first, last := row[0].bar, row[len(row)-1].bar
	from, to := when.measure(first.Place, first.Pass), when.measure(last.Place, last.Pass)
	label := "Pedals in measure " + from + "."
	if len(row) > 1 {
		label = "Pedals in measures " + from + " to " + to + "."
	}
	said := false
	for _, c := range row {
		v := visit{c.bar.Index, c.bar.Pass}
		for _, change := range when.marked[v] {
			said = true
			label += " " + when.sentencePlace(change.Marked, c.bar.Pass) + ": " + change.Pedal.String() + " " + positionWord(change.To) + ", " + change.Foot.String() + " foot"
			if change.Rushed {
				label += ", rushed"
			}
			label += "."
		}
		for _, f := range when.found[v] {
			said = true
			label += " " + when.sentencePlace(f.Place, c.bar.Pass) + ": " + string(f.Severity) + "."
		}
	}
	if !said {
		label += " No change."
	}
	return plain.Line(label)
}

// sentencePlace names a place at the beginning of a sentence: "Measure 12, beat 2".
func (t *timeline) sentencePlace(p Place, pass int) string {
	return "Measure " + t.measure(p, pass) + ", " + t.unit() + " " + t.count(p, pass)
}

// numbers labels the first measure, every fourth after it, each that does not
// simply follow, and each with its music above.
func (s *system) numbers(row axis) {
	since := 0
	for i, c := range row {
		b := c.bar
		follows := i > 0 && b.Index == row[i-1].bar.Index+1 && b.Pass == row[i-1].bar.Pass
		alike := i > 0 && c.drawing == nil && row[i-1].drawing == nil
		if since++; alike && follows && since < numberEvery {
			continue
		}
		since = 0
		text := shorten(b.label(), longestNumber)
		if b.Pass > 1 && !follows {
			text += " (" + ordinal(b.Pass) + ")"
		}
		s.Numbers = append(s.Numbers, chartText{c.left + 2*unitsInPixel, chartTop - 6*unitsInPixel, text})
	}
}

func shorten(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}

func (s *system) barlines(row axis) {
	var lines, thick, dots, jumps strings.Builder
	height := chartBottom - chartTop
	fmt.Fprintf(&lines, "M%d %dv%d", row[0].left, chartTop, height)
	middle := chartTop + height/2
	const one = unitsInPixel
	for _, c := range row {
		fmt.Fprintf(&lines, "M%d %dv%d", c.right, chartTop, height)
		switch c.bar.Repeat {
		case "start":
			fmt.Fprintf(&thick, "M%d %dv%d", c.left+one, chartTop, height)
			fmt.Fprintf(&dots, "M%d %dh0m0 %dh0", c.left+6*one, middle-7*one, 14*one)
		case "end":
			fmt.Fprintf(&thick, "M%d %dv%d", c.right-one, chartTop, height)
			fmt.Fprintf(&dots, "M%d %dh0m0 %dh0", c.right-6*one, middle-7*one, 14*one)
		case "jump":
			fmt.Fprintf(&jumps, "M%d %dv-25h35m-15-15 15 15-15 15", c.left+2*one, chartBottom+chartMarks-4*one)
		}
	}
	s.Barlines, s.Thick, s.Dots, s.Jumps = lines.String(), thick.String(), dots.String(), jumps.String()
}

// A pen draws the lane of one pedal.
type pen struct {
	letter              pedal.Letter
	at                  pedal.Position
	path, moves, rushed strings.Builder
}

func newPens(s pedal.Setting) []*pen {
	pens := make([]*pen, pedal.Letters)
	for l := range pedal.Letter(pedal.Letters) {
		pens[l] = &pen{letter: l, at: s[l]}
		fmt.Fprintf(&pens[l].path, "M%d %d", chartLeft, pens[l].y())
	}
	return pens
}

func (p *pen) y() int { return laneY(p.letter) + int(p.at)*levelHeight }

func (p *pen) move(x int, c Change) {
	p.at = min(max(c.To, pedal.Flat), pedal.Sharp)
	fmt.Fprintf(&p.path, "H%dV%d", x, p.y())
	fmt.Fprintf(&p.moves, "M%d %dh0", x, p.y())
	if c.Rushed {
		fmt.Fprintf(&p.rushed, "M%d %dl%[3]d %[3]d-%[3]d %[3]d-%[3]d-%[3]dz", x, p.y()-diamond, diamond)
	}
}

func (p *pen) lane(end int) lane {
	fmt.Fprintf(&p.path, "H%d", end)
	return lane{
		Letter: p.letter.String(), Foot: p.letter.Foot().String(),
		Path: p.path.String(), Moves: p.moves.String(), Rushed: p.rushed.String(),
	}
}

// tooLongForElements reports whether music of so many measures is so long that an element
// for each of its glyphs takes a browser seconds; what it needs then is among defs. Shorter
// music keeps to what every program that shows SVG knows.
func tooLongForElements(measures int) bool { return measures > 500 }

// defs are what the drawings of a page refer to, whose longest music has so many measures.
func defs(measures int) template.HTML {
	if tooLongForElements(measures) {
		return template.HTML(engrave.Defs() + engrave.Points())
	}
	return template.HTML(engrave.Defs())
}

// engraved reports whether the part has music that can be drawn.
func (p *Part) engraved() bool {
	return p.Music != nil && p.Music.Staves >= 1 && p.Music.Staves <= engrave.MostStaves
}
