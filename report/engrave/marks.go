package engrave

import "fmt"

// drawMarks draws the marks of a measure, each clear of what is there already.
func (e *engraver) drawMarks(b *bar) {
	for i := range b.Marks {
		m := &b.Marks[i]
		if m.Staff < 1 || m.Staff > e.music.Staves || e.options.Bare && m.Class == "text" {
			continue
		}
		x := b.timeX(m.At) - headWidth/2
		if m.Diagram != nil {
			e.drawDiagram(m, x)
			continue
		}
		e.drawRows(m, x)
	}
}

const (
	wordGap  = 18 // between the words of a mark
	signSize = 62 // hundredths of an accidental in words
	beatSize = 55 // hundredths of a note in words
	beatStem = 46 // how long its stem is
	framePad = 12 // from words to the frame around them
	rowStep  = textSize * 5 / 4
)

func (w Word) width() int {
	n := w.noteWidth() + w.textWidth()
	for _, g := range signGlyphs(w.Sign) {
		n += (g.width() + 3) * signSize / 100
	}
	return n + textWidth(w.After, textSize)
}

func (m *Mark) width() int {
	most := 0
	for _, row := range m.Rows {
		n := 0
		for _, w := range row {
			n += w.width() + wordGap
		}
		most = max(most, n-wordGap)
	}
	return most
}

// textWidth is the width of its text. The name of a pedal is bold and begins with a
// capital, which is as wide as it is high in many fonts.
func (w Word) textWidth() int {
	if w.Class != "" || w.Sign != NoSign {
		return textWidth(w.Text, textSize) + textSize*3/10
	}
	return textWidth(w.Text, textSize)
}

// base is the height of the lowest line of a mark that is so high and wide.
func (e *engraver) base(m *Mark, x, width, height int) int {
	if m.Above {
		return e.out.highest(m.Staff, x, x+width) - clearance
	}
	return e.out.lowest(m.Staff, x, x+width) + clearance + height
}

func (e *engraver) drawRows(m *Mark, x int) {
	width, height, pad := m.width(), rowStep*len(m.Rows)+m.overhang(), 0
	if m.Boxed {
		pad = framePad
		width += width/8 + textSize/4 // the text is bold
	}
	base := e.base(m, x, width+2*pad, height-rowStep/5+2*pad)
	if m.Above {
		base -= pad
	} else {
		base -= 2 * pad
	}
	frame := box{x, base - height + rowStep/5 - pad, x + width + 2*pad, base + 8 + pad}
	if m.Boxed {
		e.out.line(barPath, "M%d %dH%dV%dH%dz", frame.left, frame.top, frame.right, frame.bottom, frame.left)
		x += pad
	}
	e.out.element(`<g class="%s">`, escaped("put "+m.Class))
	y := base - (len(m.Rows)-1)*rowStep
	for _, row := range m.Rows {
		at := x
		notes := make([]int, len(row))
		for i, w := range row {
			notes[i] = at
			class := w.Class
			if m.Italic {
				class += " italic"
			}
			if w.Note != Unknown {
				e.drawBeat(w, at, y, m.Staff)
				at += w.noteWidth()
			}
			e.out.text(at, y, textSize, "words "+class, "start", w.Text)
			at += w.textWidth()
			for _, g := range signGlyphs(w.Sign) {
				e.out.use(g, at, y-textSize/3, signSize, m.Staff, fmt.Sprintf(` class="%s"`, escaped(w.Class)))
				at += (g.width() + 3) * signSize / 100
			}
			if w.After != "" {
				e.out.text(at, y, textSize, "words "+class, "start", w.After)
				at += textWidth(w.After, textSize)
			}
			at += wordGap
		}
		e.joinBeats(row, notes, y)
		y += rowStep
	}
	e.out.element(`</g>`)
	e.out.cover(m.Staff, frame)
}

// The measures of a pedal diagram.
const (
	pedalStep   = 32 // from pedal to pedal
	pedalStroke = 36 // long
	feetGap     = 32 // between the feet, around the long stroke
	leftPedals  = 3
)

// drawDiagram draws a pedal diagram: strokes above the line for flat, on it for
// natural, below it for sharp, and a long one between the feet.
func (e *engraver) drawDiagram(m *Mark, x int) {
	width := pedalStep*(len(m.Diagram)-1) + feetGap
	height := 2*pedalStroke + 8
	middle := e.base(m, x, width, height) - height/2
	e.out.element(`<g class="%s">`, escaped("put "+m.Class))
	e.out.element(`<path class="rail" d="M%d %dH%d"/><path class="strokes" d="`, x-8, middle, x+width+8)
	at := x
	for i, position := range m.Diagram {
		if i == leftPedals {
			at += feetGap
		}
		top := middle - pedalStroke/2
		switch {
		case position < 0:
			top = middle - pedalStroke - 3
		case position > 0:
			top = middle + 3
		}
		e.out.element("M%d %dv%d", at, top, pedalStroke)
		at += pedalStep
	}
	e.out.element(`"/><path class="rail" d="M%d %dv%d"/></g>`, x+(leftPedals-1)*pedalStep+(pedalStep+feetGap)/2, middle-height/2, height)
	e.out.cover(m.Staff, box{x - 8, middle - height/2, x + width + 8, middle + height/2})
}

// drawNumber draws the number of a measure above its start.
func (e *engraver) drawNumber(b *bar) {
	if b.Number == "" {
		return
	}
	x := b.x
	if b.lead.start && e.music.Staves > 1 {
		x -= space / 2
	}
	y := e.out.highest(1, x, x+textWidth(b.Number, numberSize)) - space/2
	e.out.text(x, y, numberSize, "number", "start", b.Number)
	e.out.cover(1, box{x, y - numberSize*3/4, x + textWidth(b.Number, numberSize), y})
}

// drawEndings draws the brackets of first and second endings, each at one height.
func (e *engraver) drawEndings() {
	for i := 0; i < len(e.bars); i++ {
		if !e.bars[i].Ending.Over {
			continue
		}
		j := i
		for !e.bars[j].Ending.Stops && j+1 < len(e.bars) && e.bars[j+1].Ending.Over && !e.bars[j+1].Ending.Starts {
			j++
		}
		e.drawEnding(e.bars[i], e.bars[j])
		i = j
	}
}

func (e *engraver) drawEnding(first, last *bar) {
	x0, x1 := first.x+8, last.end-8
	y := e.out.highest(1, x0, x1) - numberSize - space/2
	e.out.line(barPath, "M%d %d", x0, y+numberSize)
	if first.Ending.Starts {
		e.out.line(barPath, "V%d", y)
	} else {
		e.out.line(barPath, "M%d %d", x0, y)
	}
	e.out.line(barPath, "H%d", x1)
	if last.Ending.Stops {
		e.out.line(barPath, "v%d", numberSize)
	}
	e.out.text(x0+12, y+numberSize*9/10, numberSize, "words", "start", first.Ending.Text)
	e.out.cover(1, box{x0, y, x1, y + numberSize})
}

// drawShifts draws the octave lines of all staves.
func (e *engraver) drawShifts() {
	for staff := 1; staff <= e.music.Staves; staff++ {
		now, from, carried := 0, 0, false
		end := func(x int) {
			if now != 0 {
				e.drawShift(staff, now, from, x, carried)
			}
		}
		for i, b := range e.bars {
			if o := b.opening(staff); o.Shift != now {
				end(b.x)
				now, from, carried = o.Shift, b.x+b.body, i == 0 && !o.New
			}
			for _, c := range b.Changes {
				if c.Staff != staff || c.Shift == nil || *c.Shift == now {
					continue
				}
				x := b.timeX(c.At)
				end(x - headWidth)
				now, from, carried = *c.Shift, x-headWidth/2, false
			}
		}
		end(e.bars[len(e.bars)-1].end)
	}
}

// drawShift draws one octave line; carried means that it began before.
func (e *engraver) drawShift(staff, octaves, x0, x1 int, carried bool) {
	x1 = max(x1, x0+space*2)
	name, sign := "8va", 1
	y := e.out.highest(staff, x0, x1) - space/2
	if octaves < 0 {
		name, sign = "8vb", -1
		y = e.out.lowest(staff, x0, x1) + space
	}
	switch abs(octaves) {
	case 1:
	case 2:
		name = map[bool]string{true: "15ma", false: "15mb"}[octaves > 0]
	default:
		name = map[bool]string{true: "22ma", false: "22mb"}[octaves > 0]
	}
	if carried {
		name = "(" + name + ")"
	}
	e.out.text(x0, y, numberSize, "words italic", "start", name)
	line := y - numberSize/3
	from := x0 + textWidth(name, numberSize) + 8
	x1 = max(x1, from)
	if from < x1 {
		e.out.line(dashPath, "M%d %dH%d", from, line, x1)
	}
	e.out.line(barPath, "M%d %dv%d", x1, line, sign*20)
	e.out.cover(staff, box{x0, y - numberSize, x1, y + 8})
}
