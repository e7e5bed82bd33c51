package runs

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"pedalogue/cmd/pedalogue/internal/store"
)

// A Collector finds the inputs.
type Collector struct {
	Out      string                 // the folder of --out; "" for none
	LeaveOut func(name string) bool // names of files to leave out in folders; nil for none
}

func (c Collector) leavesOut(name string) bool {
	return c.LeaveOut != nil && c.LeaveOut(name)
}

// Collect returns the inputs that the arguments name, in their order. No
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
func (c Collector) Collect(args []string) []store.Source {
	if len(args) == 0 {
		return []store.Source{{Path: store.Standard}}
	}
	var inputs []store.Source
	var usedStandard bool
	for _, arg := range args {
		if arg == store.Standard {
			in := store.Source{Path: arg}
			if usedStandard {
				in.Err = store.NewError(arg, errors.New("standard input can be read only once"), "")
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
func (c Collector) named(path string) []store.Source {
	switch info, err := os.Stat(path); {
	case err != nil:
		return []store.Source{{Path: path, Err: store.NewError(path, err, "")}}
	case info.IsDir():
		return c.scoresBelow(path)
	case !info.Mode().IsRegular():
		return []store.Source{{Path: path, Err: store.NewError(path, errors.New("is not a regular file"),
			"to read from a pipe, use standard input")}}
	}
	return []store.Source{{Path: path}}
}

// scoresBelow lists the scores in a folder.
func (c Collector) scoresBelow(root string) []store.Source {
	// The folder may itself be a link; only a path that ends in a separator is
	// walked as the folder that it leads to.
	walk := root
	if !os.IsPathSeparator(walk[len(walk)-1]) {
		walk += string(filepath.Separator)
	}
	var outInfo os.FileInfo
	if c.Out != "" {
		outInfo, _ = os.Stat(c.Out) // a folder that is not there yet holds nothing
	}
	var inputs []store.Source
	err := filepath.WalkDir(walk, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			inputs = append(inputs, store.Source{Path: filepath.Clean(path), Root: root, Err: store.NewError(filepath.Clean(path), err, "")})
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
		if !IsScoreName(d.Name()) || isHidden(d.Name()) || c.leavesOut(d.Name()) {
			return nil
		}
		in := store.Source{Path: path, Root: root}
		switch info, err := os.Stat(path); {
		case err != nil:
			in.Err = store.NewError(path, err, "")
		case !info.Mode().IsRegular():
			return nil
		}
		inputs = append(inputs, in)
		return nil
	})
	if err != nil {
		inputs = append(inputs, store.Source{Path: root, Root: root, Err: store.NewError(root, err, "")})
	}
	slices.SortStableFunc(inputs, func(a, b store.Source) int { return strings.Compare(a.Path, b.Path) })
	if len(inputs) == 0 {
		return []store.Source{{Path: root, Root: root, Err: store.NewError(root, errors.New("no scores in this folder"),
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

func IsScoreName(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".musicxml", ".xml", ".mxl":
		return true
	}
	return false
}
