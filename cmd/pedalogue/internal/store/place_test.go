package store_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/storetest"
	"pedalogue/cmd/pedalogue/internal/testfolder"
)

func TestTargets(t *testing.T) {
	for _, tt := range []struct {
		name  string
		files []string
		args  []string
		place store.Placement
		want  string // one for each input; "!" and a part of the message for an error
		why   string
	}{
		{"beside", []string{"d/a.xml"}, []string{"d/a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true}, "d/a.pedals.xml", "the default"},
		{"beside, dots", []string{"a.b.mxl", "c"}, []string{"a.b.mxl", "c"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true}, "a.b.pedals.mxl c.pedals", "the last one begins the extension"},
		{"beside, folder", []string{"d/e/a.xml"}, []string{"d"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true}, "d/e/a.pedals.xml", "each beside its own"},
		{"in place", []string{"a.xml"}, []string{"a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, InPlace: true}, "a.xml", "the input itself"},
		{"out, file", []string{"d/a.xml"}, []string{"d/a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}, "o/a.xml", "directly into the folder"},
		{"out, file above", []string{"a.xml"}, []string{"../" + "here/a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}, "o/a.xml", "a path that leads up leaves nothing"},
		{"out, folder", []string{"d/a.xml", "d/e/b.xml"}, []string{"d"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}, "o/a.xml o/e/b.xml", "the tree below the argument"},
		{"out inside", []string{"d/a.xml", "d/o/b.xml"}, []string{"d"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "d/o"}, "d/o/a.xml", "what is there is no input"},
		{"standard", nil, nil, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true}, "-", "to standard output"},
		{"standard, out", nil, []string{"-"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}, "!no name", "how should it be called?"},
		{"standard, in place", nil, []string{"-"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, InPlace: true}, "!cannot be replaced", "nothing to replace"},
		{"standard, reports", nil, []string{"-"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Reports: []string{".json"}}, "!no name", "how should it be called?"},
		{"reports beside", []string{"a.xml"}, []string{"a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Reports: []string{".json", ".txt"}}, "a.pedals.xml+a.pedals.json+a.pedals.txt", "beside the copy"},
		{"reports, in place", []string{"d/a.xml"}, []string{"d/a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, InPlace: true, Reports: []string{".json"}}, "d/a.xml+d/a.pedals.json", "beside the copy"},
		{"reports, out", []string{"d/e/a.xml"}, []string{"d"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o", Reports: []string{".json"}}, "o/e/a.xml+o/e/a.pedals.json", "beside the copy"},
		{"two reports with one name", []string{"a.mxl", "a.xml"}, []string{"a.mxl", "a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Reports: []string{".json"}}, `a.pedals.mxl+a.pedals.json !"a.pedals.json" would be written for this file and for "a.mxl"`, "the copies differ, the reports do not"},
		{"input error stays", nil, []string{"gone.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true}, "!no such file", "not covered by another"},
		{"two with one name", []string{"d/a.xml", "e/a.xml"}, []string{"d/a.xml", "e/a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}, "o/d/a.xml o/e/a.xml", "as many folders are kept as tell them apart"},
		{"three with one name", []string{"p/d/a.xml", "q/d/a.xml", "b.xml", "a.xml"}, []string{"p/d/a.xml", "q/d/a.xml", "b.xml", "a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}, "o/p/d/a.xml o/q/d/a.xml o/b.xml o/here/a.xml", "more where one folder does not do; others stay where they were"},
		{"two folders", []string{"d/a.xml", "d/b.xml", "e/a.xml", "e/c.xml", "f/g.xml"}, []string{"d", "e", "f"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}, "o/d/a.xml o/d/b.xml o/e/a.xml o/e/c.xml o/g.xml", "what was found below one folder stays together"},
		{"two folders of one name", []string{"p/d/a.xml", "q/d/a.xml"}, []string{"p/d", "q/d/"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}, "o/p/d/a.xml o/q/d/a.xml", "the folders above them tell"},
		{"two reports with one name, out", []string{"d/a.mxl", "e/a.xml"}, []string{"d/a.mxl", "e/a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o", Reports: []string{".json"}}, "o/d/a.mxl+o/d/a.pedals.json o/e/a.xml+o/e/a.pedals.json", "the copies would differ, the reports would not"},
		{"copy like a report", []string{"a.xml", "d/a.pedals.json"}, []string{"a.xml", "d/a.pedals.json"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o", Reports: []string{".json"}}, "o/here/a.xml+o/here/a.pedals.json o/d/a.pedals.json+o/d/a.pedals.pedals.json", "a score may have any name"},
		{"one place for two, out", []string{"a.mxl", "a.xml"}, []string{"a.mxl", "a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o", Reports: []string{".json"}}, `o/a.mxl+o/a.pedals.json !"o/a.pedals.json" would be written for this file and for "a.mxl"`, "no folder tells them apart"},
		{"two that differ in case", []string{"d/a.xml", "e/A.xml"}, []string{"d/a.xml", "e/A.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}, "o/d/a.xml o/e/A.xml", "some file systems cannot keep them apart"},
		{"two that differ in composition", []string{"d/\u00e9.xml", "e/e\u0301.xml"}, []string{"d", "e"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}, "o/d/\u00e9.xml o/e/e\u0301.xml", "some file systems cannot keep them apart"},
		{"case beside", []string{"a.xml", "A.xml"}, []string{"a.xml", "A.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true}, "a.pedals.xml A.pedals.xml", "both are there, so they can be kept apart"},
		{"out is here", []string{"a.xml"}, []string{"a.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "."}, "!take the place of the file itself", "that is what --write is for"},
		{"out is the argument", []string{"d/a.xml"}, []string{"d"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "d"}, "!take the place of the file itself", "that is what --write is for"},
		{"result is another input", []string{"a.xml", "a.pedals.xml"}, []string{"a.xml", "a.pedals.xml"}, store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true}, `!"a.pedals.xml" is also one of the files to read a.pedals.pedals.xml`, "it would change under our hands"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			testfolder.Enter(t, "here/")
			t.Chdir("here")
			for _, name := range tt.files {
				testfolder.Write(t, name, name)
			}
			got, err := tt.place.Targets(runs.Collector{Out: tt.place.Out}.Collect(t.Context(), tt.args))
			if err != nil {
				t.Fatal(err)
			}
			compareTargets(t, got, tt.want, tt.why)
		})
	}
}

// compareTargets reads want word by word: what follows "!" is in the message
// until the next path.
func compareTargets(t *testing.T, got *store.Targets, want, why string) {
	t.Helper()
	for i := range got.Len() {
		g := got.At(i)
		message, failed := strings.CutPrefix(want, "!")
		if failed {
			if g.Err == nil {
				t.Fatalf("no error, want %q (%s)", message, why)
			}
			text := g.Err.Error()
			n := len(message)
			for n > 0 && !strings.Contains(text, message[:n]) {
				n = max(strings.LastIndex(message[:n], " "), 0)
			}
			if n == 0 {
				t.Fatalf("error %q, want %q (%s)", text, message, why)
			}
			want = strings.TrimPrefix(message[n:], " ")
			continue
		}
		if g.Err != nil {
			t.Fatalf("%v (%s)", g.Err, why)
		}
		s := filepath.ToSlash(strings.Join(append([]string{g.Path}, g.Reports...), "+"))
		rest, ok := strings.CutPrefix(want, s)
		if !ok {
			t.Fatalf("got %s, want %s (%s)", s, want, why)
		}
		want = strings.TrimPrefix(rest, " ")
	}
	if want != "" {
		t.Errorf("nothing for %q (%s)", want, why)
	}
}

func TestTargetsLinks(t *testing.T) {
	testfolder.Enter(t, "d/a.xml", "d/sub/b.xml", "elsewhere/", "o/")
	testfolder.Link(t, filepath.Join("..", "elsewhere"), "o/sub")
	testfolder.Link(t, "d", "way")
	testfolder.Link(t, filepath.Join("d", "a.xml"), "alias.xml")
	testfolder.Link(t, "nowhere", "lost")

	got, err := store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}.Targets(runs.Collector{Out: "o"}.Collect(t.Context(), []string{"d"}))
	if err != nil {
		t.Fatal(err)
	}
	storetest.Want(t, got.At(1).Err, filepath.Join("o", "sub", "b.xml"), `a link leads out of "o"`, "--out")

	// The same folder by two names.
	if all := store.Unique(runs.Collector{}.Collect(t.Context(), []string{"d/a.xml", "way/a.xml", "alias.xml"})); len(all) != 2 || all[1].Path != "alias.xml" {
		t.Errorf("%+v, want the file once, and the link to it", all)
	}

	// Writing into the folder of the input by another name.
	got, err = store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "way"}.Targets(runs.Collector{}.Collect(t.Context(), []string{"d/a.xml"}))
	if err != nil {
		t.Fatal(err)
	}
	storetest.Want(t, got.At(0).Err, "d/a.xml", "take the place of the file itself", "--write")

	// What a link among the inputs leads to is an input too.
	testfolder.Write(t, "p/a.xml", "p")
	testfolder.Link(t, filepath.Join("..", "d", "a.xml"), "elsewhere/link.xml")
	got, err = store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "d"}.Targets(runs.Collector{}.Collect(t.Context(), []string{"p/a.xml", "elsewhere/link.xml"}))
	if err != nil {
		t.Fatal(err)
	}
	storetest.Want(t, got.At(0).Err, "p/a.xml", "also one of the files to read", "leave one")

	// The same file by another name.
	if err := os.Link("p/a.xml", "o/a.xml"); err != nil {
		t.Fatal(err)
	}
	got, err = store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}.Targets(runs.Collector{}.Collect(t.Context(), []string{"p/a.xml"}))
	if err != nil {
		t.Fatal(err)
	}
	storetest.Want(t, got.At(0).Err, "p/a.xml", "take the place of the file itself", "--write")

	// The folder of --out may itself be a link.
	testfolder.Link(t, "elsewhere", "out")
	got, err = store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "out"}.Targets(runs.Collector{}.Collect(t.Context(), []string{"p/a.xml"}))
	if err != nil || got.At(0).Err != nil {
		t.Errorf("%v, %v", err, got.At(0).Err)
	}

	_, err = store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "lost"}.Targets(nil)
	storetest.Want(t, err, "lost", "a link that leads nowhere", "")
	_, err = store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "d/a.xml"}.Targets(nil)
	storetest.Want(t, err, "d/a.xml", "is not a folder", "")
	if _, err = (store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o", InPlace: true}).Targets(nil); err == nil {
		t.Error("--out and --write together")
	}
}

func TestManyTargets(t *testing.T) {
	testfolder.Enter(t, "d/")
	var inputs []store.Source
	for i := range 2000 {
		inputs = append(inputs, store.Source{Path: fmt.Sprintf("d/%d.xml", i), Root: "d"})
	}
	got, err := store.Placement{Suffix: ".pedals", Mark: ".pedals", OwnName: true, Out: "o"}.Targets(inputs)
	if err != nil || anyFails(got) {
		t.Errorf("%v", err)
	}
}

// Names in one folder that differ only in case or in composed characters are kept
// apart where the file system does so.
func TestNamesThatLookAlike(t *testing.T) {
	testfolder.Enter(t, "d/\u00e9.xml", "d/e\u0301.xml", "d/a.xml", "d/A.xml", "o/")
	sources := runs.Collector{}.Collect(t.Context(), []string{"d"})
	if len(sources) < 4 {
		t.Skip("this file system does not keep them apart")
	}
	got, err := store.Placement{OwnName: true, Suffix: ".pedals", Mark: ".pedals", Out: "o", Reports: []string{".json"}}.Targets(sources)
	if err != nil || anyFails(got) {
		t.Errorf("not placed (%v)", err)
	}
	if left := testfolder.Tree(t, "o"); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// A file that is named twice is done once.
func TestUnique(t *testing.T) {
	testfolder.Enter(t, "a.xml", "d/b.xml")
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	sources := runs.Collector{}.Collect(t.Context(), []string{"a.xml", "./a.xml", "d", "d/b.xml", filepath.Join(here, "a.xml"), "-", "gone.xml", "gone.xml"})
	var got []string
	for _, in := range store.Unique(sources) {
		got = append(got, filepath.ToSlash(in.Path))
	}
	if strings.Join(got, " ") != "a.xml d/b.xml - gone.xml" {
		t.Errorf("got %q", got)
	}
}

func anyFails(all *store.Targets) bool {
	for i := range all.Len() {
		if all.At(i).Err != nil {
			return true
		}
	}
	return false
}
