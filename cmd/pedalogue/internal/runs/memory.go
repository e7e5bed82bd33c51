package runs

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"runtime/debug"
	"sync"

	"pedalogue/cmd/pedalogue/internal/store"
)

// What marking a score takes in memory, measured over the largest real scores:
// the planner's tables, and for each byte of the decoded document what is kept
// of it while it is read and written.
const (
	programBytes   = 16 << 20 // of the process, that the collector of garbage does not count
	plannerBytes   = 64 << 20
	bytesPerByte   = 12
	bytesPerWorker = 5 // for each worker after the first
)

// Most scores need a heap of a few megabytes, through which the collector of
// garbage would go again and again: it is let grow to so many percent above what is
// in use. With a large score in hand it grows as usual, and the more scores are done,
// of each of which something is kept, the less it grows.
const (
	roomySmall = 500
	roomyLarge = 100
	roomyMany  = 75
	largeBytes = 4 << 20 // of decoded document
	idleBytes  = 3 << 20 // in use before the first score
	keptBytes  = 1 << 10 // of each score that is done, at most
)

// roomy is the percentage while no large score is in hand and so many are done: the
// heap grows by as many bytes as before the first, as long as that is enough.
func roomy(done int) int {
	return max(roomyMany, roomySmall*idleBytes/(idleBytes+keptBytes*done))
}

// CollectFor sets the collector of garbage for a run that may take so much memory:
// it works harder when that runs short, so that what is in hand stays within its
// estimate. The function returned undoes it.
func CollectFor(memory int64) (undo func()) {
	limit := debug.SetMemoryLimit(max(memory/2, memory-programBytes))
	percent := debug.SetGCPercent(roomySmall)
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	}
}

// A large counts the large scores in hand, and keeps the collector of garbage to
// the ways of the usual heap while there is one.
type large struct {
	mu    sync.Mutex
	count int
	done  int // scores that are done, large or not
}

// begin counts a score of a decoded size; the function returned counts it out.
func (l *large) begin(size int64) (end func()) {
	if size < largeBytes {
		return func() { l.add(0) }
	}
	l.add(1)
	return func() { l.add(-1) }
}

// add counts large scores that begin, or a score that ends.
func (l *large) add(n int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	was := l.count > 0
	l.count += n
	if n <= 0 {
		l.done++
	}
	switch is := l.count > 0; {
	case is && !was:
		debug.SetGCPercent(roomyLarge)
	case !is && (was || l.done%1000 == 0):
		debug.SetGCPercent(roomy(l.done))
	}
}

// weightOf estimates the memory in bytes that a score of a decoded size will need.
func weightOf(size int64) int64 { return plannerBytes + bytesPerByte*size }

// decoded estimates the decoded size of an input in bytes. limit is the largest
// that is read at all.
func decoded(in store.Source, limit int64) int64 {
	if in.Path == store.Standard || in.Err != nil {
		return 0
	}
	return min(decodedSize(in.Path), limit)
}

// workers is how many workers may plan for a score of a decoded size: as many as
// there are to spare, if in so many bytes of memory there is room for them.
func workers(size int64, spare int, room int64) int {
	if spare == 1 {
		return 1
	}
	more := (room - weightOf(size)) / (1 + bytesPerWorker*size)
	return int(min(max(1, 1+more), int64(spare)))
}

// decodedSize is the size of a score document: that of the file, or of the
// largest entry if it is a zip. It is an estimate, 0 for what cannot be read:
// what is wrong with a file is told when it is read.
func decodedSize(path string) int64 {
	f, err := os.Open(path)
	if err != nil {
		return 0
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return 0
	}
	var magic [4]byte
	if _, err := io.ReadFull(f, magic[:]); err != nil || !bytes.Equal(magic[:], []byte("PK\x03\x04")) {
		return info.Size()
	}
	z, err := zip.NewReader(f, info.Size())
	if err != nil {
		return info.Size()
	}
	size := uint64(info.Size())
	for _, entry := range z.File {
		size = max(size, min(entry.UncompressedSize64, 1<<50))
	}
	return int64(size)
}

// fallbackMemory is taken for the machine's memory where that is not known.
const fallbackMemory = 4 << 30

// DefaultMemory is a quarter of what the machine, or the container around us,
// has to give.
func DefaultMemory() int64 { return machineMemory() / 4 }
