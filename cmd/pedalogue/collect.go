package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"pedalogue/musicxml"
)

// standardStream is how standard input and standard output are named among
// paths.
const standardStream = "-"

// An input is one score to be read, or the reason why an argument gives none.
type input struct {
	path string // as shown and as opened; standardStream for standard input
	root string // the folder argument it was found under; "" if it was named itself
	err  error  // an *musicxml.Error; then there is nothing to read
}

// A collector finds the inputs.
type collector struct {
	out      string                 // the folder of --out; "" for none
	leaveOut func(name string) bool // names of files to leave out in folders; nil for isOwnCopy
}

func (c collector) leavesOut(name string) bool {
	if c.leaveOut == nil {
		return isOwnCopy(name)
	}
	return c.leaveOut(name)
}

// collect returns the inputs that the arguments name, in their order. No
// argument is standard input.
//
// A folder stands for the scores in it and below it, in the order of their
// paths: files that end in .musicxml, .xml or .mxl, in any case. Left out are
// copies that the tool has written (NAME.pedals.EXT), hidden files and folders,
// META-INF (what remains of an unpacked score), and the folder out, if the
// copies go to one that lies inside. A link to a file is read; a link to a
// folder is not followed, so no loop of links can catch us. What cannot be
// listed is an input with an error, and the others are still found.
//
// An argument with *, ? or [ that is no file itself is a pattern, and stands for
// the files and folders that fit it.
func (c collector) collect(args []string) []input {
	if len(args) == 0 {
		return []input{{path: standardStream}}
	}
	var inputs []input
	var usedStandard bool
	for _, arg := range args {
		if arg == standardStream {
			in := input{path: arg}
			if usedStandard {
				in.err = fileError(arg, errors.New("standard input can be read only once"), "")
			}
			usedStandard = true
			inputs = append(inputs, in)
			continue
		}
		if _, err := os.Stat(arg); errors.Is(err, os.ErrNotExist) && isPattern(arg) {
			inputs = append(inputs, c.matches(arg)...)
			continue
		}
		inputs = append(inputs, c.named(arg)...)
	}
	return inputs
}

// named returns the inputs for a path that is no pattern.
func (c collector) named(path string) []input {
	switch info, err := os.Stat(path); {
	case err != nil:
		return []input{{path: path, err: fileError(path, err, "")}}
	case info.IsDir():
		return c.scoresBelow(path)
	case !info.Mode().IsRegular():
		return []input{{path: path, err: fileError(path, errors.New("is not a regular file"),
			"to read from a pipe, use standard input")}}
	}
	return []input{{path: path}}
}

// scoresBelow lists the scores in a folder.
func (c collector) scoresBelow(root string) []input {
	// The folder may itself be a link; only a path that ends in a separator is
	// walked as the folder that it leads to.
	walk := root
	if !os.IsPathSeparator(walk[len(walk)-1]) {
		walk += string(filepath.Separator)
	}
	var outInfo os.FileInfo
	if c.out != "" {
		outInfo, _ = os.Stat(c.out) // a folder that is not there yet holds nothing
	}
	var inputs []input
	err := filepath.WalkDir(walk, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			inputs = append(inputs, input{path: filepath.Clean(path), root: root, err: fileError(filepath.Clean(path), err, "")})
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		top := path == walk
		if d.IsDir() {
			if !top && (isHidden(d.Name()) || d.Name() == "META-INF" || isSame(d, outInfo)) {
				return fs.SkipDir
			}
			return nil
		}
		if !isScoreName(d.Name()) || isHidden(d.Name()) || c.leavesOut(d.Name()) {
			return nil
		}
		in := input{path: path, root: root}
		switch info, err := os.Stat(path); {
		case err != nil:
			in.err = fileError(path, err, "")
		case !info.Mode().IsRegular():
			return nil
		}
		inputs = append(inputs, in)
		return nil
	})
	if err != nil {
		inputs = append(inputs, input{path: root, root: root, err: fileError(root, err, "")})
	}
	slices.SortStableFunc(inputs, func(a, b input) int { return strings.Compare(a.path, b.path) })
	if len(inputs) == 0 {
		return []input{{path: root, root: root, err: fileError(root, errors.New("no scores in this folder"),
			"scores end in .musicxml, .xml or .mxl")}}
	}
	return inputs
}

func isSame(d fs.DirEntry, other os.FileInfo) bool {
	if other == nil {
		return false
	}
	info, err := d.Info()
	return err == nil && os.SameFile(info, other)
}

func isHidden(name string) bool { return strings.HasPrefix(name, ".") }

func isScoreName(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".musicxml", ".xml", ".mxl":
		return true
	}
	return false
}

// isOwnCopy tells whether the name is one that copies get: NAME.pedals.EXT.
func isOwnCopy(name string) bool {
	stem := strings.TrimSuffix(name, filepath.Ext(name))
	return strings.EqualFold(filepath.Ext(stem), copyMark)
}

// A reading is the content of an input and what is needed to tell later whether
// the file is still the same.
type reading struct {
	data []byte
	info os.FileInfo // nil for standard input
}

// read reads the input, of at most limit bytes. A file that changes while it is
// read is an error.
func (in input) read(stdin io.Reader, limit int64) (reading, error) {
	if in.err != nil {
		return reading{}, in.err
	}
	if in.path == standardStream {
		data, err := readAll(stdin, 0, limit)
		if err != nil {
			return reading{}, fileError(in.path, err, hintFor(err))
		}
		return reading{data: data}, nil
	}
	f, err := os.Open(in.path)
	if err != nil {
		return reading{}, fileError(in.path, err, "")
	}
	defer f.Close()
	before, err := f.Stat()
	if err != nil {
		return reading{}, fileError(in.path, err, "")
	}
	data, err := readAll(f, before.Size(), limit)
	if err != nil {
		return reading{}, fileError(in.path, err, hintFor(err))
	}
	after, err := f.Stat()
	if err != nil {
		return reading{}, fileError(in.path, err, "")
	}
	if int64(len(data)) != before.Size() || !isUnchanged(before, after) {
		return reading{}, fileError(in.path, errChanged, "try again when no other program writes to it")
	}
	return reading{data: data, info: after}, nil
}

// readUnless is like read, but does not wait for standard input when ctx ends.
func (in input) readUnless(ctx context.Context, stdin io.Reader, limit int64) (reading, error) {
	if in.err != nil || in.path != standardStream {
		return in.read(stdin, limit)
	}
	type result struct {
		reading
		err error
	}
	done := make(chan result, 1)
	go func() {
		r, err := in.read(stdin, limit)
		done <- result{r, err}
	}()
	select {
	case r := <-done:
		return r.reading, r.err
	case <-ctx.Done():
		return reading{}, ctx.Err()
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

// fileError makes an error about a file.
func fileError(path string, err error, hint string) error {
	return &musicxml.Error{File: path, Err: plainError(bare(err)), Hint: hint}
}

// plainError puts the commonest errors of the system into words that say what
// is the matter with the file.
func plainError(err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("there is no such file or folder (%w)", err)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("not allowed (%w)", err)
	}
	return err
}
