package work

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/runs"
)

// PlaceFlags are the options of where results go.
func (w *Work) PlaceFlags(f *pflag.FlagSet) (take func() error) {
	f.StringVarP(&w.out, "out", "o", "", "write the copies into this `FOLDER`, with the tree of folders that was given")
	f.BoolVar(&w.inPlace, "write", false, "replace each score by its copy")
	f.BoolVar(&w.diff, "diff", false, "show what would change in the scores, and write nothing")
	return nil
}

// FolderFlag is the option of where results go of a command whose copies never take
// the place of their scores.
func (w *Work) FolderFlag(f *pflag.FlagSet) (take func() error) {
	f.StringVarP(&w.out, "out", "o", "", "write the results into this `FOLDER`, with the tree of folders that was given")
	return nil
}

// OutFlag is the option of where the reports go of a command that makes no copies.
func (w *Work) OutFlag(f *pflag.FlagSet) (take func() error) {
	f.StringVarP(&w.out, "out", "o", "", "write the reports into this `FOLDER`, with the tree of folders that was given")
	return nil
}

// ASCIIFlag is the option of plain characters, which ReportFlags have too.
func (w *Work) ASCIIFlag(f *pflag.FlagSet) (take func() error) {
	f.BoolVar(&w.ASCII, "ascii", false, "print nothing beyond ASCII: b, # and n for signs")
	return nil
}

// ReportFlags are the options of reports.
func (w *Work) ReportFlags(f *pflag.FlagSet) (take func() error) {
	list := f.String("report", w.Default, "reports to make: `LIST` of "+w.formatNames()+"; or none")
	places := "--out"
	if f.Lookup("write") != nil {
		places += " or --write"
	}
	f.BoolVar(&w.json, "json", false, "print the JSON reports on standard output, one a line, instead of text, and write files only with "+places)
	w.ASCIIFlag(f)
	f.StringVar(&w.colour, "color", "auto", "print in colours: `WHEN` is auto (at a terminal that wants them), always or never")
	cli.Values(f, "color", "auto", "always", "never")
	if w.failOn = failNever; w.FailOn != "" {
		f.StringVar(&w.failOn, "fail-on", w.FailOn, "exit with 1 where a score has a finding of this `SEVERITY` or worse: error, warning or never")
		cli.Values(f, "fail-on", "error", "warning", failNever)
	}
	var names []string
	for _, format := range w.Formats {
		names = append(names, format.Name)
	}
	cli.Values(f, "report", append(names, "none")...)
	w.sort = "argument"
	if w.Summary != nil {
		f.StringVar(&w.sort, "sort", w.sort, "`ORDER` of the summary of several scores: argument, or trouble first")
		cli.Values(f, "sort", "argument", "trouble")
	}
	return func() error {
		if w.sort != "argument" && w.sort != "trouble" {
			return fmt.Errorf("--sort: %q is neither argument nor trouble", w.sort)
		}
		if !slices.Contains([]string{"auto", "always", "never"}, w.colour) {
			return fmt.Errorf("--color: %q is none of auto, always and never", w.colour)
		}
		if !slices.Contains([]string{"error", "warning", failNever}, w.failOn) {
			return fmt.Errorf("--fail-on: %q is none of error, warning and never", w.failOn)
		}
		w.each = w.Summary == nil || f.Changed("report")
		if w.diff && w.json {
			return errors.New("--diff and --json exclude each other")
		}
		return w.takeReports(*list)
	}
}

// failNever is what --fail-on takes for no finding.
const failNever = "never"

// takeReports reads the value of --report.
func (w *Work) takeReports(list string) error {
	if list == "none" {
		return nil
	}
	if short, comma := strings.CutSuffix(strings.TrimSpace(list), ","); comma {
		return &runs.Advice{Err: fmt.Errorf("--report: a report is missing behind the comma of %q", list),
			Hint: "without blanks it is one list: --report " + short + ",html"}
	}
	w.names = SplitList(list)
	if len(w.names) == 0 {
		return errors.New("--report: the list is empty; for no report, say none")
	}
	for _, name := range w.names {
		if !slices.ContainsFunc(w.Formats, func(f Format) bool { return f.Name == name }) {
			return fmt.Errorf("--report: %q is none of %s", name, w.formatNames())
		}
	}
	return nil
}

// formatNames are the names of all formats in a sentence.
func (w *Work) formatNames() string {
	var names []string
	for _, f := range w.Formats {
		names = append(names, f.Name)
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// ManyFlags are the options for many scores.
func (w *Work) ManyFlags(f *pflag.FlagSet) (take func() error) {
	if w.Resumes {
		f.BoolVar(&w.resume, "resume", false, "leave out the scores that an earlier run did, if neither they nor their results nor the options have changed")
	}
	f.StringVar(&w.record, "manifest", "", "add a line of JSON to this `FILE` for each score: done, failed, skipped or interrupted")
	takeBatch := w.Flags(f)
	return func() error {
		if w.resume && !w.writes() {
			return errors.New("--resume needs a run that writes files, beside which stands what was done")
		}
		return takeBatch()
	}
}

// SplitList cuts a list at its commas.
func SplitList(list string) []string {
	var items []string
	for item := range strings.SplitSeq(list, ",") {
		if item = strings.TrimSpace(item); item != "" {
			items = append(items, item)
		}
	}
	return items
}
