package main

import (
	"fmt"
	"io"
	"strings"
	"time"

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
type progress struct {
	w            io.Writer
	columns      func() int // the width of the terminal
	now          func() time.Time
	total, done  int
	begun, drawn time.Time
	shown        int // how many columns the line has now; 0 if it is not there
}

// newProgress returns the progress of a run over total scores; nil if there is
// nobody to watch it.
func newProgress(w io.Writer, total int) *progress {
	f, ok := terminalOf(w)
	if !ok || total < 2 {
		return nil
	}
	columns := func() int {
		if width, _, err := term.GetSize(int(f.Fd())); err == nil && width > 0 {
			return width
		}
		return 80
	}
	return &progress{w: w, columns: columns, now: time.Now, total: total, begun: time.Now()}
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
	p.done++
	now := p.now()
	if now.Sub(p.begun) < patience || p.shown > 0 && now.Sub(p.drawn) < redraw && p.done < p.total {
		return
	}
	line := p.line(now.Sub(p.begun), p.columns()-1) // in the last column, some terminals begin a new line
	fmt.Fprintf(p.w, "\r%-*s", p.shown, line)
	p.shown, p.drawn = max(p.shown, len(line)), now
}

// line is what is shown after some time, in ASCII and so many columns at most.
func (p *progress) line(elapsed time.Duration, columns int) string {
	left := elapsed / time.Duration(p.done) * time.Duration(p.total-p.done)
	head := fmt.Sprintf("scores %*d of %d ", len(fmt.Sprint(p.total)), p.done, p.total)
	tail := fmt.Sprintf(" %v left", left.Round(time.Second))
	if room := columns - len(head) - len(tail) - len("[]"); room >= 10 {
		room = min(room, 40)
		full := room * p.done / p.total
		head += "[" + strings.Repeat("#", full) + strings.Repeat(".", room-full) + "]"
	}
	line := head + tail
	return line[:max(0, min(len(line), columns))]
}

// finish takes the line away.
func (p *progress) finish() { p.clear() }
