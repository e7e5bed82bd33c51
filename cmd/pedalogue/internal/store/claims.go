package store

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/text/unicode/norm"
)

// A key stands for a path, in less room.
type key [16]byte

// claims keeps apart what is read and what is written in one run. Values are
// indexes of sources.
type claims struct {
	place   Placement
	sources []Source
	read    map[key]int // by the paths of sources, and of what they link to
	written map[key]int
	folders map[string]string // where folders really are, as far as asked before

	apart *bool // whether the file system keeps such names apart; nil before it is asked
}

func newClaims(p Placement, sources []Source) *claims {
	c := &claims{place: p, sources: sources, read: map[key]int{}, written: map[key]int{}, folders: map[string]string{}}
	for i, in := range sources {
		if in.Err != nil || in.Path == Standard {
			continue
		}
		c.read[c.exact(in.Path)] = i
		if info, err := os.Lstat(in.Path); err != nil || info.Mode()&os.ModeSymlink == 0 {
			continue
		}
		if real, err := filepath.EvalSymlinks(in.Path); err == nil {
			c.read[c.exact(real)] = i
		}
	}
	return c
}

// resolve is the function resolve, which is slow for a hundred thousand paths,
// with a memory for folders. Nothing is written while it is in use.
func (c *claims) resolve(path string) string {
	dir := filepath.Dir(path)
	real, known := c.folders[dir]
	if !known {
		real = resolveFolder(dir)
		c.folders[dir] = real
	}
	return filepath.Join(real, filepath.Base(path))
}

// exact stands for a path as it is written.
func (c *claims) exact(path string) key { return keyOf(c.resolve(path)) }

// folded is a path for all that a file system may take for the same.
func folded(path string) string { return strings.ToLower(norm.NFC.String(path)) }

func keyOf(text string) key {
	sum := sha256.Sum256([]byte(text))
	return key(sum[:len(key{})])
}

// add claims the files of t for the source with this index.
func (c *claims) add(i int, t Target) error {
	if t.Err != nil || t.Path == Standard {
		return t.Err
	}
	for _, path := range t.files() {
		if !t.InPlace || path != t.Path {
			if err := c.refuseSource(i, path); err != nil {
				return err
			}
		}
		if err := t.checkResolved(path, c.resolve); err != nil {
			return err
		}
	}
	claimed := t.claimed()
	for _, path := range claimed {
		if other, taken := c.takenBy(path); taken {
			if strings.HasSuffix(path, reportsMark) {
				path = t.Reports[0]
			}
			return NewError(c.sources[i].Path, fmt.Errorf("%q would be written for this file and for %q", path, c.sources[other].Path),
				"rename one, or do them in two runs with different --out folders")
		}
	}
	for _, path := range claimed {
		c.written[c.exact(path)] = i
		if c.place.Out != "" {
			c.written[keyOf(foldMark+folded(c.resolve(path)))] = i
		}
	}
	return nil
}

// foldMark keeps folded names apart from others.
const foldMark = "folded:"

// takenBy tells whose a result is already.
func (c *claims) takenBy(path string) (int, bool) {
	if i, taken := c.written[c.exact(path)]; taken {
		return i, true
	}
	if c.place.Out == "" {
		return 0, false // the names stand side by side already
	}
	i, taken := c.written[keyOf(foldMark+folded(c.resolve(path)))]
	return i, taken && !c.keptApart()
}

// keptApart tells whether the file system of the folder Out keeps names apart that
// differ only in case or in composed characters. It is tried out.
func (c *claims) keptApart() bool {
	if c.apart == nil {
		apart := c.place.DryRun || keepsApart(c.place.Out)
		c.apart = &apart
	}
	return *c.apart
}

// keepsApart makes a file in the folder, or the innermost one above that is there,
// and looks for it by other names.
func keepsApart(dir string) bool {
	for dir = absolute(dir); ; dir = filepath.Dir(dir) {
		if _, err := os.Stat(dir); err == nil || dir == filepath.Dir(dir) {
			break
		}
	}
	stem := temporary(filepath.Join(dir, "x"), tempTry)
	name := stem + "-\u00e9a"
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return false
	}
	defer os.Remove(name)
	f.Close()
	for _, other := range []string{stem + "-e\u0301a", stem + "-\u00e9A"} {
		if _, err := os.Lstat(other); err == nil {
			return false
		}
	}
	return true
}

// refuseSource refuses a result that is a source, by its name or by its content on
// the disk.
func (c *claims) refuseSource(i int, path string) error {
	in := c.sources[i]
	if other, is := c.read[c.exact(path)]; is {
		return c.isSource(in, path, c.sources[other].Path)
	}
	there, err := os.Stat(path)
	if err != nil {
		return nil // nothing is there, or the fault is told when it is written
	}
	if score, err := os.Stat(in.Path); err == nil && os.SameFile(there, score) {
		return c.isSource(in, path, in.Path)
	}
	return nil
}

func (c *claims) isSource(in Source, path, other string) error {
	if other == in.Path {
		return NewError(in.Path, errors.New("the copy would take the place of the file itself"),
			"give --out another folder, or replace files with --write")
	}
	return NewError(in.Path, fmt.Errorf("the result %q is also one of the files to read", path),
		"leave one of the two out")
}

// Unique returns the sources without those that were named before, by whatever
// path; a link is not what it leads to.
func Unique(sources []Source) []Source {
	c := newClaims(Placement{}, nil)
	seen := make(map[key]bool, len(sources))
	unique := sources[:0:0]
	for _, in := range sources {
		if in.Path != Standard {
			k := c.exact(in.Path)
			if seen[k] {
				continue
			}
			seen[k] = true
		}
		unique = append(unique, in)
	}
	return unique
}

// resolve returns the absolute path behind all links, as far as the path is
// there already; the rest is added as written. The last element is not
// followed: it is what a rename would replace.
func resolve(path string) string {
	abs, err := filepath.Abs(path)
	if err != nil {
		return filepath.Clean(path)
	}
	dir, rest := filepath.Dir(abs), filepath.Base(abs)
	for {
		if real, err := filepath.EvalSymlinks(dir); err == nil {
			return filepath.Join(real, rest)
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			return abs
		}
		dir, rest = parent, filepath.Join(filepath.Base(dir), rest)
	}
}

// resolveFolder is like resolve, but follows the last element too.
func resolveFolder(dir string) string {
	return filepath.Dir(resolve(filepath.Join(dir, "x")))
}
