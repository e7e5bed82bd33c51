package report

import (
	"cmp"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"

	"pedalogue/pedal"
	"pedalogue/report/plain"
)

// pedalWords writes pedals in foot order: "D♭ F♯".
func pedalWords(pedals map[pedal.Letter]pedal.Position) string {
	var words []string
	for l := range pedal.Letter(pedal.Letters) {
		if p, ok := pedals[l]; ok {
			words = append(words, l.String()+p.Sign())
		}
	}
	return strings.Join(words, " ")
}

// A CheckEntry is what is counted of a part that was checked, or a score that was not.
type CheckEntry struct {
	Path             string
	Title            string // "" if the score has none
	Part             string // its name; "" for a score that was not read
	Error            string // why the score was not read; "" if it was
	Made             string // by which program
	Page             string // slash-separated path of the score's HTML page, relative to the index; "" for none
	Marked           bool   // pedal marks stand in it
	Errors, Warnings int
	First            string // its first wrong place in a sentence; "" for none
}

// CheckEntriesOf counts the parts of a score. They hold nothing of it.
func CheckEntriesOf(k *Check, page string) []CheckEntry {
	score := CheckEntry{
		Path: strings.Clone(k.Path), Title: strings.TrimSpace(plain.Line(k.Title)), Error: strings.Clone(k.Error),
		Made: strings.TrimSpace(k.Tool + " " + k.Version), Page: page,
	}
	if k.Error != "" {
		return []CheckEntry{score}
	}
	var list []CheckEntry
	for i := range k.Parts {
		p := &k.Parts[i]
		e := score
		e.Part = strings.Clone(cmp.Or(strings.TrimSpace(plain.Line(p.Name)), p.ID))
		e.Errors, e.Warnings, _ = p.Counted()
		e.Marked = p.Verdict != VerdictNoMarks
		if f := p.FirstWrong(); f != nil {
			e.First = fmt.Sprintf("measure %s: %s", f.label(), f.Text)
		}
		list = append(list, e)
	}
	return list
}

// SortChecks puts those first that have most to be mended; equals keep their order.
func SortChecks(list []CheckEntry) {
	slices.SortStableFunc(list, func(a, b CheckEntry) int {
		return slices.Compare([]int{truth(b.Error != ""), b.Errors, b.Warnings}, []int{truth(a.Error != ""), a.Errors, a.Warnings})
	})
}

// goesBack tells whether a part is to be sent back.
func (e *CheckEntry) goesBack() bool { return e.Errors+e.Warnings > 0 }

// name is what a part is called in a letter: "Prelude, Harp II (rented/prelude.mxl)".
func (e *CheckEntry) name() string {
	if e.Title == "" {
		return e.Part + " of " + e.Path
	}
	return e.Title + ", " + e.Part + " (" + e.Path + ")"
}

// counts says how much is wrong: "2 errors and 1 warning".
func (e *CheckEntry) counts() string {
	var counts []string
	if e.Errors > 0 {
		counts = append(counts, count(e.Errors, "error"))
	}
	if e.Warnings > 0 {
		counts = append(counts, count(e.Warnings, "warning"))
	}
	return joined(counts, "and")
}

// checkTotals says what came of all: "3 parts of 2 scores checked: 1 to send back, …".
func checkTotals(list []CheckEntry) (sentence string, back int) {
	clean, bare, unread, parts := 0, 0, 0, 0
	scores := map[string]bool{}
	for i := range list {
		e := &list[i]
		scores[e.Path] = true
		if e.Error != "" {
			unread++
			continue
		}
		switch parts++; {
		case e.goesBack():
			back++
		case e.Marked:
			clean++
		default:
			bare++
		}
	}
	sentence = fmt.Sprintf("%s of %s checked: %d to send back, %d clean, %d without pedal marks", sentenceCase(count(parts, "part")), count(len(scores), "score"), back, clean, bare)
	if unread > 0 {
		sentence += fmt.Sprintf("; %s not read", count(unread, "score"))
	}
	return sentence + ".", back
}

// WriteCheckBatchText writes which parts are to be sent back, the worst first, each
// with its first wrong place, so that it can stand in a letter; then how many are well.
func WriteCheckBatchText(w io.Writer, list []CheckEntry, o TextOptions) error {
	t := newText(o)
	list = slices.Clone(list)
	SortChecks(list)
	for i := range list {
		if e := &list[i]; e.Error != "" {
			t.wrapped("- ", e.Path+": not read: "+e.Error)
		}
	}
	totals, back := checkTotals(list)
	if back > 0 {
		t.line("In these parts the pedal marks do not agree with the notes, the worst first:")
		t.blank()
	}
	for i := range list {
		if e := &list[i]; e.goesBack() {
			t.wrapped("- ", e.name()+": "+e.counts()+". The first is in "+e.First)
		}
	}
	if back > 0 {
		t.blank()
	}
	t.wrapped("", totals)
	return t.writeTo(w)
}

// WriteCheckBatchCSV writes a line for each part, laid out as WriteChangesCSV does.
func WriteCheckBatchCSV(w io.Writer, list []CheckEntry) error {
	t := newSheetWriter(w, "score", "marks", "errors", "warnings", "first", "error", "part", "title")
	for _, e := range list {
		if e.Error != "" {
			t.row(e.Path, "", "", "", "", e.Error, "", "")
			continue
		}
		t.row(e.Path, yes(e.Marked), e.Errors, e.Warnings, e.First, "", e.Part, e.Title)
	}
	return t.flush()
}

type checkIndexPage struct {
	Style   template.CSS
	Made    string
	Verdict string
	Grave   bool
	Rows    []checkIndexRow
}

type checkIndexRow struct {
	Name, Path, Error, First string
	Page                     template.URL
	Marked, Back, Grave      bool
	Errors, Warnings         string
}

// WriteCheckIndexHTML writes a page with a line for each part, the worst first, which links to its score's
// own page, if it has one. Like them it needs nothing else.
func WriteCheckIndexHTML(w io.Writer, list []CheckEntry) error {
	list = slices.Clone(list)
	SortChecks(list)
	totals, back := checkTotals(list)
	p := checkIndexPage{Style: style(), Verdict: totals, Grave: back > 0}
	for i := range list {
		e := &list[i]
		name := e.Part
		if e.Title != "" && name != "" {
			name = e.Title + ", " + name
		}
		p.Rows = append(p.Rows, checkIndexRow{
			Name: plain.Line(cmp.Or(name, e.Path)), Path: plain.Line(e.Path), Error: plain.Line(e.Error), First: plain.Line(e.First), Page: link(e.Page),
			Marked: e.Marked, Back: e.goesBack() || e.Error != "", Grave: e.Errors > 0, Errors: grouped(e.Errors), Warnings: grouped(e.Warnings),
		})
		p.Made, p.Grave = cmp.Or(p.Made, plain.Line(e.Made)), p.Grave || e.Error != ""
	}
	return render(w, "checks.html", &p)
}
