package runs

import (
	"fmt"
	"io"
	"log/slog"
)

// messages are what a run says on standard error: errors, and with --log json
// also what became of each score.
type messages struct {
	w     io.Writer
	log   *slog.Logger // nil to write for people
	quiet bool         // errors only

	explain func(error) Explanation
}

// NewMessages reads the value of --log.
func NewMessages(w io.Writer, format string, quiet bool, explain func(error) Explanation) (messages, error) {
	m := messages{w: w, quiet: quiet, explain: explain}
	switch format {
	case "text":
	case "json":
		m.log = slog.New(slog.NewJSONHandler(w, nil))
	default:
		return m, fmt.Errorf("--log: %q is neither text nor json", format)
	}
	return m, nil
}

// Fail tells an error about the score at path.
func (m messages) Fail(path string, err error) {
	known := m.explain(err)
	if m.log == nil {
		Complain(m.w, err, known.Hint)
		return
	}
	attrs := append([]any{slog.String("score", path)}, known.Attrs...)
	m.log.Error(OneLine(err.Error()), attrs...)
}

// Complain writes an error as the program's message, and its hint.
func Complain(w io.Writer, err error, hint string) {
	fmt.Fprintf(w, "pedalogue: %s\n", OneLine(err.Error()))
	if hint != "" {
		fmt.Fprintf(w, "hint: %s\n", OneLine(hint))
	}
}

// An Explanation is what is known about an error beside its text.
type Explanation struct {
	Hint  string // what to do about it; "" if there is nothing to say
	Attrs []any  // for the log, as of log/slog
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
