package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/pflag"
	"golang.org/x/sync/errgroup"

	"pedalogue/cmd/pedalogue/internal/build"
	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/pedal/keys"
	"pedalogue/pedal/part"
	"pedalogue/report"
)

const keysHelp = `usage: pedalogue keys [OPTION...] [FILE|FOLDER|PATTERN...]

Plans the pedals of the same music in other keys, and lists those first that suit
the harp best: by what cannot be played, changes that are rushed, then all else. C
sharp and D flat, B and C flat are different harps. Writes nothing but reports.

example: pedalogue keys --part Piano --within 3 nocturne.mxl

exit: 0 all is done; 2 wrong command line; 3 a file could not be read or written,
the others are done; 130 interrupted
`

// keysCommand plans scores in other keys.
func keysCommand() cli.Command {
	var set options.Settings
	within := 6
	w := work.Work{Kind: work.Kind{
		Report: ".keys", Default: "text", Indented: true, LeaveOut: planned.IsResult,
		Formats: append(work.TextAndJSON(), work.Format{Name: "csv", Exts: []string{".csv"}}),
		Failed: func(path string, err error) work.Report {
			return &keysReport{Keys: report.Keys{Format: report.Format, Tool: "pedalogue", Version: build.Version(), Path: path, Error: err.Error()}}
		},
	}}
	w.Do = func(ctx context.Context, s work.Score) (*work.Made, error) { return keysOf(ctx, s, set, within) }
	w.Limits = func() musicxml.Limits { return set.Read.Limits }
	withinFlag := func(f *pflag.FlagSet) (take func() error) {
		f.IntVar(&within, "within", within, "the most semitones to move the music, up or down, from 0 to 12")
		return func() error {
			if within < 0 || within > 12 {
				return fmt.Errorf("--within: %d is not from 0 to 12", within)
			}
			return nil
		}
	}
	return cli.Command{
		Name: "keys", Short: "find the key in which music lies best on the harp", Help: keysHelp,
		First: []string{"part", "within", "respell", "report", "json"},
		Groups: []cli.Group{
			{Title: options.GroupResults, Options: []cli.Options{withinFlag, w.OutFlag, w.ReportFlags}},
			{Title: options.GroupPlan, Options: []cli.Options{options.With(options.Plan, &set.Wants)}},
			{Title: options.GroupFindings, Options: []cli.Options{options.With(options.Findings, &set.Wants)}},
			{Title: options.GroupReading, Options: []cli.Options{options.With(options.Read, &set.Read)}},
			{Title: options.GroupMany, Options: []cli.Options{w.Flags}},
		},
		Run: func(c *cli.Call) int {
			return w.Run(c.Args, c.Decisive(options.GroupResults, options.GroupMany), c.Streams)
		},
	}
}

// keysOf plans all harps of a score in all keys.
func keysOf(ctx context.Context, s work.Score, set options.Settings, within int) (*work.Made, error) {
	_, score, err := opening.Music(ctx, s.Path, s.Data, set.Read)
	if err != nil {
		return nil, err
	}
	head := planned.New(s.Path, score)
	r := &keysReport{Keys: report.Keys{Format: head.Format, Tool: head.Tool, Version: head.Version, Path: head.Path, Title: head.Title,
		PlayingOrder: head.PlayingOrder, Warnings: head.Warnings}}
	set.Wants.Plan.Only = true
	for _, player := range score.Players() {
		harp, err := part.New(score, player, set.Wants.Part)
		if err != nil {
			return nil, opening.Named(s.Path, err)
		}
		row, err := keysOfPart(ctx, harp, &set.Wants, within, s.Workers)
		if err != nil {
			return nil, opening.Named(s.Path, err)
		}
		r.Parts = append(r.Parts, *row)
	}
	return &work.Made{Report: r}, nil
}

// keysOfPart plans one harp in all keys, several at once.
func keysOfPart(ctx context.Context, harp *part.Part, wants *rows.Wants, within, workers int) (*report.KeysPart, error) {
	shifts := keys.Shifts(harp.Fifths(), within)
	planned := make([]report.Part, len(shifts))
	list := make([]keys.Row, len(shifts))
	one := func(ctx context.Context, i int) error {
		in := harp.Moved(shifts[i])
		done, err := in.Plan(ctx, wants.Plan)
		if err != nil {
			return err
		}
		if planned[i], err = rows.Part(done, nil, wants); err != nil {
			return err
		}
		list[i] = keys.Row{Shift: shifts[i], Cost: done.Plan.Cost, Outside: keys.Outside(in.Passage, done.Plan, wants.Plan.Options.Instrument)}
		for _, f := range planned[i].Findings {
			switch f.Severity {
			case report.SeverityError:
				list[i].Errors++
			case report.SeverityWarning:
				list[i].Warnings++
			default:
				list[i].Notes++
			}
		}
		return nil
	}
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(max(1, workers))
	for i := range shifts {
		group.Go(func() error { return one(ctx, i) })
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	out := &report.KeysPart{ID: harp.Player.ID(), Name: harp.Player.Name, Options: planned[0].Options}
	byShift := map[keys.Shift]*report.Part{}
	for i := range list {
		byShift[list[i].Shift] = &planned[i]
	}
	keys.Sort(list, wants.Plan.Options)
	for _, k := range list {
		out.Keys = append(out.Keys, report.Key{
			Name: k.Name, Semitones: k.Semitones, Steps: k.Steps, Fifths: k.Fifths, Original: k.Original(),
			Cost: byShift[k.Shift].Cost, Proof: byShift[k.Shift].Proof, Outside: k.Outside,
			Findings: report.KeyCounts{Error: k.Errors, Warning: k.Warnings, Note: k.Notes}, Sections: harp.RespeltSections(k.Shift),
		})
	}
	return out, nil
}

// A keysReport is the report on a score in all keys.
type keysReport struct {
	work.ReadOnly
	report.Keys
}

func (r *keysReport) Text(w io.Writer, o report.TextOptions) error {
	if r.Error != "" {
		return nil // which is told as an error
	}
	return report.WriteKeysText(w, &r.Keys, o)
}

func (r *keysReport) JSON(w io.Writer, oneLine bool) error {
	return report.WriteKeysJSON(w, &r.Keys, oneLine)
}

func (r *keysReport) File(w io.Writer, ext string) error {
	if ext == ".csv" {
		return report.WriteKeysCSV(w, &r.Keys)
	}
	return errors.New("internal error: no report ends like " + ext)
}

func (r *keysReport) Placed(path string) { r.Output = path }
