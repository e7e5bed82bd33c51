package work

import (
	"context"
	"fmt"
	"io"
	"slices"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// A Kind is what is the same in all runs of a command.
type Kind struct {
	// Report stands between the name of a score and the extension of its reports:
	// ".pedals" for NAME.pedals.json.
	Report string
	// Copy stands before the extension of a copy beside its score: ".pedals" for
	// NAME.pedals.EXT; "" for a command that makes no copies. What was made may want
	// another: see Made.Suffix.
	Copy string
	// Formats are what --report takes, and Default what it is without being typed.
	Formats []Format
	Default string
	// ChangedOnly writes no copy beside a score of which nothing changes.
	ChangedOnly bool
	// Indented prints the JSON report on a single score indented, not on one line.
	Indented bool
	// OwnName lets a copy in the folder of --out have the name of its score.
	OwnName bool
	// LeaveOut tells files to leave out in folders, as they are results; nil for none.
	LeaveOut func(path string) bool
	// Failed is the report on a score that could not be done; nil for a command
	// without reports.
	Failed func(path string, err error) Report
	// Resumes tells that the command can go on where an earlier run has stopped.
	Resumes bool
	// Kept makes a report of the counts of one, so that it can be summed up; nil for a
	// command that does not sum up.
	Kept func(counts []byte) (Report, error)
	// Compare tells how a report differs from one of which these are the counts; nil
	// for a command that does not compare.
	Compare func(counts []byte, now Report) (Difference, error)
	// FailOn is the default of --fail-on: what has the exit code say that a score has
	// it; "" for a command that has no such option.
	FailOn string
	// Summary begins the summary of several scores; nil for none.
	Summary func() Summary
}

// A Format is one form of report, as --report names it.
type Format struct {
	Name string
	Exts []string // what its files end in, behind the name and Kind.Report; none for text, which is printed
	// Printed prints the file instead of writing it where this is the only format
	// that is asked for, of one score.
	Printed bool
}

// A Report says what came of one score.
type Report interface {
	// Text writes it for people.
	Text(w io.Writer, o report.TextOptions) error
	// JSON writes it as one document, on one line or indented.
	JSON(w io.Writer, oneLine bool) error
	// File writes the file of a format that ends in ext, which is not that of JSON.
	File(w io.Writer, ext string) error
	// Placed says where the copy will be.
	Placed(path string)
	// Worst is the most severe of what it tells of the score; "" for nothing.
	Worst() report.Severity
	// Facts are what the log says of it, as of log/slog.
	Facts() []any
	// Counts are what a later run wants to know of it that keeps its results; they are
	// written as JSON. nil for nothing.
	Counts() any
}

// ReadOnly is what the reports of a command that only reads and finds nothing grave
// have in common: embedded in a report, it leaves Text and JSON to be written.
type ReadOnly struct{}

// File fails: there are no files but those of JSON.
func (ReadOnly) File(_ io.Writer, ext string) error {
	return fmt.Errorf("internal error: no report ends like %q", ext)
}

// Placed does nothing: there is no copy.
func (ReadOnly) Placed(string) {}

// Worst is nothing.
func (ReadOnly) Worst() report.Severity { return "" }

// Facts are none.
func (ReadOnly) Facts() []any { return nil }

// Counts are none.
func (ReadOnly) Counts() any { return nil }

// TextAndJSON are the formats of a command that only reads.
func TextAndJSON() []Format { return []Format{{Name: "text"}, {Name: "json", Exts: []string{".json"}}} }

// A Made is what is made of one score.
type Made struct {
	Report Report // nil if there is none

	Document *musicxml.Document // what the copy is made of; nil for a command that makes none
	Edits    []musicxml.Edit
	Copied   []byte // the copy, where it is more than the edits tell; nil to make it of them
	Suffix   string // what stands in the name of the copy in place of Kind.Copy; "" for that
	Copies   []Copy // the copies, where the command makes one or more of a score; nil for the one above

	// Say tells people what became of it where there is no report; nil for nothing.
	// output is the copy, "" if none was written.
	Say func(output string) string
	// Notes are told besides, one a line, also where the copy is printed.
	Notes []string
}

// A Copy is one of the copies of a score.
type Copy struct {
	Mark string // what stands before its extension; it begins with Kind.Copy
	Data []byte
}

// A Score is one score in hand.
type Score struct {
	Path     string // as given; store.Standard for standard input
	Data     []byte
	Workers  int            // how many may work on it at once
	Progress *runs.Progress // for work that has steps; nil where nobody watches
	Page     bool           // an HTML page will be written of it
	Index    string         // the summary as that page links it, slash-separated; "" for none
	Formats  []string       // of the reports that will be written
}

// A Work is a command over scores, as it was typed. The options are taken over
// from the command line; the rest is set by the command.
type Work struct {
	Kind
	runs.Batch

	// Do does the work on one score.
	Do func(ctx context.Context, s Score) (*Made, error)
	// Advise tells once what a user should know of the options; nil or "" for nothing.
	Advise func() string
	// Limits bound what is read.
	Limits func() musicxml.Limits

	out     string   // --out
	inPlace bool     // --write
	diff    bool     // show what would change
	names   []string // of the formats to report in
	json    bool     // print JSON, and write no reports
	each    bool     // print the text on each of several scores too
	sort    string
	failOn  string
	colour  string
	resume  bool
	record  string // the file of --manifest; "" for none

	given runs.Given    // options from a file
	with  func() string // what decides on a result beside the score, for the seal
	many  bool          // more than one score, in all shares together
	sum   *sum          // of all scores
}

// Run does the work on the scores that the arguments name. with returns a checksum of
// all that decides on a result beside the score.
func (w *Work) Run(args []string, with func() string, s runs.Streams) int {
	w.with, w.given = with, s.Given
	ctx, stop := runs.Interruptible()
	defer stop()
	var left leftOut
	sources, err := w.Sources(ctx, runs.Collector{Out: w.out, LeaveOut: w.LeaveOut, Left: left.add}, args, s)
	switch {
	case ctx.Err() != nil:
		w.Messages(s).Note("interrupted: nothing was done")
		return runs.ExitInterrupted
	case err != nil:
		s.Complain(err)
		return runs.ExitUsage
	}
	if !w.Quiet {
		for _, note := range left.notes(w.out) {
			w.Messages(s).Note(note)
		}
	}
	if w.Advise != nil && !w.Quiet {
		if text := w.Advise(); text != "" {
			w.Messages(s).Note(text)
		}
	}
	w.many = len(sources) > 1
	targets, err := w.placement(sources).Targets(sources)
	if err != nil {
		s.Complain(err)
		return runs.ExitUsage
	}
	list, err := w.openManifest()
	if err != nil {
		return w.fail(s, err)
	}
	w.sum = w.newSum(targets)
	code := runs.Each(ctx, &w.Batch, sources, w.limit(), func(i int, hand runs.Hand) done {
		return w.one(ctx, hand, sources[i], targets.At(i), s)
	}, s, func(i int, o done) {
		list.add(sources[i].Path, o)
		w.sum.add(i, sources[i].Path, o)
	}, func(i int) { list.left(sources[i].Path) })
	if err := list.close(); err != nil {
		code = max(code, w.fail(s, err))
	}
	if err := w.sum.write(s); err != nil {
		code = max(code, w.fail(s, err))
	}
	return code
}

// fail tells an error that is not of one score.
func (w *Work) fail(s runs.Streams, err error) int {
	w.Messages(s).Fail("", err)
	return runs.ExitFailed
}

// placement is where results go.
func (w *Work) placement(sources []store.Source) store.Placement {
	p := store.Placement{
		Out: w.out, InPlace: w.inPlace, Reports: w.exts(), Suffix: w.Copy, Mark: w.Report,
		OwnName: w.OwnName, ReportsOnly: w.Copy == "", DryRun: !w.writes(),
	}
	if !w.many && sources[0].Path == store.Standard {
		p.Reports = nil // there is no name for a file
	}
	return p
}

// leftOut tells what was left out in folders.
type leftOut struct {
	first string
	count int
	inOut int // in the folder of --out
}

func (l *leftOut) add(path string, inOut bool) {
	switch {
	case inOut:
		l.inOut++
		return
	case l.count == 0:
		l.first = path
	}
	l.count++
}

// notes are what is told of it, a line each.
func (l *leftOut) notes(out string) (list []string) {
	if l.inOut > 0 {
		list = append(list, fmt.Sprintf("left out what is in %q, where results go (scores: %d); to take some, name them", out, l.inOut))
	}
	switch l.count {
	case 0:
	case 1:
		list = append(list, fmt.Sprintf("left out %q, a result of an earlier run; to take it, name it", l.first))
	default:
		list = append(list, fmt.Sprintf("left out %q and %d more, results of earlier runs; to take them, name them", l.first, l.count-1))
	}
	return list
}

// limit is the largest that is read at all, in bytes.
func (w *Work) limit() int64 { return w.Limits().WithDefaults().Bytes }

// writes tells whether this run writes files.
func (w *Work) writes() bool { return !w.diff && (!w.json || w.out != "" || w.inPlace) }

// written are the formats of the reports that this run writes.
func (w *Work) written() []string {
	if !w.writes() || w.printed() != nil {
		return nil
	}
	return w.names
}

// exts are what the report files of this run end in.
func (w *Work) exts() []string {
	if !w.writes() {
		return nil
	}
	var exts []string
	for _, f := range w.Formats {
		if w.Has(f.Name) && w.printed() == nil {
			exts = append(exts, f.Exts...)
		}
	}
	return exts
}

// printed is the format that is printed instead of being written; nil for none.
func (w *Work) printed() *Format {
	if w.many || len(w.names) != 1 {
		return nil
	}
	i := slices.IndexFunc(w.Formats, func(f Format) bool { return f.Name == w.names[0] && f.Printed })
	if i < 0 {
		return nil
	}
	return &w.Formats[i]
}

// Has tells whether the reports of this run hold a format.
func (w *Work) Has(name string) bool { return slices.Contains(w.names, name) }
