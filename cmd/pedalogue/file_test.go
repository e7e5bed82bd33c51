package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// contents lists the files below the current folder with what they hold.
func contents(t *testing.T) string {
	t.Helper()
	var all []string
	err := filepath.WalkDir(".", func(path string, d os.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		data, err := os.ReadFile(path)
		all = append(all, filepath.ToSlash(path)+"="+string(data))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(all)
	return strings.Join(all, " ")
}

func readInput(t *testing.T, path string) reading {
	t.Helper()
	r, err := input{path: path}.read(nil, 1<<20)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestSave(t *testing.T) {
	for _, tt := range []struct {
		name  string
		files []string
		place placement
		copy  string
		want  string
		why   string
	}{
		{"beside", []string{"d/a.xml"}, placement{}, "new", "d/a.pedals.xml=new d/a.xml=d/a.xml", "the input stays"},
		{"again", []string{"d/a.xml", "d/a.pedals.xml"}, placement{}, "new", "d/a.pedals.xml=new d/a.xml=d/a.xml", "an older copy gives way"},
		{"in place", []string{"d/a.xml"}, placement{inPlace: true}, "new", "d/a.xml=new", "asked for"},
		{"out", []string{"d/a.xml"}, placement{out: "o/p"}, "new", "d/a.xml=d/a.xml o/p/a.xml=new", "folders are made"},
		{"reports", []string{"d/a.xml"}, placement{reports: []string{".json"}}, "new", "d/a.pedals.json=report0 d/a.pedals.xml=new d/a.xml=d/a.xml", "both"},
		{"reports alone", []string{"d/a.xml"}, placement{reports: []string{".json", ".txt"}}, "", "d/a.pedals.json=report0 d/a.pedals.txt=report1 d/a.xml=d/a.xml", "no copy was asked for"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			folder(t, tt.files...)
			targets, err := tt.place.targets(collector{out: tt.place.out}.collect([]string{"d/a.xml"}))
			if err != nil {
				t.Fatal(err)
			}
			if err := saveWith(disk(), targets[0], tt.copy, readInput(t, "d/a.xml")); err != nil {
				t.Fatal(err)
			}
			if got := contents(t); got != tt.want {
				t.Errorf("got  %s\nwant %s (%s)", got, tt.want, tt.why)
			}
		})
	}
}

func saveWith(sys fileSystem, t target, text string, original reading) error {
	var data []byte
	if text != "" {
		data = []byte(text)
	}
	var reports [][]byte
	for i := range t.reports {
		reports = append(reports, fmt.Appendf(nil, "report%d", i))
	}
	return sys.save(t, data, reports, original)
}

func TestSaveKeepsMode(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no modes here")
	}
	folder(t, "a.xml", "b.xml")
	if err := os.Chmod("a.xml", 0o640); err != nil {
		t.Fatal(err)
	}
	if err := saveWith(disk(), target{path: "a.xml", inPlace: true}, "new", readInput(t, "a.xml")); err != nil {
		t.Fatal(err)
	}
	if err := saveWith(disk(), target{path: "new.xml"}, "new", reading{}); err != nil {
		t.Fatal(err)
	}
	replaced, err1 := os.Stat("a.xml")
	fresh, err2 := os.Stat("new.xml")
	usual, err3 := os.Stat("b.xml") // made with 0644
	if err := errors.Join(err1, err2, err3); err != nil {
		t.Fatal(err)
	}
	if replaced.Mode() != 0o640 {
		t.Errorf("mode %v, was 0640", replaced.Mode())
	}
	if got := fresh.Mode() & 0o644; got != usual.Mode() {
		t.Errorf("a new file has mode %v, another %v", fresh.Mode(), usual.Mode())
	}
}

func TestSaveRefuses(t *testing.T) {
	folder(t, "a.xml", "readonly.xml", "dir.xml/", "o/", "elsewhere/")
	link(t, "a.xml", "link.xml")
	link(t, filepath.Join("..", "elsewhere"), "o/sub")
	if err := os.Chmod("readonly.xml", 0o444); err != nil {
		t.Fatal(err)
	}
	before := contents(t)
	for _, tt := range []struct {
		name, message, hint string
		target              target
		why                 string
	}{
		{"link", "is a link", "name the file", target{path: "link.xml", inPlace: true}, "a rename would put a file in its place"},
		{"folder", "is not a regular file", "", target{path: "dir.xml"}, "a folder of that name"},
		{"read-only", "is read-only", "", target{path: "readonly.xml"}, "a rename would not mind"},
		{"no folder", "no such file or folder", "", target{path: "gone/a.xml"}, "it vanished meanwhile"},
		{"out of the folder", `a link leads out of "o"`, "--out", target{path: filepath.Join("o", "sub", "a.xml"), within: "o"}, "the link was made meanwhile"},
		{"file for a folder", "", "", target{path: filepath.Join("a.xml", "b.xml"), within: "."}, "a file stands where a folder should be made"},
		{"long name", "", "", target{path: strings.Repeat("x", 300) + ".xml"}, "longer than the file system allows"},
		{"standard output", "no file", "", target{path: standardStream}, "not a file of that name"},
		{"failed before", "failed before", "", target{err: fileError("x", errors.New("failed before"), "")}, "nothing is tried"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			err := saveWith(disk(), tt.target, "new", reading{})
			if err == nil {
				t.Fatalf("no error (%s)", tt.why)
			}
			if !strings.Contains(err.Error(), tt.message) {
				t.Errorf("error %q, want %q (%s)", err, tt.message, tt.why)
			}
			if got := contents(t); got != before {
				t.Errorf("left behind: %s", got)
			}
		})
	}
}

func TestSaveSeesChanges(t *testing.T) {
	for name, change := range map[string]func() error{
		"written to": func() error { return os.WriteFile("a.xml", []byte("by another program"), 0o644) },
		"replaced":   func() error { return errors.Join(os.Remove("a.xml"), os.WriteFile("a.xml", []byte("a.xml"), 0o644)) },
		"removed":    func() error { return os.Remove("a.xml") },
	} {
		t.Run(name, func(t *testing.T) {
			folder(t, "a.xml")
			original := readInput(t, "a.xml")
			// Keeps the number of the first file taken, so that a new one is told apart.
			if err := errors.Join(os.Link("a.xml", "kept"), change()); err != nil {
				t.Fatal(err)
			}
			before := contents(t)
			if err := saveWith(disk(), target{path: "a.xml", inPlace: true}, "new", original); err == nil {
				t.Error("no error")
			}
			if got := contents(t); got != before {
				t.Errorf("left behind: %s, was %s", got, before)
			}
		})
	}
}

// A breaker lets one step of a file system fail, the one with that number.
type breaker struct {
	step, at int
	what     string // the step that failed
	asleep   bool   // no step fails
}

var errBroken = errors.New("no space left on device")

func (b *breaker) fails(what string) bool {
	b.step++
	if b.step-1 != b.at || b.asleep {
		return false
	}
	b.what = what
	return true
}

func (b *breaker) fileSystem() fileSystem {
	sys := disk()
	broken := sys
	broken.mkdirAll = func(dir string) error {
		if b.fails("mkdir") {
			return errBroken
		}
		return sys.mkdirAll(dir)
	}
	broken.create = func(path string) (outFile, error) {
		if b.fails("create") {
			return nil, errBroken
		}
		f, err := sys.create(path)
		return &brokenFile{f, b}, err
	}
	broken.rename = func(from, to string) error {
		if b.fails("rename") {
			return errBroken
		}
		return sys.rename(from, to)
	}
	broken.link = func(from, to string) error {
		if b.fails("link") {
			return errBroken
		}
		return sys.link(from, to)
	}
	broken.remove = func(path string) error {
		if b.fails("remove") {
			return errBroken
		}
		return sys.remove(path)
	}
	broken.syncDir = func(dir string) error {
		if b.fails("sync of the folder") {
			return errBroken
		}
		return nil
	}
	return broken
}

type brokenFile struct {
	outFile
	breaker *breaker
}

func (f *brokenFile) Write(p []byte) (int, error) {
	if f.breaker.fails("write") {
		n, _ := f.outFile.Write(p[:len(p)/2])
		return n, errBroken
	}
	return f.outFile.Write(p)
}

func (f *brokenFile) Chmod(mode os.FileMode) error {
	if f.breaker.fails("chmod") {
		return errBroken
	}
	return f.outFile.Chmod(mode)
}

func (f *brokenFile) Sync() error {
	if f.breaker.fails("sync") {
		return errBroken
	}
	return nil // waiting for the disk would tell us nothing
}

func (f *brokenFile) Close() error {
	err := f.outFile.Close()
	if f.breaker.fails("close") {
		return errBroken
	}
	return err
}

// TestSaveBroken lets every step of a run over several files fail once. The
// file that it hits keeps its old state, the others get their new one, and no
// temporary file is left.
func TestSaveBroken(t *testing.T) {
	const files = 4
	for name, place := range map[string]placement{
		"beside":   {reports: []string{".json"}},
		"in place": {inPlace: true, reports: []string{".json"}},
		"out":      {out: "o", reports: []string{".json"}},
	} {
		t.Run(name, func(t *testing.T) {
			seen := map[string]bool{}
			for at := 0; ; at++ {
				b := &breaker{at: at}
				saveAll(t, place, b, files)
				if b.what == "" {
					break // all steps have had their turn
				}
				seen[b.what] = true
			}
			for _, what := range []string{"create", "write", "sync", "close", "rename", "sync of the folder"} {
				if !seen[what] {
					t.Errorf("no %s has failed", what)
				}
			}
			if place.inPlace && !seen["chmod"] || place.out != "" && !seen["mkdir"] {
				t.Errorf("only these have failed: %v", seen)
			}
		})
	}
}

func saveAll(t *testing.T, place placement, b *breaker, files int) {
	t.Helper()
	var args []string
	for i := range files {
		args = append(args, fmt.Sprintf("%d.xml", i))
	}
	folder(t, args...)
	targets, err := place.targets(collector{out: place.out}.collect(args))
	if err != nil {
		t.Fatal(err)
	}
	sys := b.fileSystem()
	failed := 0
	for i, target := range targets {
		original := readInput(t, args[i])
		before := b.what
		err := saveWith(sys, target, "new", original)
		hit := b.what != before
		if hit {
			failed++
		}
		if (err != nil) != hit {
			t.Errorf("%s: error %v", b.what, err)
		}
		if hit && !errors.Is(err, errBroken) {
			t.Errorf("%s: the error does not say why: %v", b.what, err)
		}
		want := map[string]string{args[i]: args[i], target.path: "new", target.reports[0]: "report0"}
		if hit && b.what != "sync of the folder" {
			want = map[string]string{args[i]: args[i]}
		}
		for _, path := range []string{args[i], target.path, target.reports[0]} {
			got, err := os.ReadFile(path)
			if text, there := want[path]; there != (err == nil) || string(got) != text {
				t.Errorf("%s: %s holds %q (%v), want %q", b.what, path, got, err, text)
			}
		}
	}
	if failed > 1 {
		t.Errorf("%d files were hit", failed)
	}
	if left := contents(t); strings.Contains(left, ".pedalogue-") {
		t.Errorf("%s: left behind: %s", b.what, left)
	}
}

// TestCleaningFails: what could not be removed is named.
func TestCleaningFails(t *testing.T) {
	folder(t, "a.xml")
	sys := disk()
	sys.rename = func(_, _ string) error { return errBroken }
	sys.remove = func(string) error { return io.ErrClosedPipe }
	err := saveWith(sys, target{path: "b.xml"}, "new", reading{})
	if !errors.Is(err, errBroken) || !errors.Is(err, io.ErrClosedPipe) || !strings.Contains(err.Error(), ".pedalogue-") {
		t.Errorf("error %v", err)
	}
}

func TestShortWrite(t *testing.T) {
	folder(t)
	sys := disk()
	create := sys.create
	sys.create = func(path string) (outFile, error) {
		f, err := create(path)
		return shortFile{f}, err
	}
	if err := saveWith(sys, target{path: "b.xml"}, "new", reading{}); !errors.Is(err, io.ErrShortWrite) {
		t.Errorf("error %v", err)
	}
	if got := contents(t); got != "" {
		t.Errorf("left behind: %s", got)
	}
}

type shortFile struct{ outFile }

func (f shortFile) Write(p []byte) (int, error) { return f.outFile.Write(p[:1]) }
