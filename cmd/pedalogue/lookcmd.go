package main

import (
	"bytes"
	"context"
	"io"
	"strings"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/look"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/report"
	"pedalogue/report/plain"
)

const lookHelp = `usage: pedalogue look [OPTION...] [FILE|FOLDER|PATTERN...]

Says what is read in a score, and changes nothing: the parts and which of them is
the harp, and what tells so; measures and playing order; pedal marks already
there; and everything that was read in one way and could be meant in another.

example: pedalogue look --json concerto.musicxml

exit: 0 all is read; 2 wrong command line; 3 a file could not be read;
130 interrupted
`

// lookCommand says what is read in scores.
func lookCommand() cli.Command {
	var read musicxml.Options
	w := work.Work{Kind: work.Kind{
		Report: ".look", Default: "text", Indented: true,
		Formats: work.TextAndJSON(),
		Failed: func(path string, err error) work.Report {
			return sight{Sight: &look.Sight{Format: look.Format, Score: path, Error: err.Error()}}
		},
	}}
	w.Do = func(ctx context.Context, s work.Score) (*work.Made, error) { return lookAt(ctx, s, read) }
	w.Limits = func() musicxml.Limits { return read.Limits }
	return cli.Command{
		Name: "look", Short: "say what is read in a score, and change nothing", Help: lookHelp,
		First: []string{"part", "json", "report", "out", "files-from"},
		Groups: []cli.Group{
			{Title: groupResults, Options: []cli.Options{w.OutFlag, w.ReportFlags}},
			{Title: groupReading, Options: []cli.Options{with(readFlags, &read)}},
			{Title: groupMany, Options: []cli.Options{w.Flags}},
		},
		Run: func(c *cli.Call) int { return w.Run(c.Args, c.Decisive(groupResults, groupMany), c.Streams) },
	}
}

func lookAt(ctx context.Context, s work.Score, read musicxml.Options) (*work.Made, error) {
	doc, err := musicxml.Open(ctx, s.Path, s.Data, read.Limits)
	if err != nil {
		return nil, err
	}
	score, err := readWithHints(ctx, doc, read)
	if err != nil {
		return nil, err
	}
	return &work.Made{Report: sight{Sight: look.See(ctx, doc, score)}}, ctx.Err()
}

// A sight is the report on what is read in a score.
type sight struct {
	work.ReadOnly
	*look.Sight
}

func (s sight) Text(w io.Writer, _ report.TextOptions) error {
	if s.Error != "" {
		return nil // which is told as an error
	}
	var text bytes.Buffer
	if err := s.WriteText(&text); err != nil {
		return err
	}
	_, err := io.WriteString(w, cleanLines(text.String()))
	return err
}

func (s sight) JSON(w io.Writer, oneLine bool) error { return s.WriteJSON(w, oneLine) }

// cleanLines keeps what a file says from steering the terminal.
func cleanLines(text string) string {
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(plain.Line(lines[i]), " ")
	}
	return strings.Join(lines, "\n")
}
