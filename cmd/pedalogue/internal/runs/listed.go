package runs

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"pedalogue/cmd/pedalogue/internal/store"
)

// maxList bounds a list of files, in bytes: some millions of paths.
const maxList = 1 << 30

// listedFiles reads the names in a list, "-" being standard input. Names end with
// a line end, or with a zero byte as other programs write lists of any names.
func listedFiles(ctx context.Context, list string, zero bool, stdin io.Reader) ([]string, error) {
	in := store.Source{Path: list}
	if list != store.Standard {
		info, err := os.Stat(list)
		if err != nil {
			return nil, store.NewError(list, err, "")
		}
		if info.IsDir() {
			return nil, store.NewError(list, errors.New("is a folder, not a list of files"), "folders are named without --files-from")
		}
		if !info.Mode().IsRegular() { // a pipe, whose size cannot be compared
			f, err := os.Open(list)
			if err != nil {
				return nil, store.NewError(list, err, "")
			}
			defer f.Close()
			in, stdin = store.Source{Path: store.Standard}, f
		}
	}
	read, err := in.Read(ctx, stdin, maxList)
	if err != nil {
		return nil, err
	}
	names := splitNames(read.Data, zero)
	if slices.Contains(names, store.Standard) {
		return nil, store.NewError(list, errors.New("standard input cannot be named in a list"), "a file of that name is ./-")
	}
	if len(names) == 0 {
		return nil, store.NewError(list, errors.New("the list names no file"), "")
	}
	return names, nil
}

func splitNames(data []byte, zero bool) []string {
	end := byte('\n')
	if zero {
		end = 0
	}
	var names []string
	for name := range bytes.SplitSeq(data, []byte{end}) {
		if !zero {
			name = bytes.TrimSuffix(name, []byte("\r"))
		}
		if len(name) > 0 {
			names = append(names, string(name))
		}
	}
	return names
}

// matching returns the files and folders that fit a pattern of *, ? and [...],
// for shells that leave patterns to the program. As in a folder, hidden files and
// copies that the tool has written are left out unless the pattern names them.
func (c Collector) matching(pattern string) ([]string, error) {
	found, err := filepath.Glob(pattern)
	if err != nil {
		return nil, fmt.Errorf("is neither a file nor a pattern (%w)", err)
	}
	base := filepath.Base(pattern)
	own := c.LeaveOut != nil && c.LeaveOut(base)
	return slices.DeleteFunc(found, func(path string) bool {
		return isHidden(filepath.Base(path)) && !isHidden(base) || !own && c.leavesOut(path)
	}), nil
}

func isPattern(arg string) bool { return strings.ContainsAny(arg, "*?[") }

// matches are the sources for a pattern.
func (c Collector) matches(ctx context.Context, pattern string) []store.Source {
	found, err := c.matching(pattern)
	if err == nil && len(found) == 0 {
		err = errors.New("no file fits this pattern")
	}
	if err != nil {
		return []store.Source{{Path: pattern, Err: store.NewError(pattern, err, "")}}
	}
	var sources []store.Source
	for _, path := range found {
		sources = append(sources, c.named(ctx, path)...)
	}
	return sources
}
