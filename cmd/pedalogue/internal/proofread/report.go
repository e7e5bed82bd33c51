package proofread

import (
	"fmt"
	"io"
	"log/slog"

	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/report"
)

// A Report is the report on the marks of a score.
type Report struct{ report.Check }

// Failed is the report on a score that could not be checked.
func Failed(path string, err error) work.Report {
	return &Report{report.Check{Head: rows.Failed(path, err)}}
}

func (r *Report) Text(w io.Writer, o report.TextOptions) error {
	return report.WriteCheckText(w, &r.Check, o)
}

func (r *Report) JSON(w io.Writer, oneLine bool) error {
	return report.WriteCheckJSON(w, &r.Check, oneLine)
}

func (r *Report) File(w io.Writer, ext string) error {
	switch ext {
	case ".html":
		return report.WriteCheckHTML(w, &r.Check)
	case ".csv":
		return report.WriteCheckCSV(w, &r.Check)
	}
	return fmt.Errorf("internal error: no report ends like %q", ext)
}

func (r *Report) Placed(path string) { r.Output = path }

func (r *Report) Worst() report.Severity {
	errors, warnings, notes := r.counted()
	switch {
	case errors > 0:
		return report.SeverityError
	case warnings > 0:
		return report.SeverityWarning
	case notes > 0:
		return report.SeverityNote
	}
	return ""
}

// counted counts the faults of all parts.
func (r *Report) counted() (errors, warnings, notes int) {
	for i := range r.Parts {
		e, w, n := r.Parts[i].Counted()
		errors, warnings, notes = errors+e, warnings+w, notes+n
	}
	return errors, warnings, notes
}

func (r *Report) Facts() []any {
	errors, warnings, notes := r.counted()
	return []any{slog.Int("errors", errors), slog.Int("warnings", warnings), slog.Int("notes", notes)}
}

func (r *Report) Counts() any { return nil }
