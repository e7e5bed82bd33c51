package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
)

// A System is the part of the system that writes. Tests make each of its
// steps fail.
type System struct {
	MkdirAll func(dir string) error
	Create   func(path string) (File, error) // fails if the file is there
	Rename   func(from, to string) error
	Link     func(from, to string) error // a second name for a file; fails where there is no such thing
	Remove   func(path string) error
	SyncDir  func(dir string) error

	swept *sweeper // nil to leave alone what killed runs have left behind
}

// A File is a file that is being written.
type File interface {
	io.Writer
	Chmod(os.FileMode) error
	Sync() error
	Close() error
}

// Disk is the file system itself. Before the first result goes to a folder, stale
// temporary files are removed from it.
func Disk() System {
	return System{
		MkdirAll: func(dir string) error { return os.MkdirAll(dir, 0o777) },
		Create: func(path string) (File, error) {
			return os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		},
		Rename:  os.Rename,
		Link:    os.Link,
		Remove:  os.Remove,
		SyncDir: syncDir,
		swept:   &sweeper{},
	}
}

// syncDir makes a rename in the folder last through a power cut, where the
// system knows how.
func syncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil // folders cannot be opened for this
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	err = d.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, errors.ErrUnsupported) {
		err = nil // some network file systems do not offer it
	}
	return errors.Join(err, d.Close())
}

// A staging is one file to be written.
type staging struct {
	path   string
	data   []byte
	staged string      // the temporary file that holds the data; "" before and after
	old    os.FileInfo // the file that it replaces; nil if there is none
	aside  string      // the temporary name that keeps that file; "" before and after
}

// Save writes the marked copy and the reports of one input: all of them, or
// none. reports are in the order of t.reports. data nil writes no copy, which
// is for reports alone. Standard output is not a file and is the caller's to
// write. original is what was read, and has to be there unchanged
// still when the copy takes its place.
//
// Everything is first written to temporary files in the folders where it goes,
// and brought to the disk; then each takes its name in one step. Whoever looks
// sees the old file or the new one, never half of one. If one cannot take its
// name, those that have are taken back, and what they replaced is put back; only
// a program that is killed, or a power cut, between two of these steps leaves
// results of two runs.
func (sys System) Save(t Target, data []byte, reports [][]byte, original Reading) error {
	if t.Err != nil {
		return t.Err
	}
	if len(reports) > len(t.Reports) || t.Path == Standard {
		return NewError(t.Path, fmt.Errorf("no file for %d reports and a copy", len(reports)), "")
	}
	var results []*staging
	for i, report := range reports {
		results = append(results, &staging{path: t.Reports[i], data: report})
	}
	if data != nil {
		// Last, so that the copy stands only where its reports do.
		results = append(results, &staging{path: t.Path, data: data})
	}
	for _, r := range results {
		if err := sys.stage(t, r); err != nil {
			return also(err, sys.discard(results))
		}
	}
	if t.InPlace && data != nil {
		if err := checkOriginal(t.Path, original); err != nil {
			return also(err, sys.discard(results))
		}
	}
	return sys.publish(results)
}

// stage writes a result to a temporary file.
func (sys System) stage(t Target, r *staging) error {
	dir := filepath.Dir(r.path)
	if t.Within != "" {
		if err := t.checkWithin(r.path); err != nil {
			return err
		}
		if err := sys.MkdirAll(dir); err != nil {
			return NewError(r.path, fmt.Errorf("its folder could not be made: %w", Bare(err)), "")
		}
	}
	sys.sweep(dir)
	var err error
	if r.old, err = replaceable(r.path); err != nil {
		return err
	}
	r.staged, err = sys.writeBeside(r.path, tempNew, r.data, r.old)
	return err
}

// writeBeside writes data to a temporary file in the folder of path, with the mode
// of old if there is one. It returns the name even if the file could not be filled;
// "" if there is none.
func (sys System) writeBeside(path, kind string, data []byte, old os.FileInfo) (name string, err error) {
	name = temporary(path, kind)
	f, err := sys.Create(name)
	if err != nil {
		return "", NewError(path, err, "")
	}
	if err := fill(f, data, old); err != nil {
		return name, NewError(path, fmt.Errorf("could not be written: %w", Bare(err)), "")
	}
	return name, nil
}

// also adds to err what went wrong while cleaning up after it.
func also(err, cleanup error) error {
	if cleanup == nil {
		return err
	}
	return errors.Join(err, cleanup)
}

// fill writes data to a new file and brings it to the disk. It gets the mode of
// old, if there is one.
func fill(f File, data []byte, old os.FileInfo) (err error) {
	defer func() {
		if closeErr := f.Close(); err == nil {
			err = closeErr
		}
	}()
	if n, err := f.Write(data); err != nil {
		return err
	} else if n < len(data) {
		return io.ErrShortWrite
	}
	if old != nil {
		if err := f.Chmod(old.Mode().Perm()); err != nil {
			return err
		}
	}
	return f.Sync()
}

// replaceable returns the file that stands at the path now, or nil. Only a
// regular file that may be written to can be replaced.
func replaceable(path string) (os.FileInfo, error) {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, NewError(path, err, "")
	case info.Mode()&os.ModeSymlink != 0:
		return nil, NewError(path, errors.New("is a link and is not replaced"), "name the file that it leads to")
	case !info.Mode().IsRegular():
		return nil, NewError(path, errors.New("is not a regular file and is not replaced"), "")
	case info.Mode().Perm()&0o200 == 0:
		return nil, NewError(path, errors.New("is read-only and is not replaced"), "")
	}
	return info, nil
}

// checkOriginal checks that the file about to be replaced is still the one that
// was read.
func checkOriginal(path string, original Reading) error {
	info, err := os.Lstat(path)
	if err != nil {
		return NewError(path, err, "")
	}
	if original.info == nil || !isUnchanged(original.info, info) {
		return NewError(path, errChanged, "it was left alone; try again when no other program writes to it")
	}
	return nil
}
