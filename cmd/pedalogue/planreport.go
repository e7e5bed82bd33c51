package main

import (
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"
	"slices"
	"strings"

	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// copyMark stands before the extension of a marked copy and in the names of the
// reports on it: NAME.pedals.EXT.
const copyMark = ".pedals"

// isOwnCopy tells whether the name is one that copies get: NAME.pedals.EXT.
func isOwnCopy(name string) bool {
	stem := strings.TrimSuffix(name, filepath.Ext(name))
	return strings.EqualFold(filepath.Ext(stem), copyMark)
}

// planKind is what reports on plans are.
var planKind = work.Kind{
	Report: copyMark, Default: "text,json",
	Formats: planFormats(),
	Failed: func(path string, err error) work.Report {
		return &planReport{report.Score{Format: report.Format, Tool: "pedalogue", Version: version(), Path: path, Error: err.Error()}}
	},
	Kept: func(doc []byte) (work.Report, error) {
		r := &planReport{}
		err := json.Unmarshal(doc, &r.Score)
		return r, err
	},
	Summary: func() work.Summary { return &planSummary{} },
}

// planFormats are the forms of reports on plans.
func planFormats() []work.Format {
	var list []work.Format
	for _, form := range report.Forms() {
		f := work.Format{Name: form.Name}
		for _, file := range form.Files {
			f.Exts = append(f.Exts, file.Ext)
		}
		list = append(list, f)
	}
	return list
}

// A planReport is the report on a score whose pedals were planned.
type planReport struct{ report.Score }

// newReport begins the report of a score.
func newReport(name string, score *musicxml.Score) *planReport {
	r := &planReport{report.Score{
		Format: report.Format, Tool: "pedalogue", Version: version(), Path: name, Title: score.Title,
		PlayingOrder: &report.PlayingOrder{Written: len(score.Measures), Played: len(score.Order)},
	}}
	for _, w := range score.Warnings {
		r.Warnings = append(r.Warnings, report.Warning(w))
	}
	return r
}

func (r *planReport) Text(w io.Writer, o report.TextOptions) error {
	return report.WriteText(w, &r.Score, o)
}

func (r *planReport) JSON(w io.Writer, oneLine bool) error {
	if oneLine {
		return report.WriteJSONLine(w, &r.Score)
	}
	return report.WriteJSON(w, &r.Score)
}

func (r *planReport) File(w io.Writer, ext string) error {
	for _, form := range report.Forms() {
		for _, file := range form.Files {
			if file.Ext == ext {
				return file.Write(w, &r.Score)
			}
		}
	}
	return fmt.Errorf("internal error: no report ends like %q", ext)
}

func (r *planReport) Placed(path string) { r.Output = path }

func (r *planReport) Grave() bool {
	for _, p := range r.Parts {
		if slices.ContainsFunc(p.Findings, func(f report.Finding) bool { return f.Severity == report.SeverityError }) {
			return true
		}
	}
	return false
}

func (r *planReport) Facts() []any {
	var c report.Cost
	for _, p := range r.Parts {
		c.Changes += p.Cost.Changes
		c.Respelt += p.Cost.Respelt
		c.Rushed += p.Cost.Rushed
		c.Unsounded += p.Cost.Unsounded
	}
	return []any{
		slog.String("output", r.Output), slog.Int("changes", c.Changes), slog.Int("respelt", c.Respelt),
		slog.Int("rushed", c.Rushed), slog.Int("unsounded", c.Unsounded), slog.Bool("conflict", r.Grave()),
	}
}

// A planSummary sums plans up.
type planSummary struct{ report.Batch }

func (s *planSummary) Add(r work.Report, page string) {
	s.Batch = append(s.Batch, report.EntryOf(&r.(*planReport).Score, page))
}

func (s *planSummary) Sort() { s.SortByTrouble() }

func (s *planSummary) Text(w io.Writer, o report.TextOptions) error {
	return report.WriteBatchText(w, s.Batch, o)
}

func (s *planSummary) Files() []work.SummaryFile {
	var list []work.SummaryFile
	for _, form := range report.Forms() {
		if file := form.Summary; file != nil {
			list = append(list, work.SummaryFile{Format: form.Name, Ext: file.Ext, Write: func(w io.Writer) error { return file.Write(w, s.Batch) }})
		}
	}
	return list
}

func (s *planSummary) Head() any {
	return struct {
		Format  int    `json:"format"`
		Tool    string `json:"tool"`
		Version string `json:"version"`
		Scores  int    `json:"scores"`
	}{report.Format, "pedalogue", version(), len(s.Batch)}
}
