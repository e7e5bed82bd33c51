package work

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"
	"slices"
	"strings"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/textdiff"
	"pedalogue/report"
	"pedalogue/report/plain"
)

// extJSON ends the reports that carry the seal, extHTML those to be read.
const (
	extJSON = ".json"
	extHTML = ".html"
)

// A done is the outcome of one score.
type done struct {
	runs.Outcome
	report  Report   // nil if there is none
	failed  bool     // the report is about what could not be read or written
	kept    bool     // nothing was to be done: an earlier run has done it
	output  string   // the copy; "" for none
	outputs []string // the copies, where there are several
	change  Difference
}

// one does one score.
func (w *Work) one(ctx context.Context, hand runs.Hand, in store.Source, to store.Target, s runs.Streams) done {
	o, stack, err := runs.Guarded(in.Path, func() (done, error) { return w.try(ctx, hand, in, to, s) })
	if err == nil {
		o.Facts = append(o.Facts, slog.Bool("kept", o.kept))
		if o.report != nil {
			o.Facts = append(o.Facts, o.report.Facts()...)
		}
		return o
	}
	if errors.Is(err, runs.ErrInterrupted) || ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		return done{Outcome: runs.Outcome{Err: runs.ErrInterrupted}}
	}
	o = done{Outcome: runs.Outcome{Code: runs.ExitFailed, Err: err, Stack: stack}, failed: true}
	if w.Failed != nil {
		o.report = w.Failed(in.Path, err)
	}
	if w.json && o.report != nil {
		var line bytes.Buffer
		if o.report.JSON(&line, w.oneLine()) == nil {
			o.toStream(to, WithGiven(line.Bytes(), w.given))
		}
	}
	return o
}

// try does one score, from its bytes to its copy and reports on the disk.
func (w *Work) try(ctx context.Context, hand runs.Hand, in store.Source, to store.Target, s runs.Streams) (done, error) {
	if to.Err != nil {
		return done{}, to.Err
	}
	if in.Path == store.Standard {
		s.Awaits("a score")
	}
	read, err := in.Read(ctx, s.In, w.limit())
	if err != nil {
		return done{}, err
	}
	before := store.EarlierAt(to)
	if w.resume {
		if counts, is := before.IsDone(to, read.Data, w.with()); is {
			if o, err := w.keep(counts); err == nil {
				return o, nil
			}
		}
	}
	m, err := w.Do(ctx, Score{
		Path: in.Path, Data: read.Data, Workers: hand.Workers, Progress: hand.Progress,
		Page: w.writes() && pageOf(to) != "", Index: w.sum.index(to), Formats: w.written(),
	})
	if err != nil {
		return done{}, err
	}
	if err := ctx.Err(); err != nil {
		return done{}, err // nothing is written yet
	}
	if m.Suffix != "" {
		to = to.Suffixed(w.Copy, m.Suffix)
		before = store.EarlierAt(to)
	}
	o := done{report: m.Report}
	o.Code = w.exitCode(m.Report)
	if w.diff {
		var diff bytes.Buffer
		err := textdiff.Write(&diff, in.Path, to.Path, m.Document, m.Edits)
		o.Out = w.shown(diff.Bytes())
		return o, err
	}
	output, err := w.deliver(ctx, hand, &o, m, to, read, before, s.Sys)
	if err != nil {
		return done{}, err
	}
	o.output = output
	text, err := w.textOf(&o, m, s)
	o.toStream(to, text)
	return o, err
}

// keep is the outcome of a score that is done already. It fails where an earlier
// program has kept other counts, and the score is to be done again.
func (w *Work) keep(counts []byte) (done, error) {
	read := keptVerdict
	if w.Kept != nil {
		read = w.Kept
	}
	r, err := read(counts)
	if err != nil {
		return done{}, err
	}
	return done{Outcome: runs.Outcome{Code: w.exitCode(r)}, report: r, kept: true}, nil
}

// A verdict is what is kept of a report that is not summed up: all that a later run
// wants to know is its exit code.
type verdict struct {
	ReadOnly `json:"-"`
	Grave    report.Severity `json:"worst"`
}

func keptVerdict(counts []byte) (Report, error) {
	var v verdict
	err := json.Unmarshal(counts, &v)
	return v, err
}

// Text writes nothing: what is kept is not told again.
func (v verdict) Text(io.Writer, report.TextOptions) error { return nil }

// JSON writes nothing.
func (v verdict) JSON(io.Writer, bool) error { return nil }

// Worst is that of the report.
func (v verdict) Worst() report.Severity { return v.Grave }

// counts are what the seal keeps of a report.
func (w *Work) counts(r Report) any {
	if counts := r.Counts(); counts != nil || !w.Resumes {
		return counts
	}
	return verdict{Grave: r.Worst()}
}

// deliver writes the copy and the reports, to files or standard output, and
// returns the path of the copy; "" if none was written.
func (w *Work) deliver(ctx context.Context, hand runs.Hand, o *done, m *Made, to store.Target, read store.Reading, before store.Earlier, sys store.System) (string, error) {
	stream := to.Path == store.Standard
	if !stream && !w.writes() {
		return "", nil
	}
	copied, err := w.copyOf(ctx, m, stream)
	if err != nil {
		return "", err
	}
	if stream && len(m.Copies) > 1 {
		return "", store.NewError(to.Path, fmt.Errorf("%d copies do not go to one stream", len(m.Copies)), "name the file, or take one of the players with --part")
	}
	if stream {
		o.Out = copied
		return to.Path, nil
	}
	if m.Report == nil && copied == nil {
		return "", nil
	}
	d := store.Delivery{Copy: copied, Source: read, With: w.with()}
	output := ""
	if copied != nil || len(m.Copies) > 0 {
		output = to.Path
	}
	if m.Report != nil {
		m.Report.Placed(output)
		d.Counts = w.counts(m.Report)
		if o.change, err = w.difference(before, to, m.Report); err != nil {
			return "", err
		}
		if d.Reports, err = w.reportFiles(m.Report, w.exts()[:len(to.Reports)]); err != nil {
			return "", err
		}
	}
	if len(m.Copies) > 1 {
		to, d.Reports = w.several(to, m.Copies, d.Reports)
		o.outputs = to.Reports[len(to.Reports)-len(m.Copies):]
	}
	if err := hand.Commit(); err != nil {
		return "", err
	}
	if err := sys.Deliver(to, d, before); err != nil {
		return "", err
	}
	if to.InPlace && read.Links() > 1 {
		o.Warn = fmt.Sprintf("%s had %d names on the disk; the copy has this one, and the others still stand for the score as it was",
			to.Path, read.Links())
	}
	return output, nil
}

// several gives each of several copies its place beside that of the one that there
// could be, among the reports: they too begin with what no other score's results do.
func (w *Work) several(to store.Target, copies []Copy, reports [][]byte) (store.Target, [][]byte) {
	to.Reports = slices.Clone(to.Reports)
	ext := filepath.Ext(to.Path)
	for _, c := range copies {
		to.Reports = append(to.Reports, strings.TrimSuffix(to.Path, w.Copy+ext)+c.Mark+ext)
		reports = append(reports, c.Data)
	}
	return to, reports
}

// copyOf is the copy of a score; nil if there is none, or several.
func (w *Work) copyOf(ctx context.Context, m *Made, stream bool) ([]byte, error) {
	switch {
	case len(m.Copies) == 1:
		return m.Copies[0].Data, nil
	case len(m.Copies) > 1:
		return nil, nil
	case m.Document == nil, w.ChangedOnly && len(m.Edits) == 0 && w.out == "" && !stream:
		return nil, nil
	case m.Copied != nil:
		return m.Copied, nil
	}
	return m.Document.Splice(ctx, m.Edits)
}

// reportFiles renders the report files that end in exts.
func (w *Work) reportFiles(r Report, exts []string) ([][]byte, error) {
	var files [][]byte
	for _, ext := range exts {
		var b bytes.Buffer
		var err error
		if ext == extJSON {
			err = r.JSON(&b, false)
		} else {
			err = r.File(&b, ext)
		}
		if err != nil {
			return nil, err
		}
		doc := b.Bytes()
		switch ext {
		case extJSON:
			doc = WithGiven(doc, w.given)
		case extHTML:
			doc = givenInPage(doc, w.given)
		}
		files = append(files, doc)
	}
	return files, nil
}

// toStream prints text on standard output, or where that takes the copy, on
// standard error.
func (o *done) toStream(to store.Target, text []byte) {
	if to.Path == store.Standard && len(o.Out) > 0 {
		o.Note = text
		return
	}
	o.Out = append(o.Out, text...)
}

// textOf is what is printed about a score.
func (w *Work) textOf(o *done, m *Made, s runs.Streams) ([]byte, error) {
	var b bytes.Buffer
	switch {
	case m.Report == nil:
		if w.Quiet {
			return nil, nil
		}
		if m.Say != nil && o.output != store.Standard {
			b.WriteString(plain.Line(m.Say(o.output)) + "\n")
		}
		for _, note := range m.Notes {
			b.WriteString(plain.Line(note) + "\n")
		}
		return w.shown(b.Bytes()), nil
	case w.json:
		err := m.Report.JSON(&b, w.oneLine())
		doc := WithGiven(b.Bytes(), w.given)
		if w.ASCII {
			doc = runs.ASCIIJSON(doc)
		}
		return doc, err
	case w.printed() != nil:
		err := m.Report.File(&b, w.printed().Exts[0])
		return w.shown(b.Bytes()), err
	case !w.Has("text") || w.Quiet || w.many && !w.each:
		return nil, nil
	}
	stream := s.Out
	if o.output == store.Standard && m.Document != nil {
		stream = s.Err
	}
	err := m.Report.Text(&b, w.layout(stream))
	if o.change != (Difference{}) {
		fmt.Fprintf(&b, "  unlike before  %s\n", o.change)
	}
	if words := givenWords(w.given); words != "" {
		fmt.Fprintf(&b, "  %s\n", words)
	}
	if w.many {
		b.WriteByte('\n') // before the next one
	}
	return w.shown(b.Bytes()), err
}

// Show prints what is no report in the same way as reports.
func (w *Work) Show(to io.Writer, write func(io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	_, err := to.Write(w.shown(b.Bytes()))
	return err
}

// shown is text as it is printed.
func (w *Work) shown(text []byte) []byte {
	if w.ASCII {
		return []byte(plain.ASCII(string(text)))
	}
	return text
}

// oneLine tells whether JSON goes on one line.
func (w *Work) oneLine() bool { return w.many || !w.Indented }

// exitCode is what a report comes to; nil is none.
func (w *Work) exitCode(r Report) int {
	if r == nil {
		return runs.ExitDone
	}
	worst := r.Worst()
	if worst == report.SeverityError && w.failOn != failNever || worst == report.SeverityWarning && w.failOn == string(report.SeverityWarning) {
		return runs.ExitConflict
	}
	return runs.ExitDone
}
