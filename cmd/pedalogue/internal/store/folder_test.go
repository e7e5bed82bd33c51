package store_test

import (
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/testfolder"
)

func TestCommonFolder(t *testing.T) {
	testfolder.Enter(t)
	for _, tt := range []struct{ paths, want string }{
		{"a.xml", "."},
		{"d/a.xml d/b.xml", "d"},
		{"d/e/a.xml d/e2/b.xml", "d"},
		{"d/a.xml b.xml", "."},
		{"-", ""},
	} {
		var sources []store.Source
		for path := range strings.FieldsSeq(tt.paths) {
			sources = append(sources, store.Source{Path: path})
		}
		targets, err := store.Placement{Suffix: ".x"}.Targets(sources)
		if err != nil {
			t.Fatal(err)
		}
		if got := store.CommonFolder(targets); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.paths, got, tt.want)
		}
	}
}
