package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// publish gives all staged results their names. If one fails, those before it are
// taken back: what they replaced is put back, and what stood nowhere before is
// removed.
func (sys fileSystem) publish(results []*result) error {
	for i, r := range results {
		if i == len(results)-1 {
			break // nothing comes after it that could fail
		}
		if err := sys.keepAside(r); err != nil {
			return also(err, sys.discard(results))
		}
	}
	for i, r := range results {
		if err := sys.rename(r.staged, r.path); err != nil {
			err = fileError(r.path, fmt.Errorf("could not be written: %w", bare(err)), "")
			return also(err, errors.Join(sys.takeBack(results[:i]), sys.discard(results)))
		}
		r.staged = ""
	}
	return errors.Join(sys.syncFolders(results), sys.discard(results))
}

// syncFolders makes the new names last.
func (sys fileSystem) syncFolders(results []*result) error {
	done := map[string]bool{}
	for _, r := range results {
		dir := filepath.Dir(r.path)
		if done[dir] {
			continue
		}
		done[dir] = true
		if err := sys.syncDir(dir); err != nil {
			return fileError(r.path, fmt.Errorf("is written and complete, but a power cut could still undo it: %w", bare(err)), "")
		}
	}
	return nil
}

// keepAside gives the file that the result replaces a second name, under which it
// outlasts that; where this cannot be done, as on some memory cards, a copy.
func (sys fileSystem) keepAside(r *result) error {
	if r.old == nil {
		return nil
	}
	name := temporary(r.path)
	if sys.link(r.path, name) == nil {
		r.aside = name
		return nil
	}
	data, err := os.ReadFile(r.path)
	if err != nil {
		return fileError(r.path, err, "")
	}
	r.aside, err = sys.writeBeside(r.path, data, r.old)
	return err
}

// takeBack undoes the renames of results, the last first.
func (sys fileSystem) takeBack(results []*result) error {
	var all error
	for i := range results {
		r := results[len(results)-1-i]
		if r.old == nil {
			all = errors.Join(all, sys.drop(r.path))
			continue
		}
		if err := sys.rename(r.aside, r.path); err != nil {
			all = errors.Join(all, fileError(r.path, fmt.Errorf("could not be put back as it was, which is now %q: %w", r.aside, bare(err)), ""))
		}
		r.aside = "" // where it is now, it stays
	}
	return all
}

// discard removes the temporary files.
func (sys fileSystem) discard(results []*result) error {
	var all error
	for _, r := range results {
		for _, name := range []*string{&r.staged, &r.aside} {
			if *name != "" {
				all = errors.Join(all, sys.drop(*name))
				*name = ""
			}
		}
	}
	return all
}

func (sys fileSystem) drop(path string) error {
	if err := sys.remove(path); err != nil {
		return fileError(path, fmt.Errorf("could not be removed: %w", bare(err)), "remove it by hand")
	}
	return nil
}
