package report

import (
	"fmt"
	"math/big"
	"strings"

	"pedalogue/pedal"
)

// A system is one line of the chart of all seven pedals: up to barsInSystem
// measures as they are played. Pedals stand in foot order from the top, each on
// a lane of three levels, flat on top and sharp at the bottom, as the pedals
// themselves and the pedal diagram have it.
type system struct {
	Label         string // what it shows, for those who do not see it
	Width, Height int
	Guides        string // SVG path of the natural levels
	Barlines      string
	Thick         string // repeat signs
	Dots          string // and their dots
	Bands         []band // measures played once more
	Numbers       []chartText
	Jumps         string // arrows where the measure does not follow the one before
	Lanes         []lane
	Marks         []chartMark // findings
}

type lane struct {
	Letter string
	Y      int // of the letter
	Foot   string
	Path   string // the position over time
	Moves  string // a dot at each change
	Rushed string // a diamond around each rushed one
}

type band struct{ X, Y, Width, Height int }

type chartText struct {
	X, Y int
	Text string
}

type chartMark struct {
	X, Y     int
	Severity Severity
}

// The measures of a chart, in pixels.
const (
	barsInSystem  = 12
	barWidth      = 28 // of a measure in a full system; more where there are few
	widestBar     = 84
	laneHeight    = 22
	levelHeight   = 7  // from flat to natural, from natural to sharp
	chartLeft     = 18 // for the letters
	chartTop      = 18 // for the measure numbers
	feetGap       = 8
	chartMarks    = 18 // for the findings
	chartBottom   = chartTop + pedal.Letters*laneHeight + feetGap
	chartHeight   = chartBottom + chartMarks
	numberEvery   = 4 // measures
	longestNumber = 7 // characters of a measure's number
)

func laneY(l pedal.Letter) int {
	y := chartTop + int(l)*laneHeight + laneHeight/2
	if l.Foot() == pedal.Right {
		y += feetGap
	}
	return y
}

// chart draws the pedals of a part over its measures, in playing order. It
// follows the changes from the first setting.
func chart(p *Part, when *timeline) []system {
	var all []system
	now := p.Start
	width := min(max(barWidth, barsInSystem*barWidth/max(1, len(p.Bars))), widestBar)
	for from := 0; from < len(p.Bars); from += barsInSystem {
		bars := p.Bars[from:min(from+barsInSystem, len(p.Bars))]
		var s system
		s, now = systemOf(bars, width, now, when)
		all = append(all, s)
	}
	return all
}

func systemOf(bars []Bar, barWidth int, now pedal.Setting, when *timeline) (system, pedal.Setting) {
	s := system{Width: chartLeft + len(bars)*barWidth + 4, Height: chartHeight}
	s.numbers(bars, barWidth)
	s.barlines(bars, barWidth)
	pens := newPens(now)
	changes, found := 0, 0
	for i, b := range bars {
		x := chartLeft + i*barWidth
		if b.Pass > 1 {
			s.Bands = append(s.Bands, band{x, chartTop, barWidth, chartBottom - chartTop})
		}
		v := visit{b.Index, b.Pass}
		for _, c := range when.marked[v] {
			pens[c.Pedal].move(x+offsetX(c.Marked.Offset, b.Length, barWidth), c)
		}
		changes += len(when.marked[v])
		found += len(when.found[v])
		if worst, ok := gravest(when.found[v]); ok {
			s.Marks = append(s.Marks, chartMark{x + barWidth/2, chartBottom + chartMarks/2 + 1, worst})
		}
	}
	var guides strings.Builder
	end := chartLeft + len(bars)*barWidth
	for l := range pedal.Letter(pedal.Letters) {
		s.Lanes = append(s.Lanes, pens[l].lane(end))
		fmt.Fprintf(&guides, "M%d %dH%d", chartLeft, laneY(l), end)
		now[l] = pens[l].at
	}
	s.Guides = guides.String()
	first, last := bars[0], bars[len(bars)-1]
	s.Label = fmt.Sprintf("Pedals in measures %s to %s: %s, %s. The list by measure has them in words.",
		when.measure(first.Place, first.Pass), when.measure(last.Place, last.Pass), count(changes, "change"), count(found, "finding"))
	return s, now
}

// offsetX is the place in a measure, in pixels from its barline. The offset and
// the length are in quarter notes; without a length it is the barline.
func offsetX(offset, length string, barWidth int) int {
	o, ok := new(big.Rat).SetString(offset)
	l, okLength := new(big.Rat).SetString(length)
	if !ok || !okLength || l.Sign() <= 0 {
		return 0
	}
	f, _ := o.Quo(o, l).Float64() // only for drawing
	return int(min(max(f, 0), 1) * float64(barWidth-2))
}

// numbers labels the first measure, every fourth after it, and each that does
// not simply follow.
func (s *system) numbers(bars []Bar, barWidth int) {
	since := 0
	for i, b := range bars {
		follows := i > 0 && b.Index == bars[i-1].Index+1 && b.Pass == bars[i-1].Pass
		if since++; i > 0 && follows && since < numberEvery {
			continue
		}
		since = 0
		text := shorten(b.label(), longestNumber)
		if b.Pass > 1 && !follows {
			text += " (" + ordinal(b.Pass) + ")"
		}
		s.Numbers = append(s.Numbers, chartText{chartLeft + i*barWidth + 2, chartTop - 6, text})
	}
}

func shorten(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}

func (s *system) barlines(bars []Bar, barWidth int) {
	var lines, thick, dots, jumps strings.Builder
	height := chartBottom - chartTop
	for i := range len(bars) + 1 {
		fmt.Fprintf(&lines, "M%d %dv%d", chartLeft+i*barWidth, chartTop, height)
	}
	middle := chartTop + height/2
	for i, b := range bars {
		x := chartLeft + i*barWidth
		switch b.Repeat {
		case "start":
			fmt.Fprintf(&thick, "M%d %dv%d", x+1, chartTop, height)
			fmt.Fprintf(&dots, "M%d %dh0m0 14h0", x+6, middle-7)
		case "end":
			fmt.Fprintf(&thick, "M%d %dv%d", x+barWidth-1, chartTop, height)
			fmt.Fprintf(&dots, "M%d %dh0m0 14h0", x+barWidth-6, middle-7)
		case "jump":
			fmt.Fprintf(&jumps, "M%d %dv-5h7m-3-3 3 3-3 3", x+2, chartBottom+chartMarks-4)
		}
	}
	s.Barlines, s.Thick, s.Dots, s.Jumps = lines.String(), thick.String(), dots.String(), jumps.String()
}

func gravest(findings []Finding) (Severity, bool) {
	if len(findings) == 0 {
		return "", false
	}
	worst := SeverityNote
	for _, f := range findings {
		if f.Severity.rank() < worst.rank() {
			worst = f.Severity
		}
	}
	return worst, true
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
		fmt.Fprintf(&p.rushed, "M%d %dl5 5-5 5-5-5z", x, p.y()-5)
	}
}

func (p *pen) lane(end int) lane {
	fmt.Fprintf(&p.path, "H%d", end)
	return lane{
		Letter: p.letter.String(), Y: laneY(p.letter) + 4, Foot: p.letter.Foot().String(),
		Path: p.path.String(), Moves: p.moves.String(), Rushed: p.rushed.String(),
	}
}
