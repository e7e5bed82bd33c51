package runs

import (
	"io"

	"pedalogue/cmd/pedalogue/internal/store"
)

// What run returns, and what it means to a calling program.
const (
	ExitDone     = 0 // all is done and everything can be played
	ExitConflict = 1 // all is done, and some score has a spot that cannot be played as planned
	ExitUsage    = 2 // the command line was wrong; nothing was done
	ExitFailed   = 3 // some file could not be read or written; the others are done

	ExitInterrupted = 130 // interrupted: what is done is done, the rest is as it was
)

// Streams are what a command reads and writes, and the system it writes files
// with.
type Streams struct {
	In       io.Reader
	Out, Err io.Writer
	Sys      store.System
	Explain  func(error) Explanation // what is known about an error
}
