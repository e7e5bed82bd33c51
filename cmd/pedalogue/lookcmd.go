package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"

	"pedalogue/cmd/pedalogue/internal/look"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/musicxml"
)

const lookHelp = `usage: pedalogue look [OPTION...] [FILE|FOLDER|PATTERN...]

Says what is read in a score, and changes nothing: the parts and which of them is
the harp, and what tells so; measures and playing order; pedal marks already
there; and everything that was read in one way and could be meant in another.

example: pedalogue look --json concerto.musicxml

exit: 0 all is read; 2 wrong command line; 3 a file could not be read;
130 interrupted
`

// A lookRun is the command look.
type lookRun struct {
	runs.Batch
	read musicxml.Options
	json bool
	many bool // one document a line
}

func runLook(args []string, s runs.Streams) int {
	var r lookRun
	var take func() error
	f := newFlags("look", lookHelp)
	inGroup(f, groupResults, func() {
		f.BoolVar(&r.json, "json", false, "print everything that is read as JSON, one document a line for several files")
	})
	inGroup(f, groupReading, func() { readFlags(f, &r.read) })
	inGroup(f, groupMany, func() { take = r.AddFlags(f) })
	if done, code := parse(f, args, lookHelp, s); done {
		return code
	}
	if err := take(); err != nil {
		return usageError(s, f, err)
	}
	r.Args = f.Args()
	inputs, err := r.Sources(runs.Collector{LeaveOut: isOwnCopy}, s)
	if err != nil {
		complainOf(s, err)
		return runs.ExitUsage
	}
	r.many = len(inputs) > 1
	return runs.Each(&r.Batch, inputs, r.Mine(inputs), r.read.Limits.WithDefaults().Bytes, func(ctx context.Context, i int) runs.Outcome {
		return r.one(ctx, inputs[i], s)
	}, s, func(int, runs.Outcome) {})
}

// one looks at one score.
func (r *lookRun) one(ctx context.Context, in store.Source, s runs.Streams) runs.Outcome {
	o, stack, err := runs.Guarded(in.Path, func() (runs.Outcome, error) {
		seen, err := lookAt(ctx, in, r.read, s)
		if err != nil {
			return runs.Outcome{}, err
		}
		return r.shown(seen)
	})
	if err == nil {
		o.Facts = []any{slog.Bool("kept", false)}
		return o
	}
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		return runs.Outcome{Err: runs.ErrInterrupted}
	}
	o = runs.Outcome{}
	if r.json {
		if o, _ = r.shown(&look.Sight{Format: look.Format, Score: in.Path, Error: err.Error()}); o.Out == nil {
			err = errors.Join(err, errors.New("internal error: no JSON for this error"))
		}
	}
	o.Code, o.Err, o.Stack = runs.ExitFailed, err, stack
	return o
}

func (r *lookRun) shown(seen *look.Sight) (runs.Outcome, error) {
	var b bytes.Buffer
	var err error
	if r.json {
		err = seen.WriteJSON(&b, r.many)
	} else {
		var text bytes.Buffer
		err = seen.WriteText(&text)
		b.WriteString(cleanLines(text.String()))
	}
	return runs.Outcome{Out: b.Bytes()}, err
}

func lookAt(ctx context.Context, in store.Source, options musicxml.Options, s runs.Streams) (*look.Sight, error) {
	read, err := in.ReadUnless(ctx, s.In, options.Limits.WithDefaults().Bytes)
	if err != nil {
		return nil, err
	}
	doc, err := musicxml.Open(ctx, in.Path, read.Data, options.Limits)
	if err != nil {
		return nil, err
	}
	score, err := readWithHints(ctx, doc, options)
	if err != nil {
		return nil, err
	}
	return look.See(ctx, doc, score), ctx.Err()
}

// cleanLines keeps what a file says from steering the terminal.
func cleanLines(text string) string {
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(runs.OneLine(lines[i]), " ")
	}
	return strings.Join(lines, "\n")
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
