package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"pedalogue/report"
)

// The files of the summary, in the folder of --out or the folder that holds all
// results.
const (
	summaryName = "pedals"
	summaryHTML = summaryName + extHTML
	summaryCSV  = summaryName + ".csv"
	summaryJSON = summaryName + extJSON
)

// A summary gathers what came of all scores of a run. It keeps counts, not whole
// reports, so that a hundred thousand scores fit into memory.
type summary struct {
	run     *scoreRun
	targets []target
	folder  string // where its files go
	entries report.Batch
	kept    int // scores that an earlier run had done
}

func newSummary(r *scoreRun, targets []target) *summary {
	folder := r.placement.out
	if folder == "" {
		folder = commonFolder(targets)
	}
	return &summary{run: r, targets: targets, folder: folder}
}

// commonFolder is the innermost folder that holds all targets; "" if they are on
// different drives, or none is a file.
func commonFolder(targets []target) string {
	common, last := "", ""
	for _, t := range targets {
		if t.err != nil || t.path == standardStream || filepath.Dir(t.path) == last {
			continue
		}
		last = filepath.Dir(t.path)
		dir, err := filepath.Abs(last)
		if err != nil {
			return ""
		}
		if common == "" {
			common = dir
		}
		for !isWithin(common, dir) {
			parent := filepath.Dir(common)
			if parent == common {
				return ""
			}
			common = parent
		}
	}
	return shorter(common)
}

func isWithin(folder, path string) bool {
	rel, err := filepath.Rel(folder, path)
	return err == nil && filepath.IsLocal(rel)
}

// shorter names an absolute path from where we are if it is here or below.
func shorter(path string) string {
	here, err := filepath.Abs(".")
	if err != nil || path == "" || !isWithin(here, path) {
		return path
	}
	rel, err := filepath.Rel(here, path)
	if err != nil {
		return path
	}
	return rel
}

// add counts one outcome in.
func (sum *summary) add(i int, o outcome) {
	if !sum.run.many || o.report == nil {
		return
	}
	if o.kept {
		sum.kept++
	}
	e := report.Entry{Score: counted(o.report)}
	if o.report.Error == "" {
		e.Page = sum.page(sum.targets[i])
	}
	sum.entries = append(sum.entries, e)
}

// page is the HTML page of a target as the summary links it; "" if there is none.
func (sum *summary) page(t target) string {
	for _, path := range t.reports {
		if !strings.HasSuffix(path, extHTML) || sum.folder == "" {
			continue
		}
		from, errFrom := filepath.Abs(sum.folder)
		to, errTo := filepath.Abs(path)
		rel, err := filepath.Rel(from, to)
		if errFrom == nil && errTo == nil && err == nil {
			return filepath.ToSlash(rel)
		}
	}
	return ""
}

// counted is a report without what a summary does not count.
func counted(r *report.Score) *report.Score {
	c := *r
	c.Parts = slices.Clone(r.Parts)
	for i := range c.Parts {
		p := &c.Parts[i]
		findings := make([]report.Finding, len(p.Findings))
		for j, f := range p.Findings {
			findings[j] = report.Finding{Severity: f.Severity, Place: f.Place}
		}
		*p = report.Part{ID: p.ID, Cost: p.Cost, Proof: report.Proof{Minimal: p.Proof.Minimal}, Findings: findings}
	}
	c.Warnings = make([]report.Warning, len(r.Warnings))
	return &c
}

// write prints the summary and writes its files.
func (sum *summary) write(s streams) error {
	r := sum.run
	if !r.many || r.json || r.diff || !r.reports || len(sum.entries) == 0 {
		return nil
	}
	if r.sort == "trouble" {
		sum.entries.SortByTrouble()
	}
	if !r.quiet {
		if err := sum.print(s.out); err != nil {
			return err
		}
	}
	if r.share.n > 1 {
		return nil // each share would write over the others'
	}
	return sum.save(s.sys)
}

func (sum *summary) print(w io.Writer) error {
	if err := report.WriteBatchText(w, sum.entries, textOptions(w, sum.run.ascii)); err != nil {
		return err
	}
	if sum.kept == 0 {
		return nil
	}
	_, err := fmt.Fprintf(w, "%s done by an earlier run and unchanged.\n", plural(sum.kept, "score was", "scores were"))
	return err
}

// save writes the summary's files: one for each kind of report that has one, and
// if JSON is among the reports, a record of them that lets a later run replace
// them.
func (sum *summary) save(sys fileSystem) error {
	kinds := sum.run.placement.reports
	t := target{within: sum.run.placement.out}
	var files [][]byte
	seal := seal{Files: map[string]string{}}
	for _, kind := range []struct {
		ext, name string
		write     func(io.Writer, report.Batch) error
	}{
		{extHTML, summaryHTML, report.WriteIndexHTML},
		{extChanges, summaryCSV, report.WriteBatchCSV},
	} {
		if sum.folder == "" || !slices.Contains(kinds, kind.ext) {
			continue
		}
		var b bytes.Buffer
		if err := kind.write(&b, sum.entries); err != nil {
			return err
		}
		t.reports = append(t.reports, filepath.Join(sum.folder, kind.name))
		files = append(files, b.Bytes())
		seal.Files[kind.name] = checksum(b.Bytes())
	}
	if len(files) == 0 {
		return nil
	}
	if slices.Contains(kinds, extJSON) {
		record, err := sum.record(seal)
		if err != nil {
			return err
		}
		t.reports = append(t.reports, filepath.Join(sum.folder, summaryJSON))
		files = append(files, record)
	}
	before := earlierAt([]string{filepath.Join(sum.folder, summaryJSON)})
	for i, path := range t.reports {
		if err := before.mayReplace(path, files[i]); err != nil {
			return err
		}
	}
	return sys.save(t, nil, files, reading{})
}

// record is a small JSON document about the summary.
func (sum *summary) record(s seal) ([]byte, error) {
	doc, err := json.MarshalIndent(struct {
		Format  int    `json:"format"`
		Tool    string `json:"tool"`
		Version string `json:"version"`
		Scores  int    `json:"scores"`
	}{report.Format, "pedalogue", version(), len(sum.entries)}, "", "  ")
	if err != nil {
		return nil, err
	}
	return sealed(append(doc, '\n'), s)
}
