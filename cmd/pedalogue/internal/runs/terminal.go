package runs

import (
	"io"
	"os"

	"golang.org/x/term"
)

// TerminalOf returns the file behind a stream if that is a terminal.
func TerminalOf(w any) (*os.File, bool) {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil, false
	}
	return f, true
}

// Layout tells how to lay text out for a stream: as many columns as the terminal
// has, and in colours, unless it wants none (no-color.org); no columns and no
// colours for a pipe or file.
func Layout(w io.Writer) (columns int, colour bool) {
	f, ok := TerminalOf(w)
	if !ok {
		return 0, false
	}
	if width, _, err := term.GetSize(int(f.Fd())); err == nil {
		columns = width
	}
	return columns, os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}
