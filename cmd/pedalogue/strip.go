package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
)

const stripHelp = `usage: pedalogue strip [OPTION...] [FILE|FOLDER|PATTERN...]

Takes the marks that pedalogue has put into scores out again: the score is byte
for byte what it was before; an .mxl is packed anew around it. Writes
NAME.plain.EXT beside each score that has any. Folders are searched for
.musicxml, .xml and .mxl, marked copies among them, but not NAME.plain.EXT.
Without a FILE, or for "-", the score is read from standard input and written to
standard output. Marks by others stay.

example: pedalogue strip --write concerto.musicxml
`

// plainMark stands before the extension of a copy without marks.
const plainMark = ".plain"

// named returns what tells whether a name is one that copies with this mark get,
// NAME.mark.EXT.
func named(mark string) func(path string) bool {
	return func(path string) bool { return strings.HasSuffix(strings.TrimSuffix(path, filepath.Ext(path)), mark) }
}

// stripCommand takes our marks out again.
func stripCommand() cli.Command {
	var limits musicxml.Limits
	w := work.Work{Kind: work.Kind{Copy: plainMark, Report: plainMark, OwnName: true, ChangedOnly: true, LeaveOut: named(plainMark)}}
	w.Do = func(ctx context.Context, s work.Score) (*work.Made, error) { return stripScore(ctx, s, limits) }
	w.Limits = func() musicxml.Limits { return limits }
	return cli.Command{
		Name: "strip", Short: "take our marks out again, byte for byte", Help: stripHelp,
		First: []string{"write", "out", "diff", "files-from", "quiet"},
		Groups: []cli.Group{
			{Title: options.GroupResults, Options: []cli.Options{w.PlaceFlags, w.ASCIIFlag}},
			{Title: options.GroupReading, Options: []cli.Options{options.With(options.Size, &limits)}},
			{Title: options.GroupMany, Options: []cli.Options{w.ManyFlags}},
		},
		Run: over(&w),
	}
}

// stripScore takes our marks out of a score.
func stripScore(ctx context.Context, s work.Score, limits musicxml.Limits) (*work.Made, error) {
	doc, err := musicxml.Open(ctx, s.Path, s.Data, limits)
	if err != nil {
		return nil, err
	}
	own, err := doc.Strip(ctx)
	if err != nil {
		return nil, err
	}
	plain, err := doc.Stripped(ctx)
	if err != nil {
		return nil, err
	}
	m := &work.Made{Document: doc, Edits: own.Edits, Copied: plain.Raw}
	for _, w := range own.Kept {
		m.Notes = append(m.Notes, fmt.Sprintf("%s:%d: part %s measure %s: %s (%s)", s.Path, w.Line, w.Part, w.Measure, w.Text, w.Code))
	}
	m.Say = func(output string) string {
		if output == "" {
			return fmt.Sprintf("%s: no marks of ours, nothing to take out", s.Path)
		}
		return fmt.Sprintf("%s: %s taken out, written to %s", s.Path, plural(len(own.Edits), "mark", "marks"), output)
	}
	return m, nil
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
