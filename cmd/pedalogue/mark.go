package main

import (
	"context"
	"errors"
	"fmt"

	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
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

example: pedalogue mark --out marked --report text,html concerto.musicxml

exit: 0 all is done and can be played; 1 a score has a spot that cannot be played
as planned; 2 wrong command line; 3 a file could not be read or written, the
others are done; 130 interrupted
`

// runMark is the command mark.
func runMark(args []string, s runs.Streams) int {
	var set settings
	r := scoreRun{leaveOut: isOwnCopy}
	r.placement.Suffix = copyMark
	f := newFlags("mark", markHelp)
	takes := r.flags(f, func() []func() error {
		var takes []func() error
		inGroup(f, groupPlan, func() { takes = append(takes, planFlags(f, &set)) })
		inGroup(f, groupMarks, func() { takes = append(takes, markFlags(f, &set)) })
		inGroup(f, groupFindings, func() { takes = append(takes, findingFlags(f, &set)) })
		return takes
	})
	if done, code := parse(f, args, markHelp, s); done {
		return code
	}
	if set.listFindings {
		return listFindings(s)
	}
	for _, take := range takes {
		if err := take(); err != nil {
			return usageError(s, f, err)
		}
	}
	set.read = r.read
	r.edit = func(ctx context.Context, in store.Source, data []byte) (*marked, error) {
		set := set
		set.wants.Plan.Options.Workers = runs.Workers(in, r.read.Limits.WithDefaults().Bytes, r.spare, r.room)
		return markScore(ctx, in.Path, data, set)
	}
	return r.run(f, s)
}

// A marked is what comes of one score.
type marked struct {
	doc    *musicxml.Document
	edits  []musicxml.Edit
	copied []byte        // the copy, where it is more than the edits tell; nil to make it of them
	report *report.Score // nil if there is none
}

// markScore takes a score from its bytes to its marks and report.
func markScore(ctx context.Context, name string, data []byte, set settings) (*marked, error) {
	doc, err := musicxml.Open(ctx, name, data, set.read.Limits)
	if err != nil {
		return nil, err
	}
	// Marks of an earlier run make way for the new ones.
	if doc, err = doc.Stripped(ctx); err != nil {
		return nil, err
	}
	score, err := readWithHints(ctx, doc, set.read)
	if err != nil {
		return nil, err
	}
	players := score.Players()
	if len(players) == 0 {
		return nil, noHarp(name, score)
	}
	m := &marked{doc: doc, report: newReport(name, score)}
	for _, player := range players {
		harp, err := part.New(score, player, set.wants.Part)
		if err != nil {
			return nil, named(name, err)
		}
		done, err := harp.Plan(ctx, set.wants.Plan)
		if err != nil {
			return nil, named(name, err)
		}
		edits, signs, err := done.Edits(ctx, doc, set.wants.Style)
		if err != nil {
			return nil, err
		}
		m.report.Parts = append(m.report.Parts, rows.Part(done, signs, &set.wants))
		m.edits = append(m.edits, edits...)
	}
	return m, nil
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

// newReport begins the report of a score.
func newReport(name string, score *musicxml.Score) *report.Score {
	r := &report.Score{
		Format: report.Format, Tool: "pedalogue", Version: version(), Path: name, Title: score.Title,
		PlayingOrder: &report.PlayingOrder{Written: len(score.Measures), Played: len(score.Order)},
	}
	for _, w := range score.Warnings {
		r.Warnings = append(r.Warnings, report.Warning(w))
	}
	return r
}

// failedReport is the report of a score that could not be read or written.
func failedReport(name string, err error) *report.Score {
	return &report.Score{Format: report.Format, Tool: "pedalogue", Version: version(), Path: name, Error: err.Error()}
}
