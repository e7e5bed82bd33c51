package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
)

// Standard is how standard input and standard output are named among
// paths.
const Standard = "-"

// A Source is one score to be read, or the reason why an argument gives none.
type Source struct {
	Path string // as shown and as opened; Standard for standard input
	Root string // the folder argument it was found under; "" if it was named itself
	Err  error  // an *Error; then there is nothing to read
}

// A Reading is the content of an input and what is needed to tell later whether
// the file is still the same.
type Reading struct {
	Data []byte
	info os.FileInfo // nil for standard input
}

// Links is how many names the file has; 1 for standard input, or where that is not
// known.
func (r Reading) Links() int {
	if r.info == nil {
		return 1
	}
	return links(r.info)
}

// Read reads the source, of at most limit bytes. A file that changes while it is
// read is an error. Standard input is not waited for any longer when ctx ends.
func (in Source) Read(ctx context.Context, stdin io.Reader, limit int64) (Reading, error) {
	switch {
	case in.Err != nil:
		return Reading{}, in.Err
	case in.Path == Standard:
		return readStandard(ctx, stdin, limit)
	}
	f, err := os.Open(in.Path)
	if err != nil {
		return Reading{}, NewError(in.Path, err, "")
	}
	defer f.Close()
	before, err := f.Stat()
	if err != nil {
		return Reading{}, NewError(in.Path, err, "")
	}
	data, err := readAll(f, before.Size(), limit)
	if err != nil {
		return Reading{}, NewError(in.Path, err, hintFor(err))
	}
	after, err := f.Stat()
	if err != nil {
		return Reading{}, NewError(in.Path, err, "")
	}
	if int64(len(data)) != before.Size() || !isUnchanged(before, after) {
		return Reading{}, NewError(in.Path, errChanged, "try again when no other program writes to it")
	}
	return Reading{Data: data, info: after}, nil
}

func readStandard(ctx context.Context, stdin io.Reader, limit int64) (Reading, error) {
	type result struct {
		data []byte
		err  error
	}
	done := make(chan result, 1)
	go func() {
		data, err := readAll(stdin, 0, limit)
		done <- result{data, err}
	}()
	select {
	case r := <-done:
		if r.err != nil {
			return Reading{}, NewError(Standard, r.err, hintFor(r.err))
		}
		return Reading{Data: r.data}, nil
	case <-ctx.Done():
		return Reading{}, ctx.Err()
	}
}

var (
	errChanged  = errors.New("the file has changed since it was read")
	errTooLarge = errors.New("the file is larger than the limit")
)

func hintFor(err error) string {
	if errors.Is(err, errTooLarge) {
		return "if the file can be trusted, allow more with --max-size"
	}
	return ""
}

// readAll reads r to its end; size is what it is expected to hold.
func readAll(r io.Reader, size, limit int64) ([]byte, error) {
	if size > limit {
		return nil, fmt.Errorf("%w of %d bytes", errTooLarge, limit)
	}
	data := make([]byte, 0, size+512)
	for {
		n, err := r.Read(data[len(data):cap(data)])
		data = data[:len(data)+n]
		if int64(len(data)) > limit {
			return nil, fmt.Errorf("%w of %d bytes", errTooLarge, limit)
		}
		if err == io.EOF {
			return data, nil
		}
		if err != nil {
			return nil, err
		}
		if len(data) == cap(data) {
			data = slices.Grow(data, len(data))
		}
	}
}

// isUnchanged compares two states of a file.
func isUnchanged(a, b os.FileInfo) bool {
	return os.SameFile(a, b) && a.Size() == b.Size() && a.ModTime().Equal(b.ModTime())
}
