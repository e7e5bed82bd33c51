package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"pedalogue/report/plain"
)

// byteOrderMark tells a spreadsheet that the file is UTF-8, without which the
// signs of notes would be read as something else.
const byteOrderMark = "\ufeff"

// WriteChangesCSV writes a line for each pedal change of the scores, in the order
// given, under a line of headings. The file is UTF-8 with a byte order mark and
// CRLF line ends (RFC 4180), one record a line. Times are in seconds, measures'
// places from 0. Offsets are in quarter notes, as mixed numbers ("1 1/2", "0
// 1/2"), since a spreadsheet takes "3/2" for a day of the year; beats are counted from 1, as people do. A text that it
// would take for a formula, and a measure's number that it would take for a date
// or a sum, has an apostrophe before it. Scores that were not read have no line.
func WriteChangesCSV(w io.Writer, scores ...*Score) error {
	t := newSheetWriter(w, "score", "part", "name", "measure", "index", "pass", "offset", "beat", "pedal", "from", "to", "foot",
		"needed_measure", "needed_index", "needed_offset", "needed_beat", "free_from", "free_until", "moved_from", "moved_until", "rushed")
	for _, s := range scores {
		for _, p := range s.Parts {
			when := timelineOf(&p)
			for _, c := range p.Changes {
				t.row(s.Path, p.ID, p.Name, labelCell(c.Marked.Measure), c.Marked.Index, c.Pass, mixed(c.Marked.Offset), when.beatCell(c.Marked, c.Pass),
					c.Pedal, positionWord(c.From), positionWord(c.To), c.Foot,
					labelCell(c.Needed.Measure), c.Needed.Index, mixed(c.Needed.Offset), when.beatCell(c.Needed, c.Pass),
					c.Window[0], c.Window[1], c.At[0], c.At[1], yes(c.Rushed))
			}
		}
	}
	return t.flush()
}

// WriteFindingsCSV writes a line for each finding of the scores, the most important of a
// part first, and one for each warning about reading a file and for each file that was not read; it is
// laid out as WriteChangesCSV does.
func WriteFindingsCSV(w io.Writer, scores ...*Score) error {
	t := newSheetWriter(w, "score", "part", "name", "severity", "kind", "measure", "index", "pass", "offset", "beat", "staff", "notes", "line", "text", "remedy", "rank", "times", "same_in")
	for _, s := range scores {
		if s.Error != "" {
			t.row(s.Path, "", "", "error", "not-read", "", "", "", "", "", "", "", "", s.Error, "", "", "", "")
		}
		for _, p := range s.Parts {
			when := timelineOf(&p)
			for _, f := range merge(p.Findings) {
				var also []string
				for _, o := range f.also {
					if l := o.label(); !slices.Contains(also, l) {
						also = append(also, l)
					}
				}
				t.row(s.Path, p.ID, p.Name, string(f.Severity), f.Kind, labelCell(f.Measure), f.Index, f.Pass, mixed(f.Offset), when.beatCell(f.Place, f.Pass),
					positive(f.Staff), strings.Join(f.Notes, " "), "", f.Text, f.Remedy, positive(f.Rank), f.times, labelCell(strings.Join(also, " ")))
			}
		}
		for _, r := range s.Warnings {
			index := ""
			if r.Index >= 0 {
				index = strconv.Itoa(r.Index)
			}
			t.row(s.Path, r.Part, "", "reading", r.Code, labelCell(r.Measure), index, "", "", "", "", "", positive(r.Line), r.Text, "", "", "", "")
		}
	}
	return t.flush()
}

// WriteBatchCSV writes a line for each score with its counts, laid out as
// WriteChangesCSV does. Counts of a score that was not read are empty.
func WriteBatchCSV(w io.Writer, b Batch) error {
	t := newSheetWriter(w, "score", "title", "output", "harps", "changes", "respelt", "switches", "unsounded", "held", "rushed",
		"errors", "warnings", "reading_warnings", "proved", "page", "error",
		"as_it_stands", "to_decide", "cannot", "worst_measure", "worst_kind", "worst")
	for _, e := range b {
		if e.Error != "" {
			t.row(e.Path, e.Title, e.Output, "", "", "", "", "", "", "", "", "", e.Reading, "", e.Page, e.Error, "", "", "", "", "", "")
			continue
		}
		var as, decide, cannot any = "", "", ""
		if e.Lies != nil {
			as, decide, cannot = Seconds(e.Lies.AsItStands), Seconds(e.Lies.ToDecide), Seconds(e.Lies.Cannot)
		}
		var worst Worst
		if e.Worst != nil {
			worst = *e.Worst
		}
		t.row(e.Path, e.Title, e.Output, e.Harps, e.Cost.Changes, e.Cost.Respelt, e.Cost.Switches, e.Cost.Unsounded, e.Cost.Held, e.Cost.Rushed,
			e.Errors, e.Warnings, e.Reading, yes(e.Proved), e.Page, "", as, decide, cannot, labelCell(worst.Measure), worst.Kind, worst.Text)
	}
	return t.flush()
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// positive writes a number that is there, and nothing for 0.
func positive(n int) string {
	if n <= 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// A sheetWriter writes the lines of a CSV file and keeps the first error.
type sheetWriter struct {
	csv *csv.Writer
	err error
}

func newSheetWriter(w io.Writer, headings ...string) *sheetWriter {
	_, err := io.WriteString(w, byteOrderMark)
	t := &sheetWriter{csv.NewWriter(w), err}
	t.csv.UseCRLF = true
	if t.err == nil {
		t.err = t.csv.Write(headings)
	}
	return t
}

func (t *sheetWriter) row(cells ...any) {
	if t.err != nil {
		return
	}
	record := make([]string, len(cells))
	for i, c := range cells {
		switch v := c.(type) {
		case string:
			record[i] = plainCell(v)
		case number:
			record[i] = string(v)
		case Seconds:
			record[i] = strconv.FormatFloat(float64(v.rounded()), 'f', -1, 64)
		default:
			record[i] = fmt.Sprint(v)
		}
	}
	t.err = t.csv.Write(record)
}

func (t *sheetWriter) flush() error {
	if t.err != nil {
		return t.err
	}
	t.csv.Flush()
	return t.csv.Error()
}

// plainCell keeps a text from being taken for a formula: one that starts with a
// sign which begins a formula, in its usual or its full-width form, gets an
// apostrophe before it, as spreadsheets have it.
func plainCell(s string) string {
	s = plain.Line(s)
	if first, _ := utf8.DecodeRuneInString(strings.TrimLeft(s, " ")); strings.ContainsRune("=+-@|%＝＋－＠", first) {
		return "'" + s
	}
	return s
}

// oddNumber matches labels that a spreadsheet would take for a date, a time or
// another number.
var oddNumber = regexp.MustCompile(`^\s*[0-9]+\s*[-/.,:eE]`)

// labelCell keeps a measure's printed number as it is printed.
func labelCell(s string) string {
	if oddNumber.MatchString(s) {
		return "'" + plain.Line(s)
	}
	return s
}

// A number is a cell that spreadsheets are meant to take for one.
type number string

// mixed writes a fraction as a mixed number: "3/2" as "1 1/2", "-1/2" as "-0
// 1/2". What is no fraction stays as it is.
func mixed(fraction string) any {
	r, ok := new(big.Rat).SetString(fraction)
	if !ok {
		return fraction
	}
	if r.IsInt() {
		return number(r.RatString())
	}
	sign := ""
	if r.Sign() < 0 {
		sign = "-"
		r.Neg(r)
	}
	whole, rest := new(big.Int).QuoRem(r.Num(), r.Denom(), new(big.Int))
	return number(fmt.Sprintf("%s%v %v/%v", sign, whole, rest, r.Denom()))
}
