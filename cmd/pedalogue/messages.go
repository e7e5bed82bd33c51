package main

import (
	"errors"
	"fmt"
	"io"
	"log/slog"

	"pedalogue/musicxml"
)

// messages are what a run says on standard error: errors, and with --log json
// also what became of each score.
type messages struct {
	w     io.Writer
	log   *slog.Logger // nil to write for people
	quiet bool         // errors only
}

// newMessages reads the value of --log.
func newMessages(w io.Writer, format string, quiet bool) (messages, error) {
	m := messages{w: w, quiet: quiet}
	switch format {
	case "text":
	case "json":
		m.log = slog.New(slog.NewJSONHandler(w, nil))
	default:
		return m, fmt.Errorf("--log: %q is neither text nor json", format)
	}
	return m, nil
}

// fail tells an error about the score at path.
func (m messages) fail(path string, err error) {
	if m.log == nil {
		complain(m.w, err)
		return
	}
	attrs := []any{slog.String("score", path)}
	var placed *musicxml.Error
	if errors.As(err, &placed) {
		for _, a := range []struct{ key, value string }{
			{"file", placed.File}, {"part", placed.Part}, {"measure", placed.Measure}, {"beat", placed.Beat}, {"hint", placed.Hint},
		} {
			if a.value != "" {
				attrs = append(attrs, slog.String(a.key, a.value))
			}
		}
		if placed.Line > 0 {
			attrs = append(attrs, slog.Int("line", placed.Line))
		}
	}
	m.log.Error(singleLine(err.Error()), attrs...)
}

// tell says something that is not an error and that people see elsewhere.
func (m messages) tell(text string, attrs ...any) {
	if m.log != nil && !m.quiet {
		m.log.Info(text, attrs...)
	}
}

// note says something about the run as a whole.
func (m messages) note(text string) {
	if m.log != nil {
		m.log.Warn(text)
		return
	}
	fmt.Fprintf(m.w, "pedalogue: %s\n", text)
}
