package reduced

import (
	"errors"
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
	return report.WriteReduceText(w, &r.Reduce, o)
}

// JSON writes it as one document.
func (r *Report) JSON(w io.Writer, oneLine bool) error {
	return report.WriteReduceJSON(w, &r.Reduce, oneLine)
}

// File writes the file that ends in ext.
func (r *Report) File(w io.Writer, ext string) error {
	if ext != ".html" {
		return errors.New("internal error: no report ends like " + ext)
	}
	return report.WriteReduceHTML(w, &r.Reduce)
}

// Formats are what such a report can be.
func Formats() []work.Format {
	return append(work.TextAndJSON(), work.Format{Name: "html", Exts: []string{".html"}})
}

// Placed says where the copy will be.
func (r *Report) Placed(path string) { r.Output = path }
