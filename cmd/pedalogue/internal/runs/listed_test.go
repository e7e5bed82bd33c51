package runs_test

import (
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/testfolder"
)

// A pattern leaves out what a folder would, unless it is named.
func TestPatternLeavesOutCopies(t *testing.T) {
	testfolder.Enter(t, "a.xml", "a.pedals.xml", ".b.xml")
	for pattern, want := range map[string]string{"*.xml": "a.xml", "*.pedals.*": "a.pedals.xml", ".*.xml": ".b.xml"} {
		var got []string
		for _, in := range (runs.Collector{LeaveOut: isMarkedCopy}).Collect(t.Context(), []string{pattern}) {
			got = append(got, in.Path)
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s: %q, want %q", pattern, got, want)
		}
	}
}
