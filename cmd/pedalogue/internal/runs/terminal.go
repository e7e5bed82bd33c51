package runs

import (
	"io"
	"os"

	"golang.org/x/term"
)

// TerminalOf returns the file behind a stream if that is a terminal.
func TerminalOf(w io.Writer) (*os.File, bool) {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil, false
	}
	return f, true
}
