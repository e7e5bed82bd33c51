// Package storetest has file systems that fail, for tests.
package storetest

import (
	"errors"
	"os"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/store"
)

// Want checks the file, the message and the hint of an error.
func Want(t *testing.T, err error, file, message, hint string) {
	t.Helper()
	var e *store.Error
	if !errors.As(err, &e) {
		t.Fatalf("error %v, want one about %q", err, message)
	}
	if e.File != file || !strings.Contains(e.Err.Error(), message) || !strings.Contains(e.Hint, hint) {
		t.Errorf("error %q about %q, hint %q; want %q, %q, %q", e.Err, e.File, e.Hint, message, file, hint)
	}
}

// A Breaker lets one step of a file system fail, the one with that number.
type Breaker struct {
	Step, At int
	What     string // the step that failed
	Asleep   bool   // no step fails
}

var ErrBroken = errors.New("no space left on device")

func (b *Breaker) fails(what string) bool {
	b.Step++
	if b.Step-1 != b.At || b.Asleep {
		return false
	}
	b.What = what
	return true
}

func (b *Breaker) System() store.System {
	sys := store.Disk()
	broken := sys
	broken.MkdirAll = func(dir string) error {
		if b.fails("mkdir") {
			return ErrBroken
		}
		return sys.MkdirAll(dir)
	}
	broken.Create = func(path string) (store.File, error) {
		if b.fails("create") {
			return nil, ErrBroken
		}
		f, err := sys.Create(path)
		return &brokenFile{f, b}, err
	}
	broken.Rename = func(from, to string) error {
		if b.fails("rename") {
			return ErrBroken
		}
		return sys.Rename(from, to)
	}
	broken.Link = func(from, to string) error {
		if b.fails("link") {
			return ErrBroken
		}
		return sys.Link(from, to)
	}
	broken.Remove = func(path string) error {
		if b.fails("remove") {
			return ErrBroken
		}
		return sys.Remove(path)
	}
	broken.SyncDir = func(dir string) error {
		if b.fails("sync of the folder") {
			return ErrBroken
		}
		return nil
	}
	return broken
}

type brokenFile struct {
	store.File
	breaker *Breaker
}

func (f *brokenFile) Write(p []byte) (int, error) {
	if f.breaker.fails("write") {
		n, _ := f.File.Write(p[:len(p)/2])
		return n, ErrBroken
	}
	return f.File.Write(p)
}

func (f *brokenFile) Chmod(mode os.FileMode) error {
	if f.breaker.fails("chmod") {
		return ErrBroken
	}
	return f.File.Chmod(mode)
}

func (f *brokenFile) Sync() error {
	if f.breaker.fails("sync") {
		return ErrBroken
	}
	return nil // waiting for the disk would tell us nothing
}

func (f *brokenFile) Close() error {
	err := f.File.Close()
	if f.breaker.fails("close") {
		return ErrBroken
	}
	return err
}
