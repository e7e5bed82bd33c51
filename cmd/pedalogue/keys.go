package main

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/inkeys"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/pedal/keys"
)

const keysHelp = `usage: pedalogue keys [OPTION...] [FILE|FOLDER|PATTERN...]

Plans the pedals of the same music in other keys, and lists those first that suit
the harp best: by what cannot be played, changes that are rushed, then all else. C
sharp and D flat, B and C flat are different harps. With --choose it writes the
score in one of them, marked: NAME.KEY.EXT beside it. Pedal marks by others are
struck out there, and listed.

example: pedalogue keys --part Piano --within 3 nocturne.mxl
example: pedalogue keys --part Piano --choose auto --only-harp nocturne.mxl

exit: 0 all is done; 2 wrong command line; 3 a file could not be read or written,
the others are done; 130 interrupted
`

// keyMark stands for the key before the extension of a copy until it is known.
const keyMark = ".key"

// keysCommand plans scores in other keys, and writes them in one.
func keysCommand() cli.Command {
	var set options.Settings
	want := inkeys.Wishes{Within: 6}
	w := work.Work{Kind: work.Kind{
		Report: ".keys", Default: "text", Indented: true, LeaveOut: planned.IsResult, Formats: inkeys.Formats(), Failed: inkeys.Failed,
	}}
	w.Do = func(ctx context.Context, s work.Score) (*work.Made, error) { return inkeys.Of(ctx, s, set, want) }
	w.Advise = func() string { return options.Advice(&set.Wants, want.Choose != nil) }
	w.Limits = func() musicxml.Limits { return set.Read.Limits }
	copies := func(*pflag.FlagSet) (take func() error) {
		return func() error {
			if want.Choose != nil {
				w.Copy = keyMark
			}
			return nil
		}
	}
	return cli.Command{
		Name: "keys", Short: "find the key in which music lies best on the harp, and write it there", Help: keysHelp,
		First: []string{"part", "within", "choose", "only-harp", "report"},
		Groups: append([]cli.Group{
			{Title: options.GroupResults, Options: []cli.Options{w.PlaceFlags, w.ReportFlags}},
			{Title: "keys", Options: []cli.Options{options.With(keysFlags, &want), copies}},
		}, planning(&w, &set, nil)...),
		Run: over(&w),
	}
}

// keysFlags are the options of which keys are tried, and which is written.
func keysFlags(f *pflag.FlagSet, want *inkeys.Wishes) (take func() error) {
	f.IntVar(&want.Within, "within", want.Within, "move the music by up to `N` semitones, up and down, from 0 to 12")
	choose := f.String("choose", "", "write the score in this `KEY`, marked: auto for the first of the list, a name in it such as E♭ or \"G♭ up\", or SEMITONES,STEPS")
	f.BoolVar(&want.OnlyHarp, "only-harp", false, "with --choose, leave the other parts in their key")
	f.BoolVar(&want.NoMarks, "no-marks", false, "with --choose, write no pedals into the copy")
	cli.Values(f, "choose", append([]string{"auto"}, keys.Names()...)...)
	return func() error {
		if want.Within < 0 || want.Within > 12 {
			return fmt.Errorf("--within: %d is not from 0 to 12", want.Within)
		}
		if !f.Changed("choose") {
			return options.OnlyWith(f, "choose", "only-harp", "no-marks", "write", "diff")
		}
		c, err := keys.ParseChoice(*choose)
		if err != nil {
			return fmt.Errorf("--choose: %w", err)
		}
		want.Choose = &c
		return nil
	}
}
