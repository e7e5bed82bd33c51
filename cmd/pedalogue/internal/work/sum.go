package work

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"pedalogue/cmd/pedalogue/internal/build"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/report"
	"pedalogue/report/plain"
)

// A Summary gathers what came of all scores of a run. It keeps counts, not whole
// reports, so that a hundred thousand scores fit into memory.
type Summary interface {
	// Add counts the report on a score in, as they come in their order. page is its
	// HTML page as a page in the summary's folder links it; "" for none.
	Add(r Report, page string)
	// Sort puts those first that need attention.
	Sort()
	// Text writes the summary for people.
	Text(w io.Writer, o report.TextOptions) error
	// Files are the summary's files: what a report of the format --report names.
	Files() []SummaryFile
}

// A SummaryFile is one file of a summary.
type SummaryFile struct {
	Format string // in which it is written
	Ext    string // behind the name of the summary, ".html"
	Write  func(w io.Writer) error
}

// A sum makes the summary of a run.
type sum struct {
	Summary
	work    *Work
	targets *store.Targets
	folder  string // where its files go
	scores  int
	kept    int // scores that an earlier run had done
	changed []changed
}

// A changed is a score whose result is another than before.
type changed struct {
	path string
	Difference
}

func (w *Work) newSum(targets *store.Targets) *sum {
	s := &sum{work: w, targets: targets, folder: w.out}
	if s.folder == "" {
		s.folder = store.CommonFolder(targets)
	}
	if w.Summary != nil && w.many && !w.diff && len(w.names) > 0 {
		s.Summary = w.Summary()
	}
	return s
}

// add counts one outcome in.
func (s *sum) add(i int, path string, o done) {
	if s.Summary == nil || o.report == nil {
		return
	}
	if o.kept {
		s.kept++
	}
	if o.change != (Difference{}) {
		s.changed = append(s.changed, changed{path, o.change})
	}
	page := ""
	if !o.failed {
		page = s.page(s.targets.At(i))
	}
	s.scores++
	s.Add(o.report, page)
}

// pageOf is the path of the HTML page of a target; "" if there is none.
func pageOf(t store.Target) string {
	for _, path := range t.Reports {
		if strings.HasSuffix(path, extHTML) {
			return path
		}
	}
	return ""
}

// page is the HTML page of a target as the summary links it; "" if there is none.
func (s *sum) page(t store.Target) string {
	page := pageOf(t)
	if page == "" || s.folder == "" {
		return ""
	}
	return linked(s.folder, page)
}

// index is the summary as the HTML page of a target links it; "" if there is none.
func (s *sum) index(t store.Target) string {
	page := pageOf(t)
	if s.Summary == nil || page == "" || s.folder == "" {
		return ""
	}
	return linked(filepath.Dir(page), s.name()+extHTML)
}

// linked is a path as a page in a folder links it; "" if it cannot.
func linked(folder, path string) string {
	from, errFrom := filepath.Abs(folder)
	to, errTo := filepath.Abs(path)
	rel, err := filepath.Rel(from, to)
	if errFrom != nil || errTo != nil || err != nil {
		return ""
	}
	return filepath.ToSlash(rel)
}

// name is the path of the summary's files without their extensions.
func (s *sum) name() string { return filepath.Join(s.folder, strings.TrimPrefix(s.work.Report, ".")) }

// write prints the summary and writes its files.
func (s *sum) write(streams runs.Streams) error {
	w := s.work
	if s.scores == 0 {
		return nil
	}
	if w.sort == "trouble" {
		s.Sort()
	}
	if !w.Quiet && !w.json {
		if err := s.print(streams.Out); err != nil {
			return err
		}
	}
	if w.Shared() || !w.writes() {
		return nil // each share would write over the others'
	}
	return s.save(streams.Sys)
}

func (s *sum) print(w io.Writer) error {
	var b bytes.Buffer
	if err := s.Text(&b, s.work.layout(w)); err != nil {
		return err
	}
	switch s.kept {
	case 0:
	case 1:
		b.WriteString("1 score was done by an earlier run and unchanged.\n")
	default:
		fmt.Fprintf(&b, "%d scores were done by an earlier run and unchanged.\n", s.kept)
	}
	if len(s.changed) > 0 {
		b.WriteString("unlike before:\n")
	}
	for _, c := range s.changed {
		fmt.Fprintf(&b, "  %s: %s\n", plain.Line(c.path), c.Difference)
	}
	if _, err := w.Write(s.work.shown(b.Bytes())); err != nil {
		return fmt.Errorf("standard output: %w", store.Bare(err))
	}
	return nil
}

// save writes the summary's files: one for each kind of report that has one.
func (s *sum) save(sys store.System) error {
	if s.folder == "" {
		return nil
	}
	var exts []string
	var d store.Delivery
	add := func(ext string, write func(w io.Writer) error) error {
		var b bytes.Buffer
		err := write(&b)
		exts, d.Reports = append(exts, ext), append(d.Reports, b.Bytes())
		return err
	}
	for _, f := range s.Files() {
		if !s.work.Has(f.Format) {
			continue
		}
		if err := add(f.Ext, f.Write); err != nil {
			return err
		}
	}
	if len(exts) == 0 {
		return nil
	}
	if s.work.Has("json") {
		if err := add(extJSON, s.record); err != nil {
			return err
		}
	}
	t := store.Named(s.name(), s.work.out, exts)
	return sys.Deliver(t, d, store.EarlierAt(t))
}

// record writes a small JSON document about the summary, indented.
func (s *sum) record(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(struct {
		Format  int    `json:"format"`
		Tool    string `json:"tool"`
		Version string `json:"version"`
		Scores  int    `json:"scores"`
	}{report.Format, "pedalogue", build.Version(), s.scores})
}

// layout lays text out for a stream.
func (w *Work) layout(stream io.Writer) report.TextOptions {
	columns, colour := runs.Layout(stream)
	return report.TextOptions{Width: columns, Colour: w.colour == "always" || colour && w.colour != "never", ASCII: w.ASCII}
}
