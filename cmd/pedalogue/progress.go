package main

import (
	"io"
	"time"

	"github.com/schollz/progressbar/v3"
)

// patience is how long a run may take before it says how far it is.
const patience = time.Second

// A progress shows how far a long run is. It is silent where standard error is
// no terminal. The nil progress shows nothing.
//
// The bar itself is drawn by a library, since terminals differ in their width
// and in what clears a line; it has no other use here.
type progress struct {
	w     io.Writer
	total int
	done  int
	begun time.Time
	bar   *progressbar.ProgressBar // nil until the run has taken long
}

// newProgress returns the progress of a run over total scores; nil if there is
// nobody to watch it.
func newProgress(w io.Writer, total int) *progress {
	if _, ok := terminalOf(w); !ok || total < 2 {
		return nil
	}
	return &progress{w: w, total: total, begun: time.Now()}
}

// clear makes room for what is to be printed.
func (p *progress) clear() {
	if p != nil && p.bar != nil {
		p.bar.Clear()
	}
}

// step counts one score and shows the bar again.
func (p *progress) step() {
	if p == nil {
		return
	}
	p.done++
	if p.bar == nil {
		if time.Since(p.begun) < patience {
			return
		}
		p.bar = progressbar.NewOptions(p.total,
			progressbar.OptionSetWriter(p.w),
			progressbar.OptionSetDescription("scores"),
			progressbar.OptionShowCount(),
			progressbar.OptionSetPredictTime(true),
			progressbar.OptionFullWidth(),
			progressbar.OptionThrottle(100*time.Millisecond),
		)
	}
	p.bar.Set(p.done)
}

// finish takes the bar away.
func (p *progress) finish() {
	p.clear()
	if p != nil {
		p.bar = nil
	}
}
