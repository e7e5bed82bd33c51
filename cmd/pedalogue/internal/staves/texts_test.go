package staves

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"pedalogue/musicxml"
	"pedalogue/report/engrave"
)

// marksOf are the marks of a measure with such children, in a score whose other part
// has a rehearsal mark where wanted.
func marksOf(t *testing.T, directions, elsewhere string) []engrave.Mark {
	t.Helper()
	const note = `<note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration></note>`
	text := fmt.Sprintf(`<score-partwise><part-list><score-part id="P1"><part-name>Flute</part-name></score-part><score-part id="P2"><part-name>Harp</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions></attributes>%s%s</measure></part>
<part id="P2"><measure number="1"><attributes><divisions>1</divisions></attributes>%s%s</measure></part></score-partwise>`, elsewhere, note, directions, note)
	doc, err := musicxml.Open(t.Context(), "a.musicxml", []byte(text), musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := musicxml.Read(t.Context(), doc, musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	music, err := Of(t.Context(), doc, score, score.Players()[0], func(int) bool { return true })
	if err != nil {
		t.Fatal(err)
	}
	return music.Measures[0].Marks
}

func TestTextsAreMarks(t *testing.T) {
	typed := func(s string) string { return "<direction-type>" + s + "</direction-type>" }
	rehearsal := "<direction>" + typed("<rehearsal>C</rehearsal>") + "</direction>"
	box := engrave.Mark{Staff: 1, Above: true, Class: "rehearsal", Boxed: true, Rows: [][]engrave.Word{{{Text: "C"}}}}
	for _, tt := range []struct {
		directions, elsewhere string
		want                  []engrave.Mark
		why                   string
	}{
		{rehearsal, "", []engrave.Mark{box}, "a rehearsal mark has a frame"},
		{"", rehearsal, []engrave.Mark{box}, "that of another part is for everybody"},
		{rehearsal, rehearsal, []engrave.Mark{box}, "it stands once"},
		{`<direction>` + typed("<words>Lento</words>") + typed("<metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>60</per-minute></metronome>") + `</direction>`, "",
			[]engrave.Mark{{Staff: 1, Above: true, Class: "text", Italic: true, Rows: [][]engrave.Word{{{Text: "Lento"}, {Note: engrave.Quarter, Dots: 1, Text: "= 60", Class: "tempo"}}}}},
			"a tempo and its metronome mark stand on one line, above"},
		{`<direction>` + typed(`<metronome parentheses="yes"><beat-unit>eighth</beat-unit><beat-unit>half</beat-unit></metronome>`) + `</direction>`, "",
			[]engrave.Mark{{Staff: 1, Above: true, Class: "text", Italic: true, Rows: [][]engrave.Word{{
				{Text: "(", Class: "tempo"}, {Note: engrave.Eighth, Text: "=", Class: "tempo"}, {Note: engrave.Half, Text: ")", Class: "tempo"}}}}},
			"two beats that are as long"},
		{`<direction>` + typed(`<metronome><metronome-note><metronome-type>eighth</metronome-type></metronome-note><metronome-relation>equals</metronome-relation>
<metronome-note><metronome-type>quarter</metronome-type><metronome-tuplet type="start"><actual-notes>3</actual-notes><normal-notes>2</normal-notes></metronome-tuplet></metronome-note>
<metronome-note><metronome-type>eighth</metronome-type><metronome-tuplet type="stop"><actual-notes>3</actual-notes><normal-notes>2</normal-notes></metronome-tuplet></metronome-note></metronome>`) + `</direction>`, "",
			[]engrave.Mark{{Staff: 1, Above: true, Class: "text", Italic: true, Rows: [][]engrave.Word{{
				{Note: engrave.Eighth, Text: "=", Class: "tempo"}, {Note: engrave.Quarter, Over: "3", Class: "tempo"}, {Note: engrave.Eighth, Ends: true, Class: "tempo"}}}}},
			"groups of notes"},
		{`<direction>` + typed("<dynamics><p/></dynamics>") + typed("<words>dolce\nassai</words>") + `</direction>`, "",
			[]engrave.Mark{
				{Staff: 1, Class: "text", Italic: true, Rows: [][]engrave.Word{{{Text: "p"}}}},
				{Staff: 1, Class: "text", Italic: true, Rows: [][]engrave.Word{{{Text: "dolce"}}, {{Text: "assai"}}}},
			}, "two lines do not go on behind a word"},
		{strings.Repeat(`<direction>`+typed("<words>più</words>")+`</direction>`, 2), "",
			[]engrave.Mark{
				{Staff: 1, Class: "text", Italic: true, Rows: [][]engrave.Word{{{Text: "più"}}}},
				{Staff: 1, Class: "text", Italic: true, Rows: [][]engrave.Word{{{Text: "più"}}}},
			}, "two directions are two marks"},
	} {
		got := marksOf(t, tt.directions, tt.elsewhere)
		for i := range got {
			got[i].At = engrave.Time{}
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%s: %s", tt.why, diff)
		}
	}
}

// All pedals are a diagram, some of them letters with their signs.
func TestPedalsOfTheScore(t *testing.T) {
	pedals := func(tunings ...string) string {
		var b strings.Builder
		for _, tuning := range tunings {
			fmt.Fprintf(&b, "<pedal-tuning><pedal-step>%s</pedal-step><pedal-alter>%s</pedal-alter></pedal-tuning>", tuning[:1], tuning[1:])
		}
		return "<direction><direction-type><harp-pedals>" + b.String() + "</harp-pedals></direction-type></direction>"
	}
	word := func(letter string, sign engrave.Sign, foot string) engrave.Word {
		return engrave.Word{Text: letter, Sign: sign, Class: foot}
	}
	letters := func(rows ...[]engrave.Word) []engrave.Mark {
		return []engrave.Mark{{Staff: 1, Above: true, Class: "pedals", Rows: rows}}
	}
	for _, tt := range []struct {
		tunings []string
		want    []engrave.Mark
		why     string
	}{
		{[]string{"D-1", "C0", "B1", "E0", "F1", "G0", "A-1"}, []engrave.Mark{{Staff: 1, Above: true, Class: "setting", Diagram: []int{-1, 0, 1, 0, 1, 0, -1}}}, "all seven"},
		{[]string{"B-1", "F1", "E0"}, letters([]engrave.Word{word("E", engrave.Natural, "right"), word("F", engrave.Sharp, "right")}, []engrave.Word{word("B", engrave.Flat, "left")}),
			"some of both feet, the right foot over the left"},
		{[]string{"C1"}, letters([]engrave.Word{word("C", engrave.Sharp, "left")}), "one"},
		{[]string{"D-1", "C0", "B1", "E0", "F0.5", "G0", "A-1"}, letters(
			[]engrave.Word{word("E", engrave.Natural, "right"), word("G", engrave.Natural, "right"), word("A", engrave.Flat, "right")},
			[]engrave.Word{word("D", engrave.Flat, "left"), word("C", engrave.Natural, "left"), word("B", engrave.Sharp, "left")},
		), "one in no notch, which is not read either"},
		{[]string{"C1", "C0"}, nil, "a pedal twice says nothing"},
	} {
		got := marksOf(t, pedals(tt.tunings...), "")
		for i := range got {
			got[i].At = engrave.Time{}
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%s: %s", tt.why, diff)
		}
	}
}
