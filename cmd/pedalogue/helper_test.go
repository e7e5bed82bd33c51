package main

import (
	"bytes"
	"context"
	"os"

	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/storetest"
	"pedalogue/cmd/pedalogue/internal/testfolder"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// wholeTrial has tests look at all real scores, and at all that a solver can be asked of
// them, where they take a sample otherwise: DEVELOPERS.md.
var wholeTrial = os.Getenv("PEDALOGUE_WHOLE") != ""

// A marked is what is made of a score.
type marked struct {
	doc    *musicxml.Document
	edits  []musicxml.Edit
	report *report.Score
}

// markBytes marks a score as the command does.
func markBytes(ctx context.Context, name string, data []byte, set options.Settings) (*marked, error) {
	m, err := planned.Mark(ctx, work.Score{Path: name, Data: data, Workers: set.Wants.Plan.Options.Workers}, set)
	if err != nil {
		return nil, err
	}
	return &marked{m.Document, m.Edits, &m.Report.(*planned.Report).Score}, nil
}

// allReports renders the report files of a score, JSON first.
func allReports(r *report.Score) ([][]byte, error) {
	p := &planned.Report{Score: *r}
	var files [][]byte
	for _, f := range planned.Kind.Formats {
		for _, ext := range f.Exts {
			var b bytes.Buffer
			write := func() error { return p.File(&b, ext) }
			if ext == ".json" {
				write = func() error { return p.JSON(&b, false) }
			}
			if err := write(); err != nil {
				return nil, err
			}
			files = append(files, b.Bytes())
		}
	}
	return files, nil
}

// Short names for what most tests of commands use.
var (
	disk      = store.Disk
	folder    = testfolder.Enter
	writeFile = testfolder.Write
	link      = testfolder.Link
	tree      = testfolder.Tree
	wantError = storetest.Want
)

const (
	exitDone        = runs.ExitDone
	exitConflict    = runs.ExitConflict
	exitUsage       = runs.ExitUsage
	exitFailed      = runs.ExitFailed
	exitInterrupted = runs.ExitInterrupted
)
