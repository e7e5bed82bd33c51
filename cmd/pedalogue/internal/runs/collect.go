package runs

import (
	"context"
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
	Out string // the folder of --out; "" for none
	// LeaveOut tells files to leave out in folders and among what fits a pattern; nil
	// for none.
	LeaveOut func(path string) bool
	// Left is told what was left out so, and (inOut) each score in the folder of --out,
	// which is left out whole; nil for nobody.
	Left func(path string, inOut bool)
}

func (c Collector) leavesOut(path string) bool {
	if c.LeaveOut == nil || !c.LeaveOut(path) {
		return false
	}
	if c.Left != nil {
		c.Left(path, false)
	}
	return true
}

// leavesOutFolder tells of the scores in the folder of --out.
func (c Collector) leavesOutFolder(ctx context.Context, out string) {
	if c.Left == nil {
		return
	}
	filepath.WalkDir(out, func(path string, d fs.DirEntry, err error) error {
		switch {
		case ctx.Err() != nil:
			return fs.SkipAll
		case err != nil, d.IsDir() && isHidden(d.Name()) && path != out:
			return fs.SkipDir // which nobody wanted to read
		case !d.IsDir() && IsScoreName(d.Name()) && !isHidden(d.Name()):
			c.Left(path, true)
		}
		return nil
	})
}

// Collect returns the sources that the arguments name, in their order. No
// argument is standard input. It stops when ctx ends.
//
// A folder stands for the scores in it and below it, in the order of their
// paths: files that end in .musicxml, .xml or .mxl, in any case. Left out are
// those that LeaveOut tells, hidden files and folders, META-INF (what remains of an
// unpacked score), and the folder out, if the copies go to one that lies inside. A
// link to a file is read; a link to a folder is not followed, so no loop of links
// can catch us. What cannot be listed is a source with an error, and the others are
// still found.
//
// An argument with *, ? or [ that is no file itself is a pattern, and stands for
// the files and folders that fit it.
func (c Collector) Collect(ctx context.Context, args []string) []store.Source {
	if len(args) == 0 {
		return []store.Source{{Path: store.Standard}}
	}
	var sources []store.Source
	var usedStandard bool
	for i := 0; i < len(args); i++ {
		arg := args[i]
		if arg == store.Standard {
			in := store.Source{Path: arg}
			if usedStandard {
				in.Err = store.NewError(arg, errors.New("standard input can be read only once"), "")
			}
			usedStandard = true
			sources = append(sources, in)
			continue
		}
		if _, err := os.Stat(arg); errors.Is(err, os.ErrNotExist) && isPattern(arg) {
			sources = append(sources, c.matches(ctx, arg)...)
			continue
		} else if err != nil {
			in, pieces := missing(args[i:], err)
			sources = append(sources, in)
			i += pieces - 1
			continue
		}
		sources = append(sources, c.named(ctx, arg)...)
	}
	return sources
}

// named returns the sources for a path that is no pattern.
func (c Collector) named(ctx context.Context, path string) []store.Source {
	switch info, err := os.Stat(path); {
	case err != nil:
		return []store.Source{{Path: path, Err: store.NewError(path, err, "")}}
	case info.IsDir():
		return c.scoresBelow(ctx, path)
	case !info.Mode().IsRegular():
		return []store.Source{{Path: path, Err: store.NewError(path, errors.New("is not a regular file"),
			"to read from a pipe, use standard input")}}
	}
	return []store.Source{{Path: path}}
}

// scoresBelow lists the scores in a folder.
func (c Collector) scoresBelow(ctx context.Context, root string) []store.Source {
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
	var sources []store.Source
	err := filepath.WalkDir(walk, func(path string, d fs.DirEntry, err error) error {
		if ctx.Err() != nil {
			return fs.SkipAll
		}
		if err != nil {
			sources = append(sources, store.Source{Path: filepath.Clean(path), Root: root, Err: store.NewError(filepath.Clean(path), err, "")})
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		top := path == walk
		if d.IsDir() {
			if !top && isSame(d, outInfo) {
				c.leavesOutFolder(ctx, path)
				return fs.SkipDir
			}
			if !top && (isHidden(d.Name()) || d.Name() == "META-INF") {
				return fs.SkipDir
			}
			return nil
		}
		if !IsScoreName(d.Name()) || isHidden(d.Name()) || c.leavesOut(path) {
			return nil
		}
		in := store.Source{Path: path, Root: root}
		switch info, err := os.Stat(path); {
		case err != nil:
			in.Err = store.NewError(path, err, "")
		case !info.Mode().IsRegular():
			return nil
		}
		sources = append(sources, in)
		return nil
	})
	if err != nil {
		sources = append(sources, store.Source{Path: root, Root: root, Err: store.NewError(root, err, "")})
	}
	slices.SortStableFunc(sources, func(a, b store.Source) int { return strings.Compare(a.Path, b.Path) })
	if len(sources) == 0 {
		return []store.Source{{Path: root, Root: root, Err: store.NewError(root, errors.New("no scores in this folder"),
			"scores end in .musicxml, .xml or .mxl")}}
	}
	return sources
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
