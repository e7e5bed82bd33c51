package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/text/unicode/norm"
)

// Placement says where marked copies and reports go.
type Placement struct {
	Out     string   // the folder of --out; "" to write beside the input
	InPlace bool     // --write: the copy takes the input's place
	Reports []string // extensions of the report files to be written, ".json"
	Suffix  string   // what stands before the extension of a copy beside the input, ".pedals"
	Mark    string   // what stands between the name of the input and the extension of a report

	ReportsOnly bool // there are no copies
}

// A Target is where the results of one input go.
type Target struct {
	Path    string   // the copy; Standard for standard output, "" for none
	Reports []string // the report files, as in Placement.Reports
	InPlace bool     // path is the input itself
	Within  string   // the folder that no result may leave; "" if that does not matter
	Err     error    // an *Error; then nothing can be written
}

// files are the copy and the reports.
func (t Target) files() []string {
	if t.Path == "" {
		return t.Reports
	}
	return append([]string{t.Path}, t.Reports...)
}

// Targets gives each input its place. Beside the input the copy is
// NAME.pedals.EXT, .pedals being the suffix. In the folder of --out a file that
// was named itself goes directly into it, and what was found below a folder
// argument has the same place below it; names stay. Reports are NAME.pedals.json
// and so on, .pedals being the mark, in the folder of the copy. What came from
// standard input goes to standard output.
//
// No result may be an input, and no two results may be one file; then the later
// one has the error. In the folder of --out, names that differ only in case
// count as one, since some file systems cannot keep them apart.
//
// The error is about the placement as a whole.
func (p Placement) Targets(inputs []Source) ([]Target, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	claims := newClaims(inputs, p.Out != "")
	all := make([]Target, len(inputs))
	for i, in := range inputs {
		if in.Err != nil {
			all[i].Err = in.Err
			continue
		}
		t := p.target(in)
		if t.Err == nil {
			t.Err = claims.add(in, t)
		}
		all[i] = t
	}
	return all, nil
}

// check looks at the folder of --out, which may not be there yet.
func (p Placement) check() error {
	if p.Out == "" {
		return nil
	}
	if p.InPlace {
		return errors.New("--out and --write exclude each other")
	}
	switch info, err := os.Stat(p.Out); {
	case errors.Is(err, os.ErrNotExist):
		if _, err := os.Lstat(p.Out); err == nil {
			return NewError(p.Out, errors.New("is a link that leads nowhere"), "")
		}
	case err != nil:
		return NewError(p.Out, err, "")
	case !info.IsDir():
		return NewError(p.Out, errors.New("is not a folder"), "--out takes a folder")
	}
	return nil
}

// target finds the place for one input, without regard to the others.
func (p Placement) target(in Source) Target {
	if in.Path == Standard {
		return p.standardTarget()
	}
	base := filepath.Base(in.Path)
	ext := filepath.Ext(base)
	stem := strings.TrimSuffix(base, ext)
	dir := filepath.Dir(in.Path)
	t := Target{Within: p.Out}
	switch {
	case p.InPlace:
		t.Path, t.InPlace = in.Path, true
	case p.Out == "" && p.ReportsOnly:
	case p.Out == "":
		t.Path = filepath.Join(dir, stem+p.Suffix+ext)
	default:
		dir = p.Out
		if in.Root != "" {
			rel, err := filepath.Rel(in.Root, in.Path)
			if err != nil || !filepath.IsLocal(rel) {
				t.Err = NewError(in.Path, fmt.Errorf("has no place below %q", p.Out), "")
				return t
			}
			dir = filepath.Join(p.Out, filepath.Dir(rel))
		}
		if !p.ReportsOnly {
			t.Path = filepath.Join(dir, base)
		}
	}
	for _, ext := range p.Reports {
		t.Reports = append(t.Reports, filepath.Join(dir, stem+p.Mark+ext))
	}
	return t
}

func (p Placement) standardTarget() Target {
	t := Target{Path: Standard}
	switch {
	case p.InPlace:
		t.Err = NewError(Standard, errors.New("standard input cannot be replaced"), "leave out --write, or name the file")
	case p.Out != "":
		t.Err = NewError(Standard, errors.New("standard input has no name to go by in a folder"), "leave out --out, or name the file")
	case len(p.Reports) > 0:
		t.Err = NewError(Standard, errors.New("standard input has no name to go by in the report's file name"), "name the file")
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

func newClaims(inputs []Source, fold bool) *claims {
	c := &claims{
		inputs: map[string]string{}, served: map[string]string{}, results: map[string]string{}, folders: map[string]string{}, fold: fold,
	}
	for _, in := range inputs {
		if in.Err != nil || in.Path == Standard {
			continue
		}
		c.inputs[c.resolve(in.Path)] = in.Path
		if info, err := os.Lstat(in.Path); err != nil || info.Mode()&os.ModeSymlink == 0 {
			continue
		}
		if real, err := filepath.EvalSymlinks(in.Path); err == nil {
			c.inputs[c.resolve(real)] = in.Path
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
func (c *claims) add(in Source, t Target) error {
	if t.Path == Standard {
		return nil
	}
	if other, twice := c.served[c.resolve(in.Path)]; twice {
		return NewError(in.Path, fmt.Errorf("the file is named twice, before as %q", other), "")
	}
	paths := t.files()
	for _, path := range paths {
		if !t.InPlace || path != t.Path {
			if err := c.refuseInput(in, path); err != nil {
				return err
			}
		}
		if other, taken := c.results[c.key(path)]; taken {
			return NewError(in.Path, fmt.Errorf("%q would be written for this file and for %q", path, other),
				"rename one, or do them in two runs with different --out folders")
		}
		if err := t.checkResolved(path, c.resolve); err != nil {
			return err
		}
	}
	c.served[c.resolve(in.Path)] = in.Path
	for _, path := range paths {
		c.results[c.key(path)] = in.Path
	}
	return nil
}

// refuseInput refuses a result that is an input, by its name or by its content
// on the disk.
func (c *claims) refuseInput(in Source, path string) error {
	if other, is := c.inputs[c.resolve(path)]; is {
		return c.isInput(in, path, other)
	}
	there, err := os.Stat(path)
	if err != nil {
		return nil // nothing is there, or the fault is told when it is written
	}
	if score, err := os.Stat(in.Path); err == nil && os.SameFile(there, score) {
		return c.isInput(in, path, in.Path)
	}
	return nil
}

func (c *claims) isInput(in Source, path, other string) error {
	if other == in.Path {
		return NewError(in.Path, errors.New("the copy would take the place of the file itself"),
			"give --out another folder, or replace files with --write")
	}
	return NewError(in.Path, fmt.Errorf("the result %q is also one of the files to read", path),
		"leave one of the two out")
}

// checkWithin refuses a path that leads out of the folder of --out by a link.
func (t Target) checkWithin(path string) error { return t.checkResolved(path, resolve) }

func (t Target) checkResolved(path string, resolve func(path string) string) error {
	if t.Within == "" {
		return nil
	}
	rel, err := filepath.Rel(filepath.Dir(resolve(filepath.Join(t.Within, "x"))), filepath.Dir(resolve(path)))
	if err != nil || !filepath.IsLocal(rel) {
		return NewError(path, fmt.Errorf("a link leads out of %q here", t.Within), "remove the link, or choose another folder with --out")
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
