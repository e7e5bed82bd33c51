package runs

import (
	"fmt"
	"io"
	"os"
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
// error is no terminal. The nil progress shows nothing. What is told of a score must
// not run into the line: it is taken away first.
type progress struct {
	w            io.Writer
	columns      func() int // the width of the terminal
	plain        bool       // the terminal knows no control sequences
	now          func() time.Time
	done, total  int
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
	kind := os.Getenv("TERM")
	return &progress{w: w, columns: columns, plain: kind == "" || kind == "dumb", now: time.Now, total: total, begun: time.Now()}
}

// clear makes room for what is to be printed. If the window has become narrower than
// the line, it takes several rows by now.
func (p *progress) clear() {
	if p == nil || p.shown == 0 {
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
	p.clear()
	line := p.line(p.columns() - 1) // in the last column, some terminals begin a new line
	io.WriteString(p.w, line)
	p.shown, p.drawn = len(line), now
}

// widest is how long the line may be.
const widest = 80

// line is what is shown, in ASCII and so many columns at most: "scores 12 of 100
// [##........] 8s left".
func (p *progress) line(columns int) string {
	columns = min(columns, widest)
	head := fmt.Sprintf("scores %d of %d ", p.done, p.total)
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

// finish takes the line away.
func (p *progress) finish() { p.clear() }
