package main

import (
	"context"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
)

const markHelp = `usage: pedalogue mark [OPTION...] [FILE|FOLDER|PATTERN...]

Plans the pedals of every harp in the scores and writes marked copies:
NAME.pedals.EXT beside each score, and NAME.pedals.json with the report. Folders
are searched for .musicxml, .xml and .mxl. Without a FILE, or for "-", the score
is read from standard input and its copy written to standard output.

Nothing of yours is overwritten unless you ask with --write; copies and reports
of an earlier run are replaced if nobody has altered them since.

You arrange piano music for the harp:
  example: pedalogue mark --part Piano --report text,html nocturne.mxl
You prepare parts in a library:
  example: pedalogue mark --out marked --report html,csv season/
You play the harp:
  example: pedalogue mark --tempo 96 --report html solo.musicxml

exit: 0 all is done and can be played; 1 a score has a spot that cannot be played
as planned; 2 wrong command line; 3 a file could not be read or written, the
others are done; 130 interrupted
`

// markCommand plans the pedals of scores and writes marked copies.
func markCommand() cli.Command {
	var set options.Settings
	var list bool
	w := work.Work{Kind: planned.Kind}
	w.Copy, w.OwnName, w.LeaveOut = planned.CopyMark, true, planned.IsResult
	w.Do = func(ctx context.Context, s work.Score) (*work.Made, error) { return planned.Mark(ctx, s, set) }
	w.Advise = func() string {
		if set.Sheet.Music && !w.Has("html") && !w.Has("sheet") {
			return "--sheet-music draws in pages, and there is none: take --report html, or sheet for many scores"
		}
		return options.Advice(&set.Wants, true)
	}
	w.Limits = func() musicxml.Limits { return set.Read.Limits }
	listFlag := func(f *pflag.FlagSet) (take func() error) {
		f.BoolVar(&list, "help-findings", false, "list the kinds of findings, with their severities and limits")
		return nil
	}
	return cli.Command{
		Name: "mark", Short: "plan the pedals and write them into a marked copy", Help: markHelp,
		First: []string{"part", "respell", "out", "write", "report"},
		Groups: append([]cli.Group{
			{Title: options.GroupResults, Options: []cli.Options{w.PlaceFlags, w.ReportFlags}},
			{Title: options.GroupSheet, Options: []cli.Options{options.With(options.Sheet, &set.Sheet)}},
		}, planning(&w, &set, map[string][]cli.Options{
			options.GroupPlan:     {options.With(options.Pins, &set.Wants), options.With(options.Curve, &set.Wants)},
			options.GroupMarks:    {options.With(options.Existing, &set.Wants)},
			options.GroupFindings: {listFlag},
		})...),
		Run: func(c *cli.Call) int {
			if !list {
				return over(&w)(c)
			}
			if err := w.Show(c.Out, rows.WriteRules); err != nil {
				return c.Fail(err)
			}
			return runs.ExitDone
		},
	}
}
