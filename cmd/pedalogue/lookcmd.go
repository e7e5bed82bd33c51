package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"

	"pedalogue/cmd/pedalogue/internal/look"
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
	batch
	read musicxml.Options
	json bool
	many bool // one document a line
}

func runLook(args []string, s streams) int {
	var r lookRun
	var take func() error
	f := newFlags("look", lookHelp)
	inGroup(f, groupResults, func() {
		f.BoolVar(&r.json, "json", false, "print everything that is read as JSON, one document a line for several files")
	})
	inGroup(f, groupReading, func() { readFlags(f, &r.read) })
	inGroup(f, groupMany, func() { take = r.addFlags(f) })
	if done, code := parse(f, args, lookHelp, s); done {
		return code
	}
	if err := take(); err != nil {
		return usageError(s, f, err)
	}
	r.args = f.Args()
	inputs, err := r.inputs(collector{}, s)
	if err != nil {
		complain(s.err, err)
		return exitUsage
	}
	r.many = len(inputs) > 1
	return r.run(inputs, r.mine(inputs), r.read.Limits, func(ctx context.Context, i int) outcome {
		return r.one(ctx, inputs[i], s)
	}, s, func(int, outcome) {})
}

// one looks at one score.
func (r *lookRun) one(ctx context.Context, in input, s streams) outcome {
	o, err := guarded(in.path, func() (outcome, error) {
		seen, err := lookAt(ctx, in, r.read, s)
		if err != nil {
			return outcome{}, err
		}
		return r.shown(seen)
	})
	if err == nil {
		return o
	}
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		return outcome{err: errInterrupted}
	}
	stack := o.stack
	o = outcome{}
	if r.json {
		if o, _ = r.shown(&look.Sight{Format: look.Format, Score: in.path, Error: err.Error()}); o.out == nil {
			err = errors.Join(err, errors.New("internal error: no JSON for this error"))
		}
	}
	o.code, o.err, o.stack = exitFailed, err, stack
	return o
}

func (r *lookRun) shown(seen *look.Sight) (outcome, error) {
	var b bytes.Buffer
	var err error
	if r.json {
		err = seen.WriteJSON(&b, r.many)
	} else {
		var text bytes.Buffer
		err = seen.WriteText(&text)
		b.WriteString(cleanLines(text.String()))
	}
	return outcome{out: b.Bytes()}, err
}

func lookAt(ctx context.Context, in input, options musicxml.Options, s streams) (*look.Sight, error) {
	read, err := in.readUnless(ctx, s.in, options.Limits.WithDefaults().Bytes)
	if err != nil {
		return nil, err
	}
	doc, err := musicxml.Open(in.path, read.data, options.Limits)
	if err != nil {
		return nil, err
	}
	score, err := musicxml.Read(doc, options)
	if err != nil {
		return nil, err
	}
	return look.See(doc, score), nil
}

// cleanLines keeps what a file says from steering the terminal.
func cleanLines(text string) string {
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(singleLine(lines[i]), " ")
	}
	return strings.Join(lines, "\n")
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
