package engrave

// noteWidth is the width of its note, with what follows it.
func (w Word) noteWidth() int {
	if w.Note == Unknown {
		return 0
	}
	n := headWidth*beatSize/100 + 8 + w.Dots*(dot.width()+6)*beatSize/100
	if w.Note.flags() > 0 {
		n += flagUp.width() * beatSize / 100
	}
	return n
}

// drawBeat draws the note of a word that stands on a line of words, the stem up.
func (e *engraver) drawBeat(w Word, x, y, staff int) {
	g := noteBlack
	switch {
	case w.Note == Half:
		g = noteHalf
	case w.Note < Half:
		g = noteWhole
	}
	y -= g.height() * beatSize / 200
	e.out.use(g, x, y, beatSize, staff, ` class="beat"`)
	right := x + g.width()*beatSize/100
	if w.Note >= Half {
		stem := right - stemThick/2
		e.out.line(stemPath, "M%d %dv%d", stem, y-2, -beatStem)
		for i := range w.Note.flags() {
			e.out.use(flagUp, stem, y-beatStem+i*beamStep*beatSize/100, beatSize, staff, "")
		}
		if w.Note.flags() > 0 {
			right += flagUp.width() * beatSize / 100
		}
	}
	for i := range w.Dots {
		e.out.use(dot, right+4+i*(dot.width()+6)*beatSize/100, y, beatSize, staff, "")
	}
}

const (
	bracketGap  = 12 // from the stems of notes in words to the bracket over them
	bracketHook = 10
)

// beatTop is how far the stem of a note in words reaches above its line.
func beatTop() int { return noteBlack.height()*beatSize/200 + beatStem }

// overhang is how far brackets over the notes of the first row reach above its words.
func (m *Mark) overhang() int {
	if len(m.Rows) > 0 {
		for _, w := range m.Rows[0] {
			if w.Over != "" {
				return bracketGap + numberSize/2
			}
		}
	}
	return 0
}

// joinBeats draws the ties and brackets of a row's notes, which begin at such places, on a
// line at y.
func (e *engraver) joinBeats(row []Word, notes []int, y int) {
	head := noteBlack.width() * beatSize / 100
	first := -1 // of the bracket
	for i, w := range row {
		if w.Note == Unknown {
			continue
		}
		if w.Tied && i+1 < len(row) && row[i+1].Note != Unknown {
			from, to := notes[i]+head/2, notes[i+1]+head/2
			e.out.line(stemPath, "M%d %dq%d 18 %d 0", from, y+6, (to-from)/2, to-from)
		}
		if w.Over != "" {
			first = i
		}
		if w.Ends && first >= 0 {
			e.bracketBeats(row[first].Over, notes[first], notes[i]+head, y-beatTop()-bracketGap)
			first = -1
		}
	}
}

// bracketBeats draws a bracket with a number in its middle.
func (e *engraver) bracketBeats(number string, from, to, y int) {
	middle, width := (from+to)/2, textWidth(number, numberSize)
	e.out.line(barPath, "M%d %dv%dH%d", from, y+bracketHook, -bracketHook, middle-width/2-6)
	e.out.line(barPath, "M%d %dH%dv%d", middle+width/2+6, y, to, bracketHook)
	e.out.text(middle, y+numberSize/3, numberSize, "tuplet", "middle", number)
}
