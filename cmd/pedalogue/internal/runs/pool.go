package runs

import (
	"context"

	"golang.org/x/sync/errgroup"
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
// When ctx ends nothing more is begun; what is begun is waited for and emitted.
// It returns how many pieces were emitted.
func inOrder[T any](ctx context.Context, n int, l load, do func(i int) T, emit func(i int, result T)) int {
	memory := semaphore.NewWeighted(l.memory)
	queue := make(chan chan T, ahead)
	var workers errgroup.Group
	workers.SetLimit(l.jobs)
	go func() {
		defer close(queue)
		for i := range n {
			weight := min(l.weigh(i), l.memory)
			if memory.Acquire(ctx, weight) != nil || ctx.Err() != nil {
				return
			}
			result := make(chan T, 1)
			queue <- result
			workers.Go(func() error {
				defer memory.Release(weight)
				result <- do(i)
				return nil
			})
		}
	}()
	done := 0
	for result := range queue {
		emit(done, <-result)
		done++
	}
	return done
}
