package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"path/filepath"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/textdiff"
	"pedalogue/report"
)

// A scored is the outcome of one score.
type scored struct {
	runs.Outcome
	report *report.Score // nil if the command makes none
	kept   bool          // nothing was to be done: an earlier run has done it
}

// one does one score.
func (r *scoreRun) one(ctx context.Context, in store.Source, to store.Target, s runs.Streams) scored {
	o, stack, err := runs.Guarded(in.Path, func() (scored, error) { return r.try(ctx, in, to, s) })
	if err == nil {
		o.Facts = o.told()
		return o
	}
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		return scored{Outcome: runs.Outcome{Err: runs.ErrInterrupted}}
	}
	o = scored{Outcome: runs.Outcome{Code: runs.ExitFailed, Err: err, Stack: stack}, report: failedReport(in.Path, err)}
	if r.json {
		var line bytes.Buffer
		if report.WriteJSONLine(&line, o.report) == nil {
			o.toStream(to, line.Bytes())
		}
	}
	return o
}

// try does one score, from its bytes to its copy and reports on the disk.
func (r *scoreRun) try(ctx context.Context, in store.Source, to store.Target, s runs.Streams) (scored, error) {
	if to.Err != nil {
		return scored{}, to.Err
	}
	read, err := in.ReadUnless(ctx, s.In, r.read.Limits.WithDefaults().Bytes)
	if err != nil {
		return scored{}, err
	}
	before := store.EarlierAt(to.Reports)
	if r.resume && before.IsDone(to, read.Data, r.with) {
		return keep(before)
	}
	m, err := r.edit(ctx, in, read.Data)
	if err != nil {
		return scored{}, err
	}
	if err := ctx.Err(); err != nil {
		return scored{}, err // nothing is written yet
	}
	o := scored{report: m.report}
	o.Code = exitCode(m.report)
	if r.diff {
		o.Out, err = difference(m, in, to)
		return o, err
	}
	output, err := r.deliver(ctx, &o, m, to, read, before, s.Sys)
	if err != nil {
		return scored{}, err
	}
	text, err := r.textOf(m, in, to, output, s)
	o.toStream(to, text)
	return o, err
}

// difference shows what would change.
func difference(m *marked, in store.Source, to store.Target) ([]byte, error) {
	var diff bytes.Buffer
	err := textdiff.Write(&diff, in.Path, to.Path, m.doc, m.edits)
	return diff.Bytes(), err
}

// deliver writes the copy and the reports, to files or standard output, and
// returns the path of the copy; "" if none was written.
func (r *scoreRun) deliver(ctx context.Context, o *scored, m *marked, to store.Target, read store.Reading, before store.Earlier, sys store.System) (string, error) {
	if r.changedOnly && len(m.edits) == 0 && r.placement.Out == "" && to.Path != store.Standard {
		return "", nil
	}
	copied := m.copied
	if copied == nil {
		var err error
		if copied, err = m.doc.Splice(ctx, m.edits); err != nil {
			return "", err
		}
	}
	if to.Path == store.Standard {
		o.Out = copied
		return to.Path, nil
	}
	if m.report != nil {
		m.report.Output = to.Path
	}
	return to.Path, r.save(to, copied, m.report, read, before, sys)
}

// save writes the copy and the report files. What an earlier run has not written,
// or somebody has altered since, is not replaced; but for the score itself, with
// --write.
func (r *scoreRun) save(to store.Target, copied []byte, rep *report.Score, read store.Reading, before store.Earlier, sys store.System) error {
	files, err := reportFiles(rep, to)
	if err != nil {
		return err
	}
	if err := r.seal(to, copied, files, read); err != nil {
		return err
	}
	for i, path := range to.Reports {
		if err := before.MayReplace(path, files[i]); err != nil {
			return err
		}
	}
	if !to.InPlace {
		if err := before.MayReplace(to.Path, copied); err != nil {
			return err
		}
	}
	return sys.Save(to, copied, files, read)
}

// seal puts the seal on the JSON report among the files, if there is one.
func (r *scoreRun) seal(to store.Target, copied []byte, files [][]byte, read store.Reading) error {
	for i, path := range to.Reports {
		if path != store.JsonPath(to.Reports) {
			continue
		}
		s := store.Seal{From: store.Checksum(read.Data), With: r.with, Files: map[string]string{filepath.Base(to.Path): store.Checksum(copied)}}
		for j, other := range to.Reports {
			if j != i {
				s.Files[filepath.Base(other)] = store.Checksum(files[j])
			}
		}
		var err error
		files[i], err = store.Sealed(files[i], s)
		return err
	}
	return nil
}

// toStream prints text on standard output, or where that takes the copy, on
// standard error.
func (o *scored) toStream(to store.Target, text []byte) {
	if to.Path == store.Standard {
		o.Note = text
		return
	}
	o.Out = append(o.Out, text...)
}

// textOf is what is printed about a score.
func (r *scoreRun) textOf(m *marked, in store.Source, to store.Target, output string, s runs.Streams) ([]byte, error) {
	var b bytes.Buffer
	switch {
	case m.report == nil:
		if r.say != nil && !r.Quiet && output != store.Standard {
			b.WriteString(runs.OneLine(r.say(in.Path, m, output)) + "\n")
		}
		return b.Bytes(), nil
	case r.json:
		err := report.WriteJSONLine(&b, m.report)
		return b.Bytes(), err
	case !r.text:
		return nil, nil
	}
	w := s.Out
	if to.Path == store.Standard {
		w = s.Err
	}
	err := report.WriteText(&b, m.report, textOptions(w, r.ascii))
	if r.many {
		b.WriteByte('\n') // before the next one
	}
	return b.Bytes(), err
}

// exitCode is what a report comes to; nil is none.
func exitCode(r *report.Score) int {
	if r != nil && hasErrors(r) {
		return runs.ExitConflict
	}
	return runs.ExitDone
}

func hasErrors(r *report.Score) bool {
	for _, p := range r.Parts {
		for _, f := range p.Findings {
			if f.Severity == report.SeverityError {
				return true
			}
		}
	}
	return false
}

// keep is the outcome of a score that is done already.
func keep(e store.Earlier) (scored, error) {
	var r report.Score
	if err := json.Unmarshal(e.Report, &r); err != nil {
		return scored{}, err
	}
	return scored{Outcome: runs.Outcome{Code: exitCode(&r)}, report: &r, kept: true}, nil
}

// told is what the log says of a score that is done.
func (o *scored) told() []any {
	facts := []any{slog.Bool("kept", o.kept)}
	if o.report == nil {
		return facts
	}
	var c report.Cost
	for _, p := range o.report.Parts {
		c.Changes += p.Cost.Changes
		c.Respelt += p.Cost.Respelt
		c.Rushed += p.Cost.Rushed
		c.Unsounded += p.Cost.Unsounded
	}
	return append(facts,
		slog.String("output", o.report.Output), slog.Int("changes", c.Changes), slog.Int("respelt", c.Respelt),
		slog.Int("rushed", c.Rushed), slog.Int("unsounded", c.Unsounded), slog.Bool("conflict", hasErrors(o.report)))
}
