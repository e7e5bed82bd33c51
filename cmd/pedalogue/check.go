package main

import (
	"context"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/proofread"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
)

const checkHelp = `usage: pedalogue check [OPTION...] [FILE|FOLDER|PATTERN...]

Proofreads the pedal marks that stand in the harp parts, whoever wrote them:
follows the music with them, repeats and all, and tells every place where they
and the notes disagree, what is set there and what would mend it. Changes nothing;
with --fix it writes a copy NAME.mended.EXT in which the marks are mended.

example: pedalogue check --report text,json rented/

exit: 0 the marks agree with the notes, or there are none; 1 they do not
(--fail-on); 2 wrong command line; 3 a file could not be read or written, the
others are done; 130 interrupted
`

// mendedMark stands before the extension of a mended copy.
const mendedMark = ".mended"

// checkCommand checks the pedal marks in scores.
func checkCommand() cli.Command {
	var wants proofread.Wants
	w := work.Work{Kind: work.Kind{
		Report: ".check", Default: "text", Indented: true, Formats: proofread.Formats(), FailOn: "warning", ChangedOnly: true, LeaveOut: named(mendedMark), Failed: proofread.Failed,
		Summary: func() work.Summary { return &proofread.Summary{} },
	}}
	w.Do = func(ctx context.Context, s work.Score) (*work.Made, error) { return proofread.Check(ctx, s, wants) }
	w.Limits = func() musicxml.Limits { return wants.Read.Limits }
	fixFlag := func(f *pflag.FlagSet) (take func() error) {
		f.BoolVar(&wants.Fix, "fix", false, "write a copy NAME.mended.EXT with the marks mended, by as few alterations as were found, and list them")
		return func() error {
			if wants.Fix {
				w.Copy = mendedMark
				return nil
			}
			return options.OnlyWith(f, "fix", "write", "diff")
		}
	}
	bestFlag := func(f *pflag.FlagSet) (take func() error) {
		f.BoolVar(&wants.NoBest, "no-best", false, "leave out what the best plan would cost; marks of ours are planned again all the same")
		return nil
	}
	return cli.Command{
		Name: "check", Short: "proofread the pedal marks that stand in a score", Help: checkHelp,
		First: []string{"part", "fix", "fail-on", "report", "json"},
		Groups: []cli.Group{
			{Title: options.GroupResults, Options: []cli.Options{w.PlaceFlags, w.ReportFlags, fixFlag}},
			{Title: options.GroupPlan, Options: []cli.Options{bestFlag, options.With(options.Plan, &wants.Wants)}},
			{Title: options.GroupReading, Options: []cli.Options{options.With(options.Read, &wants.Read)}},
			{Title: options.GroupMany, Options: []cli.Options{w.ManyFlags}},
		},
		Run: over(&w),
	}
}
