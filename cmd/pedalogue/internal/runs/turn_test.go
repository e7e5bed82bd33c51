package runs

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
)

// Whatever a piece of work is at, the end of the context is not waited for longer;
// but what has been granted to commit is. Without that, this test would not end.
func TestGivenUp(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	forever := make(chan struct{})
	t.Cleanup(func() { close(forever) })
	granted, written := make(chan struct{}), false
	var got []string
	n := inOrder(ctx, 10, load{jobs: 3, memory: 100, weigh: func(int) int64 { return 1 }}, func(i int, turn *Turn) int {
		switch i {
		case 1:
			<-forever // it hears nothing
			if turn.Commit() == nil {
				t.Error("what was given up may commit")
			}
		case 2:
			if err := turn.Commit(); err != nil {
				t.Error(err)
			}
			close(granted)
			<-ctx.Done()
			written = true
		default:
			if i == 0 {
				return 0
			}
			<-granted
			stop()
			<-forever
		}
		return i
	}, func(i, result int, ok bool) { got = append(got, fmt.Sprint(i, result, ok)) })
	if want := []string{"0 0 true", "1 0 false", "2 2 true", "3 0 false"}; n != 4 || !slices.Equal(got, want) || !written {
		t.Errorf("%d emitted: %s, want %s; written %v", n, strings.Join(got, ", "), strings.Join(want, ", "), written)
	}
}

func TestCommit(t *testing.T) {
	var first, second Turn
	if err := errors.Join(first.Commit(), first.Commit()); err != nil || first.giveUp() {
		t.Error("a turn is taken away that was granted", err)
	}
	if !second.giveUp() || !errors.Is(second.Commit(), ErrInterrupted) {
		t.Error("a turn is granted that was taken away")
	}
}
