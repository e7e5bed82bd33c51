package runs

import (
	"fmt"
	"io"
	"log/slog"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"pedalogue/report/plain"
)

// Messages are what a run says on standard error: errors, and as JSON lines also
// what became of each score.
type Messages struct {
	s     Streams
	log   *slog.Logger // nil to write for people
	quiet bool         // errors only
	ascii bool         // nothing beyond ASCII
}

// Messages are those of a batch whose options have been taken over.
func (b *Batch) Messages(s Streams) Messages {
	m := Messages{s: s, quiet: b.Quiet, ascii: b.ASCII}
	if b.logging == "json" {
		var w io.Writer = s.Err
		if b.ASCII {
			w = asciiLines{w}
		}
		m.log = slog.New(slog.NewJSONHandler(w, nil))
	}
	return m
}

// Fail tells an error about the score at path.
func (m Messages) Fail(path string, err error) {
	known := m.s.Explained(err)
	if m.log == nil {
		var text strings.Builder
		complain(&text, err, known.Hint)
		m.say(text.String())
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
	m.say("pedalogue: " + plain.Line(text) + "\n")
}

// say writes text for people.
func (m Messages) say(text string) {
	if m.ascii {
		text = plain.ASCII(text)
	}
	io.WriteString(m.s.Err, text)
}

// asciiLines are lines of JSON with all that is beyond ASCII escaped.
type asciiLines struct{ w io.Writer }

func (a asciiLines) Write(p []byte) (int, error) {
	_, err := a.w.Write(ASCIIJSON(p))
	return len(p), err
}

// ASCIIJSON escapes what is beyond ASCII in a JSON document, where it can only stand
// inside strings.
func ASCIIJSON(doc []byte) []byte {
	var out []byte
	for _, r := range string(doc) {
		if r < utf8.RuneSelf {
			out = append(out, byte(r))
			continue
		}
		for _, u := range utf16.AppendRune(nil, r) {
			out = fmt.Appendf(out, `\u%04x`, u)
		}
	}
	return out
}
