package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// A Placement says where copies and reports go.
type Placement struct {
	Out     string   // the folder that takes all results; "" to write beside the sources
	InPlace bool     // the copy takes the place of its source
	Reports []string // extensions of the report files to be written, ".json"
	Suffix  string   // what stands before the extension of a copy, ".pedals"
	Mark    string   // what stands between the name of the source and the extension of a report, ".pedals"

	OwnName     bool // in the folder Out a copy has the name of its source, without the suffix
	ReportsOnly bool // there are no copies
	DryRun      bool // nothing will be written
}

// A Target is where the results of one source go.
type Target struct {
	Path    string   // the copy; Standard for standard output, "" for none
	Reports []string // the report files, as in Placement.Reports
	InPlace bool     // Path is the source itself
	Within  string   // the folder that no result may leave; "" if that does not matter
	Err     error    // an *Error; then nothing can be written

	base string // of the reports, without what they end in; "" if they have no common one
}

// files are the copy and the reports.
func (t Target) files() []string {
	if t.Path == "" {
		return t.Reports
	}
	return append([]string{t.Path}, t.Reports...)
}

// Suffixed is the target with another suffix in the name of its copy, where that is
// not the source or standard output. The reports keep their names.
func (t Target) Suffixed(was, suffix string) Target {
	if t.InPlace || t.Path == "" || t.Path == Standard {
		return t
	}
	at := strings.LastIndex(t.Path, was)
	t.Path = t.Path[:at] + suffix + t.Path[at+len(was):]
	return t
}

// claimed are paths that no other target may have: the copy, what all the reports
// begin with, and what they would begin with if the copy were one.
func (t Target) claimed() []string {
	var paths []string
	if t.Path != "" {
		paths = append(paths, t.Path)
	}
	for i, path := range t.Reports {
		if i == 0 {
			paths = append(paths, t.base+reportsMark)
		}
		if whole, is := strings.CutSuffix(t.Path, path[len(t.base):]); is {
			paths = append(paths, whole+reportsMark)
		}
	}
	return paths
}

// reportsMark ends what stands for all reports that begin alike.
const reportsMark = "\x00"

// seal is where a seal goes that has no JSON report to go to; "" if there is no
// place for one.
func (t Target) seal() string {
	name := t.Path
	if name == "" {
		name = t.base
	}
	if name == "" || name == Standard {
		return ""
	}
	return filepath.Join(filepath.Dir(name), "."+filepath.Base(name)+sealExt)
}

// Targets are the places of all sources of a run. They are kept as short as they
// can be, since there may be a hundred thousand.
type Targets struct {
	place   Placement
	sources []Source
	above   map[string]int // by unit, how many of the folders above it are kept
	errs    map[int]error
}

// Targets gives each source its place. Beside the source the copy is
// NAME.pedals.EXT, .pedals being the suffix. In the folder Out a file that was
// named itself goes directly into it, and what was found below a folder argument
// has the same place below it. Reports are NAME.pedals.json and so on, .pedals
// being the mark, in the folder of the copy. What came from standard input goes to
// standard output.
//
// Where results of two sources would be one file in the folder Out, as many of the
// folders above them are kept as tell them apart: a/x.mxl and b/x.mxl go to
// Out/a/x.mxl and Out/b/x.mxl. What was found below one folder argument stays
// together.
//
// No result may be a source, and no two results one file; where that cannot be had,
// the later one has the error. In the folder Out, names that differ only in case or
// in composed characters count as one if its file system cannot keep them apart.
//
// The error is about the placement as a whole.
func (p Placement) Targets(sources []Source) (*Targets, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	t := &Targets{place: p, sources: sources, above: map[string]int{}, errs: map[int]error{}}
	if p.Out != "" {
		t.tellApart()
	}
	claims := newClaims(p, sources)
	for i, in := range sources {
		if in.Err != nil {
			continue
		}
		if err := claims.add(i, t.place.target(in, t.above[unit(in)])); err != nil {
			t.errs[i] = err
		}
	}
	return t, nil
}

// Len is the number of sources.
func (t *Targets) Len() int { return len(t.sources) }

// At is the place of the source with this index.
func (t *Targets) At(i int) Target {
	in := t.sources[i]
	if in.Err != nil {
		return Target{Err: in.Err}
	}
	to := t.place.target(in, t.above[unit(in)])
	if err := t.errs[i]; err != nil {
		to.Err = err
	}
	return to
}

// unit names what keeps the same folders above it: a file that was named itself, or
// all that was found below one folder.
func unit(in Source) string {
	if in.Root != "" {
		return in.Root + string(filepath.Separator)
	}
	return in.Path
}

// tellApart keeps folders above units whose results would be one file. It ends when
// there are none, or none of which more could be kept.
func (t *Targets) tellApart() {
	c := newClaims(Placement{Out: t.place.Out}, nil)
	for again := true; again; {
		again = false
		first := make(map[key]int, len(t.sources)) // by result, who wants it
		shared := map[key][]int{}                  // where that is more than one, all
		for i, in := range t.sources {
			if in.Err != nil || in.Path == Standard {
				continue
			}
			for _, path := range t.place.target(in, t.above[unit(in)]).claimed() {
				k := keyOf(folded(c.resolve(path)))
				switch other, taken := first[k]; {
				case !taken:
					first[k] = i
				case other != i:
					if shared[k] == nil {
						shared[k] = []int{other}
					}
					shared[k] = append(shared[k], i)
				}
			}
		}
		grown := map[string]bool{}
		for _, all := range shared {
			if !t.differ(all) {
				continue
			}
			for _, i := range all {
				u := unit(t.sources[i])
				if !grown[u] && t.above[u] < len(foldersAbove(t.sources[i])) {
					grown[u], again = true, true
					t.above[u]++
				}
			}
		}
	}
}

// differ tells whether some of these sources can be told apart by their folders.
func (t *Targets) differ(all []int) bool {
	first := t.sources[all[0]]
	for _, i := range all[1:] {
		if in := t.sources[i]; unit(in) != unit(first) && absolute(filepath.Dir(in.Path)) != absolute(filepath.Dir(first.Path)) {
			return true
		}
	}
	return false
}

// foldersAbove are the names of the folders above a unit, the outermost first: with
// the folder argument itself, or above a file that was named.
func foldersAbove(in Source) []string {
	dir := absolute(filepath.Dir(in.Path))
	if in.Root != "" {
		dir = absolute(in.Root)
	}
	dir = strings.TrimPrefix(dir, filepath.VolumeName(dir))
	return strings.FieldsFunc(dir, func(r rune) bool { return r < 0x80 && os.IsPathSeparator(uint8(r)) })
}

func absolute(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		return abs
	}
	return filepath.Clean(path)
}

// check looks at the folder Out, which may not be there yet.
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

// target finds the place for one source, without regard to the others. So many of
// the folders above it are kept.
func (p Placement) target(in Source, above int) Target {
	if in.Path == Standard {
		return p.standardTarget()
	}
	base := filepath.Base(in.Path)
	ext := filepath.Ext(base)
	stem := strings.TrimSuffix(base, ext)
	dir := filepath.Dir(in.Path)
	t := Target{Within: p.Out}
	if p.Out != "" {
		kept := foldersAbove(in)
		dir = filepath.Join(append([]string{p.Out}, kept[len(kept)-above:]...)...)
		if in.Root != "" {
			rel, err := filepath.Rel(in.Root, in.Path)
			if err != nil || !filepath.IsLocal(rel) {
				t.Err = NewError(in.Path, fmt.Errorf("has no place below %q", p.Out), "")
				return t
			}
			dir = filepath.Join(dir, filepath.Dir(rel))
		}
	}
	switch {
	case p.InPlace:
		t.Path, t.InPlace = in.Path, true
	case p.ReportsOnly:
	case p.Out != "" && p.OwnName:
		t.Path = filepath.Join(dir, base)
	default:
		t.Path = filepath.Join(dir, stem+p.Suffix+ext)
	}
	t.base = filepath.Join(dir, stem+p.Mark)
	for _, ext := range p.Reports {
		t.Reports = append(t.Reports, t.base+ext)
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

// checkWithin refuses a path that leads out of the folder Out by a link.
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
