package runs

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"golang.org/x/term"
)

// patience is how long a run may take before it says how far it is, and redraw is
// how often it says so then.
const (
	patience = time.Second
	redraw   = 100 * time.Millisecond
)

// A Progress shows on one line how far a long run is, or where that is of one score,
// how far its work is. It is silent where standard error is no terminal. The nil
// Progress shows nothing. What is told of a score must not run into the line: it is
// taken away first. Several goroutines may use it at once.
type Progress struct {
	sync.Mutex
	w            io.Writer
	what         string     // is counted, "scores"
	columns      func() int // the width of the terminal
	plain        bool       // the terminal knows no control sequences
	over         bool       // nothing more is shown
	now          func() time.Time
	done, total  int
	begun, drawn time.Time
	shown        int // how many columns the line has now; 0 if it is not there
}

// newProgress returns the progress of a run that has yet to say what it counts; nil if
// there is nobody to watch it.
func newProgress(w io.Writer) *Progress {
	f, ok := TerminalOf(w)
	if !ok {
		return nil
	}
	columns := func() int {
		if width, _, err := term.GetSize(int(f.Fd())); err == nil && width > 0 {
			return width
		}
		return 80
	}
	p := ProgressOn(w, columns, time.Now)
	kind := os.Getenv("TERM")
	p.plain = kind == "" || kind == "dumb"
	return p
}

// ProgressOn returns a progress on a terminal so many columns wide, by a clock.
func ProgressOn(terminal io.Writer, columns func() int, now func() time.Time) *Progress {
	return &Progress{w: terminal, columns: columns, now: now}
}

// Begin says that so many things are to be done now.
func (p *Progress) Begin(what string, total int) {
	if p == nil {
		return
	}
	p.Lock()
	defer p.Unlock()
	if !p.over {
		p.what, p.total, p.done, p.begun = what, total, 0, p.now()
	}
}

// clear makes room for what is to be printed. If the window has become narrower than
// the line, it takes several rows by now.
func (p *Progress) clear() {
	if p == nil {
		return
	}
	p.Lock()
	defer p.Unlock()
	p.erase()
}

func (p *Progress) erase() {
	if p.shown == 0 {
		return
	}
	columns := max(1, p.columns())
	if rows := (p.shown - 1) / columns; !p.plain {
		if rows > 0 {
			fmt.Fprintf(p.w, "\x1b[%dA", rows)
		}
		io.WriteString(p.w, "\r\x1b[J")
	} else {
		fmt.Fprintf(p.w, "\r%*s\r", min(p.shown, columns-1), "")
	}
	p.shown = 0
}

// Step counts one thing that is done, and shows the line again.
func (p *Progress) Step() {
	if p == nil {
		return
	}
	p.Lock()
	defer p.Unlock()
	if p.over || p.total < 2 { // the score was given up, or nothing lasts
		return
	}
	p.done++
	now := p.now()
	if now.Sub(p.begun) < patience || p.shown > 0 && now.Sub(p.drawn) < redraw && p.done < p.total {
		return
	}
	p.erase()
	line := p.line(p.columns() - 1) // in the last column, some terminals begin a new line
	io.WriteString(p.w, line)
	p.shown, p.drawn = len(line), now
}

// widest is how long the line may be.
const widest = 80

// line is what is shown, in ASCII and so many columns at most: "scores 12 of 100
// [##........] 8s left".
func (p *Progress) line(columns int) string {
	columns = min(columns, widest)
	head := fmt.Sprintf("%s %d of %d ", p.what, p.done, p.total)
	tail := ""
	if p.done < p.total && p.done > 0 {
		spent := p.now().Sub(p.begun)
		tail = fmt.Sprintf(" %v left", (spent / time.Duration(p.done) * time.Duration(p.total-p.done)).Round(time.Second))
	}
	if room := columns - len(head) - len(tail) - len("[]"); room >= 5 {
		full := room * p.done / p.total
		return head + "[" + strings.Repeat("#", full) + strings.Repeat(".", room-full) + "]" + tail
	}
	line := strings.TrimSpace(head)
	return line[:max(0, min(len(line), columns))]
}

// finish takes the line away for good.
func (p *Progress) finish() {
	if p == nil {
		return
	}
	p.Lock()
	defer p.Unlock()
	p.erase()
	p.over = true
}
