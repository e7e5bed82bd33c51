package main

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/musicxml"
)

// A scoreRun is a command that writes edited copies of scores, with reports. It
// does all that is not about music: finding the scores, placing the results,
// many at a time, reports, summary and exit code.
type scoreRun struct {
	runs.Batch
	placement store.Placement
	read      musicxml.Options

	// edit says what is to be changed in a score, and reports on it. It opens the
	// document itself, and need not fill in the report's Output.
	edit func(ctx context.Context, in store.Source, data []byte) (*marked, error)
	// say tells people what became of a score whose edits have no report. output is
	// the copy, "" if none was written.
	say func(path string, m *marked, output string) string
	// leaveOut tells names of files to leave out in folders; nil for none.
	leaveOut func(name string) bool
	// changedOnly writes no copy beside a score of which nothing changes.
	changedOnly bool

	with    string // what decides on a result beside the score, for the seal
	diff    bool
	json    bool
	ascii   bool
	resume  bool
	text    bool // print the report on each score
	sort    string
	reports bool  // any reports at all
	many    bool  // more than one score, in all shares together
	spare   int   // how many jobs there are for each score in hand
	room    int64 // and how much memory
}

// flags defines all options, with those of the command itself, which own defines,
// in their midst. The functions returned check them and take them over when they
// have been read.
func (r *scoreRun) flags(f *pflag.FlagSet, own func() []func() error) (takes []func() error) {
	inGroup(f, groupResults, func() {
		r.addPlaceFlags(f)
		takes = append(takes, r.addReportFlags(f))
	})
	takes = append(takes, own()...)
	inGroup(f, groupReading, func() { readFlags(f, &r.read) })
	inGroup(f, groupMany, func() { takes = append(takes, r.addBatchFlags(f)) })
	return takes
}

// addPlaceFlags defines the options of where results go.
func (r *scoreRun) addPlaceFlags(f *pflag.FlagSet) {
	f.StringVarP(&r.placement.Out, "out", "o", "", "write the copies into this `FOLDER`, with the tree of folders that was given")
	f.BoolVar(&r.placement.InPlace, "write", false, "replace each score by its copy")
	f.BoolVar(&r.diff, "diff", false, "show what would change in the scores, and write nothing")
	f.BoolVarP(&r.Quiet, "quiet", "q", false, "print nothing but errors")
}

// addReportFlags defines the options of the reports.
func (r *scoreRun) addReportFlags(f *pflag.FlagSet) (take func() error) {
	reports := f.String("report", "text,json", "reports to make: `LIST` of text, json, html and csv; or none")
	f.BoolVar(&r.json, "json", false, "print the JSON reports on standard output, one a line, instead of text and files")
	f.BoolVar(&r.ascii, "ascii", false, "print b, # and n instead of signs")
	f.StringVar(&r.sort, "sort", "argument", "order of the summary of several scores: argument, or trouble first")
	return func() error {
		kinds, err := parseReports(*reports)
		if err != nil {
			return err
		}
		r.reports = len(kinds) > 0
		r.text = slices.Contains(kinds, "text") && !r.Quiet && !r.json && !r.diff
		if !r.json && !r.diff {
			r.placement.Reports = reportExts(kinds)
		}
		if r.sort != "argument" && r.sort != "trouble" {
			return fmt.Errorf("--sort: %q is neither argument nor trouble", r.sort)
		}
		if r.diff && r.json {
			return errors.New("--diff and --json exclude each other")
		}
		return nil
	}
}

// addBatchFlags defines the options for many scores.
func (r *scoreRun) addBatchFlags(f *pflag.FlagSet) (take func() error) {
	f.BoolVar(&r.resume, "resume", false, "leave out the scores that an earlier run did, if neither they nor their results nor the options have changed")
	takeBatch := r.Batch.AddFlags(f)
	return func() error {
		if r.resume && !slices.Contains(r.placement.Reports, extJSON) {
			return errors.New("--resume needs the JSON report files, where it is written what was done")
		}
		return takeBatch()
	}
}

// run does the command, whose options have been read.
func (r *scoreRun) run(f *pflag.FlagSet, s runs.Streams) int {
	r.Args = f.Args()
	r.placement.Mark = copyMark
	r.with = decisive(f, groupResults, groupMany)
	inputs, err := r.Sources(runs.Collector{Out: r.placement.Out, LeaveOut: r.leaveOut}, s)
	if err != nil {
		complainOf(s, err)
		return runs.ExitUsage
	}
	r.many = len(inputs) > 1
	if !r.many && inputs[0].Path == store.Standard {
		r.placement.Reports = nil // there is no name for a file
	}
	targets, err := r.placement.Targets(inputs)
	if err != nil {
		complainOf(s, err)
		return runs.ExitUsage
	}
	sum := newSummary(r, targets)
	indexes := r.Mine(inputs)
	r.spare = max(1, r.Jobs/max(1, len(indexes)))
	r.room = r.Memory / int64(max(1, min(r.Jobs, len(indexes))))
	code := runs.Each(&r.Batch, inputs, indexes, r.read.Limits.WithDefaults().Bytes, func(ctx context.Context, i int) scored {
		return r.one(ctx, inputs[i], targets[i], s)
	}, s, sum.add)
	if err := sum.write(s); err != nil {
		messages, _ := runs.NewMessages(s.Err, r.Logging, r.Quiet, s.Explain) // --log was checked
		messages.Fail(sum.folder, err)
		code = max(code, runs.ExitFailed)
	}
	return code
}
