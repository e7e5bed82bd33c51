package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/reduced"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/pedal/part"
	"pedalogue/pedal/revise"
)

const reduceHelp = `usage: pedalogue reduce [OPTION...] [FILE|FOLDER|PATTERN...]

Works out a harp version of music for a piano: what to leave out, to move or to
roll so that two hands of four fingers, seven pedals and two feet can play it, at
the least cost to melody, bass and harmony. Each place is listed with what is done,
what that costs, and what could not be solved. The last word is the player's. With
--apply it writes a copy, NAME.reduced.EXT, marked with its pedals.

example: pedalogue reduce --part Piano nocturne.mxl
example: pedalogue reduce --part Piano --apply=final --keep melody nocturne.mxl

exit: 0 all is done; 2 wrong command line; 3 a file could not be read or written,
the others are done; 130 interrupted
`

// reduceCommand makes harp versions.
func reduceCommand() cli.Command {
	var set options.Settings
	var want reduced.Wishes
	w := work.Work{Kind: work.Kind{
		Report: ".reduce", Default: "text", Indented: true, LeaveOut: planned.IsResult, Formats: reduced.Formats(), Failed: reduced.Failed, Resumes: true,
	}}
	copies := func(*pflag.FlagSet) (take func() error) {
		return func() error {
			if want.Apply != reduced.NoCopy {
				w.Copy = reduced.CopyMark
			}
			return nil
		}
	}
	w.Do = func(ctx context.Context, s work.Score) (*work.Made, error) { return reduced.Of(ctx, s, set, want) }
	w.Advise = func() string { return options.Advice(&set.Wants, want.Apply != reduced.NoCopy) }
	w.Limits = func() musicxml.Limits { return set.Read.Limits }
	return cli.Command{
		Name: "reduce", Short: "work out a harp version of music for a piano", Help: reduceHelp,
		First: []string{"part", "apply", "keep", "roll-price", "report", "json"},
		Groups: append([]cli.Group{
			{Title: options.GroupResults, Options: []cli.Options{w.PlaceFlags, w.ReportFlags}},
			{Title: "reduction", Options: []cli.Options{options.With(reduceFlags, &want), copies}},
		}, planning(&w, &set, nil)...),
		Run: over(&w),
	}
}

// isThere tells whether there is a file or folder of a name.
func isThere(name string) bool {
	_, err := os.Stat(name)
	return err == nil
}

// reduceFlags are the options of what a reduction may cost.
func reduceFlags(f *pflag.FlagSet, want *reduced.Wishes) (take func() error) {
	apply := f.String("apply", "", "write a copy: `HOW` is marked (notes to leave out stay, in parentheses) or final (the music is changed); --apply alone is marked")
	f.Lookup("apply").NoOptDefVal = "marked"
	cli.Values(f, "apply", "marked", "final")
	keep := f.StringArray("keep", nil, "let notes stay, whatever that leaves unsolved: `WHAT` is melody, bass, all or names such as C♯5, with commas between them, for the whole score or behind measures as in \"12-20: melody\"; may be given several times")
	f.Lookup("keep").DefValue = ""
	f.BoolVar(&want.Hands, "hands", false, "write m.d. or m.g. in the copy at notes that another hand takes than that of their staff")
	price := f.Int("roll-price", revise.RollPrice, "one rolled chord is worth `N` doubled notes left out, from 0")
	return func() error {
		if *price < 0 || *price > 1000 {
			return fmt.Errorf("--roll-price: %d is not from 0 to 1000", *price)
		}
		if f.Changed("apply") && slices.Contains(f.Args(), "final") && !isThere("final") {
			return errors.New("--apply: its value stands behind an equals sign: --apply=final")
		}
		want.Keep = nil
		for _, text := range *keep {
			list, err := part.ParseKeeps(text)
			if err != nil {
				return fmt.Errorf("--keep: %w", err)
			}
			want.Keep = append(want.Keep, list...)
		}
		var ok bool
		if want.Apply, ok = map[string]reduced.Apply{"": reduced.NoCopy, "marked": reduced.Marked, "final": reduced.Final}[*apply]; !ok {
			return fmt.Errorf("--apply: %q is neither marked nor final", *apply)
		}
		if want.Apply == reduced.NoCopy {
			if err := options.OnlyWith(f, "apply", "write", "diff", "hands"); err != nil {
				return err
			}
		}
		if want.RollPrice = *price; *price == 0 {
			want.RollPrice = -1 // the reducer's word for nothing
		}
		return nil
	}
}
