package runs_test

import (
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/storetest"
	"pedalogue/cmd/pedalogue/internal/testfolder"
)

func TestCollect(t *testing.T) {
	testfolder.Enter(t, "b.musicxml", "a.xml", "c.MXL", "notes.txt", "noext",
		"set/2.xml", "set/10.xml", "set/1.pedals.xml", "set/1.PEDALS.mxl", "set/1.xml", "set/deep/er/x.Xml",
		"set/.hidden.xml", "set/.cache/x.xml", "set/META-INF/container.xml", "set/marked/1.xml", "set/deep.pdf", "empty/")
	testfolder.Link(t, filepath.Join("..", "a.xml"), "set/link.xml")
	testfolder.Link(t, ".", "set/loop")
	testfolder.Link(t, "nowhere", "set/lost.xml")
	testfolder.Link(t, "set", "way")
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
			for _, in := range (runs.Collector{Out: tt.out, LeaveOut: isMarkedCopy}).Collect(t.Context(), tt.args) {
				s := filepath.ToSlash(in.Path)
				if in.Root != "" {
					s += "<" + in.Root
				}
				if in.Err != nil {
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
	testfolder.Enter(t, "a.xml", "d/b.xml")
	var got []string
	for _, in := range (runs.Collector{}).Collect(t.Context(), []string{"."}) {
		got = append(got, filepath.ToSlash(in.Path))
	}
	if !slices.Equal(got, []string{"a.xml", "d/b.xml"}) {
		t.Errorf("got %q", got)
	}
}

func TestCollectErrors(t *testing.T) {
	testfolder.Enter(t, "a.xml", "shut/x.xml", "open/y.xml")
	in := runs.Collector{}.Collect(t.Context(), []string{"gone.xml"})
	storetest.Want(t, in[0].Err, "gone.xml", "there is no such file or folder", "")
	in = runs.Collector{}.Collect(t.Context(), []string{"-", "-"})
	storetest.Want(t, in[1].Err, "-", "only once", "")
	if runtime.GOOS != "windows" {
		in = runs.Collector{}.Collect(t.Context(), []string{os.DevNull})
		storetest.Want(t, in[0].Err, os.DevNull, "not a regular file", "standard input")
	}
	if os.Geteuid() <= 0 {
		t.Skip("nothing is closed to this user")
	}
	if err := os.Chmod("shut", 0); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod("shut", 0o700)
	in = runs.Collector{}.Collect(t.Context(), []string{"."})
	if len(in) != 3 || in[0].Err != nil || in[1].Err != nil {
		t.Fatalf("got %+v", in)
	}
	storetest.Want(t, in[2].Err, "shut", "not allowed", "")
}

// isMarkedCopy tells names that are left out in folders, for example.
func isMarkedCopy(name string) bool { return strings.Contains(strings.ToLower(name), ".pedals.") }
