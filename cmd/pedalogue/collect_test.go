package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"pedalogue/musicxml"
)

// folder makes a folder with these files, which hold their own names, and goes
// there. A name that ends in a slash is a folder.
func folder(t *testing.T, names ...string) {
	t.Helper()
	t.Chdir(t.TempDir())
	for _, name := range names {
		writeFile(t, name, name)
	}
}

func writeFile(t *testing.T, name, content string) {
	t.Helper()
	dir := filepath.Dir(name)
	if strings.HasSuffix(name, "/") {
		dir = name
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	if dir == name {
		return
	}
	if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
}

func link(t *testing.T, to, name string) {
	t.Helper()
	if err := os.Symlink(to, name); err != nil {
		t.Skip("no links here: ", err)
	}
}

// wantError checks the file, the message and the hint of an error.
func wantError(t *testing.T, err error, file, message, hint string) {
	t.Helper()
	var e *musicxml.Error
	if !errors.As(err, &e) {
		t.Fatalf("error %v, want one about %q", err, message)
	}
	if e.File != file || !strings.Contains(e.Err.Error(), message) || !strings.Contains(e.Hint, hint) {
		t.Errorf("error %q about %q, hint %q; want %q, %q, %q", e.Err, e.File, e.Hint, message, file, hint)
	}
}

func TestCollect(t *testing.T) {
	folder(t, "b.musicxml", "a.xml", "c.MXL", "notes.txt", "noext",
		"set/2.xml", "set/10.xml", "set/1.pedals.xml", "set/1.PEDALS.mxl", "set/1.xml", "set/deep/er/x.Xml",
		"set/.hidden.xml", "set/.cache/x.xml", "set/META-INF/container.xml", "set/marked/1.xml", "set/deep.pdf", "empty/")
	link(t, filepath.Join("..", "a.xml"), "set/link.xml")
	link(t, ".", "set/loop")
	link(t, "nowhere", "set/lost.xml")
	link(t, "set", "way")
	for _, tt := range []struct {
		name string
		args []string
		out  string
		want string // path<root, path! with an error
		why  string
	}{
		{"nothing", nil, "", "-", "standard input"},
		{"standard input", []string{"a.xml", "-"}, "", "a.xml -", "in its place"},
		{"standard input twice", []string{"-", "-"}, "", "- -!", "it can be read once"},
		{"argument order", []string{"c.MXL", "a.xml", "b.musicxml"}, "", "c.MXL a.xml b.musicxml", "not sorted"},
		{"any name", []string{"notes.txt", "noext"}, "", "notes.txt noext", "who names a file means it"},
		{"own copy by name", []string{"set/1.pedals.xml"}, "", "set/1.pedals.xml", "who names a file means it"},
		{"not there", []string{"x.xml", "a.xml"}, "", "x.xml! a.xml", "the others are still done"},
		{"folder", []string{"set"}, "set/marked", "set/1.xml<set set/10.xml<set set/2.xml<set set/deep/er/x.Xml<set set/link.xml<set set/lost.xml<set!", "sorted; a loop of links does no harm"},
		{"folder with slash", []string{"set/deep/"}, "", "set/deep/er/x.Xml<set/deep/", "the shell adds it"},
		{"linked folder", []string{"way"}, "set/marked", "way/1.xml<way way/10.xml<way way/2.xml<way way/deep/er/x.Xml<way way/link.xml<way way/lost.xml<way!", "a link that is named is followed"},
		{"without out", []string{"set/marked"}, "", "set/marked/1.xml<set/marked", "the folder itself may be meant"},
		{"out is the argument", []string{"set/marked"}, "set/marked", "set/marked/1.xml<set/marked", "the conflict is reported when the copies are placed"},
		{"no scores", []string{"empty"}, "", "empty<empty!", "silence would look like success"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var got []string
			for _, in := range (collector{out: tt.out}).collect(tt.args) {
				s := filepath.ToSlash(in.path)
				if in.root != "" {
					s += "<" + in.root
				}
				if in.err != nil {
					s += "!"
				}
				got = append(got, s)
			}
			if s := strings.Join(got, " "); s != tt.want {
				t.Errorf("got  %s\nwant %s (%s)", s, tt.want, tt.why)
			}
		})
	}
}

func TestCollectHere(t *testing.T) {
	folder(t, "a.xml", "d/b.xml")
	var got []string
	for _, in := range (collector{}).collect([]string{"."}) {
		got = append(got, filepath.ToSlash(in.path))
	}
	if !slices.Equal(got, []string{"a.xml", "d/b.xml"}) {
		t.Errorf("got %q", got)
	}
}

func TestCollectErrors(t *testing.T) {
	folder(t, "a.xml", "shut/x.xml", "open/y.xml")
	in := collector{}.collect([]string{"gone.xml"})
	wantError(t, in[0].err, "gone.xml", "there is no such file or folder", "")
	in = collector{}.collect([]string{"-", "-"})
	wantError(t, in[1].err, "-", "only once", "")
	if runtime.GOOS != "windows" {
		in = collector{}.collect([]string{os.DevNull})
		wantError(t, in[0].err, os.DevNull, "not a regular file", "standard input")
	}
	if os.Geteuid() <= 0 {
		t.Skip("nothing is closed to this user")
	}
	if err := os.Chmod("shut", 0); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod("shut", 0o700)
	in = collector{}.collect([]string{"."})
	if len(in) != 3 || in[0].err != nil || in[1].err != nil {
		t.Fatalf("got %+v", in)
	}
	wantError(t, in[2].err, "shut", "not allowed", "")
}

func TestRead(t *testing.T) {
	folder(t, "a.xml")
	big := strings.Repeat("x", 5000)
	writeFile(t, "big.xml", big)
	for _, tt := range []struct {
		name, path, stdin, want string
		why                     string
	}{
		{"file", "a.xml", "", "a.xml", "all of it"},
		{"larger than the first buffer", "big.xml", "", big, "all of it"},
		{"standard input", "-", big, big, "of unknown length"},
		{"empty standard input", "-", "", "", "whether that is a score is told elsewhere"},
	} {
		got, err := input{path: tt.path}.read(iotest.HalfReader(strings.NewReader(tt.stdin)), 5000)
		if err != nil || string(got.data) != tt.want {
			t.Errorf("%s: %d bytes, %v", tt.name, len(got.data), err)
		}
		if (got.info == nil) != (tt.path == "-") {
			t.Errorf("%s: state %v", tt.name, got.info)
		}
	}
	_, err := input{path: "big.xml"}.read(nil, 4999)
	wantError(t, err, "big.xml", "larger than the limit of 4999 bytes", "--max-size")
	_, err = input{path: "-"}.read(strings.NewReader(big), 4999)
	wantError(t, err, "-", "larger than the limit", "--max-size")
	_, err = input{path: "-"}.read(iotest.ErrReader(errors.New("the pipe broke")), 100)
	wantError(t, err, "-", "the pipe broke", "")
	_, err = input{path: "gone.xml"}.read(nil, 100)
	wantError(t, err, "gone.xml", "no such file", "")
	failed := fileError("x", errors.New("failed before"), "")
	if _, err = (input{path: "a.xml", err: failed}).read(nil, 100); err != failed {
		t.Errorf("got %v, want the error from before", err)
	}
}

func TestIsUnchanged(t *testing.T) {
	folder(t, "a.xml")
	stat := func() os.FileInfo {
		info, err := os.Stat("a.xml")
		if err != nil {
			t.Fatal(err)
		}
		return info
	}
	first := stat()
	if !isUnchanged(first, stat()) {
		t.Error("the same state differs from itself")
	}
	writeFile(t, "a.xml", "longer than it was")
	if isUnchanged(first, stat()) {
		t.Error("another size is not seen")
	}
	writeFile(t, "a.xml", "a.XML")
	if err := os.Chtimes("a.xml", time.Time{}, first.ModTime().Add(time.Second)); err != nil {
		t.Fatal(err)
	}
	if isUnchanged(first, stat()) {
		t.Error("another time is not seen")
	}
	writeFile(t, "b.xml", "a.xml")
	if err := errors.Join(os.Chtimes("b.xml", time.Time{}, first.ModTime()), os.Rename("b.xml", "a.xml")); err != nil {
		t.Fatal(err)
	}
	if isUnchanged(first, stat()) {
		t.Error("another file in its place is not seen")
	}
}

func TestReadAllGrows(t *testing.T) {
	want := bytes.Repeat([]byte("0123456789"), 10_000)
	got, err := readAll(iotest.OneByteReader(bytes.NewReader(want)), 0, 100_000)
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("%d bytes, %v", len(got), err)
	}
}
