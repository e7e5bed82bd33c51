package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/store"
)

// watched is a file system that reports each change outside a folder.
func watched(t *testing.T, folder string) store.System {
	t.Helper()
	root := realFolder(folder)
	check := func(what, path string) {
		t.Helper()
		dir := filepath.Dir(path)
		if what == "mkdir" {
			dir = path
		}
		real := realFolder(dir)
		if real != root && !strings.HasPrefix(real, root+string(filepath.Separator)) {
			t.Errorf("%s of %s, which is in %s", what, path, real)
		}
	}
	sys := disk()
	return store.System{
		MkdirAll: func(dir string) error { check("mkdir", dir); return sys.MkdirAll(dir) },
		Create:   func(path string) (store.File, error) { check("create", path); return sys.Create(path) },
		Rename:   func(from, to string) error { check("rename", from); check("rename", to); return sys.Rename(from, to) },
		Link:     func(from, to string) error { check("link", from); check("link", to); return sys.Link(from, to) },
		Remove:   func(path string) error { check("remove", path); return sys.Remove(path) },
		SyncDir:  sys.SyncDir,
	}
}

// Whatever stands in the folder of --out, or is given to read, nothing outside it
// is written, replaced or removed.
func TestNothingOutsideOut(t *testing.T) {
	up := func(parts ...string) string { return filepath.Join(append([]string{".."}, parts...)...) }
	for _, tt := range []struct {
		name string
		lay  func(t *testing.T)
		code int
		err  string
		why  string
	}{
		{"plain", func(t *testing.T) {}, exitDone, "", "so that the others are known to fail for their own reasons"},
		{"folder is a link", func(t *testing.T) { link(t, up("outside"), "o/sub") }, exitFailed, `a link leads out of "o"`, "the tree of the input goes on below it"},
		{"folder is a link to one above", func(t *testing.T) { link(t, "..", "o/sub") }, exitFailed, `a link leads out of "o"`, "it holds the folder itself"},
		{"folder is an absolute link", func(t *testing.T) {
			abs, err := filepath.Abs("outside")
			if err != nil {
				t.Fatal(err)
			}
			link(t, abs, "o/sub")
		}, exitFailed, `a link leads out of "o"`, "likewise"},
		{"folder is a link that leads nowhere", func(t *testing.T) { link(t, up("new"), "o/sub") }, exitFailed, "o/sub", "it would be made outside"},
		{"link to a link", func(t *testing.T) { link(t, "two", "o/sub"); link(t, up("outside"), "o/two") }, exitFailed, `a link leads out of "o"`, "at the second step"},
		{"link within", func(t *testing.T) { writeFile(t, "o/real/", ""); link(t, "real", "o/sub") }, exitDone, "", "it stays in the folder"},
		{"copy is a link", func(t *testing.T) { link(t, up("outside", "mine.xml"), "o/a.musicxml") }, exitFailed, "is a link", "what it leads to is another's"},
		{"copy is a link that leads nowhere", func(t *testing.T) { link(t, up("outside", "new.xml"), "o/a.musicxml") }, exitFailed, "is a link", "it would be made outside"},
		{"copy is a link to the score", func(t *testing.T) { link(t, up("in", "a.musicxml"), "o/a.musicxml") }, exitFailed, "a.musicxml", "the score is to stay as it is"},
		{"report is a link", func(t *testing.T) { link(t, up("outside", "mine.xml"), "o/a.pedals.html") }, exitFailed, "is a link", "likewise"},
		{"record is a link", func(t *testing.T) { link(t, up("outside", "mine.xml"), "o/a.pedals.json") }, exitFailed, "is a link", "it is read before it is replaced"},
		{"summary is a link", func(t *testing.T) { link(t, up("outside", "mine.xml"), "o/pedals.html") }, exitFailed, "is a link", "likewise"},
		{"score is a link", func(t *testing.T) { link(t, up("outside", "score.xml"), "in/linked.xml") }, exitDone, "", "the copy has the link's name"},
		{"copy is a second name of a file", func(t *testing.T) {
			if err := os.Link("outside/mine.xml", "o/a.musicxml"); err != nil {
				t.Skip(err)
			}
		}, exitFailed, "is there already", "it is another's file, whatever its names"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			folder(t, "outside/mine.xml", "o/")
			writeFile(t, "in/a.musicxml", easyScore("A"))
			writeFile(t, "in/sub/b.xml", easyScore("B"))
			writeFile(t, "outside/score.xml", easyScore("C"))
			tt.lay(t)
			before := outsideOf(t, "o")
			// Named in a way that leads up and down again, too.
			named := filepath.Join("in", "sub", "..", "..", "in")
			r := typedOn(t, watched(t, "o"), "", "mark", "-q", "--report", "json,html,csv", "--out", "o", named)
			r.want(t, tt.code, "", tt.err)
			if after := outsideOf(t, "o"); after != before {
				t.Errorf("outside it was\n%s\nand is\n%s (%s)", before, after, tt.why)
			}
		})
	}
}

// outsideOf lists all that is outside a folder, with contents, links not followed.
func outsideOf(t *testing.T, folder string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.WalkDir(".", func(path string, d os.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case path == folder:
			return filepath.SkipDir
		case d.Type()&os.ModeSymlink != 0:
			to, err := os.Readlink(path)
			b.WriteString(path + " -> " + to + "\n")
			return err
		case d.IsDir():
			b.WriteString(path + "/\n")
			return nil
		}
		data, errRead := os.ReadFile(path)
		info, errInfo := d.Info()
		if err := errors.Join(errRead, errInfo); err != nil {
			return err
		}
		b.WriteString(path + " " + info.ModTime().String() + " " + info.Mode().String() + " " + store.Checksum(data) + "\n")
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// realFolder is a folder behind all links, as far as it is there.
func realFolder(dir string) string {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return dir
	}
	for rest := ""; ; {
		if real, err := filepath.EvalSymlinks(abs); err == nil {
			return filepath.Join(real, rest)
		}
		abs, rest = filepath.Dir(abs), filepath.Join(filepath.Base(abs), rest)
	}
}
