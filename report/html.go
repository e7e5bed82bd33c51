package report

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"path"
	"slices"
	"strings"

	"pedalogue/report/plain"
)

//go:embed page.html index.html pieces.html style.css
var pageFiles embed.FS

// WriteHTML writes the report as one page that needs nothing else: no network,
// no script, no other file. It holds for each harp the sheet for the stand, the
// chart of the pedals, the findings, the list by measure and what other ways of
// respelling would cost, and prints on A4 and Letter. Bars fill the chart and
// the list; without them the page lists the changes alone. The error is that of
// w or of a page that cannot be made.
func WriteHTML(w io.Writer, s *Score) error { return render(w, "page.html", pageOf(s)) }

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
	return template.CSS(css)
}

// A page is what the template shows of a score. All its texts are clean.
type page struct {
	Style      template.CSS
	Name       string // title, or the file's name
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
	Score      string // the name of the score
	Unit       string // "beat" or "quarter"
	Start      string // in words
	Sheet      sheet
	Systems    []system
	Rows       []barRow
	Steps      []stepRow // where no measures are known, or for changes outside them
	Findings   []findingRow
	Severity   []filter
	Kinds      []filter
	Respelling string // how many notes are respelt
	Respelt    []respeltRow
	Choices    []choiceRow
	Curve      []Point
	CurveWords string
	Proof      string
	Unlike     string // how much of the same music is played in another way; "" where none is
	Pins       string // what the player has decided; "" if nothing
	Options    string
	Changes    string // "12 changes"
}

type barRow struct {
	Measure, Sounds, Setting string
	Changes                  []string
	Marks                    []Severity
}

type stepRow struct {
	Measure, Beat string
	Changes       []string
}

type findingRow struct {
	Severity            Severity
	Kind                int // index into Kinds
	Place, Text, Remedy string
	Notes, Staff        string
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

func pageOf(s *Score) *page {
	t := tallyOf(s)
	p := &page{
		Style: style(), Name: s.name(), Path: plain.Line(s.Path), Output: plain.Line(s.Output), Error: plain.Line(s.Error),
		Grave: s.Error != "" || t.grave(), Verdict: t.verdict(s.Error != ""), Facts: t.facts(),
		Made: plain.Line(strings.TrimSpace(s.Tool + " " + s.Version)), ManyHarps: len(s.Parts) > 1,
	}
	if o := s.PlayingOrder; o != nil {
		p.Order = o.sentence()
	}
	if s.Error == "" {
		for i := range s.Parts {
			p.Harps = append(p.Harps, harpOf(&s.Parts[i], i+1, p.Name))
		}
	}
	for _, w := range s.Warnings {
		p.Warnings = append(p.Warnings, plain.Line(w.sentence()))
	}
	for i := range p.Harps {
		for len(p.KindFilter) < len(p.Harps[i].Kinds) {
			p.KindFilter = append(p.KindFilter, len(p.KindFilter))
		}
	}
	p.PagesMost = p.printedPages()
	return p
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

func harpOf(p *Part, id int, score string) harp {
	when := timelineOf(p)
	h := harp{
		ID: id, Title: plain.Line(p.title()), Score: score, Unit: when.unit(), Start: p.Start.String(),
		Sheet: sheetOf(p, score, when), Systems: chart(p, when), Proof: plain.Line(p.proofSentence()), Unlike: p.unlikeSentence(),
		Pins: plain.Line(p.pinsSentence()), Options: plain.Line(p.Options.sentence()),
		Changes: sentenceCase(count(p.Cost.Changes, "change")), Respelling: sentenceCase(p.respeltCount()),
		Curve: p.Curve, CurveWords: curveWords,
	}
	h.addRows(p, when)
	h.addFindings(p, when)
	for _, r := range p.Respelt {
		h.Respelt = append(h.Respelt, respeltRow{r.label(), when.count(r.Place, 1), plain.Line(r.Written), plain.Line(r.Played), r.Staff})
	}
	if len(p.Choices) > 1 {
		for _, c := range p.Choices {
			h.Choices = append(h.Choices, choiceRow{plain.Line(c.Respell), modeMeaning(c.Respell), c.Cost, c.Respell == p.Options.Respell})
		}
	}
	return h
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
		if !slices.Contains(r.Marks, f.Severity) {
			r.Marks = append(r.Marks, f.Severity)
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

func (h *harp) addFindings(p *Part, when *timeline) {
	var kinds []string
	counts := make(map[string]int)
	severities := make(map[Severity]int)
	for _, f := range bySeverity(merge(p.Findings)) {
		kind := slices.Index(kinds, f.Kind)
		if kind < 0 {
			kind = len(kinds)
			kinds = append(kinds, f.Kind)
		}
		counts[f.Kind] += len(f.passes)
		severities[f.Severity] += len(f.passes)
		r := findingRow{
			Severity: f.Severity, Kind: kind, Place: when.place(f.Place, f.passes...),
			Text: plain.Line(f.Text), Remedy: plain.Line(f.Remedy), Notes: plain.Line(strings.Join(f.Notes, " ")),
		}
		if f.Staff > 0 {
			r.Staff = fmt.Sprint(f.Staff)
		}
		h.Findings = append(h.Findings, r)
	}
	for i, k := range kinds {
		h.Kinds = append(h.Kinds, filter{plain.Line(strings.ReplaceAll(k, "-", " ")), i, counts[k]})
	}
	for i, s := range []Severity{SeverityError, SeverityWarning, SeverityNote} {
		if severities[s] > 0 {
			h.Severity = append(h.Severity, filter{string(s), i, severities[s]})
		}
	}
}

// lines is how many lines the row takes in print.
func (r barRow) lines() int {
	return max(linesOf(plain.Columns(strings.Join(r.Changes, " · ")), 52), linesOf(plain.Columns(r.Sounds), 20), linesOf(plain.Columns(r.Measure), 9)+len(r.Marks))
}

// printedPages is an upper bound for the pages of A4 or Letter that the page
// prints on: for each harp one for the stand and the rest, estimated in
// millimetres and generously.
func (p *page) printedPages() int {
	const pageHeight = 255 * 0.88
	pages := 0
	for _, h := range p.Harps {
		height := 70.0 // headings, legend, proof
		height += float64(linesOf(len(h.Systems), 2)) * 56
		for _, r := range h.Rows {
			height += 1.5 + 4.3*float64(r.lines())
		}
		for _, r := range h.Steps {
			height += float64(len(r.Changes)) * 6
		}
		for _, f := range h.Findings {
			height += 11 + 4.7*float64(linesOf(plain.Columns(f.Text), 80)+linesOf(plain.Columns(f.Remedy), 80))
		}
		height += float64(len(h.Respelt)+len(h.Choices)+6) * 7
		pages += 1 + int(math.Ceil(height/pageHeight))
	}
	height := 60.0
	for _, w := range p.Warnings {
		height += 6 * float64(linesOf(plain.Columns(w), 90))
	}
	return pages + int(math.Ceil(height/pageHeight))
}
