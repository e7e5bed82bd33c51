package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

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
		if o, _ = r.shown(&sight{Format: 1, Score: in.path, Error: err.Error()}); o.out == nil {
			err = errors.Join(err, errors.New("internal error: no JSON for this error"))
		}
	}
	o.code, o.err, o.stack = exitFailed, err, stack
	return o
}

func (r *lookRun) shown(seen *sight) (outcome, error) {
	var b bytes.Buffer
	var err error
	if r.json {
		err = writeSight(&b, seen, r.many)
	} else {
		err = describe(&b, seen)
	}
	return outcome{out: b.Bytes()}, err
}

func lookAt(ctx context.Context, in input, options musicxml.Options, s streams) (*sight, error) {
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
	return newSight(doc, score), nil
}

func writeSight(w io.Writer, seen *sight, oneLine bool) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	if !oneLine {
		e.SetIndent("", "  ")
	}
	return e.Encode(seen)
}

// describe tells a person what was read.
func describe(w io.Writer, s *sight) error {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("%s", s.Score)
	if s.Title != "" {
		line("  title          %s", s.Title)
	}
	line("  document       %s, %s", s.Root, s.Encoding.Name)
	if s.Container != nil {
		line("  in a zip as    %s", s.Container.Rootfile)
	}
	line("  measures       %d written, %d played", len(s.Measures), len(s.Order))
	if len(s.Order) != len(s.Measures) {
		line("  playing order  %s", strings.Join(ranges(s.Order, s.Measures), ", "))
	}
	line("  parts")
	for _, p := range s.Parts {
		what := "      "
		if p.Harp {
			what = "harp  "
		}
		line("    %s%-6s %-24s %s, by %s", what, p.ID, p.Name, plural(p.Staves, "staff", "staves"), p.Clue)
	}
	for _, p := range s.Players {
		if len(p.Parts) > 1 {
			line("  one harp       %s plays %s", p.Name, strings.Join(p.Parts, " and "))
		}
	}
	if len(s.Players) == 0 {
		line("  no harp        name a part with --part to take it as one")
	}
	describeMarks(s, line)
	for _, warning := range s.Warnings {
		where := ""
		if warning.Part != "" {
			where += " part " + warning.Part
		}
		if warning.Measure != "" {
			where += " measure " + warning.Measure
		}
		if where != "" {
			where += ":"
		}
		line("  note:%s %s (%s)", where, warning.Text, warning.Code)
	}
	_, err := io.WriteString(w, cleanLines(b.String()))
	return err
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

// ranges writes a playing order as stretches of measure numbers.
func ranges(order []int, measures []seenMeasure) []string {
	var list []string
	for i := 0; i < len(order); {
		j := i
		for j+1 < len(order) && order[j+1] == order[j]+1 {
			j++
		}
		text := measures[order[i]].Number
		if j > i {
			text += "–" + measures[order[j]].Number
		}
		list = append(list, text)
		i = j + 1
	}
	return list
}
