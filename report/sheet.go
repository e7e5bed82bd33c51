package report

import (
	"math"
	"strings"

	"pedalogue/report/plain"
)

// A sheet is the page that a player takes to the stand: the first setting, the
// setting at each section, the changes between them, and cautions. It fits on
// one page of A4 or Letter: what does not fit is left out, and said to be.
type sheet struct {
	Start    diagram
	Size     sheetSize
	Cards    []card
	Cautions []caution
	Omitted  []string // sentences on what was left out
}

// A card is one section of the sheet.
type card struct {
	Head    string // why a setting stands here: "Key change", a rehearsal mark
	Measure string
	Diagram *diagram // nil where the setting is the sheet's own first one
	Rows    []cardRow
}

// Short reports whether the card is kept in one column.
func (c card) Short() bool { return len(c.Rows) <= 10 }

type cardRow struct {
	Measure, Beat, Left, Right string
	Rushed                     bool
}

type caution struct {
	Severity    Severity
	Place, Text string
}

// A sheetSize is a size of print, in which a sheet holds so much. Lengths are in
// millimetres, and generous.
type sheetSize struct {
	Name           string // of the style
	columns        int
	head, bare     float64 // of a card with changes, of one without
	row            float64
	caution        float64 // one line of it
	rowChars       int     // that fit in a row's width
	cautionChars   int
	cautionsAtMost int
}

// sheetSizes are tried from the largest print to the smallest one that can be
// read at a stand.
func sheetSizes() []sheetSize {
	return []sheetSize{
		{"large", 2, 21, 17, 6.2, 5.6, 36, 84, 6},
		{"medium", 3, 19, 16, 5.0, 4.7, 28, 105, 8},
		{"small", 4, 16, 14, 3.7, 4.0, 26, 126, 10},
	}
}

// The height that a sheet has for its cards and cautions, in millimetres: a
// Letter page, the shorter of the two, less its margins, the title's first lines,
// the first setting and the remarks at the end.
const (
	sheetHeight    = 279 - 24 - 18 - 34 - 14
	titleLine      = 9 // millimetres of each further line of the title
	titleChars     = 50
	longestHeading = 28 // characters of a section's heading
)

func sheetOf(p *Part, score string, when *timeline) sheet {
	whole := cards(p, when)
	settings := make([]card, len(whole)) // half a list of changes would be taken for a whole one
	for i, c := range whole {
		settings[i] = card{Head: c.Head, Measure: c.Measure, Diagram: c.Diagram}
	}
	start := diagramOf(p.Start)
	cautions := cautions(p, when)
	room := sheetHeight - titleLine*float64(linesOf(plain.Columns(score), titleChars)+linesOf(plain.Columns(p.title()), titleChars)-2)

	var s sheet
	for _, cards := range [][]card{whole, settings} {
		for _, size := range sheetSizes() {
			s = sheet{Start: start, Size: size, Cards: cards}
			s.caution(cautions)
			if s.fits(room) {
				s.remark(whole, p.Cost.Changes)
				return s
			}
		}
	}
	for len(s.Cards) > 1 && !s.fits(room) {
		s.Cards = s.Cards[:len(s.Cards)-1]
	}
	s.remark(whole, p.Cost.Changes)
	return s
}

// caution takes as many cautions as the size has room for.
func (s *sheet) caution(cautions []caution) {
	s.Cautions = cautions
	if more := len(cautions) - s.Size.cautionsAtMost; more > 0 {
		s.Cautions = cautions[:s.Size.cautionsAtMost]
		s.Omitted = append(s.Omitted, "And "+count(more, "further caution")+", to be found among the findings.")
	}
}

// remark says what of the whole is not on the sheet.
func (s *sheet) remark(whole []card, changes int) {
	rows := func(cards []card) (n int) {
		for _, c := range cards {
			n += len(c.Rows)
		}
		return n
	}
	if rows(s.Cards) < rows(whole) {
		s.Omitted = append(s.Omitted, "The "+count(changes, "change")+" of this part do not fit on one page; the list by measure has them. Here are the settings at its sections.")
	}
	if n := len(s.Cards); n < len(whole) {
		s.Omitted = append(s.Omitted, "The settings from measure "+whole[n].Measure+" on do not fit either.")
	}
}

// fits estimates whether the sheet fits into so many millimetres in its size.
func (s *sheet) fits(room float64) bool {
	tallest, total := 0.0, 0.0
	for _, c := range s.Cards {
		total += s.Size.height(c)
		whole := s.Size.head + s.Size.row
		if c.Short() {
			whole = s.Size.height(c)
		}
		tallest = max(tallest, whole) // columns end unevenly by as much
	}
	return total/float64(s.Size.columns)+tallest <= room-s.cautionsHeight()
}

func (s *sheet) cautionsHeight() float64 {
	if len(s.Cautions) == 0 {
		return 0
	}
	lines := 2
	for _, c := range s.Cautions {
		lines += linesOf(plain.Columns(c.Place)+plain.Columns(c.Text)+10, s.Size.cautionChars)
	}
	return float64(lines) * s.Size.caution
}

func (z sheetSize) height(c card) float64 {
	h := z.head
	if len(c.Rows) == 0 {
		h = z.bare
	}
	h += z.row * float64(linesOf(plain.Columns(c.Head)+plain.Columns(c.Measure)+4, z.rowChars/2)-1)
	for _, r := range c.Rows {
		h += z.row * float64(linesOf(plain.Columns(r.Measure), z.rowChars/4)-1+linesOf(plain.Columns(r.Left), z.rowChars/4)-1+linesOf(plain.Columns(r.Right)+7*truth(r.Rushed), z.rowChars/4))
	}
	return h
}

// linesOf is how many lines n characters take.
func linesOf(n, line int) int { return max(1, int(math.Ceil(float64(n)/float64(line)))) }

// cards gathers the sections of a part with their changes.
func cards(p *Part, when *timeline) []card {
	all := []card{{Head: "From the start"}}
	if len(p.Bars) == 0 {
		all[0].Rows = cardRows(p.Changes, when)
		return all
	}
	for i, b := range p.Bars {
		if b.Section != "" && i > 0 {
			d := diagramOf(b.Setting)
			all = append(all, card{Head: sectionName(b.Section), Measure: sheetMeasure(b.Place, b.Pass, when), Diagram: &d})
		}
		last := &all[len(all)-1]
		last.Rows = append(last.Rows, cardRows(when.marked[visit{b.Index, b.Pass}], when)...)
	}
	return all
}

func cardRows(changes []Change, when *timeline) []cardRow {
	var rows []cardRow
	for _, s := range steps(changes) {
		r := cardRow{Measure: sheetMeasure(s.Place, s.Pass, when), Beat: when.count(s.Place, s.Pass)}
		r.Left, r.Right = s.feet()
		for _, c := range s.Changes {
			r.Rushed = r.Rushed || c.Rushed
		}
		rows = append(rows, r)
	}
	return rows
}

// sheetMeasure names a measure shortly: "12 (2nd)".
func sheetMeasure(p Place, pass int, when *timeline) string {
	p.Measure = shorten(p.label(), longestNumber)
	return strings.Replace(when.measure(p, pass), " time)", ")", 1)
}

// sectionName writes why a full setting stands somewhere; a rehearsal mark is
// its own name.
func sectionName(section string) string {
	switch section {
	case "start":
		return "From the start"
	case "key":
		return "Key change"
	case "double bar":
		return "Double bar"
	case "after rest":
		return "After the rest"
	case "glissando":
		return "Glissando"
	case "repeat":
		return "Repeat"
	}
	return shorten(plain.Line(section), longestHeading)
}

// cautions are the errors and warnings, the gravest first.
func cautions(p *Part, when *timeline) []caution {
	var all []caution
	for _, f := range bySeverity(merge(p.Findings)) {
		if f.Severity.rank() < SeverityNote.rank() {
			all = append(all, caution{f.Severity, when.place(f.Place, f.passes...), plain.Line(f.Text)})
		}
	}
	return all
}
