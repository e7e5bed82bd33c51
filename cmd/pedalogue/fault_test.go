package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/report"
)

// scribble is a command that does little to a score, so that whole runs with
// many files can be repeated often. It adds a comment.
func scribble(t *testing.T, sys fileSystem, args ...string) ran {
	t.Helper()
	r := scoreRun{edit: func(_ context.Context, name string, data []byte) (*marked, error) {
		doc, err := musicxml.Open(name, data, musicxml.Limits{})
		if err != nil {
			return nil, err
		}
		end := len(doc.Text)
		return &marked{
			doc: doc, edits: []musicxml.Edit{{Start: end, End: end, New: "<!-- seen -->"}},
			report: &report.Score{Format: report.Format, Path: name},
		}, nil
	}}
	f := newFlags("scribble", "")
	takes := r.flags(f, func() []func() error { return nil })
	if err := f.Parse(args); err != nil {
		t.Fatal(err)
	}
	for _, take := range takes {
		if err := take(); err != nil {
			t.Fatal(err)
		}
	}
	var out, errs bytes.Buffer
	code := r.run(f, streams{strings.NewReader(""), &out, &errs, sys})
	return ran{code, out.String(), errs.String()}
}

// Every step of writing fails once, at every point of a run over twenty scores.
// The score that it hits keeps what it had, or has all that is new; the others
// are done; and nothing else lies about.
func TestRunWithEveryStepFailing(t *testing.T) {
	const n = 20
	for _, tt := range []struct {
		name, args string
		stride     int // a prime, so that each kind of step has its turn, at one file or another
	}{
		{"beside", "-q -j 1 in", 1},
		{"in place", "-q -j 1 --write in", 13},
		{"out, with summary", "-q -j 1 --report json,html -o o in", 17},
	} {
		t.Run(tt.name, func(t *testing.T) {
			folder(t)
			fresh := map[string]string{}
			for i := range n {
				fresh[fmt.Sprintf("in/%02d.xml", i)] = fmt.Sprintf("<score-partwise><!-- %d --></score-partwise>", i)
			}
			layOutFiles(t, fresh)
			args := strings.Fields(tt.args)
			scribble(t, disk(), args...).want(t, exitDone, "", "")
			whole := tree(t, ".")
			for at := 0; ; at += tt.stride {
				layOutFiles(t, fresh)
				b := &breaker{at: at}
				r := scribble(t, b.fileSystem(), args...)
				if b.what == "" {
					r.want(t, exitDone, "", "")
					break // all steps have had their turn
				}
				r.want(t, exitFailed, "", errBroken.Error())
				if strings.Count(r.err, "pedalogue: ") != 1 {
					t.Errorf("step %d, %s: more than one error:\n%s", at, b.what, r.err)
				}
				checkAfterFault(t, fmt.Sprintf("step %d, %s", at, b.what), fresh, whole)
			}
		})
	}
}

// layOutFiles makes the folder hold these files and no others.
func layOutFiles(t *testing.T, files map[string]string) {
	t.Helper()
	if err := errors.Join(os.RemoveAll("in"), os.RemoveAll("o")); err != nil {
		t.Fatal(err)
	}
	for path, text := range files {
		writeFile(t, path, text)
	}
}

// checkAfterFault checks that every file is as before or as after a whole run,
// and that results are missing of at most one score.
func checkAfterFault(t *testing.T, what string, fresh, whole map[string]string) {
	t.Helper()
	files := tree(t, ".")
	hit := map[string]bool{}
	for path := range whole {
		name, _, _ := strings.Cut(path[strings.IndexByte(path, '/')+1:], ".")
		switch text, there := files[path]; {
		case there && text == whole[path]:
		case there && name == summaryName: // it tells of the fault
		case there && text == fresh[path], !there && fresh[path] == "":
			hit[name] = true
		default:
			t.Errorf("%s: %s is neither old nor new", what, path)
		}
	}
	for path := range files {
		if whole[path] == "" {
			t.Errorf("%s: %s lies about", what, path)
		}
	}
	if len(hit) > 1 {
		t.Errorf("%s: it has hit %v", what, slices.Sorted(maps.Keys(hit)))
	}
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
	sys.create = func(path string) (outFile, error) {
		f, err := disk().create(path)
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
	outFile
	room *int
}

func (f fullFile) Write(p []byte) (int, error) {
	if len(p) > *f.room {
		return 0, errBroken
	}
	*f.room -= len(p)
	return f.outFile.Write(p)
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
	code := dispatch([]string{"mark", "a.xml", "b.xml"}, streams{strings.NewReader(""), brokenWriter{}, &errs, disk()})
	if code != exitFailed || !strings.Contains(errs.String(), "standard output: no space left on device") {
		t.Errorf("exit %d: %s", code, errs.String())
	}
	if files := tree(t, "."); files["a.pedals.xml"] == "" || files["b.pedals.xml"] == "" {
		t.Error("the scores were not marked")
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errBroken }
