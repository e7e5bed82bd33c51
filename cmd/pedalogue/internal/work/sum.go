package work

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/report"
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
	// Head begins the JSON document that lets a later run replace the files: its
	// first keys, to which the seal is added.
	Head() any
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
	targets []store.Target
	folder  string // where its files go
	scores  int
	kept    int // scores that an earlier run had done
}

func (w *Work) newSum(targets []store.Target) *sum {
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
func (s *sum) add(i int, o done) {
	if s.Summary == nil || o.report == nil {
		return
	}
	if o.kept {
		s.kept++
	}
	page := ""
	if !o.failed {
		page = s.page(s.targets[i])
	}
	s.scores++
	s.Add(o.report, page)
}

// page is the HTML page of a target as the summary links it; "" if there is none.
func (s *sum) page(t store.Target) string {
	for _, path := range t.Reports {
		if !strings.HasSuffix(path, ".html") || s.folder == "" {
			continue
		}
		from, errFrom := filepath.Abs(s.folder)
		to, errTo := filepath.Abs(path)
		rel, err := filepath.Rel(from, to)
		if errFrom == nil && errTo == nil && err == nil {
			return filepath.ToSlash(rel)
		}
	}
	return ""
}

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
	if err := s.Text(w, s.work.layout(w)); err != nil {
		return err
	}
	if s.kept == 0 {
		return nil
	}
	were := "scores were"
	if s.kept == 1 {
		were = "score was"
	}
	_, err := fmt.Fprintf(w, "%d %s done by an earlier run and unchanged.\n", s.kept, were)
	return err
}

// save writes the summary's files: one for each kind of report that has one, and
// if JSON is among the reports, a record of them that lets a later run replace
// them.
func (s *sum) save(sys store.System) error {
	if s.folder == "" {
		return nil
	}
	name := filepath.Join(s.folder, strings.TrimPrefix(s.work.Report, "."))
	t := store.Target{Within: s.work.out}
	var files [][]byte
	seal := store.Seal{Files: map[string]string{}}
	for _, f := range s.Files() {
		if !s.work.has(f.Format) {
			continue
		}
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			return err
		}
		t.Reports = append(t.Reports, name+f.Ext)
		files = append(files, b.Bytes())
		seal.Files[filepath.Base(name+f.Ext)] = store.Checksum(b.Bytes())
	}
	if len(files) == 0 {
		return nil
	}
	if s.work.has("json") {
		record, err := json.MarshalIndent(s.Head(), "", "  ")
		if err == nil {
			record, err = store.Sealed(append(record, '\n'), seal)
		}
		if err != nil {
			return err
		}
		t.Reports = append(t.Reports, name+extJSON)
		files = append(files, record)
	}
	before := store.EarlierAt([]string{name + extJSON})
	for i, path := range t.Reports {
		if err := before.MayReplace(path, files[i]); err != nil {
			return err
		}
	}
	return sys.Save(t, nil, files, store.Reading{})
}

// layout lays text out for a stream.
func (w *Work) layout(stream io.Writer) report.TextOptions {
	columns, colour := runs.Layout(stream)
	return report.TextOptions{Width: columns, Colour: colour, ASCII: w.ascii}
}
