package report

import (
	"strings"
	"testing"

	"pedalogue/report/engrave"
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

// oneChord is a measure of one chord.
func oneChord(notes ...engrave.Note) *engrave.Part {
	m := &engrave.Measure{Number: "1", Length: engrave.Time{Num: 4}, Chords: []engrave.Chord{{Value: engrave.Whole, Staff: 1, Notes: notes}}}
	return &engrave.Part{Staves: 1, Measures: map[int]*engrave.Measure{0: m}}
}

// A reduction is drawn as it was, with a line around what goes, and as it is; texts from
// the file cannot become a part of the page.
func TestReducePage(t *testing.T) {
	c, e := engrave.Note{ID: 1, Staff: 1, Step: 'C', Octave: 5}, engrave.Note{ID: 2, Staff: 1, Step: 'E', Octave: 5}
	red := Reduction{Place: Place{Measure: "1", Offset: "0"}, Text: "Leave out E5.", Why: []string{"A reason <i>in</i> a sentence."}, Verified: true, Before: []int{2}}
	hidden := Reduction{Place: Place{Measure: "7", Index: 6, Offset: "0"}, Text: "Leave out B5.", Verified: true}
	r := &Reduce{Head: Head{Path: "a.musicxml", Title: "<script>"}, Parts: []ReducePart{{
		ID: "P1", Name: "Piano", Reductions: []Reduction{red, hidden}, MusicBefore: oneChord(c, e), MusicAfter: oneChord(c),
		Unsolved: []Unsolved{{Place: Place{Measure: "9", Index: 8, Offset: "1"}, Text: "Nothing was found that helps."}},
	}}}
	var b strings.Builder
	if err := WriteReduceHTML(&b, r); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	for _, want := range []string{`class="music before"`, `class="music after"`, "Leave out E5.", "A reason &lt;i&gt;in", "Leave out B5.", "Measure 9, beat 2", "&lt;script&gt;"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %q", want)
		}
	}
	if n := strings.Count(page, `class="music`); n != 2 {
		t.Errorf("%d pictures, want 2: measure 7 is not known", n)
	}
	if before, after, _ := strings.Cut(page, `class="music after"`); strings.Count(before, `data-note="2"`) == 0 || strings.Contains(after, `data-note="2"`) {
		t.Error("E5 is not before, or still after")
	}
}
