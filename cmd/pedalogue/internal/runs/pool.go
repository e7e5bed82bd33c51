package runs

import (
	"context"
	"sync/atomic"

	"golang.org/x/sync/semaphore"
)

// A load says how much may be done at once.
type load struct {
	jobs   int               // pieces of work at a time
	memory int64             // bytes that they may need together
	weigh  func(i int) int64 // bytes that one piece is expected to need
}

// ahead is how many results may wait for one before them. It bounds the memory
// for what is finished and not yet printed, if one score takes very long.
const ahead = 256

// inOrder does the work 0 to n-1, several pieces at a time, and hands the
// results to emit one by one in the order of their indexes, whatever the number
// of jobs. A piece that weighs more than all the memory is done alone.
//
// When ctx ends nothing more is begun, and what is begun is given up, whatever it
// is at: emit gets no result then. Only a piece that has been granted to commit is
// waited for. It returns how many pieces were emitted.
func inOrder[T any](ctx context.Context, n int, l load, do func(i int, t *Turn) T, emit func(i int, result T, ok bool)) int {
	type piece struct {
		turn   *Turn
		result chan T
	}
	jobs, memory := semaphore.NewWeighted(int64(l.jobs)), semaphore.NewWeighted(l.memory)
	queue := make(chan piece, ahead)
	go func() {
		defer close(queue)
		for i := range n {
			weight := min(l.weigh(i), l.memory)
			if memory.Acquire(ctx, weight) != nil || jobs.Acquire(ctx, 1) != nil || ctx.Err() != nil {
				return
			}
			p := piece{&Turn{}, make(chan T, 1)}
			select {
			case queue <- p:
			case <-ctx.Done():
				return
			}
			go func() {
				defer memory.Release(weight)
				defer jobs.Release(1)
				p.result <- do(i, p.turn)
			}()
		}
	}()
	done := 0
	for p := range queue {
		result, ok := await(ctx, p.turn, p.result)
		emit(done, result, ok)
		done++
	}
	return done
}

// await waits for a result; ok is false if the piece was given up before.
func await[T any](ctx context.Context, t *Turn, results <-chan T) (result T, ok bool) {
	select {
	case result = <-results:
		return result, true
	case <-ctx.Done():
	}
	if t.giveUp() {
		select {
		case result = <-results: // it was ready at the same moment
			return result, true
		default:
			return result, false
		}
	}
	return <-results, true
}

// A Turn is a piece of work as it looks to who does it.
type Turn struct{ state atomic.Int32 }

const (
	turnCommitted = 1
	turnGivenUp   = 2
)

// Commit asks to put the results in their places. If it is granted, the run waits
// for that to be done, also when it is interrupted; if not, nothing may be written
// any more, since nobody waits. The error is ErrInterrupted.
func (t *Turn) Commit() error {
	t.state.CompareAndSwap(0, turnCommitted)
	if t.state.Load() != turnCommitted {
		return ErrInterrupted
	}
	return nil
}

// giveUp takes the turn away, unless it was granted to commit.
func (t *Turn) giveUp() bool {
	t.state.CompareAndSwap(0, turnGivenUp)
	return t.state.Load() == turnGivenUp
}
