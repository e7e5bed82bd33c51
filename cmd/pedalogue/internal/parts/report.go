package parts

import (
	"io"
	"path/filepath"
	"strings"

	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/report"
)

// A Report is the report on the parts of a score.
type Report struct {
	work.ReadOnly
	report.PartFiles
	marks []string // what stands before the extension of each file
}

// Failed is the report on a score that could not be done.
func Failed(path string, err error) work.Report {
	return &Report{PartFiles: report.PartFiles{Head: rows.Failed(path, err)}}
}

func (r *Report) Text(w io.Writer, o report.TextOptions) error {
	return report.WritePartFilesText(w, &r.PartFiles, o)
}

func (r *Report) JSON(w io.Writer, oneLine bool) error {
	return report.WritePartFilesJSON(w, &r.PartFiles, oneLine)
}

// Placed says where the part is, NAME.harp.EXT; several are beside it, with their
// numbers.
func (r *Report) Placed(path string) {
	if path == "" {
		return
	}
	if len(r.Files) == 1 {
		r.Output = path
	}
	for i := range r.Files {
		r.Files[i].Path = path
		if path != store.Standard {
			ext := filepath.Ext(path)
			r.Files[i].Path = strings.TrimSuffix(path, CopyMark+ext) + r.marks[i] + ext
		}
	}
}

func (r *Report) Worst() report.Severity {
	worst := report.Severity("")
	for _, f := range r.Files {
		switch n := f.Findings; {
		case n == nil:
		case n.Error > 0:
			return report.SeverityError
		case n.Warning > 0:
			worst = report.SeverityWarning
		case n.Note > 0 && worst == "":
			worst = report.SeverityNote
		}
	}
	return worst
}
