package runs

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"syscall"
)

// ErrInterrupted is the error of a score that was in hand when the run was
// interrupted, and of which nothing was written.
var ErrInterrupted = errors.New("interrupted")

// Interruptible returns a context that ends at the first interrupt or request to
// terminate. The second then has its usual effect and ends the program at once:
// results have their names only when they are complete, so it leaves at most
// hidden temporary files behind. A signal that the caller had us ignore stays
// ignored.
func Interruptible() (ctx context.Context, stop func()) {
	var signals []os.Signal
	for _, sig := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		if !signal.Ignored(sig) {
			signals = append(signals, sig)
		}
	}
	if len(signals) == 0 {
		return context.WithCancel(context.Background()) // no signals would stand for all
	}
	ctx, stop = signal.NotifyContext(context.Background(), signals...)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}
