package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime"
	"runtime/debug"

	"github.com/spf13/pflag"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/report"
)

// A batch is how a command goes through many scores.
type batch struct {
	args    []string // as typed
	list    string   // --files-from
	zero    bool
	jobs    int
	memory  int64
	share   shard
	logging string
	quiet   bool
}

// addFlags defines the options of commands that go through many scores. They
// return a function that checks them and takes them over when they have been
// read.
func (b *batch) addFlags(f *pflag.FlagSet) (take func() error) {
	f.StringVar(&b.list, "files-from", "", "read the names of scores and folders from `LIST`, one a line; - for standard input")
	f.BoolVarP(&b.zero, "null", "0", false, "names in the list end with a zero byte, as find -print0 writes them")
	f.IntVarP(&b.jobs, "jobs", "j", runtime.GOMAXPROCS(0), "work on this many scores at a time")
	f.Var(&byteSize{&b.memory}, "memory", "begin no further score while those in hand may need more than `SIZE` together (default a quarter of the machine's)")
	share := f.String("shard", "", "do only share `K/N` of the scores; N runs with K from 1 to N do them all")
	f.StringVar(&b.logging, "log", "text", "write messages as text, or as json, one a line")
	return func() error {
		var err error
		if b.share, err = parseShard(*share); err != nil {
			return fmt.Errorf("--shard: %w", err)
		}
		if b.jobs < 1 {
			return errors.New("--jobs: at least one score at a time")
		}
		if b.zero && b.list == "" {
			return errors.New("--null is about --files-from, which is missing")
		}
		if b.memory == 0 {
			b.memory = defaultMemory()
		}
		_, err = newMessages(nil, b.logging, false)
		return err
	}
}

// inputs finds all scores, whatever the share.
func (b *batch) inputs(c collector, s streams) ([]input, error) {
	if b.list == "" {
		return c.collect(b.args), nil
	}
	var inputs []input
	if len(b.args) > 0 {
		inputs = c.collect(b.args)
	}
	for _, in := range inputs {
		if in.path == standardStream && b.list == standardStream {
			return nil, errors.New("standard input can be a score or the list of --files-from, not both")
		}
	}
	names, err := listedFiles(b.list, b.zero, s.in)
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		inputs = append(inputs, c.named(name)...)
	}
	return inputs, nil
}

// mine returns the indexes of the inputs in this run's share.
func (b *batch) mine(inputs []input) []int {
	var indexes []int
	for i, in := range inputs {
		if b.share.has(in.path) {
			indexes = append(indexes, i)
		}
	}
	return indexes
}

// A task is what is done with one input of a batch.
type task func(ctx context.Context, i int) outcome

// run does the task for the inputs with these indexes, prints what comes of each
// in their order, and hands the outcome to collect. A fault of one is told and
// stops no other. It returns the exit code.
func (b *batch) run(inputs []input, indexes []int, limits musicxml.Limits, do task, s streams, collect func(i int, o outcome)) (code int) {
	messages, err := newMessages(s.err, b.logging, b.quiet)
	if err != nil {
		complain(s.err, err)
		return exitUsage
	}
	ctx, stop := interruptible()
	defer stop()
	defer collectFor(b.memory)()

	var bar *progress
	if !b.quiet {
		bar = newProgress(s.err, len(indexes))
	}
	printer := &printer{s: s, messages: messages}
	undone := 0
	begun := inOrder(ctx, len(indexes), load{
		jobs: b.jobs, memory: b.memory,
		weigh: func(i int) int64 { return inputs[indexes[i]].weight(limits.WithDefaults().Bytes) },
	}, func(i int) outcome { return do(ctx, indexes[i]) }, func(i int, o outcome) {
		if errors.Is(o.err, errInterrupted) {
			undone++
			return
		}
		if len(o.out) > 0 || len(o.note) > 0 || o.err != nil || messages.log != nil {
			bar.clear() // to make room
		}
		code = max(code, printer.print(inputs[indexes[i]].path, o))
		collect(indexes[i], o)
		bar.step()
	})
	bar.finish()
	undone += len(indexes) - begun
	if undone > 0 {
		messages.note(fmt.Sprintf("interrupted: %d of %d scores are done", len(indexes)-undone, len(indexes)))
		code = exitInterrupted
	}
	return code
}

// guarded turns a panic over one score into an error of that score.
func guarded(path string, do func() (outcome, error)) (o outcome, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			o = outcome{stack: string(debug.Stack())}
			if p, ok := fault.(*pedal.Panic); ok {
				o.stack = string(p.Stack)
			}
			err = fileError(path, fmt.Errorf("internal error: %v", fault),
				"this is a fault of the program, please report it; other scores are not touched by it")
		}
	}()
	return do()
}

// An outcome is what comes of one input.
type outcome struct {
	code   int
	out    []byte // for standard output
	note   []byte // for standard error
	err    error
	stack  string        // of a panic
	report *report.Score // nil if the command makes none
	kept   bool          // nothing was to be done: an earlier run has done it
}

// A printer writes outcomes in their order.
type printer struct {
	s        streams
	messages messages
	broken   bool // standard output takes nothing any more
}

// print returns the exit code for the outcome.
func (p *printer) print(path string, o outcome) int {
	code := o.code
	if len(o.out) > 0 && !p.broken {
		if _, err := p.s.out.Write(o.out); err != nil {
			p.broken = true
			p.messages.fail(standardStream, fmt.Errorf("standard output: %w", bare(err)))
		}
	}
	if p.broken {
		code = exitFailed
	}
	p.s.err.Write(o.note)
	p.tell(path, o)
	return code
}

func (p *printer) tell(path string, o outcome) {
	score := slog.String("score", path)
	if o.err != nil {
		p.messages.fail(path, o.err)
		if o.stack != "" {
			p.messages.tell("stack of the internal error", score, slog.String("stack", o.stack))
		}
		return
	}
	attrs := []any{score, slog.Bool("kept", o.kept)}
	if o.report != nil {
		attrs = append(attrs, counts(o.report)...)
	}
	p.messages.tell("done", attrs...)
}

// counts are those of a report, for the log.
func counts(r *report.Score) []any {
	var c report.Cost
	for _, p := range r.Parts {
		c.Changes += p.Cost.Changes
		c.Respelt += p.Cost.Respelt
		c.Rushed += p.Cost.Rushed
		c.Unsounded += p.Cost.Unsounded
	}
	return []any{
		slog.String("output", r.Output), slog.Int("changes", c.Changes), slog.Int("respelt", c.Respelt),
		slog.Int("rushed", c.Rushed), slog.Int("unsounded", c.Unsounded), slog.Bool("conflict", hasErrors(r)),
	}
}
