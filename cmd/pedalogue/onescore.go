package main

import (
	"bytes"
	"context"
	"errors"
	"path/filepath"

	"pedalogue/report"
)

// one does one score.
func (r *scoreRun) one(ctx context.Context, in input, to target, s streams) outcome {
	o, err := guarded(in.path, func() (outcome, error) { return r.try(ctx, in, to, s) })
	if err == nil {
		return o
	}
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		return outcome{err: errInterrupted}
	}
	o = outcome{code: exitFailed, err: err, stack: o.stack, report: failedReport(in.path, err)}
	if r.json {
		var line bytes.Buffer
		if report.WriteJSONLine(&line, o.report) == nil {
			o.toStream(to, line.Bytes())
		}
	}
	return o
}

// try does one score, from its bytes to its copy and reports on the disk.
func (r *scoreRun) try(ctx context.Context, in input, to target, s streams) (outcome, error) {
	if to.err != nil {
		return outcome{}, to.err
	}
	read, err := in.readUnless(ctx, s.in, r.read.Limits.WithDefaults().Bytes)
	if err != nil {
		return outcome{}, err
	}
	before := earlierAt(to.reports)
	if r.resume && before.isDone(to, read.data, r.with) {
		return keep(before)
	}
	m, err := r.edit(ctx, in, read.data)
	if err != nil {
		return outcome{}, err
	}
	if err := ctx.Err(); err != nil {
		return outcome{}, err // nothing is written yet
	}
	if r.diff {
		return r.difference(m, in, to)
	}
	o := outcome{report: m.report, code: exitCode(m.report)}
	output, err := r.deliver(&o, m, to, read, before, s.sys)
	if err != nil {
		return outcome{}, err
	}
	text, err := r.textOf(m, in, to, output, s)
	o.toStream(to, text)
	return o, err
}

// difference shows what would change.
func (r *scoreRun) difference(m *marked, in input, to target) (outcome, error) {
	var diff bytes.Buffer
	err := writeDiff(&diff, in.path, to.path, m.doc, m.edits)
	return outcome{report: m.report, code: exitCode(m.report), out: diff.Bytes()}, err
}

// deliver writes the copy and the reports, to files or standard output, and
// returns the path of the copy; "" if none was written.
func (r *scoreRun) deliver(o *outcome, m *marked, to target, read reading, before earlier, sys fileSystem) (string, error) {
	if r.changedOnly && len(m.edits) == 0 && r.placement.out == "" && to.path != standardStream {
		return "", nil
	}
	copied := m.copied
	if copied == nil {
		var err error
		if copied, err = m.doc.Splice(m.edits); err != nil {
			return "", err
		}
	}
	if to.path == standardStream {
		o.out = copied
		return to.path, nil
	}
	if m.report != nil {
		m.report.Output = to.path
	}
	return to.path, r.save(to, copied, m.report, read, before, sys)
}

// save writes the copy and the report files. What an earlier run has not written,
// or somebody has altered since, is not replaced; but for the score itself, with
// --write.
func (r *scoreRun) save(to target, copied []byte, rep *report.Score, read reading, before earlier, sys fileSystem) error {
	files, err := reportFiles(rep, to)
	if err != nil {
		return err
	}
	if err := r.seal(to, copied, files, read); err != nil {
		return err
	}
	for i, path := range to.reports {
		if err := before.mayReplace(path, files[i]); err != nil {
			return err
		}
	}
	if !to.inPlace {
		if err := before.mayReplace(to.path, copied); err != nil {
			return err
		}
	}
	return sys.save(to, copied, files, read)
}

// seal puts the seal on the JSON report among the files, if there is one.
func (r *scoreRun) seal(to target, copied []byte, files [][]byte, read reading) error {
	for i, path := range to.reports {
		if path != jsonPath(to.reports) {
			continue
		}
		s := seal{From: checksum(read.data), With: r.with, Files: map[string]string{filepath.Base(to.path): checksum(copied)}}
		for j, other := range to.reports {
			if j != i {
				s.Files[filepath.Base(other)] = checksum(files[j])
			}
		}
		var err error
		files[i], err = sealed(files[i], s)
		return err
	}
	return nil
}

// toStream prints text on standard output, or where that takes the copy, on
// standard error.
func (o *outcome) toStream(to target, text []byte) {
	if to.path == standardStream {
		o.note = text
		return
	}
	o.out = append(o.out, text...)
}

// textOf is what is printed about a score.
func (r *scoreRun) textOf(m *marked, in input, to target, output string, s streams) ([]byte, error) {
	var b bytes.Buffer
	switch {
	case m.report == nil:
		if r.say != nil && !r.quiet && output != standardStream {
			b.WriteString(singleLine(r.say(in.path, m, output)) + "\n")
		}
		return b.Bytes(), nil
	case r.json:
		err := report.WriteJSONLine(&b, m.report)
		return b.Bytes(), err
	case !r.text:
		return nil, nil
	}
	w := s.out
	if to.path == standardStream {
		w = s.err
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
		return exitConflict
	}
	return exitDone
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
