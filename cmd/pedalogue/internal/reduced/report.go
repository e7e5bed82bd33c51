package reduced

import (
	"io"

	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/report"
)

// CopyMark stands before the extension of a reduced copy.
const CopyMark = ".reduced"

// A Report is the report on a score that was reduced.
type Report struct {
	work.ReadOnly
	report.Reduce
}

// Failed is the report on a score that could not be done.
func Failed(path string, err error) work.Report {
	return &Report{Reduce: report.Reduce{Head: rows.Failed(path, err)}}
}

// Text writes it for people.
func (r *Report) Text(w io.Writer, o report.TextOptions) error {
	if r.Error != "" {
		return nil // which is told as an error
	}
	return report.WriteReduceText(w, &r.Reduce, o)
}

// JSON writes it as one document.
func (r *Report) JSON(w io.Writer, oneLine bool) error {
	return report.WriteReduceJSON(w, &r.Reduce, oneLine)
}

// Placed says where the copy will be.
func (r *Report) Placed(path string) { r.Output = path }
