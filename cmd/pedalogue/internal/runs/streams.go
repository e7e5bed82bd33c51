package runs

import (
	"errors"
	"io"

	"pedalogue/cmd/pedalogue/internal/store"
)

// What a command returns, and what it means to a calling program.
const (
	ExitDone     = 0 // all is done and everything can be played
	ExitConflict = 1 // all is done, and some score has a spot that cannot be played as planned
	ExitUsage    = 2 // the command line was wrong; nothing was done
	ExitFailed   = 3 // some file could not be read or written; the others are done

	ExitInterrupted = 130 // interrupted: what is done is done, the rest is as it was
)

// Streams are what a command reads and writes, the system it writes files with,
// and what is known about errors.
type Streams struct {
	In       io.Reader
	Out, Err io.Writer
	Sys      store.System
	// Explain tells what is known about an error beside its text; nil for nothing.
	Explain func(error) Explanation
	Given   Given // options that were not typed
}

// Given are options that came from a file. The zero value is none.
type Given struct {
	File    string   `json:"file"`
	Options []string `json:"options"` // "respell = free"
}

// An Explanation is what is known about an error beside its text.
type Explanation struct {
	Hint  string // what to do about it; "" if there is nothing to say
	Attrs []any  // for the log, as of log/slog
}

// Advice is an error with a hint at what to do about it.
type Advice struct {
	Err  error
	Hint string
}

// Error returns what is wrong, without the hint.
func (a *Advice) Error() string { return a.Err.Error() }

// Unwrap returns the error without the hint.
func (a *Advice) Unwrap() error { return a.Err }

// Explained is what is known about an error.
func (s Streams) Explained(err error) Explanation {
	var known Explanation
	if s.Explain != nil {
		known = s.Explain(err)
	}
	var advice *Advice
	if known.Hint == "" && errors.As(err, &advice) {
		known.Hint = advice.Hint
	}
	return known
}

// Complain writes an error as the program's message, and its hint.
func (s Streams) Complain(err error) { complain(s.Err, err, s.Explained(err).Hint) }
