package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"pedalogue/pedal"
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

// A CheckEntry is what is counted of a score that was checked.
type CheckEntry struct {
	Path             string
	Error            string // why it was not read; "" if it was
	Marked           bool   // pedal marks stand in it
	Errors, Warnings int
	First            string // its first wrong place in a sentence; "" for none
}

// CheckEntryOf counts a score. It holds nothing of it.
func CheckEntryOf(k *Check) CheckEntry {
	e := CheckEntry{Path: strings.Clone(k.Path), Error: strings.Clone(k.Error)}
	for i := range k.Parts {
		p := &k.Parts[i]
		errors, warnings, _ := p.Counted()
		e.Errors, e.Warnings = e.Errors+errors, e.Warnings+warnings
		e.Marked = e.Marked || p.Verdict != VerdictNoMarks
		if f := p.FirstWrong(); f != nil && e.First == "" {
			e.First = fmt.Sprintf("first in measure %s: %s", f.label(), f.Text)
		}
	}
	return e
}

// SortChecks puts those first that have most to be mended; equals keep their order.
func SortChecks(list []CheckEntry) {
	slices.SortStableFunc(list, func(a, b CheckEntry) int {
		return slices.Compare([]int{truth(b.Error != ""), b.Errors, b.Warnings}, []int{truth(a.Error != ""), a.Errors, a.Warnings})
	})
}

// WriteCheckBatchText writes which scores are to be sent back, the worst first, each
// with its first wrong place, so that it can stand in a letter; then how many are well.
func WriteCheckBatchText(w io.Writer, list []CheckEntry, o TextOptions) error {
	t := newText(o)
	list = slices.Clone(list)
	SortChecks(list)
	clean, bare, back := 0, 0, 0
	for _, e := range list {
		switch {
		case e.Error != "":
			t.wrapped("- ", e.Path+": not read: "+e.Error)
		case e.Errors+e.Warnings > 0:
			if back++; back == 1 {
				t.line("Parts whose pedal marks are wrong, the worst first:")
			}
			var counts []string
			if e.Errors > 0 {
				counts = append(counts, count(e.Errors, "error"))
			}
			if e.Warnings > 0 {
				counts = append(counts, count(e.Warnings, "warning"))
			}
			t.wrapped("- ", e.Path+": "+joined(counts, "and")+"; "+e.First)
		case e.Marked:
			clean++
		default:
			bare++
		}
	}
	if back > 0 {
		t.blank()
	}
	t.wrapped("", fmt.Sprintf("%s checked: %d to send back, %d clean, %d without pedal marks.", sentenceCase(count(len(list), "score")), back, clean, bare))
	return t.writeTo(w)
}

// WriteCheckBatchCSV writes a line for each score, laid out as WriteChangesCSV does.
func WriteCheckBatchCSV(w io.Writer, list []CheckEntry) error {
	t := newSheetWriter(w, "score", "marks", "errors", "warnings", "first", "error")
	for _, e := range list {
		if e.Error != "" {
			t.row(e.Path, "", "", "", "", e.Error)
			continue
		}
		t.row(e.Path, yes(e.Marked), e.Errors, e.Warnings, e.First, "")
	}
	return t.flush()
}
