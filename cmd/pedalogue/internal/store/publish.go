package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// publish gives all staged results their names. If one fails, those before it are
// taken back: what they replaced is put back, and what stood nowhere before is
// removed.
func (sys System) publish(results []*staging) error {
	for i, r := range results {
		if i == len(results)-1 {
			break // nothing comes after it that could fail
		}
		if err := sys.keepAside(r); err != nil {
			return also(err, sys.discard(results))
		}
	}
	for i, r := range results {
		if err := sys.Rename(r.staged, r.path); err != nil {
			err = NewError(r.path, fmt.Errorf("could not be written: %w", Bare(err)), "")
			return also(err, errors.Join(sys.takeBack(results[:i]), sys.discard(results)))
		}
		r.staged = ""
	}
	return errors.Join(sys.syncFolders(results), sys.discard(results))
}

// syncFolders makes the new names last.
func (sys System) syncFolders(results []*staging) error {
	done := map[string]bool{}
	for _, r := range results {
		dir := filepath.Dir(r.path)
		if done[dir] {
			continue
		}
		done[dir] = true
		if err := sys.SyncDir(dir); err != nil {
			return NewError(r.path, fmt.Errorf("is written and complete, but a power cut could still undo it: %w", Bare(err)), "")
		}
	}
	return nil
}

// keepAside gives the file that the result replaces a second name, under which it
// outlasts that; where this cannot be done, as on some memory cards, a copy.
func (sys System) keepAside(r *staging) error {
	if r.old == nil {
		return nil
	}
	name := temporary(r.path, tempOld)
	if sys.Link(r.path, name) == nil {
		r.aside = name
		return nil
	}
	data, err := os.ReadFile(r.path)
	if err != nil {
		return NewError(r.path, err, "")
	}
	r.aside, err = sys.writeBeside(r.path, tempOld, data, r.old)
	return err
}

// takeBack undoes the renames of results, the last first.
func (sys System) takeBack(results []*staging) error {
	var all error
	for i := range results {
		r := results[len(results)-1-i]
		if r.old == nil {
			all = errors.Join(all, sys.drop(r.path))
			continue
		}
		if err := sys.Rename(r.aside, r.path); err != nil {
			all = errors.Join(all, NewError(r.path, fmt.Errorf("could not be put back as it was, which is now %q: %w", r.aside, Bare(err)), ""))
		}
		r.aside = "" // where it is now, it stays
	}
	return all
}

// discard removes the temporary files.
func (sys System) discard(results []*staging) error {
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

func (sys System) drop(path string) error {
	if err := sys.Remove(path); err != nil {
		return NewError(path, fmt.Errorf("could not be removed: %w", Bare(err)), "remove it by hand")
	}
	return nil
}
