// Package planned is a score whose pedals are planned: its marks, its report, and the
// summary of many.
package planned

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"

	"pedalogue/cmd/pedalogue/internal/build"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// CopyMark stands before the extension of a marked copy and in the names of the
// reports on it: NAME.pedals.EXT.
const CopyMark = ".pedals"

// reportNames are what stands in the names of the reports that carry the seals of
// copies: those of mark, keys, part, reduce and check.
var reportNames = []string{CopyMark, ".keys", ".part", ".reduce", ".check"}

// IsResult tells whether a file is a copy that an earlier run has made: by its name,
// NAME.pedals.EXT, or by the seal beside it. One that somebody has altered since is
// known by our marks.
func IsResult(path string) bool {
	if stem := strings.TrimSuffix(path, filepath.Ext(path)); strings.EqualFold(filepath.Ext(stem), CopyMark) {
		return true
	}
	return store.IsCopy(path, reportNames, hasOwnMarks)
}

// hasOwnMarks tells whether marks of ours stand in a score.
func hasOwnMarks(path string) bool {
	data, err := os.ReadFile(path)
	if err != nil {
		return false
	}
	doc, err := musicxml.Open(context.Background(), path, data, musicxml.Limits{})
	if err != nil {
		return false
	}
	own, err := doc.Strip(context.Background())
	return err == nil && len(own.Edits)+len(own.Kept) > 0
}

// Kind is what reports on plans are.
var Kind = work.Kind{
	Report: CopyMark, Default: "text,json",
	Formats: planFormats(),
	Failed: func(path string, err error) work.Report {
		return &Report{Score: report.Score{Head: rows.Failed(path, err)}}
	},
	Resumes: true,
	Kept: func(counts []byte) (work.Report, error) {
		r := &keptReport{}
		err := json.Unmarshal(counts, &r.entry)
		return r, err
	},
	Compare: func(counts []byte, now work.Report) (work.Difference, error) {
		var before planCounts
		if err := json.Unmarshal(counts, &before); err != nil {
			return work.Difference{}, err
		}
		return work.Compare(before.Plan, now.(*Report).marked()), nil
	},
	FailOn:  "error",
	Summary: func() work.Summary { return &Summary{} },
}

// planFormats are the forms of reports on plans.
func planFormats() []work.Format {
	var list []work.Format
	for _, form := range report.Forms() {
		f := work.Format{Name: form.Name, Printed: form.Printed}
		for _, file := range form.Files {
			f.Exts = append(f.Exts, file.Ext)
		}
		list = append(list, f)
	}
	return list
}

// A Report is the report on a score whose pedals were planned.
type Report struct {
	report.Score
	sheets *report.Sheets // nil where no page of all sheets is asked for
}

// entry counts the report.
func (r *Report) entry() report.Entry {
	e := report.EntryOf(&r.Score, "")
	e.Sheets = r.sheets
	return e
}

func (r *Report) Text(w io.Writer, o report.TextOptions) error {
	return report.WriteText(w, &r.Score, o)
}

func (r *Report) JSON(w io.Writer, oneLine bool) error {
	if oneLine {
		return report.WriteJSONLine(w, &r.Score)
	}
	return report.WriteJSON(w, &r.Score)
}

func (r *Report) File(w io.Writer, ext string) error {
	for _, form := range report.Forms() {
		for _, file := range form.Files {
			if file.Ext == ext {
				return file.Write(w, &r.Score)
			}
		}
	}
	return fmt.Errorf("internal error: no report ends like %q", ext)
}

func (r *Report) Placed(path string) { r.Output = path }

func (r *Report) Worst() report.Severity { return worst(report.EntryOf(&r.Score, "")) }

// worst is the most severe of what was found in a score.
func worst(e report.Entry) report.Severity {
	switch {
	case e.Grave():
		return report.SeverityError
	case e.Warnings > 0:
		return report.SeverityWarning
	case e.Notes > 0:
		return report.SeverityNote
	}
	return ""
}

func (r *Report) Facts() []any { return facts(report.EntryOf(&r.Score, "")) }

// facts are what the log says of a plan.
func facts(e report.Entry) []any {
	return []any{
		slog.String("output", e.Output), slog.Int("changes", e.Cost.Changes), slog.Int("respelt", e.Cost.Respelt),
		slog.Int("rushed", e.Cost.Rushed), slog.Int("unsounded", e.Cost.Unsounded), slog.Bool("conflict", e.Grave()),
	}
}

// planCounts are what a later run wants to know of a plan.
type planCounts struct {
	report.Entry
	Plan []string `json:"plan"` // what is printed where, as marked
}

func (r *Report) Counts() any { return planCounts{r.entry(), r.marked()} }

// marked is what is printed where, each once: "P1/11+3/2 F♯".
func (r *Report) marked() []string {
	var list []string
	seen := map[string]bool{}
	for _, p := range r.Parts {
		list = append(list, fmt.Sprintf("%s/start %v", p.ID, p.Start))
		for _, c := range p.Changes {
			item := fmt.Sprintf("%s/%d+%s %v%v", p.ID, c.Marked.Index, c.Marked.Offset, c.Pedal, c.To)
			if !seen[item] {
				seen[item] = true
				list = append(list, item)
			}
		}
	}
	return list
}

// A keptReport is what is known of a score that an earlier run has done. It is
// counted, and never written.
type keptReport struct {
	work.Report
	entry report.Entry
}

func (r *keptReport) Worst() report.Severity { return worst(r.entry) }

func (r *keptReport) Facts() []any { return facts(r.entry) }

// A Summary sums plans up.
type Summary struct{ report.Batch }

func (s *Summary) Add(r work.Report, page string) {
	var e report.Entry
	switch r := r.(type) {
	case *Report:
		e = r.entry()
	case *keptReport:
		e = r.entry
		e.Made = "pedalogue " + build.Version()
	}
	e.Page = page
	s.Batch = append(s.Batch, e)
}

func (s *Summary) Sort() { s.SortByTrouble() }

func (s *Summary) Text(w io.Writer, o report.TextOptions) error {
	return report.WriteBatchText(w, s.Batch, o)
}

func (s *Summary) Files() []work.SummaryFile {
	var list []work.SummaryFile
	for _, form := range report.Forms() {
		if file := form.Summary; file != nil {
			list = append(list, work.SummaryFile{Format: form.Name, Ext: file.Ext, Write: func(w io.Writer) error { return file.Write(w, s.Batch) }})
		}
	}
	return list
}
