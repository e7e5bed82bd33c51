package report

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"path"
	"slices"
	"strings"

	"pedalogue/report/engrave"
	"pedalogue/report/plain"
)

//go:embed check.html checks.html page.html sheets.html index.html reading.html keys.html reduce.html pieces.html style.css
var pageFiles embed.FS

// WriteHTML writes the report as one page that needs nothing else: no network,
// no script, no other file. It holds for each harp the sheet for the stand, the
// chart of the pedals under their music, the findings with theirs, the list by
// measure and what other ways of respelling would cost, and prints on A4 and
// Letter. Bars fill the chart and the list, Music the staves; without Bars the page
// lists the changes alone. The sheet is as Score.Sheet says. The error is that
// of w or of a page that cannot be made, as where no measure is that of Sheet.From.
func WriteHTML(w io.Writer, s *Score) error {
	p, err := pageOf(s)
	if err != nil {
		return err
	}
	return render(w, "page.html", p)
}

// render writes a page as a whole or not at all.
func render(w io.Writer, name string, data any) error {
	pages, err := template.New(name).ParseFS(pageFiles, "*.html")
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := pages.ExecuteTemplate(&b, name, data); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

// style is the style sheet, which is this package's own text.
func style() template.CSS {
	css, err := pageFiles.ReadFile("style.css")
	if err != nil {
		panic(err) // it is embedded
	}
	return template.CSS(css) + template.CSS(engrave.Style)
}

// A page is what the template shows of a score. All its texts are clean.
type page struct {
	Style      template.CSS
	Drawn      template.HTML // what all music in the page refers to; "" if there is none
	Letters    []chartText   // of the pedals, for all charts; nil if there is none
	Index      template.URL  // the page of all scores; "" for none
	Name       string        // title, or the file's name
	Path       string
	Output     string
	Error      string
	Grave      bool
	Verdict    string
	Order      string
	Facts      []fact
	Harps      []harp
	Warnings   []string
	PagesMost  int // how many pages it prints on at most
	Made       string
	ManyHarps  bool
	KindFilter []int // numbers for the filters' styles
}

type fact struct{ Name, Value string }

// A harp is what the template shows of a part.
type harp struct {
	ID         int // from 1, for links within the page
	Title      string
	Of         string // what tells its headings from those of other harps; "" for the only one
	Score      string // the name of the score
	Unit       string // "beat" or "quarter"
	Sheet      sheet
	Systems    []system
	Music      bool     // some is drawn in the chart
	LeftOut    bool     // and some is not, as there is too much of it
	NotDrawn   []string // what the music has and the drawings have not
	Rows       []barRow
	Steps      []stepRow // where no measures are known, or for changes outside them
	Findings   []findingGroup
	Severity   []filter
	Kinds      []filter
	Respelling string // how many notes are respelt
	Respelt    []respeltRow
	Fold       bool // the respelt notes are folded away
	Choices    []choiceRow
	Curve      []Point
	CurveWords string
	Proof      string
	Unlike     string // how much of the same music is played in another way; "" where none is
	Pins       string // what the player has decided; "" if nothing
	Options    string
	Changes    string // "12 changes"
	Lies       string // how much of it lies on the harp
}

// Running is what stands over the printed pages of its sheet: one of several on a stand
// is told by it.
func (h *harp) Running() string {
	return shorten(h.Score, longestRunning) + ", " + shorten(h.Title, longestRunning)
}

const longestRunning = 40 // characters of a title over pages

type barRow struct {
	ID, Chart                string // of the row, and of the measure in the chart
	Measure, Sounds, Setting string
	Changes                  []string
	Marks                    []barMark
}

// A barMark is the first finding of a severity in a measure.
type barMark struct {
	Severity Severity
	Finding  string // the ID of its row
}

type stepRow struct {
	Measure, Beat string
	Changes       []string
}

type filter struct {
	Name   string
	Number int
	Count  int
}

type respeltRow struct {
	Measure, Beat, Written, Played string
	Staff                          int
}

type choiceRow struct {
	Name, Means string
	Cost        Cost
	Taken       bool
}

func pageOf(s *Score) (*page, error) {
	t := tallyOf(s)
	p := &page{
		Style: style(), Name: s.name(), Path: plain.Line(s.Path), Output: plain.Line(s.Output), Error: plain.Line(s.Error),
		Grave: s.Error != "" || t.grave(), Verdict: t.verdict(s.Error != ""), Facts: t.facts(),
		Made: plain.Line(strings.TrimSpace(s.Tool + " " + s.Version)), Index: link(s.Index), ManyHarps: len(s.Parts) > 1,
	}
	if o := s.PlayingOrder; o != nil {
		p.Order = o.sentence()
	}
	if s.Error == "" {
		for i := range s.Parts {
			h, err := harpOf(&s.Parts[i], i+1, p.Name, s.Sheet)
			if err != nil {
				return nil, err
			}
			p.Harps = append(p.Harps, h)
		}
	}
	for _, w := range s.Warnings {
		p.Warnings = append(p.Warnings, plain.Line(w.sentence()))
	}
	most := 0
	for i := range p.Harps {
		if p.ManyHarps {
			p.Harps[i].Of = " · " + p.Harps[i].Title
		}
		if p.Harps[i].Systems != nil {
			p.Letters = chartLetters()
		}
		if s.Parts[i].engraved() {
			most = max(most, len(s.Parts[i].Bars))
			p.Drawn = defs(most)
		}
		for len(p.KindFilter) < len(p.Harps[i].Kinds) {
			p.KindFilter = append(p.KindFilter, len(p.KindFilter))
		}
	}
	p.PagesMost = p.printedPages()
	return p, nil
}

// name is the title, or else the file's name.
func (s *Score) name() string {
	if t := strings.TrimSpace(plain.Line(s.Title)); t != "" {
		return t
	}
	return plain.Line(path.Base(strings.ReplaceAll(s.Path, `\`, "/")))
}

func (t Tally) verdict(unread bool) string {
	switch {
	case unread:
		return "This score could not be read."
	case t.Harps == 0:
		return "No harp was planned."
	case t.Cost.Unsounded > 0:
		return sentenceCase(count(t.Cost.Unsounded, "note")) + " cannot be played as planned" + t.also() + "."
	case t.Errors > 0:
		return sentenceCase(count(t.ErrorPlaces, "place")) + " cannot be played as planned" + t.also() + "."
	case t.also() != "":
		return "Every note can be played" + t.also() + "."
	}
	return "Every note can be played as planned."
}

// also writes lesser troubles as the end of a sentence.
func (t Tally) also() string {
	s := ""
	if n := t.Cost.Held; n > 0 {
		s += "; " + count(n, "change") + " under a note still held"
	}
	if n := t.Cost.Rushed; n > 0 {
		s += "; " + count(n, "rushed change")
	}
	if n := t.WarningPlaces; n > 0 {
		s += "; " + count(n, "place") + " to look at"
	}
	return s
}

func (t Tally) facts() []fact {
	if t.Harps == 0 {
		return nil
	}
	return []fact{
		{"Changes", grouped(t.Cost.Changes)},
		{"Respelt notes", grouped(t.Cost.Respelt)},
		{"Rushed", grouped(t.Cost.Rushed)},
		{"Errors", grouped(t.Errors)},
		{"Warnings", grouped(t.Warnings)},
		{"Proof", strings.TrimSuffix(t.proof(), " minimal")},
	}
}

// mostRespelt is how many respelt notes are listed without being asked for.
const mostRespelt = 12

func harpOf(p *Part, id int, score string, o SheetOptions) (harp, error) {
	when := timelineOf(p)
	sheet, err := sheetOf(p, score, when, o)
	if err != nil {
		return harp{}, err
	}
	h := harp{
		ID: id, Title: plain.Line(p.title()), Score: score, Unit: when.unit(), Sheet: sheet,
		Proof: plain.Line(p.proofSentence()), Lies: p.Lies.sentence(), Unlike: p.unlikeSentence(),
		Pins: plain.Line(p.pinsSentence()), Options: plain.Line(p.Options.sentence()),
		Changes: p.changeCount(), Respelling: sentenceCase(p.respeltCount()),
		Curve: p.Curve, CurveWords: curveWords,
	}
	h.addFindings(p, when) // first: the others link to its rows
	h.chart(p, when)
	h.addRows(p, when)
	for _, r := range p.Respelt {
		h.Respelt = append(h.Respelt, respeltRow{r.label(), when.count(r.Place, 1), plain.Line(r.Written), plain.Line(r.Played), r.Staff})
	}
	h.Fold = len(h.Respelt) > mostRespelt
	if len(p.Choices) > 1 {
		for _, c := range p.Choices {
			h.Choices = append(h.Choices, choiceRow{plain.Line(c.Respell), modeMeaning(c.Respell), c.Cost, c.Respell == p.Options.Respell})
		}
	}
	return h, nil
}

// sentence says with which options a plan was made.
func (o Options) sentence() string {
	s := fmt.Sprintf("Respelling: %s. Strings: %s.", o.Respell, o.Strings)
	if o.Respell == "balanced" {
		s += fmt.Sprintf(" One change counts as %s, one switch as %d.", count(o.ChangePrice, "respelt note"), o.SwitchPrice)
	}
	if o.FootTime > 0 {
		s += fmt.Sprintf(" A foot takes %s for a change and starts one every %s at most; a string sounds for %s before its pedal moves.",
			seconds(Seconds(o.MoveTime)), seconds(Seconds(o.FootTime)), seconds(Seconds(o.SoundingTime)))
	} else {
		s += " The time that a foot takes was not counted."
	}
	if !o.Implied {
		s += " Trills, tremolos and glissandi were planned without the notes that are not written out."
	}
	return s
}

func modeMeaning(mode string) string {
	switch mode {
	case "written":
		return "every note on its written string"
	case "needed":
		return "respell only what could not be played otherwise"
	case "balanced":
		return "weigh changes against switches and respelt notes"
	case "free":
		return "the fewest changes, whatever is respelt"
	}
	return ""
}

func (h *harp) addRows(p *Part, when *timeline) {
	inBars := 0
	for i := 0; i < len(p.Bars); {
		n := emptyBars(p.Bars[i:], when)
		r := when.row(p.Bars[i], p.Options)
		v := visit{p.Bars[i].Index, p.Bars[i].Pass}
		r.ID, r.Chart = v.id("r", h.ID), v.id("m", h.ID)
		if n > 1 {
			first, last := p.Bars[i], p.Bars[i+n-1]
			first.Measure = first.label() + "–" + last.label()
			r.Measure = when.measure(first.Place, first.Pass)
		}
		inBars += len(r.Changes)
		h.Rows = append(h.Rows, r)
		i += max(1, n)
	}
	if inBars == len(p.Changes) {
		return
	}
	for _, s := range steps(p.Changes) {
		r := stepRow{Measure: when.measure(s.Place, s.Pass), Beat: when.count(s.Place, s.Pass)}
		for _, c := range s.Changes {
			r.Changes = append(r.Changes, c.sentence(when, p.Options))
		}
		h.Steps = append(h.Steps, r)
	}
}

// emptyBars is how many measures from the first on follow each other with
// nothing to play, to change or to say, and one setting.
func emptyBars(bars []Bar, when *timeline) int {
	for i, b := range bars {
		v := visit{b.Index, b.Pass}
		follows := i == 0 || b.Index == bars[i-1].Index+1 && b.Pass == bars[0].Pass && b.Setting == bars[0].Setting
		if !follows || len(b.Sounds)+len(when.marked[v])+len(when.found[v]) > 0 {
			return i
		}
	}
	return len(bars)
}

// row lists one measure.
func (t *timeline) row(b Bar, o Options) barRow {
	r := barRow{
		Measure: t.measure(b.Place, b.Pass),
		Sounds:  plain.Line(strings.Join(b.Sounds, " ")), Setting: b.Setting.String(),
	}
	v := visit{b.Index, b.Pass}
	for _, c := range t.marked[v] {
		r.Changes = append(r.Changes, c.sentence(t, o))
	}
	for _, f := range t.found[v] {
		if !slices.ContainsFunc(r.Marks, func(m barMark) bool { return m.Severity == f.Severity }) {
			r.Marks = append(r.Marks, barMark{f.Severity, t.rows[f.key()]})
		}
	}
	return r
}

// sentence writes the change with its beat, foot and the time to spare: "F♯
// right, beat 2½, 0.75 s to spare".
func (c Change) sentence(when *timeline, o Options) string {
	s := c.sign() + " " + c.Foot.String() + ", " + when.unit() + " " + when.count(c.Marked, c.Pass)
	switch {
	case c.Rushed:
		return s + ", " + c.whyRushed(o.MoveTime)
	case o.FootTime > 0:
		return s + ", " + seconds(c.spare()) + " to spare"
	}
	return s
}
