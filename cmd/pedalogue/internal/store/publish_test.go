package store_test

import (
	"errors"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/storetest"
	"pedalogue/cmd/pedalogue/internal/testfolder"
)

// The copy cannot take its name when its reports, of which one replaces an older
// one, have theirs: all is as it was.
func TestReplacedResultComesBack(t *testing.T) {
	noLinks := func(_, _ string) error { return errors.ErrUnsupported }
	for _, tt := range []struct {
		name string
		link func(from, to string) error
		why  string
	}{
		{"by its second name", os.Link, "the file itself comes back"},
		{"from a copy", noLinks, "some file systems know no second names"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			testfolder.Enter(t, "a.xml", "a.pedals.json", "a.pedals.xml")
			if err := os.Chmod("a.pedals.json", 0o640); err != nil {
				t.Fatal(err)
			}
			before := testfolder.Contents(t)
			sys := store.Disk()
			sys.Link = tt.link
			sys.Rename = func(from, to string) error {
				if to == "a.pedals.xml" {
					return storetest.ErrBroken
				}
				return os.Rename(from, to)
			}
			err := saveWith(sys, store.Target{Path: "a.pedals.xml", Reports: []string{"a.pedals.html", "a.pedals.json"}}, "new", store.Reading{})
			if !errors.Is(err, storetest.ErrBroken) || strings.Contains(err.Error(), "\n") {
				t.Errorf("error %v", err)
			}
			if got := testfolder.Contents(t); got != before {
				t.Errorf("left %s\nwas  %s (%s)", got, before, tt.why)
			}
			if info, err := os.Stat("a.pedals.json"); err != nil || info.Mode().Perm() != 0o640 {
				t.Errorf("the older report has come back as %v (%v)", info, err)
			}
		})
	}
}

// What can be neither replaced nor put back is not lost: the error says where it
// is.
func TestReplacedResultStaysAside(t *testing.T) {
	testfolder.Enter(t, "a.pedals.json", "a.pedals.xml")
	sys := store.Disk()
	renames := 0
	sys.Rename = func(from, to string) error {
		if renames++; renames > 1 {
			return storetest.ErrBroken
		}
		return os.Rename(from, to)
	}
	err := saveWith(sys, store.Target{Path: "a.pedals.xml", Reports: []string{"a.pedals.json"}}, "new", store.Reading{})
	if err == nil {
		t.Fatal("no error")
	}
	found := regexp.MustCompile(`a\.pedals\.json: could not be put back as it was, which is now "(\.pedalogue-[\w-]+)"`).FindStringSubmatch(err.Error())
	if found == nil {
		t.Fatalf("error %v, want one that says where the older report is", err)
	}
	if aside, err := os.ReadFile(found[1]); err != nil || string(aside) != "a.pedals.json" {
		t.Errorf("%s holds %q (%v), want the older report", found[1], aside, err)
	}
	if files := strings.Count(testfolder.Contents(t), "="); files != 3 {
		t.Errorf("%d files, want the two results and the older report: %s", files, testfolder.Contents(t))
	}
}

// Nothing is replaced before all that would be is kept aside.
func TestNoRoomToKeepAside(t *testing.T) {
	testfolder.Enter(t, "a.pedals.html", "a.pedals.json", "a.pedals.xml")
	before := testfolder.Contents(t)
	sys := store.Disk()
	sys.Link = func(_, _ string) error { return errors.ErrUnsupported }
	created := 0
	sys.Create = func(path string) (store.File, error) {
		if created++; created == 5 { // three results, then the copies of two older ones
			return nil, io.ErrShortWrite
		}
		return store.Disk().Create(path)
	}
	err := saveWith(sys, store.Target{Path: "a.pedals.xml", Reports: []string{"a.pedals.html", "a.pedals.json"}}, "new", store.Reading{})
	if !errors.Is(err, io.ErrShortWrite) {
		t.Errorf("error %v", err)
	}
	if got := testfolder.Contents(t); got != before {
		t.Errorf("left %s\nwas  %s", got, before)
	}
}
