package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
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
	targets []store.Target
	folder  string // where its files go
	entries report.Batch
	kept    int // scores that an earlier run had done
}

func newSummary(r *scoreRun, targets []store.Target) *summary {
	folder := r.placement.Out
	if folder == "" {
		folder = store.CommonFolder(targets)
	}
	return &summary{run: r, targets: targets, folder: folder}
}

// add counts one outcome in.
func (sum *summary) add(i int, o scored) {
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
func (sum *summary) page(t store.Target) string {
	for _, path := range t.Reports {
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
func (sum *summary) write(s runs.Streams) error {
	r := sum.run
	if !r.many || r.json || r.diff || !r.reports || len(sum.entries) == 0 {
		return nil
	}
	if r.sort == "trouble" {
		sum.entries.SortByTrouble()
	}
	if !r.Quiet {
		if err := sum.print(s.Out); err != nil {
			return err
		}
	}
	if r.Share.N > 1 {
		return nil // each share would write over the others'
	}
	return sum.save(s.Sys)
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
func (sum *summary) save(sys store.System) error {
	kinds := sum.run.placement.Reports
	t := store.Target{Within: sum.run.placement.Out}
	var files [][]byte
	seal := store.Seal{Files: map[string]string{}}
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
		t.Reports = append(t.Reports, filepath.Join(sum.folder, kind.name))
		files = append(files, b.Bytes())
		seal.Files[kind.name] = store.Checksum(b.Bytes())
	}
	if len(files) == 0 {
		return nil
	}
	if slices.Contains(kinds, extJSON) {
		record, err := sum.record(seal)
		if err != nil {
			return err
		}
		t.Reports = append(t.Reports, filepath.Join(sum.folder, summaryJSON))
		files = append(files, record)
	}
	before := store.EarlierAt([]string{filepath.Join(sum.folder, summaryJSON)})
	for i, path := range t.Reports {
		if err := before.MayReplace(path, files[i]); err != nil {
			return err
		}
	}
	return sys.Save(t, nil, files, store.Reading{})
}

// record is a small JSON document about the summary.
func (sum *summary) record(s store.Seal) ([]byte, error) {
	doc, err := json.MarshalIndent(struct {
		Format  int    `json:"format"`
		Tool    string `json:"tool"`
		Version string `json:"version"`
		Scores  int    `json:"scores"`
	}{report.Format, "pedalogue", version(), len(sum.entries)}, "", "  ")
	if err != nil {
		return nil, err
	}
	return store.Sealed(append(doc, '\n'), s)
}
