package report

import (
	"cmp"
	"math"
	"slices"
	"unicode/utf8"

	"pedalogue/pedal"
	"pedalogue/report/engrave"
	"pedalogue/report/plain"
)

// A sheet is what a player takes to the stand: the first setting, each printed
// change once, with the settings between that differ from the last one, and
// cautions. It takes as many pages as it takes.
type sheet struct {
	Heading  string // what Start is: "First setting"
	Start    diagram
	Setting  string // Start in letters
	Cards    []card
	Cautions []caution
	More     string   // how many cautions are left out; "" for none
	Drawn    bool     // the measures of the changes are drawn
	Wide     bool     // some of them are too wide for one of two columns
	Without  []string // what the music has and the drawings have not
	NotDrawn string   // from where on they are not, and why; "" for none
	Pages    int      // how many pages it prints on at most
}

// A card is one section of the sheet.
type card struct {
	Head    string // why a setting stands here: "Key change", a rehearsal mark; "" at the beginning of the sheet
	Measure string
	Diagram *diagram // nil where the setting is the sheet's own first one
	Rows    []cardRow
}

// Short reports whether the card is kept in one column.
func (c card) Short() bool {
	pictures := 0
	for i := range c.Rows {
		pictures += truth(c.Rows[i].Picture.SVG != "")
	}
	return len(c.Rows) <= shortCard && pictures <= 1
}

const shortCard = 4 // rows

// A cardRow is one place, as standRow has it.
type cardRow struct {
	at                    Place
	pass                  int
	Measure, Beat, Passes string
	Left, Right           []cardChange
	Picture               picture // the measure, below the last of its rows
	Keep                  bool    // it belongs to the picture of a row below
}

type cardChange struct {
	Sign   string
	Rushed bool
}

type caution struct {
	Severity    Severity
	Place, Text string
}

// mostCautions is how many cautions stand on a sheet.
const mostCautions = 6

// sheetOf makes the sheet of a part; from is where it begins, nil for the start. It
// fails if no measure is such. With music the measure of each change is drawn.
func sheetOf(p *Part, score string, when *timeline, o SheetOptions) (sheet, error) {
	s := sheet{Heading: "First setting"}
	start, rows, first := p.Start, []standRow(nil), 0
	if o.From == nil {
		rows = standRows(p, when)
	} else {
		i, err := when.find(*o.From)
		if err != nil {
			return sheet{}, err
		}
		first = i
		b := p.Bars[i]
		s.Heading = "Setting at measure " + when.measure(b.Place, b.Pass)
		start, rows = when.startAt(p.Start, i)
	}
	s.Start, s.Setting, s.Cards = diagramOf(start), start.String(), cards(rows)
	if o.Music {
		s.draw(p, o.From == nil)
	}
	s.Cautions = cautions(p, when, first)
	if more := len(s.Cautions) - mostCautions; more > 0 {
		s.Cautions = s.Cautions[:mostCautions]
		s.More = "And " + count(more, "further caution") + ", to be found among the findings."
	}
	s.Pages = s.printed(plain.Columns(score), plain.Columns(p.title()))
	return s, nil
}

// cards parts the rows of a sheet at its settings.
func cards(rows []standRow) []card {
	all := []card{{}}
	for _, r := range rows {
		measure := shorten(r.label(), longestNumber)
		if r.Setting != nil {
			d := diagramOf(*r.Setting)
			all = append(all, card{Head: r.Section, Measure: measure, Diagram: &d})
			continue
		}
		row := cardRow{at: r.Place, pass: r.pass, Measure: measure, Beat: r.Beat, Passes: cmp.Or(r.Passes, r.Back)}
		for _, c := range r.Changes {
			foot := &row.Left
			if c.Foot == pedal.Right {
				foot = &row.Right
			}
			*foot = append(*foot, cardChange{c.sign(), c.Rushed})
		}
		last := &all[len(all)-1]
		last.Rows = append(last.Rows, row)
	}
	if len(all[0].Rows) == 0 {
		all = all[1:] // the first setting stands above all
	}
	return all
}

// What the music of a sheet may be.
const (
	sheetPixels  = 7     // to a staff space
	mostOnSheet  = 10000 // notes: more would make the page too heavy
	leastOnSheet = 0.6   // how far a picture may be shrunk to stand in one of two columns
)

// draw puts the measure of each change, with the marks in it, below its row, or below
// the last of several rows for one measure: in written order of whatever passes.
func (s *sheet) draw(p *Part, written bool) {
	if !p.engraved() {
		s.NotDrawn = "The music is not drawn: there is none on 1 to 4 staves."
		return
	}
	room := mostOnSheet
	for i := range s.Cards {
		list := s.Cards[i].Rows
		for j := range list {
			r := &list[j]
			if j+1 < len(list) && list[j+1].at.Index == r.at.Index && (written || list[j+1].pass == r.pass) {
				r.Keep = true
				continue
			}
			r.Picture = p.drawn(r.at, engrave.Options{Anonymous: true}, sheetPixels, "stand", "", &room)
			if r.Picture.TooMuch {
				s.NotDrawn = "There is too much music for one page: from measure " + r.Measure + " on it is left out."
				return
			}
			s.Drawn = s.Drawn || r.Picture.SVG != ""
			for _, what := range r.Picture.omitted {
				if !slices.Contains(s.Without, what) {
					s.Without = append(s.Without, what)
				}
			}
			s.Wide = s.Wide || float64(r.Picture.width)*millimetres*leastOnSheet > onSheetMost
		}
	}
}

const longestHeading = 28 // characters of a section's heading

// sectionName writes why a full setting stands somewhere; a rehearsal mark is
// its own name, but for a number or a letter, which alone would say nothing.
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
	case "system":
		return "New system"
	case "many changes":
		return "Many changes"
	case "every":
		return "Setting"
	}
	name := shorten(plain.Line(section), longestHeading)
	if utf8.RuneCountInString(name) <= shortMark {
		name = "Rehearsal " + name
	}
	return name
}

const shortMark = 3 // characters of a rehearsal mark that is no word

// cautions are the errors and warnings of what is played from a bar on, the gravest first.
func cautions(p *Part, when *timeline, first int) []caution {
	var all []caution
	for _, f := range merge(p.Findings) {
		if at, known := when.at[visit{f.Index, when.played[f.Index]}]; known && at < first {
			continue
		}
		if f.Severity.rank() < SeverityNote.rank() {
			all = append(all, caution{f.Severity, when.spokenPlace(f.Place, f.passes...), plain.Line(f.Text + f.elsewhere())})
		}
	}
	return all
}

// Lengths of the sheet in print, in millimetres, and characters in a line of its
// cells. All generous: measured in a browser on A4 and Letter, and rounded up.
const (
	sheetColumn  = 228.0 // height of a page's columns: Letter, the lower one, less its margins and what is lost at their feet
	sheetTop     = 46.0  // title, harp and first setting
	sheetColumns = 2
	titleLine    = 9.0
	titleChars   = 50
	cautionLine  = 5.4
	cautionChars = 80
	cardHead     = 16.0
	cardLine     = 5.6 // one more line in a row or a heading
	cardPadding  = 1.2 // of a row besides its lines
	cardGap      = 4.0
	sheetLegend  = 14.0 // what is said of the music
	pictureGap   = 3.5  // around a picture
	onSheetMost  = 88.0 // how wide a picture is in one of two columns
	headChars    = 14
	measureChars = 6
	beatChars    = 15
	footChars    = 6
)

// printed is an upper bound for the pages that the sheet takes on A4 or Letter: its
// blocks are put into columns one after the other.
func (s *sheet) printed(title, harp int) int {
	top := sheetTop + titleLine*float64(linesOf(title, titleChars)+linesOf(harp, titleChars)-2)
	if len(s.Cautions) > 0 {
		top += 14
	}
	if s.Drawn || s.NotDrawn != "" {
		top += sheetLegend
		for _, what := range s.Without {
			top += cautionLine * float64(linesOf(plain.Columns(what)+15, cautionChars))
		}
	}
	for _, c := range s.Cautions {
		top += cautionLine * float64(linesOf(plain.Columns(c.Place)+plain.Columns(c.Text)+10, cautionChars))
	}
	pages := 1 + int(top/sheetColumn)
	f := filling{columns: sheetColumns, picture: onSheetMost}
	if s.Wide {
		f.columns, f.picture = 1, paperWidth
	}
	f.height, f.left = sheetColumn-math.Mod(top, sheetColumn), f.columns-1
	f.room = f.height
	for _, c := range s.Cards {
		f.card(c)
	}
	return pages + f.pages
}

// A filling puts blocks into the columns of pages.
type filling struct {
	columns int     // of a page
	picture float64 // how wide a picture is at most
	room    float64 // left in the column
	height  float64 // of the columns of this page
	left    int     // columns left on this page
	pages   int     // begun after the first
}

// put puts a block that is not parted, unless it is higher than a column.
func (f *filling) put(height float64) {
	if f.room < height {
		f.next()
	}
	for f.room -= height; f.room < 0; {
		over := f.room
		f.next()
		f.room += over
	}
}

// next begins a column.
func (f *filling) next() {
	if f.left--; f.left < 0 {
		f.pages++
		f.left, f.height = f.columns-1, sheetColumn
	}
	f.room = f.height
}

// card puts a card: a short one whole, another row by row, the first one with the
// card's head, and rows with the picture of their measure.
func (f *filling) card(c card) {
	block := cardHead + cardLine*float64(linesOf(plain.Columns(c.Head)+plain.Columns(c.Measure)+4, headChars)-1) + cardGap
	if len(c.Rows) > 0 {
		block += cardLine // what heads the columns
	}
	for _, r := range c.Rows {
		block += r.height()
		if r.Picture.SVG != "" {
			block += onPaper(r.Picture.width, r.Picture.height, f.picture) + pictureGap
		}
		if !c.Short() && !r.Keep {
			f.put(block)
			block = 0
		}
	}
	f.put(block)
}

func (r cardRow) height() float64 {
	foot := func(changes []cardChange) int {
		n := linesOf(3*len(changes), footChars)
		for _, c := range changes {
			n += truth(c.Rushed) // which is said
		}
		return n
	}
	beat := linesOf(plain.Columns(r.Beat), beatChars)
	if r.Passes != "" {
		beat += linesOf(plain.Columns(r.Passes), beatChars)
	}
	lines := max(linesOf(plain.Columns(r.Measure), measureChars), beat, foot(r.Left), foot(r.Right))
	return cardLine*float64(lines) + cardPadding
}

// linesOf is how many lines n characters take.
func linesOf(n, line int) int { return max(1, int(math.Ceil(float64(n)/float64(line)))) }
