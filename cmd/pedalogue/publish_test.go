package main

import (
	"errors"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"
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
			folder(t, "a.xml", "a.pedals.json", "a.pedals.xml")
			if err := os.Chmod("a.pedals.json", 0o640); err != nil {
				t.Fatal(err)
			}
			before := contents(t)
			sys := disk()
			sys.link = tt.link
			sys.rename = func(from, to string) error {
				if to == "a.pedals.xml" {
					return errBroken
				}
				return os.Rename(from, to)
			}
			err := saveWith(sys, target{path: "a.pedals.xml", reports: []string{"a.pedals.html", "a.pedals.json"}}, "new", reading{})
			if !errors.Is(err, errBroken) || strings.Contains(err.Error(), "\n") {
				t.Errorf("error %v", err)
			}
			if got := contents(t); got != before {
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
	folder(t, "a.pedals.json", "a.pedals.xml")
	sys := disk()
	renames := 0
	sys.rename = func(from, to string) error {
		if renames++; renames > 1 {
			return errBroken
		}
		return os.Rename(from, to)
	}
	err := saveWith(sys, target{path: "a.pedals.xml", reports: []string{"a.pedals.json"}}, "new", reading{})
	if err == nil {
		t.Fatal("no error")
	}
	found := regexp.MustCompile(`a\.pedals\.json: could not be put back as it was, which is now "(\.pedalogue-\w+)"`).FindStringSubmatch(err.Error())
	if found == nil {
		t.Fatalf("error %v, want one that says where the older report is", err)
	}
	if aside, err := os.ReadFile(found[1]); err != nil || string(aside) != "a.pedals.json" {
		t.Errorf("%s holds %q (%v), want the older report", found[1], aside, err)
	}
	if files := strings.Count(contents(t), "="); files != 3 {
		t.Errorf("%d files, want the two results and the older report: %s", files, contents(t))
	}
}

// Nothing is replaced before all that would be is kept aside.
func TestNoRoomToKeepAside(t *testing.T) {
	folder(t, "a.pedals.html", "a.pedals.json", "a.pedals.xml")
	before := contents(t)
	sys := disk()
	sys.link = func(_, _ string) error { return errors.ErrUnsupported }
	created := 0
	sys.create = func(path string) (outFile, error) {
		if created++; created == 5 { // three results, then the copies of two older ones
			return nil, io.ErrShortWrite
		}
		return disk().create(path)
	}
	err := saveWith(sys, target{path: "a.pedals.xml", reports: []string{"a.pedals.html", "a.pedals.json"}}, "new", reading{})
	if !errors.Is(err, io.ErrShortWrite) {
		t.Errorf("error %v", err)
	}
	if got := contents(t); got != before {
		t.Errorf("left %s\nwas  %s", got, before)
	}
}
