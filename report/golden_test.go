package report

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares what was written with testdata/name.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v (go test -update writes it)", err)
	}
	if n, w, g := firstDifference(string(want), got); n > 0 {
		t.Errorf("%s has changed in line %d (-want +got):\n- %s\n+ %s", path, n, w, g)
	}
}

// firstDifference gives the first line, from 1, in which two texts differ; 0 if
// there is none.
func firstDifference(want, got string) (line int, w, g string) {
	if want == got {
		return 0, "", ""
	}
	ws, gs := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range min(len(ws), len(gs)) {
		if ws[i] != gs[i] {
			return i + 1, ws[i], gs[i]
		}
	}
	return min(len(ws), len(gs)) + 1, "end or more lines", "more lines or end"
}
