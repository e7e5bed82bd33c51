package main

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/parts"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
)

const partHelp = `usage: pedalogue part [OPTION...] [FILE|FOLDER|PATTERN...]

Writes the harp part on its own, with its pedals: NAME.harp.EXT beside each score,
for several players NAME.harp-1.EXT and so on. All of the part stays as it is; what
other parts say to everybody is put in where it lacks: tempo, rehearsal marks,
repeats, endings and jumps, double bars, fermatas. Measures of rest are put
together.

example: pedalogue part --out stand symphony.mxl

exit: 0 all is done and can be played; 1 a part has a spot that cannot be played
as planned; 2 wrong command line; 3 a file could not be read or written, the
others are done; 130 interrupted
`

// partCommand writes parts on their own.
func partCommand() cli.Command {
	var wants parts.Wants
	set := &wants.Settings
	w := work.Work{Kind: work.Kind{
		Report: ".part", Copy: parts.CopyMark, Default: "text", Indented: true, FailOn: "error", Resumes: true,
		Formats: work.TextAndJSON(), LeaveOut: parts.IsResult, Failed: parts.Failed,
	}}
	w.Do = func(ctx context.Context, s work.Score) (*work.Made, error) { return parts.Of(ctx, s, wants) }
	w.Advise = func() string { return options.Advice(&set.Wants, !wants.Unmarked) }
	w.Limits = func() musicxml.Limits { return set.Read.Limits }
	partFlags := func(f *pflag.FlagSet) (take func() error) {
		f.BoolVar(&wants.Unmarked, "no-marks", false, "write no pedals into the part")
		f.IntVar(&wants.Extract.Cues, "write-cues", 8, "before an entrance after `N` measures of rest or more, write two measures of what can be heard there, small; 0 for none")
		f.BoolVar(&wants.Turns, "page-turns", false, "end pages where a page can be turned: in a rest, or where a hand is free; the part's own line and page breaks go")
		return func() error {
			if wants.Extract.Cues < 0 {
				return fmt.Errorf("--write-cues: %d is not a number of measures from 0", wants.Extract.Cues)
			}
			return nil
		}
	}
	return cli.Command{
		Name: "part", Short: "write the harp part on its own, ready for the stand", Help: partHelp,
		First: []string{"part", "out", "write-cues", "page-turns", "no-marks", "json"},
		Groups: append([]cli.Group{
			{Title: options.GroupResults, Options: []cli.Options{w.FolderFlag, w.ReportFlags}},
			{Title: options.GroupPart, Options: []cli.Options{partFlags}},
		}, planning(&w, set, map[string][]cli.Options{options.GroupPlan: {options.With(options.Pins, &set.Wants)}})...),
		Run: over(&w),
	}
}
