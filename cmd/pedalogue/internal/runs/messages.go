package runs

import (
	"fmt"
	"io"
	"log/slog"

	"pedalogue/report/plain"
)

// Messages are what a run says on standard error: errors, and as JSON lines also
// what became of each score.
type Messages struct {
	s     Streams
	log   *slog.Logger // nil to write for people
	quiet bool         // errors only
}

// Messages are those of a batch whose options have been taken over.
func (b *Batch) Messages(s Streams) Messages {
	m := Messages{s: s, quiet: b.Quiet}
	if b.logging == "json" {
		m.log = slog.New(slog.NewJSONHandler(s.Err, nil))
	}
	return m
}

// Fail tells an error about the score at path.
func (m Messages) Fail(path string, err error) {
	known := m.s.Explained(err)
	if m.log == nil {
		complain(m.s.Err, err, known.Hint)
		return
	}
	attrs := append([]any{slog.String("score", path)}, known.Attrs...)
	m.log.Error(plain.Line(err.Error()), attrs...)
}

// complain writes an error as the program's message, and its hint.
func complain(w io.Writer, err error, hint string) {
	fmt.Fprintf(w, "pedalogue: %s\n", plain.Line(err.Error()))
	if hint != "" {
		fmt.Fprintf(w, "hint: %s\n", plain.Line(hint))
	}
}

// Awaits says that what is to come on standard input is waited for, if a person has
// to type it.
func (s Streams) Awaits(what string) {
	if _, is := TerminalOf(s.In); is {
		fmt.Fprintf(s.Err, "pedalogue: waiting for %s to be typed; its end is told by Ctrl-D (Ctrl-Z on Windows), Ctrl-C gives up\n", what)
	}
}

// tell says something that is not an error and that people see elsewhere.
func (m Messages) tell(text string, attrs ...any) {
	if m.log != nil && !m.quiet {
		m.log.Info(text, attrs...)
	}
}

// Note says something about the run as a whole.
func (m Messages) Note(text string) {
	if m.log != nil {
		m.log.Warn(text)
		return
	}
	fmt.Fprintf(m.s.Err, "pedalogue: %s\n", text)
}
