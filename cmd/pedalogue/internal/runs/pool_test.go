package runs

import (
	"context"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"

	"pedalogue/cmd/pedalogue/internal/store"
)

func TestInOrder(t *testing.T) {
	var at, most, weight, heaviest atomic.Int64
	weigh := func(i int) int64 { return int64(i%7) * 10 }
	emitted := 0
	n := inOrder(t.Context(), 1000, load{jobs: 4, memory: 100, weigh: weigh}, func(i int, _ *Turn) int {
		most.Store(max(most.Load(), at.Add(1)))
		heaviest.Store(max(heaviest.Load(), weight.Add(weigh(i))))
		defer func() { at.Add(-1); weight.Add(-weigh(i)) }()
		return i * i
	}, func(i, result int, _ bool) {
		if i != emitted || result != i*i {
			t.Errorf("result %d for %d, want the one for %d", result, i, emitted)
		}
		emitted++
	})
	if n != 1000 || most.Load() > 4 || heaviest.Load() > 100 {
		t.Errorf("%d done, up to %d at a time that weighed up to %d", n, most.Load(), heaviest.Load())
	}

	ctx, stop := context.WithCancel(t.Context())
	n = inOrder(ctx, 1000, load{jobs: 2, memory: 1, weigh: func(int) int64 { return 50 }}, func(i int, _ *Turn) int {
		if i == 10 {
			stop()
		}
		return i
	}, func(int, int, bool) {})
	if n != 11 {
		t.Errorf("%d done of those begun before the end, want 11: too heavy for more than one at a time", n)
	}
}

// More than one worker plans for a score only where there are jobs to spare and
// memory for the tables of each.
func TestWorkersNeedMemory(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.xml")
	if err := os.WriteFile(path, make([]byte, 1<<20), 0o600); err != nil {
		t.Fatal(err)
	}
	in := store.Source{Path: path}
	needs := weightOf(decoded(in, 1<<30))
	for _, tt := range []struct {
		spare int
		room  int64
		want  int
	}{
		{1, 1 << 40, 1}, {4, 1 << 40, 4}, {4, needs - 1, 1}, {4, needs, 1}, {4, 0, 1},
		{4, needs + (bytesPerWorker+1)<<20, 2}, {4, needs + 3*(bytesPerWorker+1)<<20, 4},
	} {
		if got := workers(decoded(in, 1<<30), tt.spare, tt.room); got != tt.want {
			t.Errorf("%d jobs to spare and %d bytes: %d workers, want %d", tt.spare, tt.room, got, tt.want)
		}
	}
}
