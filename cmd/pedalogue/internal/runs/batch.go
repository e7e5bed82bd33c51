package runs

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime"
	"runtime/debug"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/store"
)

// A Batch is how a command goes through many scores: its options, of which most
// are read from the command line.
type Batch struct {
	Jobs   int   // how many scores at a time
	Memory int64 // bytes that those in hand may need together
	Quiet  bool  // say nothing but errors
	ASCII  bool  // say nothing beyond ASCII

	list    string // --files-from
	zero    bool
	share   string
	shard   shard
	logging string
}

// Flags adds the options to the flags of a command. The function returned checks
// them and takes them over when they have been read.
func (b *Batch) Flags(f *pflag.FlagSet) (take func() error) {
	f.StringVar(&b.list, "files-from", "", "read the names of scores and folders from `LIST`, one a line; - for standard input")
	f.BoolVarP(&b.zero, "null", "0", false, "names in the list end with a zero byte, as find -print0 writes them")
	f.IntVarP(&b.Jobs, "jobs", "j", runtime.GOMAXPROCS(0), "work on `N` scores at a time")
	f.Var(&ByteSize{&b.Memory}, "memory", "begin no further score while those in hand may need more than `SIZE` together (default a quarter of the machine's)")
	f.StringVar(&b.share, "shard", "", "do only share `K/N` of the scores; N runs with K from 1 to N do them all")
	f.StringVar(&b.logging, "log", "text", "write messages as `FORM`: text, or json, one a line")
	f.BoolVarP(&b.Quiet, "quiet", "q", false, "print nothing but errors")
	return b.take
}

func (b *Batch) take() (err error) {
	if b.shard, err = parseShard(b.share); err != nil {
		return fmt.Errorf("--shard: %w", err)
	}
	if b.Jobs < 1 {
		return errors.New("--jobs: at least one score at a time")
	}
	if b.zero && b.list == "" {
		return errors.New("--null is about --files-from, which is missing")
	}
	if b.Memory == 0 {
		b.Memory = DefaultMemory()
	}
	if b.logging != "text" && b.logging != "json" {
		return fmt.Errorf("--log: %q is neither text nor json", b.logging)
	}
	return nil
}

// Shared tells whether the run is one of several that share the scores.
func (b *Batch) Shared() bool { return b.shard.n > 1 }

// Sources finds all scores that the arguments and the list name, each once and
// whatever the share. The error is that of ctx if that ends.
func (b *Batch) Sources(ctx context.Context, c Collector, args []string, s Streams) ([]store.Source, error) {
	sources, err := b.sources(ctx, c, args, s)
	if err == nil {
		err = ctx.Err()
	}
	return store.Unique(sources), err
}

func (b *Batch) sources(ctx context.Context, c Collector, args []string, s Streams) ([]store.Source, error) {
	if b.list == "" {
		return c.Collect(ctx, args), nil
	}
	var sources []store.Source
	if len(args) > 0 {
		sources = c.Collect(ctx, args)
	}
	for _, in := range sources {
		if in.Path == store.Standard && b.list == store.Standard {
			return nil, errors.New("standard input can be a score or the list of --files-from, not both")
		}
	}
	if b.list == store.Standard {
		s.Awaits("names of scores")
	}
	names, err := listedFiles(ctx, b.list, b.zero, s.In)
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		sources = append(sources, c.named(ctx, name)...)
	}
	return sources, nil
}

// mine returns the indexes of the sources in this run's share.
func (b *Batch) mine(sources []store.Source) []int {
	var indexes []int
	for i, in := range sources {
		if b.shard.has(in.Path) {
			indexes = append(indexes, i)
		}
	}
	return indexes
}

// Each does something with the sources in this run's share, prints what comes of
// each in their order, and hands it to collect. limit is the largest that is read
// at all, in bytes. A fault of one is told and stops no other; the end of ctx drops
// those in hand, but for what they have been granted to commit; left is told those that
// are not done. It returns the exit code.
func Each[T Result](ctx context.Context, b *Batch, sources []store.Source, limit int64, do func(i int, hand Hand) T, s Streams, collect func(i int, done T), left func(i int)) (code int) {
	messages := b.Messages(s)
	defer CollectFor(b.Memory)()
	indexes := b.mine(sources)
	if len(indexes) > 1000 {
		runtime.GC() // what finding them has left, which is no measure of what a score takes
	}
	spare := max(1, b.Jobs/max(1, len(indexes)))
	room := b.Memory / int64(max(1, min(b.Jobs, len(indexes))))

	var bar, within *Progress // of the scores, or within the only one
	switch {
	case b.Quiet:
	case len(indexes) == 1:
		within = newProgress(s.Err)
	default:
		bar = newProgress(s.Err)
		bar.Begin("scores", len(indexes))
	}
	printer := &printer{s: s, messages: messages}
	var large large
	undone := 0
	begun := inOrder(ctx, len(indexes), load{
		jobs: b.Jobs, memory: b.Memory,
		weigh: func(i int) int64 { return weightOf(decoded(sources[indexes[i]], limit)) },
	}, func(i int, t *Turn) T {
		size := decoded(sources[indexes[i]], limit)
		defer large.begin(size)()
		return do(indexes[i], Hand{t, workers(size, spare, room), within})
	}, func(i int, done T, ok bool) {
		within.finish()
		if !ok || errors.Is(done.base().Err, ErrInterrupted) {
			undone++
			left(indexes[i])
			return
		}
		o := done.base()
		if len(o.Out) > 0 || len(o.Note) > 0 || o.Warn != "" || o.Err != nil || messages.log != nil {
			bar.clear() // to make room
		}
		code = max(code, printer.print(sources[indexes[i]].Path, o))
		collect(indexes[i], done)
		bar.Step()
	})
	bar.finish()
	undone += len(indexes) - begun
	for _, i := range indexes[begun:] {
		left(i)
	}
	if undone > 0 {
		messages.Note(fmt.Sprintf("interrupted: %d of %d scores are done", len(indexes)-undone, len(indexes)))
		code = ExitInterrupted
	}
	return code
}

// A Hand is what one score is done with.
type Hand struct {
	*Turn
	Workers  int       // how many may work on it at once
	Progress *Progress // of the steps within it; nil where nobody watches
}

// Guarded turns a panic over one score into an error of that score. stack is
// that of the panic.
func Guarded[T any](path string, do func() (T, error)) (done T, stack string, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			var nothing T
			done, stack = nothing, string(debug.Stack())
			if p, ok := fault.(interface{ Trace() []byte }); ok { // of another goroutine
				stack = string(p.Trace())
			}
			err = store.NewError(path, fmt.Errorf("internal error: %v", fault),
				"this is a fault of the program, please report it; other scores are not touched by it")
		}
	}()
	done, err = do()
	return done, "", err
}

// An Outcome is what comes of one input.
type Outcome struct {
	Code  int
	Out   []byte // for standard output
	Note  []byte // for standard error
	Err   error
	Stack string // of a panic
	Warn  string // what people should know, though it is no error; "" for nothing
	Facts []any  // what the log says of it when it is done, as of log/slog
}

// A Result is an outcome, or a struct that embeds one.
type Result interface{ base() Outcome }

func (o Outcome) base() Outcome { return o }

// A printer writes outcomes in their order.
type printer struct {
	s        Streams
	messages Messages
	broken   bool // standard output takes nothing any more
}

// print returns the exit code for the outcome.
func (p *printer) print(path string, o Outcome) int {
	code := o.Code
	if len(o.Out) > 0 && !p.broken {
		if _, err := p.s.Out.Write(o.Out); err != nil {
			p.broken = true
			p.messages.Fail(store.Standard, fmt.Errorf("standard output: %w", store.Bare(err)))
		}
	}
	if p.broken {
		code = ExitFailed
	}
	p.s.Err.Write(o.Note)
	p.tell(path, o)
	return code
}

func (p *printer) tell(path string, o Outcome) {
	score := slog.String("score", path)
	if o.Err != nil {
		p.messages.Fail(path, o.Err)
		if o.Stack != "" {
			p.messages.tell("stack of the internal error", score, slog.String("stack", o.Stack))
		}
		return
	}
	if o.Warn != "" {
		p.messages.Note(o.Warn)
	}
	p.messages.tell("done", append([]any{score}, o.Facts...)...)
}
