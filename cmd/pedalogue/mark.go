package main

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/pedal/part"
	"pedalogue/report"
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

// settings are the options of how a score is read and its pedals are planned.
type settings struct {
	read  musicxml.Options
	wants rows.Wants
	from  *report.RehearsalStart // where sheets begin; nil for the start
}

// markCommand plans the pedals of scores and writes marked copies.
func markCommand() cli.Command {
	var set settings
	var list bool
	w := work.Work{Kind: planKind}
	w.Copy, w.OwnName, w.LeaveOut = copyMark, true, isResult
	w.Do = func(ctx context.Context, s work.Score) (*work.Made, error) { return markScore(ctx, s, set) }
	w.Limits = func() musicxml.Limits { return set.read.Limits }
	listFlag := func(f *pflag.FlagSet) (take func() error) {
		f.BoolVar(&list, "help-findings", false, "list the kinds of findings, with their severities and limits")
		return nil
	}
	return cli.Command{
		Name: "mark", Short: "plan the pedals and write them into a marked copy", Help: markHelp,
		First: []string{"part", "respell", "out", "write", "report"},
		Groups: []cli.Group{
			{Title: groupResults, Options: []cli.Options{w.PlaceFlags, w.ReportFlags, with(sheetFlag, &set.from)}},
			{Title: groupPlan, Options: []cli.Options{with(planFlags, &set.wants), with(pinFlags, &set.wants), with(curveFlag, &set.wants)}},
			{Title: groupMarks, Options: []cli.Options{with(markFlags, &set.wants)}},
			{Title: groupFindings, Options: []cli.Options{with(findingFlags, &set.wants), listFlag}},
			{Title: groupReading, Options: []cli.Options{with(readFlags, &set.read)}},
			{Title: groupMany, Options: []cli.Options{w.ManyFlags}},
		},
		Run: func(c *cli.Call) int {
			if !list {
				return w.Run(c.Args, c.Decisive(groupResults, groupMany), c.Streams)
			}
			if err := rows.WriteRules(c.Out); err != nil {
				return c.Fail(err)
			}
			return runs.ExitDone
		},
	}
}

// sheetFlag is the option of where sheets for the stand begin.
func sheetFlag(f *pflag.FlagSet, into **report.RehearsalStart) (take func() error) {
	from := f.String("from", "", "begin the sheet for the stand at `MEASURE`, or MEASURE:PASS for another playing than the first: the setting there, and what comes next")
	return func() error {
		if *from == "" {
			return nil
		}
		measure, pass, found := strings.Cut(*from, ":")
		start := &report.RehearsalStart{Measure: strings.TrimSpace(measure), Pass: 1}
		if found {
			n, err := strconv.Atoi(strings.TrimSpace(pass))
			if err != nil || n < 1 {
				return fmt.Errorf("--from: %q is not which playing of the measure, from 1", pass)
			}
			start.Pass = n
		}
		if start.Measure == "" {
			return fmt.Errorf("--from: %q names no measure", *from)
		}
		*into = start
		return nil
	}
}

// markScore takes a score from its bytes to its marks and report.
func markScore(ctx context.Context, s work.Score, set settings) (*work.Made, error) {
	set.wants.Plan.Options.Workers = s.Workers
	doc, score, err := openMusic(ctx, s.Path, s.Data, set.read)
	if err != nil {
		return nil, err
	}
	r := newReport(s.Path, score)
	r.From, r.Index = set.from, s.Index
	m := &work.Made{Document: doc, Report: r}
	for _, player := range score.Players() {
		row, edits, err := markPlayer(ctx, doc, score, player, set.wants, s.Page)
		if err != nil {
			return nil, named(s.Path, err)
		}
		r.Parts = append(r.Parts, row)
		m.Edits = append(m.Edits, edits...)
	}
	return m, nil
}

// markPlayer plans the pedals of one harp and lays the marks out; drawn, its
// music is ready to be drawn.
func markPlayer(ctx context.Context, doc *musicxml.Document, score *musicxml.Score, player musicxml.Player, wants rows.Wants, drawn bool) (report.Part, []musicxml.Edit, error) {
	harp, err := part.New(score, player, wants.Part)
	if err != nil {
		return report.Part{}, nil, err
	}
	done, err := harp.Plan(ctx, wants.Plan)
	if err != nil {
		return report.Part{}, nil, err
	}
	edits, signs, err := done.Edits(ctx, doc, wants.Style)
	if err != nil {
		return report.Part{}, nil, err
	}
	row, err := rows.Part(done, signs, &wants)
	if err == nil && drawn {
		err = rows.Music(ctx, doc, done, &wants, &row)
	}
	return row, edits, err
}

// openMusic reads a score of which somebody plays the harp. Marks of earlier runs are
// taken out of the document first.
func openMusic(ctx context.Context, path string, data []byte, read musicxml.Options) (*musicxml.Document, *musicxml.Score, error) {
	doc, err := musicxml.Open(ctx, path, data, read.Limits)
	if err != nil {
		return nil, nil, err
	}
	if doc, err = doc.Stripped(ctx); err != nil {
		return nil, nil, err
	}
	score, err := readWithHints(ctx, doc, read)
	if err == nil && len(score.Players()) == 0 {
		err = noHarp(path, score)
	}
	return doc, score, err
}

// noHarp is the error for a score without a harp.
func noHarp(name string, score *musicxml.Score) error {
	return &musicxml.Error{
		File: name,
		Err:  fmt.Errorf("there is no harp in it; its parts are %s", musicxml.PartNames(score.Parts)),
		Hint: "--part takes one of them as the harp, by id, name or number: --part " + score.Parts[len(score.Parts)-1].ID,
	}
}

// named gives an error its file.
func named(name string, err error) error {
	var placed *musicxml.Error
	if errors.As(err, &placed) {
		if placed.File == "" {
			placed.File = name
		}
		return err
	}
	return &musicxml.Error{File: name, Err: err}
}
