package runs

import (
	"fmt"
	"io"
	"time"

	"github.com/cheggaaa/pb/v3"
	"golang.org/x/term"
)

// patience is how long a run may take before it says how far it is, and redraw is
// how often it says so then.
const (
	patience = time.Second
	redraw   = 100 * time.Millisecond
)

// A progress shows on one line how far a long run is. It is silent where standard
// error is no terminal. The nil progress shows nothing.
//
// A library makes the line; when it is shown and taken away is decided here,
// since what is told of a score must not run into it.
type progress struct {
	w            io.Writer
	columns      func() int // the width of the terminal
	now          func() time.Time
	bar          *pb.ProgressBar
	begun, drawn time.Time
	shown        int // how many columns the line has now; 0 if it is not there
}

// newProgress returns the progress of a run over total scores; nil if there is
// nobody to watch it.
func newProgress(w io.Writer, total int) *progress {
	f, ok := TerminalOf(w)
	if !ok || total < 2 {
		return nil
	}
	columns := func() int {
		if width, _, err := term.GetSize(int(f.Fd())); err == nil && width > 0 {
			return width
		}
		return 80
	}
	return &progress{w: w, columns: columns, now: time.Now, bar: newBar(total), begun: time.Now()}
}

// newBar returns a bar in ASCII that only draws itself when it is asked.
func newBar(total int) *pb.ProgressBar {
	return pb.New(total).SetWriter(io.Discard).Set(pb.Static, true).Set(pb.Color, false).
		SetTemplateString(`scores {{counters . "%s of %s"}} {{bar . "[" "#" "#" "." "]"}} {{rtime . "%s left" "" ""}}`).Start()
}

// clear makes room for what is to be printed.
func (p *progress) clear() {
	if p == nil || p.shown == 0 {
		return
	}
	// Blanks, and no control sequence: every terminal knows them.
	fmt.Fprintf(p.w, "\r%*s\r", p.shown, "")
	p.shown = 0
}

// step counts one score and shows the line again.
func (p *progress) step() {
	if p == nil {
		return
	}
	p.bar.Increment()
	now := p.now()
	if now.Sub(p.begun) < patience || p.shown > 0 && now.Sub(p.drawn) < redraw && p.bar.Current() < p.bar.Total() {
		return
	}
	line := p.line(p.columns() - 1) // in the last column, some terminals begin a new line
	fmt.Fprintf(p.w, "\r%-*s", p.shown, line)
	p.shown, p.drawn = max(p.shown, len(line)), now
}

// line is what is shown, in so many columns at most.
func (p *progress) line(columns int) string {
	if columns < 1 {
		return ""
	}
	line := p.bar.SetWidth(min(columns, 80)).String()
	return line[:min(len(line), columns)]
}

// finish takes the line away.
func (p *progress) finish() { p.clear() }
