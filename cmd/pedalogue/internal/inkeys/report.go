package inkeys

import (
	"errors"
	"io"

	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/report"
)

// A Report is the report on a score in all keys.
type Report struct {
	work.ReadOnly
	report.Keys
}

// Failed is the report on a score that could not be done.
func Failed(path string, err error) work.Report {
	return &Report{Keys: report.Keys{Head: rows.Failed(path, err)}}
}

// Formats are what such a report can be.
func Formats() []work.Format {
	return append(work.TextAndJSON(), work.Format{Name: "html", Exts: []string{".html"}}, work.Format{Name: "csv", Exts: []string{".csv"}})
}

// Text writes it for people.
func (r *Report) Text(w io.Writer, o report.TextOptions) error {
	return report.WriteKeysText(w, &r.Keys, o)
}

// JSON writes it as one document.
func (r *Report) JSON(w io.Writer, oneLine bool) error {
	return report.WriteKeysJSON(w, &r.Keys, oneLine)
}

// File writes the file that ends in ext.
func (r *Report) File(w io.Writer, ext string) error {
	switch ext {
	case ".csv":
		return report.WriteKeysCSV(w, &r.Keys)
	case ".html":
		return report.WriteKeysHTML(w, &r.Keys)
	}
	return errors.New("internal error: no report ends like " + ext)
}

// Placed says where the copy will be.
func (r *Report) Placed(path string) { r.Output = path }
