package main

import (
	"bytes"
	"context"
	"io"
	"strings"

	"pedalogue/cmd/pedalogue/internal/build"
	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/look"
	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/staves"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/report"
	"pedalogue/report/plain"
)

const lookHelp = `usage: pedalogue look [OPTION...] [FILE|FOLDER|PATTERN...]

Says what is read in a score, and changes nothing: the parts and which of them is
the harp, and what tells so; measures and playing order; pedal marks already
there; and everything that was read in one way and could be meant in another.
With --report html, NAME.look.html shows the harp's music as it was read, drawn.

example: pedalogue look --report html concerto.musicxml

exit: 0 all is read; 2 wrong command line; 3 a file could not be read;
130 interrupted
`

// lookCommand says what is read in scores.
func lookCommand() cli.Command {
	var read musicxml.Options
	w := work.Work{Kind: work.Kind{
		Report: ".look", Default: "text", Indented: true,
		Formats: append(work.TextAndJSON(), work.Format{Name: "html", Exts: []string{".html"}}),
		Failed: func(path string, err error) work.Report {
			return sight{Sight: look.Unread(path, err)}
		},
	}}
	w.Do = func(ctx context.Context, s work.Score) (*work.Made, error) { return lookAt(ctx, s, read) }
	w.Limits = func() musicxml.Limits { return read.Limits }
	return cli.Command{
		Name: "look", Short: "say what is read in a score, and change nothing", Help: lookHelp,
		First: []string{"part", "json", "report", "out", "files-from"},
		Groups: []cli.Group{
			{Title: options.GroupResults, Options: []cli.Options{w.OutFlag, w.ReportFlags}},
			{Title: options.GroupReading, Options: []cli.Options{options.With(options.Read, &read)}},
			{Title: options.GroupMany, Options: []cli.Options{w.ManyFlags}},
		},
		Run: over(&w),
	}
}

func lookAt(ctx context.Context, s work.Score, read musicxml.Options) (*work.Made, error) {
	doc, err := musicxml.Open(ctx, s.Path, s.Data, read.Limits)
	if err != nil {
		return nil, err
	}
	score, err := opening.Score(ctx, doc, read)
	if err != nil {
		return nil, err
	}
	seen := sight{Sight: look.See(ctx, doc, score)}
	if s.Page {
		if seen.harps, err = readHarps(ctx, doc, score); err != nil {
			return nil, err
		}
	}
	return &work.Made{Report: seen}, ctx.Err()
}

// readHarps takes all music of the harps, to be drawn.
func readHarps(ctx context.Context, doc *musicxml.Document, score *musicxml.Score) ([]report.ReadHarp, error) {
	var harps []report.ReadHarp
	for _, player := range score.Players() {
		music, err := staves.Of(ctx, doc, score, player, func(int) bool { return true })
		if err != nil {
			return nil, err
		}
		h := report.ReadHarp{ID: player.ID(), Name: player.Name, Music: music}
		for _, m := range score.Measures {
			h.Measures = append(h.Measures, m.Number)
		}
		harps = append(harps, h)
	}
	return harps, nil
}

// A sight is the report on what is read in a score.
type sight struct {
	work.ReadOnly
	*look.Sight
	harps []report.ReadHarp // for the page
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

// File writes the page: what was read, drawn.
func (s sight) File(w io.Writer, ext string) error {
	if ext != ".html" {
		return s.ReadOnly.File(w, ext)
	}
	r := report.Reading{Tool: "pedalogue", Version: build.Version(), Path: s.Score, Title: s.Title, Harps: s.harps}
	for _, f := range s.Told() {
		if f.Name != "title" {
			r.Facts = append(r.Facts, report.Fact(f))
		}
	}
	for _, seen := range s.Warnings {
		warning := report.Warning{Code: seen.Code, Part: seen.Part, Measure: seen.Measure, Index: -1, Line: seen.Line, Text: seen.Text}
		if seen.Index != nil {
			warning.Index = *seen.Index
		}
		r.Warnings = append(r.Warnings, warning)
	}
	return report.WriteReadingHTML(w, &r)
}

// cleanLines keeps what a file says from steering the terminal.
func cleanLines(text string) string {
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(plain.Line(lines[i]), " ")
	}
	return strings.Join(lines, "\n")
}
