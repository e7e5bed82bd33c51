package report

import (
	"strings"
	"testing"
)

// What the reader has decided is told beside what was reduced, as with every command.
func TestReduceTextTellsWarnings(t *testing.T) {
	var b strings.Builder
	r := &Reduce{Head: Head{Path: "a.musicxml"}, Parts: []ReducePart{{ID: "P1", Name: "Piano"}}, Warnings: []Warning{{Code: "no-duration", Part: "P1", Measure: "3", Text: "a note has no duration"}}}
	if err := WriteReduceText(&b, r, TextOptions{}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "a note has no duration") {
		t.Errorf("the warning is not told:\n%s", b.String())
	}
}
