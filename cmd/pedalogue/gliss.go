package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/build"
	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/gliss"
	"pedalogue/pedal/part"
	"pedalogue/report"
)

var glissHelp = `usage: pedalogue gliss [OPTION...] WANTED

Finds the settings of the pedals for a glissando: every one that sounds what is
wanted and nothing else, or, where there is none, the nearest. WANTED is

` + "  " + glissForms + `

A lone letter, with or without a sign, is a pitch; a chord has more than that.
With --in and --at the pedals stand as they are planned at a place of a score, and
the answer says which must come back afterwards, and whether a foot has the time.

example: pedalogue gliss "C9" --from "D C B♭ | E♭ F G A♭"

exit: 0 there is an answer; 2 the request was not understood; 3 the score of --in
could not be read
`

var glissForms = strings.ReplaceAll(gliss.Forms, "\n", "\n  ")

// A glissRun is the command gliss.
type glissRun struct {
	set   options.Settings
	from  pedal.Setting
	in    string     // the score in which the glissando is to stand; "" for none
	at    part.Named // the place in it
	json  bool
	all   bool
	ascii bool
}

// mostShown is how many settings are printed, unless all are asked for.
const mostShown = 8

// glissCommand answers how a glissando can be set.
func glissCommand() cli.Command {
	r := &glissRun{}
	return cli.Command{
		Name: "gliss", Short: "find the settings of the pedals for a glissando", Help: glissHelp,
		First: []string{"from", "in", "at", "all", "json"},
		Groups: []cli.Group{
			{Title: options.GroupResults, Options: []cli.Options{r.shownFlags}},
			{Title: "question", Options: []cli.Options{r.questionFlags}},
			{Title: options.GroupPlan, Options: []cli.Options{options.With(options.Plan, &r.set.Wants)}},
			{Title: options.GroupReading, Options: []cli.Options{options.With(options.Read, &r.set.Read)}},
		},
		Run: r.run,
	}
}

// shownFlags are the options of how the answer is shown.
func (r *glissRun) shownFlags(f *pflag.FlagSet) (take func() error) {
	f.BoolVar(&r.json, "json", false, "print the answer as JSON")
	f.BoolVar(&r.all, "all", false, "print all settings, however many")
	f.BoolVar(&r.ascii, "ascii", false, "print b, # and n instead of signs")
	return nil
}

// questionFlags are the options of what is asked.
func (r *glissRun) questionFlags(f *pflag.FlagSet) (take func() error) {
	from := f.String("from", "", "how the pedals stand before: a `SETTING` such as \"D C B♭ | E♭ F G A♭\", also with b and # (default all at natural)")
	f.StringVar(&r.in, "in", "", "the score `FILE` in which the glissando is to stand; - for standard input")
	at := f.String("at", "", "the `PLACE` in it: a measure, or MEASURE:BEAT with the beat as it is counted, from 1")
	pass := f.Int("pass", 1, "take playing `N` of that measure, from 1")
	return func() error {
		setting, err := options.ParseSetting(*from)
		if err != nil {
			return fmt.Errorf("--from: %w", err)
		}
		switch {
		case (r.in == "") != (*at == ""):
			return errors.New("--in and --at go together: a score, and the place in it")
		case r.in == "" && f.Changed("pass"):
			return errors.New("--pass goes with --in and --at")
		case r.in != "" && setting != nil:
			return errors.New("--from and --in exclude each other: in a score the pedals stand as they are planned")
		case *pass < 1:
			return errors.New("--pass counts from 1")
		case r.in != "":
			if r.at, err = part.ParseNamed(*at); err != nil {
				return fmt.Errorf("--at: %w", err)
			}
			r.at.Pass = *pass
		case setting != nil:
			r.from = *setting
		}
		return nil
	}
}

// run answers the question that the arguments ask.
func (r *glissRun) run(c *cli.Call) int {
	want, err := gliss.Parse(strings.Join(c.Args, " "))
	if err != nil {
		c.Complain(err)
		fmt.Fprintf(c.Err, "hint: what can be asked for:\n  %s\n", glissForms)
		return runs.ExitUsage
	}
	answer := &report.Gliss{Format: report.Format, Tool: "pedalogue", Version: build.Version(), Want: rows.GlissNames(want), From: r.from}
	if r.in != "" {
		err = r.inScore(context.Background(), want, answer, c.In)
	} else {
		r.find(want, answer)
	}
	if err != nil {
		return c.Fail(opening.Named(r.in, err))
	}
	var b bytes.Buffer
	var text []byte
	if r.json {
		err = report.WriteGlissJSON(&b, answer)
		text = work.WithGiven(b.Bytes(), c.Given)
	} else {
		most := mostShown
		if r.all {
			most = 0
		}
		width, colour := runs.Layout(c.Out)
		err = report.WriteGlissText(&b, answer, most, report.TextOptions{Width: width, Colour: colour, ASCII: r.ascii})
	}
	if text == nil {
		text = b.Bytes()
	}
	if err == nil {
		_, err = c.Out.Write(text)
	}
	if err != nil {
		return c.Fail(err)
	}
	return runs.ExitDone
}

// find answers the question for pedals that stand as the answer says.
func (r *glissRun) find(want []gliss.Name, answer *report.Gliss) {
	found := gliss.Find(want, answer.From)
	answer.Exact, answer.Nearest = rows.GlissSettings(found.Exact, false), rows.GlissSettings(found.Nearest, true)
}

// inScore answers the question for a place in a score.
func (r *glissRun) inScore(ctx context.Context, want []gliss.Name, answer *report.Gliss, stdin io.Reader) error {
	read, err := (store.Source{Path: r.in}).Read(ctx, stdin, r.set.Read.Limits.WithDefaults().Bytes)
	if err != nil {
		return err
	}
	_, score, err := opening.Music(ctx, r.in, read.Data, r.set.Read)
	if err != nil {
		return err
	}
	players := score.Players()
	if len(players) > 1 {
		return &musicxml.Error{File: r.in, Err: fmt.Errorf("there are %d harps in it", len(players)),
			Hint: "--part says which one: --part " + players[0].ID()}
	}
	harp, err := part.New(score, players[0], r.set.Wants.Part)
	if err != nil {
		return err
	}
	moment, err := harp.Find(r.at)
	if err != nil {
		return err
	}
	done, err := harp.Plan(ctx, r.set.Wants.Plan)
	if err != nil {
		return err
	}
	answer.Score, answer.Part = r.in, players[0].ID()
	answer.At = rows.GlissPlace(harp, moment)
	answer.From = done.Plan.Settings[moment]
	r.find(want, answer)
	first := slices.Concat(answer.Exact, answer.Nearest)
	answer.Back = rows.GlissBack(harp, gliss.Back(harp.Passage, done.Plan, r.set.Wants.Plan.Options, moment, first[0].Setting))
	return nil
}
