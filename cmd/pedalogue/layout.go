package main

import (
	"io"
	"os"

	"golang.org/x/term"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/report"
)

// textOptions lays text out for the stream: as wide as the terminal and in
// colours, unless it wants none (no-color.org), or plainly for a pipe or file.
func textOptions(w io.Writer, ascii bool) report.TextOptions {
	o := report.TextOptions{ASCII: ascii}
	f, ok := runs.TerminalOf(w)
	if !ok {
		return o
	}
	if width, _, err := term.GetSize(int(f.Fd())); err == nil {
		o.Width = width
	}
	o.Colour = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	return o
}
