package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/storetest"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// scribble is a command that does little to a score, so that whole runs with
// many files can be repeated often. It adds a comment. Each score is told to
// begin first.
func scribble(t *testing.T, sys store.System, begin func(name string), args ...string) ran {
	t.Helper()
	w := work.Work{Kind: planned.Kind}
	w.Copy, w.OwnName, w.LeaveOut = planned.CopyMark, true, planned.IsResult
	w.Limits = func() musicxml.Limits { return musicxml.Limits{} }
	w.Do = func(ctx context.Context, s work.Score) (*work.Made, error) {
		begin(s.Path)
		doc, err := musicxml.Open(ctx, s.Path, s.Data, musicxml.Limits{})
		if err != nil {
			return nil, err
		}
		end := len(doc.Text)
		return &work.Made{
			Document: doc, Edits: []musicxml.Edit{{Start: end, End: end, New: "<!-- seen -->"}},
			Report: &planned.Report{Score: report.Score{Head: report.Head{Format: report.Format, Path: s.Path, Title: store.Checksum(s.Data)}}},
		}, nil
	}
	return workOn(&w, sys, "", args...)
}

// workTyped does work as the only command of a program.
func workTyped(w *work.Work, stdin string, args ...string) ran {
	return workOn(w, disk(), stdin, args...)
}

func workOn(w *work.Work, sys store.System, stdin string, args ...string) ran {
	command := cli.Command{
		Name:   "scribble",
		Groups: []cli.Group{{Title: options.GroupResults, Options: []cli.Options{w.PlaceFlags, w.ReportFlags, w.ManyFlags}}},
		Run:    func(c *cli.Call) int { return w.Run(c.Args, c.Decisive(options.GroupResults), c.Streams) },
	}
	var out, errs bytes.Buffer
	code := cli.Program{Name: "x", Commands: []cli.Command{command}}.Run(append([]string{"scribble"}, args...),
		runs.Streams{In: strings.NewReader(stdin), Out: &out, Err: &errs, Sys: sys, Explain: opening.Explained})
	return ran{code, out.String(), errs.String()}
}

// Every step of writing fails once, for every score of a run over twenty, and for
// the summary. Scores that are hit keep all that they had, or have all that is
// new; the others are done; and nothing else lies about. To be done in seconds, one run
// may hit several scores, each at the same of its steps.
func TestRunWithEveryStepFailing(t *testing.T) {
	const n = 20
	usual := []string{"create", "write", "sync", "close", "rename", "sync of the folder"}
	for _, tt := range []struct {
		name, args string
		again      bool // an earlier run has left its results, which are replaced
		spread     int  // every so many scores are hit in one run
		steps      []string
	}{
		{"beside, one fault a run", "-q -j 1 in", false, n, usual},
		{"in place", "-q -j 1 --write in", false, 3, append([]string{"chmod"}, usual...)},
		{"out, with summary", "-q -j 1 --report json,csv -o o in", false, 2, append([]string{"mkdir"}, usual...)},
		{"beside, again", "-q -j 1 in", true, 3, append([]string{"chmod", "link", "remove"}, usual...)},
		{"in place, again", "-q -j 1 --write in", true, 3, append([]string{"chmod", "link", "remove"}, usual...)},
		{"out, with summary, again", "-q -j 1 --report json,csv -o o in", true, 2, append([]string{"mkdir", "chmod", "link", "remove"}, usual...)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			memoryFolder(t)
			args := strings.Fields(tt.args)
			layOutScores(t, n, "")
			if tt.again {
				scribble(t, disk(), func(string) {}, args...).want(t, exitDone, "", "")
				layOutScores(t, n, "revised ")
			}
			f := faultTrees{old: tree(t, ".")}
			scribble(t, disk(), func(string) {}, args...).want(t, exitDone, "", "")
			f.whole = tree(t, ".")
			f.now = f.whole
			failed := map[string]int{}
			for at, some := 0, true; some; at++ {
				some = false
				for phase := range tt.spread {
					restore(t, f.now, f.old)
					faults := &faultPlan{at: at, spread: tt.spread, phase: phase}
					r := scribble(t, faults.fileSystem(), faults.begin, args...)
					f.now = tree(t, ".")
					hits := faults.hits()
					for _, what := range hits {
						failed[what]++
					}
					some = some || len(hits) > 0
					checkAfterFaults(t, fmt.Sprintf("step %d of %v", at, hits), hits, r, f)
				}
			}
			for _, what := range tt.steps {
				if failed[what] < n {
					t.Errorf("%s has failed %d times, want once a score", what, failed[what])
				}
			}
		})
	}
}

// A faultPlan lets the step with the number at fail in some scores of a run: those
// whose index, divided by spread, leaves phase. The steps of the summary count on
// from those of the last score.
type faultPlan struct {
	breaker           storetest.Breaker
	at, spread, phase int
	names             []string // of the scores that have begun
	whats             []string // of each, the step that failed; "" for none
}

func (p *faultPlan) fileSystem() store.System { return p.breaker.System() }

func (p *faultPlan) begin(name string) {
	p.end()
	p.breaker.Step, p.breaker.At, p.breaker.What = 0, p.at, ""
	p.breaker.Asleep = len(p.names)%p.spread != p.phase
	name, _, _ = strings.Cut(filepath.Base(name), ".")
	p.names = append(p.names, name)
}

func (p *faultPlan) end() {
	if len(p.whats) < len(p.names) {
		p.whats = append(p.whats, p.breaker.What)
	}
}

// hits returns for each score that was hit the step that failed.
func (p *faultPlan) hits() map[string]string {
	p.end()
	hits := map[string]string{}
	for i, name := range p.names {
		if p.whats[i] != "" {
			hits[name] = p.whats[i]
		}
	}
	return hits
}

// memoryFolder makes a new folder the current one; in memory, where the system
// has a place for that, since the test makes some hundred thousand files.
func memoryFolder(t *testing.T) {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "faults-")
	if err != nil {
		folder(t)
		return
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	t.Chdir(dir)
}

func layOutScores(t *testing.T, n int, word string) {
	t.Helper()
	for i := range n {
		writeFile(t, fmt.Sprintf("in/%02d.xml", i), fmt.Sprintf("<score-partwise><!-- %s%d --></score-partwise>", word, i))
	}
}

// restore makes a folder that holds the files of now hold those of old.
func restore(t *testing.T, now, old map[string]string) {
	t.Helper()
	for path := range now {
		if _, stays := old[path]; stays {
			continue
		}
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
	}
	for path, text := range old {
		if got, there := now[path]; !there || got != text {
			writeFile(t, path, text)
		}
	}
}

// faultTrees are the files of a folder before a run, as a run without a fault
// leaves them, and as the run with the fault has left them.
type faultTrees struct{ old, whole, now map[string]string }

// checkAfterFaults checks that of every score that was hit, all results are as
// before, and of the others, all as after a whole run; that nothing else lies
// about; and that the run has said so.
func checkAfterFaults(t *testing.T, where string, hits map[string]string, r ran, f faultTrees) {
	t.Helper()
	states := f.states()
	errs := 0
	for name, what := range hits {
		switch what {
		case "link": // a copy does as well
		case "remove", "sync of the folder":
			errs++ // the results are complete all the same
		default:
			errs++
			if states["pedals"] == "old" {
				name = "pedals" // which comes after the last score
			}
			if states[name] != "old" {
				t.Errorf("%s: the results of %s are %s, want them as before", where, name, states[name])
			}
			delete(states, name)
		}
	}
	for name, state := range states {
		if state != "new" {
			t.Errorf("%s: the results of %s are %s, want new", where, name, state)
		}
	}
	code := exitDone
	if errs > 0 {
		code = exitFailed
	}
	if got := strings.Count(r.err, storetest.ErrBroken.Error()); got != errs || strings.Count(r.err, "pedalogue: ") != errs || r.code != code {
		t.Errorf("%s: exit %d, want %d; it says, with %d faults\n%s", where, r.code, code, errs, r.err)
	}
	for path := range f.now {
		if _, belongs := f.whole[path]; !belongs && !strings.Contains(r.err, path+": could not be removed") {
			t.Errorf("%s: %s lies about", where, path)
		}
	}
}

// states tells for each score, and the summary, whether its results are old or
// new.
func (f faultTrees) states() map[string]string {
	states := map[string]string{}
	for path, text := range f.whole {
		name, _, _ := strings.Cut(path[strings.IndexByte(path, '/')+1:], ".")
		got, there := f.now[path]
		before, wasThere := f.old[path]
		state := "neither old nor new"
		switch {
		case wasThere && before == text && got == text:
			continue // it has nothing to tell
		case there && (got == text || name == "pedals" && got != before):
			state = "new" // the summary tells of the faults
		case there == wasThere && got == before:
			state = "old"
		}
		if other, told := states[name]; told && other != state {
			state = "of two runs"
		}
		states[name] = state
	}
	return states
}

// The disk is full from some point on: what was written before is there, the
// rest is as it was, and each score says so.
func TestDiskFull(t *testing.T) {
	folder(t)
	for i := range 10 {
		writeFile(t, fmt.Sprintf("in/%d.xml", i), easyScore(fmt.Sprint(i)))
	}
	before := tree(t, ".")
	sys := disk()
	room := 60_000
	sys.Create = func(path string) (store.File, error) {
		f, err := disk().Create(path)
		return fullFile{f, &room}, err
	}
	r := typedOn(t, sys, "", "mark", "--jobs", "1", "--write", "in")
	r.want(t, exitFailed, "not read", "no space left on device")
	after := tree(t, ".")
	done, failed := 0, strings.Count(r.err, "pedalogue: ")
	for path, text := range before {
		if after[path] != text {
			done++
		}
	}
	if done == 0 || failed == 0 || done+failed != len(before) || len(after) != len(before)+done {
		t.Errorf("%d of %d scores done, %d failed, %d files", done, len(before), failed, len(after))
	}
}

type fullFile struct {
	store.File
	room *int
}

func (f fullFile) Write(p []byte) (int, error) {
	if len(p) > *f.room {
		return 0, storetest.ErrBroken
	}
	*f.room -= len(p)
	return f.File.Write(p)
}

// What cannot be read or written to is told, and the others are done.
func TestClosedFiles(t *testing.T) {
	if os.Geteuid() <= 0 {
		t.Skip("nothing is closed to this user")
	}
	folder(t)
	for _, name := range []string{"a.xml", "shut.xml", "dir/b.xml", "z.xml"} {
		writeFile(t, name, easyScore(name))
	}
	if err := errors.Join(os.Chmod("shut.xml", 0), os.Chmod("dir", 0o500)); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod("dir", 0o700)
	r := typed(t, "mark", "-q", "a.xml", "shut.xml", "dir/b.xml", "z.xml")
	r.want(t, exitFailed, "", "shut.xml: not allowed")
	if !strings.Contains(r.err, "b.pedals.json: not allowed") {
		t.Error(r.err)
	}
	for _, path := range []string{"a.pedals.xml", "z.pedals.xml"} {
		if _, err := os.Stat(path); err != nil {
			t.Error(err)
		}
	}
}

func TestNameTooLong(t *testing.T) {
	folder(t)
	long := strings.Repeat("n", 250) + ".xml" // as long as most systems allow, without ".pedals"
	writeFile(t, long, easyScore("Long"))
	writeFile(t, "a.xml", easyScore("A"))
	typed(t, "mark", "-q", long, "a.xml").want(t, exitFailed, "", "name too long")
	if files := tree(t, "."); files["a.pedals.xml"] == "" || len(files) != 4 {
		t.Errorf("%d files, want two scores and the results of one", len(files))
	}
}

// Standard output takes nothing more: the scores are marked all the same, and
// the exit code says that not all is well.
func TestOutputBreaks(t *testing.T) {
	folder(t)
	writeFile(t, "a.xml", easyScore("A"))
	writeFile(t, "b.xml", easyScore("B"))
	var errs bytes.Buffer
	code := dispatch([]string{"mark", "a.xml", "b.xml"}, runs.Streams{In: strings.NewReader(""), Out: brokenWriter{}, Err: &errs, Sys: disk(), Explain: opening.Explained})
	if code != exitFailed || !strings.Contains(errs.String(), "standard output: no space left on device") {
		t.Errorf("exit %d: %s", code, errs.String())
	}
	if files := tree(t, "."); files["a.pedals.xml"] == "" || files["b.pedals.xml"] == "" {
		t.Error("the scores were not marked")
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, storetest.ErrBroken }
