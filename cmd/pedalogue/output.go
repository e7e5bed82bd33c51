package main

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/text/unicode/norm"
)

// copyMark stands before the extension of a marked copy: NAME.pedals.EXT.
const copyMark = ".pedals"

// What report files end in, behind NAME.pedals.
const (
	extJSON     = ".json"
	extHTML     = ".html"
	extChanges  = ".changes.csv"
	extFindings = ".findings.csv"
)

// placement says where marked copies and reports go.
type placement struct {
	out     string   // the folder of --out; "" to write beside the input
	inPlace bool     // --write: the copy takes the input's place
	reports []string // extensions of the report files to be written, ".json"
	suffix  string   // what stands before the extension of a copy beside the input; "" for copyMark
}

// A target is where the results of one input go.
type target struct {
	path    string   // the marked copy; standardStream for standard output
	reports []string // the report files, as in placement.reports
	inPlace bool     // path is the input itself
	within  string   // the folder that no result may leave; "" if that does not matter
	err     error    // an *musicxml.Error; then nothing can be written
}

// targets gives each input its place. Beside the input the copy is
// NAME.pedals.EXT. In the folder of --out a file that was named itself goes
// directly into it, and what was found below a folder argument has the same
// place below it; names stay. Reports are NAME.pedals.json and so on, in the
// folder of the copy. What came from standard input goes to standard output.
//
// No result may be an input, and no two results may be one file; then the later
// one has the error. In the folder of --out, names that differ only in case
// count as one, since some file systems cannot keep them apart.
//
// The error is about the placement as a whole.
func (p placement) targets(inputs []input) ([]target, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	claims := newClaims(inputs, p.out != "")
	all := make([]target, len(inputs))
	for i, in := range inputs {
		if in.err != nil {
			all[i].err = in.err
			continue
		}
		t := p.target(in)
		if t.err == nil {
			t.err = claims.add(in, t)
		}
		all[i] = t
	}
	return all, nil
}

// check looks at the folder of --out, which may not be there yet.
func (p placement) check() error {
	if p.out == "" {
		return nil
	}
	if p.inPlace {
		return errors.New("--out and --write exclude each other")
	}
	switch info, err := os.Stat(p.out); {
	case errors.Is(err, os.ErrNotExist):
		if _, err := os.Lstat(p.out); err == nil {
			return fileError(p.out, errors.New("is a link that leads nowhere"), "")
		}
	case err != nil:
		return fileError(p.out, err, "")
	case !info.IsDir():
		return fileError(p.out, errors.New("is not a folder"), "--out takes a folder")
	}
	return nil
}

// target finds the place for one input, without regard to the others.
func (p placement) target(in input) target {
	if in.path == standardStream {
		return p.standardTarget()
	}
	base := filepath.Base(in.path)
	ext := filepath.Ext(base)
	stem := strings.TrimSuffix(base, ext)
	dir := filepath.Dir(in.path)
	t := target{within: p.out}
	switch {
	case p.inPlace:
		t.path, t.inPlace = in.path, true
	case p.out == "":
		t.path = filepath.Join(dir, stem+cmp.Or(p.suffix, copyMark)+ext)
	default:
		dir = p.out
		if in.root != "" {
			rel, err := filepath.Rel(in.root, in.path)
			if err != nil || !filepath.IsLocal(rel) {
				t.err = fileError(in.path, fmt.Errorf("has no place below %q", p.out), "")
				return t
			}
			dir = filepath.Join(p.out, filepath.Dir(rel))
		}
		t.path = filepath.Join(dir, base)
	}
	for _, ext := range p.reports {
		t.reports = append(t.reports, filepath.Join(dir, stem+copyMark+ext))
	}
	return t
}

func (p placement) standardTarget() target {
	t := target{path: standardStream}
	switch {
	case p.inPlace:
		t.err = fileError(standardStream, errors.New("standard input cannot be replaced"), "leave out --write, or name the file")
	case p.out != "":
		t.err = fileError(standardStream, errors.New("standard input has no name to go by in a folder"), "leave out --out, or name the file")
	case len(p.reports) > 0:
		t.err = fileError(standardStream, errors.New("standard input has no name to go by in the report's file name"), "name the file")
	}
	return t
}

// claims keeps apart what is read and what is written in one run. Keys are
// resolved paths, values the inputs behind them.
type claims struct {
	inputs  map[string]string
	served  map[string]string // those of the inputs that have their targets
	results map[string]string
	folders map[string]string // where folders really are, as far as asked before
	fold    bool              // names that differ only in case or composed characters are one
}

func newClaims(inputs []input, fold bool) *claims {
	c := &claims{
		inputs: map[string]string{}, served: map[string]string{}, results: map[string]string{}, folders: map[string]string{}, fold: fold,
	}
	for _, in := range inputs {
		if in.err != nil || in.path == standardStream {
			continue
		}
		c.inputs[c.resolve(in.path)] = in.path
		if info, err := os.Lstat(in.path); err != nil || info.Mode()&os.ModeSymlink == 0 {
			continue
		}
		if real, err := filepath.EvalSymlinks(in.path); err == nil {
			c.inputs[c.resolve(real)] = in.path
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

func (c *claims) key(path string) string {
	key := c.resolve(path)
	if c.fold {
		key = strings.ToLower(norm.NFC.String(key))
	}
	return key
}

// add claims the files of t for the input.
func (c *claims) add(in input, t target) error {
	if t.path == standardStream {
		return nil
	}
	if other, twice := c.served[c.resolve(in.path)]; twice {
		return fileError(in.path, fmt.Errorf("the file is named twice, before as %q", other), "")
	}
	paths := append([]string{t.path}, t.reports...)
	for i, path := range paths {
		if !t.inPlace || i > 0 {
			if err := c.refuseInput(in, path); err != nil {
				return err
			}
		}
		if other, taken := c.results[c.key(path)]; taken {
			return fileError(in.path, fmt.Errorf("%q would be written for this file and for %q", path, other),
				"rename one, or do them in two runs with different --out folders")
		}
		if err := t.checkResolved(path, c.resolve); err != nil {
			return err
		}
	}
	c.served[c.resolve(in.path)] = in.path
	for _, path := range paths {
		c.results[c.key(path)] = in.path
	}
	return nil
}

// refuseInput refuses a result that is an input, by its name or by its content
// on the disk.
func (c *claims) refuseInput(in input, path string) error {
	if other, is := c.inputs[c.resolve(path)]; is {
		return c.isInput(in, path, other)
	}
	there, err := os.Stat(path)
	if err != nil {
		return nil // nothing is there, or the fault is told when it is written
	}
	if score, err := os.Stat(in.path); err == nil && os.SameFile(there, score) {
		return c.isInput(in, path, in.path)
	}
	return nil
}

func (c *claims) isInput(in input, path, other string) error {
	if other == in.path {
		return fileError(in.path, errors.New("the copy would take the place of the file itself"),
			"give --out another folder, or replace files with --write")
	}
	return fileError(in.path, fmt.Errorf("the result %q is also one of the files to read", path),
		"leave one of the two out")
}

// checkWithin refuses a path that leads out of the folder of --out by a link.
func (t target) checkWithin(path string) error { return t.checkResolved(path, resolve) }

func (t target) checkResolved(path string, resolve func(path string) string) error {
	if t.within == "" {
		return nil
	}
	rel, err := filepath.Rel(filepath.Dir(resolve(filepath.Join(t.within, "x"))), filepath.Dir(resolve(path)))
	if err != nil || !filepath.IsLocal(rel) {
		return fileError(path, fmt.Errorf("a link leads out of %q here", t.within), "remove the link, or choose another folder with --out")
	}
	return nil
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
