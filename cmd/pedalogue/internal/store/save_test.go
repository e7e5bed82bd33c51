package store_test

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/storetest"
	"pedalogue/cmd/pedalogue/internal/testfolder"
)

func readInput(t *testing.T, path string) store.Reading {
	t.Helper()
	r, err := store.Source{Path: path}.Read(t.Context(), nil, 1<<20)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestSave(t *testing.T) {
	for _, tt := range []struct {
		name  string
		files []string
		place store.Placement
		copy  string
		want  string
		why   string
	}{
		{"beside", []string{"d/a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true}, "new", "d/a.pedals.xml=new d/a.xml=d/a.xml", "the input stays"},
		{"again", []string{"d/a.xml", "d/a.pedals.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true}, "new", "d/a.pedals.xml=new d/a.xml=d/a.xml", "an older copy gives way"},
		{"in place", []string{"d/a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, InPlace: true}, "new", "d/a.xml=new", "asked for"},
		{"out", []string{"d/a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o/p"}, "new", "d/a.xml=d/a.xml o/p/a.xml=new", "folders are made"},
		{"reports", []string{"d/a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Reports: []string{".json"}}, "new", "d/a.pedals.json=report0 d/a.pedals.xml=new d/a.xml=d/a.xml", "both"},
		{"reports alone", []string{"d/a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Reports: []string{".json", ".txt"}}, "", "d/a.pedals.json=report0 d/a.pedals.txt=report1 d/a.xml=d/a.xml", "no copy was asked for"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			testfolder.Enter(t, tt.files...)
			targets, err := tt.place.Targets(runs.Collector{Out: tt.place.Out}.Collect(t.Context(), []string{"d/a.xml"}))
			if err != nil {
				t.Fatal(err)
			}
			if err := saveWith(store.Disk(), targets.At(0), tt.copy, readInput(t, "d/a.xml")); err != nil {
				t.Fatal(err)
			}
			if got := testfolder.Contents(t); got != tt.want {
				t.Errorf("got  %s\nwant %s (%s)", got, tt.want, tt.why)
			}
		})
	}
}

func saveWith(sys store.System, t store.Target, text string, original store.Reading) error {
	var data []byte
	if text != "" {
		data = []byte(text)
	}
	var reports [][]byte
	for i := range t.Reports {
		reports = append(reports, fmt.Appendf(nil, "report%d", i))
	}
	return sys.Save(t, data, reports, original)
}

func TestSaveKeepsMode(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no modes here")
	}
	testfolder.Enter(t, "a.xml", "b.xml")
	if err := os.Chmod("a.xml", 0o640); err != nil {
		t.Fatal(err)
	}
	if err := saveWith(store.Disk(), store.Target{Path: "a.xml", InPlace: true}, "new", readInput(t, "a.xml")); err != nil {
		t.Fatal(err)
	}
	if err := saveWith(store.Disk(), store.Target{Path: "new.xml"}, "new", store.Reading{}); err != nil {
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
	testfolder.Enter(t, "a.xml", "readonly.xml", "dir.xml/", "o/", "elsewhere/")
	testfolder.Link(t, "a.xml", "link.xml")
	testfolder.Link(t, filepath.Join("..", "elsewhere"), "o/sub")
	if err := os.Chmod("readonly.xml", 0o444); err != nil {
		t.Fatal(err)
	}
	before := testfolder.Contents(t)
	for _, tt := range []struct {
		name, message, hint string
		target              store.Target
		why                 string
	}{
		{"link", "is a link", "name the file", store.Target{Path: "link.xml", InPlace: true}, "a rename would put a file in its place"},
		{"folder", "is not a regular file", "", store.Target{Path: "dir.xml"}, "a folder of that name"},
		{"read-only", "is read-only", "", store.Target{Path: "readonly.xml"}, "a rename would not mind"},
		{"no folder", "no such file or folder", "", store.Target{Path: "gone/a.xml"}, "it vanished meanwhile"},
		{"out of the folder", `a link leads out of "o"`, "--out", store.Target{Path: filepath.Join("o", "sub", "a.xml"), Within: "o"}, "the link was made meanwhile"},
		{"file for a folder", "", "", store.Target{Path: filepath.Join("a.xml", "b.xml"), Within: "."}, "a file stands where a folder should be made"},
		{"long name", "", "", store.Target{Path: strings.Repeat("x", 300) + ".xml"}, "longer than the file system allows"},
		{"standard output", "no file", "", store.Target{Path: store.Standard}, "not a file of that name"},
		{"failed before", "failed before", "", store.Target{Err: store.NewError("x", errors.New("failed before"), "")}, "nothing is tried"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			err := saveWith(store.Disk(), tt.target, "new", store.Reading{})
			if err == nil {
				t.Fatalf("no error (%s)", tt.why)
			}
			if !strings.Contains(err.Error(), tt.message) {
				t.Errorf("error %q, want %q (%s)", err, tt.message, tt.why)
			}
			if got := testfolder.Contents(t); got != before {
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
			testfolder.Enter(t, "a.xml")
			original := readInput(t, "a.xml")
			// Keeps the number of the first file taken, so that a new one is told apart.
			if err := errors.Join(os.Link("a.xml", "kept"), change()); err != nil {
				t.Fatal(err)
			}
			before := testfolder.Contents(t)
			if err := saveWith(store.Disk(), store.Target{Path: "a.xml", InPlace: true}, "new", original); err == nil {
				t.Error("no error")
			}
			if got := testfolder.Contents(t); got != before {
				t.Errorf("left behind: %s, was %s", got, before)
			}
		})
	}
}

// TestSaveBroken lets every step of a run over several files fail once. The
// file that it hits keeps its old state, the others get their new one, and no
// temporary file is left.
func TestSaveBroken(t *testing.T) {
	const files = 4
	for name, place := range map[string]store.Placement{
		"beside":   {Suffix: ".pedals", Mark: ".pedals", OwnName: true, Reports: []string{".json"}},
		"in place": {Suffix: ".pedals", Mark: ".pedals", OwnName: true, InPlace: true, Reports: []string{".json"}},
		"out":      {Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o", Reports: []string{".json"}},
	} {
		t.Run(name, func(t *testing.T) {
			seen := map[string]bool{}
			for at := 0; ; at++ {
				b := &storetest.Breaker{At: at}
				saveAll(t, place, b, files)
				if b.What == "" {
					break // all steps have had their turn
				}
				seen[b.What] = true
			}
			for _, what := range []string{"create", "write", "sync", "close", "rename", "sync of the folder"} {
				if !seen[what] {
					t.Errorf("no %s has failed", what)
				}
			}
			if place.InPlace && !seen["chmod"] || place.Out != "" && !seen["mkdir"] {
				t.Errorf("only these have failed: %v", seen)
			}
		})
	}
}

func saveAll(t *testing.T, place store.Placement, b *storetest.Breaker, files int) {
	t.Helper()
	var args []string
	for i := range files {
		args = append(args, fmt.Sprintf("%d.xml", i))
	}
	testfolder.Enter(t, args...)
	targets, err := place.Targets(runs.Collector{Out: place.Out}.Collect(t.Context(), args))
	if err != nil {
		t.Fatal(err)
	}
	sys := b.System()
	failed := 0
	for i := range targets.Len() {
		target := targets.At(i)
		original := readInput(t, args[i])
		before := b.What
		err := saveWith(sys, target, "new", original)
		hit := b.What != before
		if hit {
			failed++
		}
		if (err != nil) != hit {
			t.Errorf("%s: error %v", b.What, err)
		}
		if hit && !errors.Is(err, storetest.ErrBroken) {
			t.Errorf("%s: the error does not say why: %v", b.What, err)
		}
		want := map[string]string{args[i]: args[i], target.Path: "new", target.Reports[0]: "report0"}
		if hit && b.What != "sync of the folder" {
			want = map[string]string{args[i]: args[i]}
		}
		for _, path := range []string{args[i], target.Path, target.Reports[0]} {
			got, err := os.ReadFile(path)
			if text, there := want[path]; there != (err == nil) || string(got) != text {
				t.Errorf("%s: %s holds %q (%v), want %q", b.What, path, got, err, text)
			}
		}
	}
	if failed > 1 {
		t.Errorf("%d files were hit", failed)
	}
	if left := testfolder.Contents(t); strings.Contains(left, ".pedalogue-") {
		t.Errorf("%s: left behind: %s", b.What, left)
	}
}

// TestCleaningFails: what could not be removed is named.
func TestCleaningFails(t *testing.T) {
	testfolder.Enter(t, "a.xml")
	sys := store.Disk()
	sys.Rename = func(_, _ string) error { return storetest.ErrBroken }
	sys.Remove = func(string) error { return io.ErrClosedPipe }
	err := saveWith(sys, store.Target{Path: "b.xml"}, "new", store.Reading{})
	if !errors.Is(err, storetest.ErrBroken) || !errors.Is(err, io.ErrClosedPipe) || !strings.Contains(err.Error(), ".pedalogue-") {
		t.Errorf("error %v", err)
	}
}

func TestShortWrite(t *testing.T) {
	testfolder.Enter(t)
	sys := store.Disk()
	create := sys.Create
	sys.Create = func(path string) (store.File, error) {
		f, err := create(path)
		return shortFile{f}, err
	}
	if err := saveWith(sys, store.Target{Path: "b.xml"}, "new", store.Reading{}); !errors.Is(err, io.ErrShortWrite) {
		t.Errorf("error %v", err)
	}
	if got := testfolder.Contents(t); got != "" {
		t.Errorf("left behind: %s", got)
	}
}

type shortFile struct{ store.File }

func (f shortFile) Write(p []byte) (int, error) { return f.File.Write(p[:1]) }
