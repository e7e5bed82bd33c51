package part_test

import (
	"context"
	"strings"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/pedal/part"
)

// twice is a harp part of two measures, of which the first is played twice and
// two have one number.
const twice = `<score-partwise><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">
<measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>
<note><pitch><step>C</step><octave>4</octave></pitch><duration>2</duration></note><note><pitch><step>D</step><octave>4</octave></pitch><duration>2</duration></note>
<barline location="right"><repeat direction="backward"/></barline></measure>
<measure number="2"><note><pitch><step>E</step><octave>4</octave></pitch><duration>4</duration></note></measure>
<measure number="2"><note><pitch><step>F</step><octave>4</octave></pitch><duration>4</duration></note></measure></part></score-partwise>`

func TestFind(t *testing.T) {
	ctx := context.Background()
	doc, err := musicxml.Open(ctx, "twice.musicxml", []byte(twice), musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := musicxml.Read(ctx, doc, musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := part.New(score, score.Players()[0], part.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		why, place string
		pass       int
		onset      string // quarter notes from the start as it is played
		fault      string
	}{
		{"the start of a measure", "1", 0, "0", ""},
		{"a beat", "1:3", 0, "2", ""},
		{"half a beat later the next moment", "1:2.5", 0, "2", ""},
		{"a broken number", "1:5/2", 0, "2", ""},
		{"a mixed number", "1:2 1/2", 0, "2", ""},
		{"as reports write it", "1:2½", 0, "2", ""},
		{"in small figures", "1:1⁴⁄₇", 0, "1", ""},
		{"one too many", "1:1 x", 0, "", "no beat"},
		{"the second time", "1:3", 2, "6", ""},
		{"by its place in the score", "#3", 0, "12", ""},
		{"one number twice", "2", 0, "", "#2 or #3"},
		{"no such measure", "7", 0, "", "no measure"},
		{"no such beat", "1:5", 0, "", "no beat"},
		{"not played so often", "#2", 2, "", "not played 2 times"},
		{"beats count from 1", "1:0", 0, "", "counted from 1"},
		{"no number", "1:x", 0, "", "no beat"},
		{"no measure named", ":2", 0, "", "no measure"},
		{"no measure has this place", "#9", 0, "", "none of the 3"},
	} {
		n, err := part.ParseNamed(tt.place)
		moment := 0
		if err == nil {
			n.Pass = tt.pass
			moment, err = p.Find(n)
		}
		if tt.fault != "" {
			if err == nil || !strings.Contains(err.Error(), tt.fault) {
				t.Errorf("%s: %v, want %q", tt.why, err, tt.fault)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", tt.why, err)
			continue
		}
		at := p.Places.Of(moment)
		got := p.Offset(at)
		for i := 0; i < p.Places.Measure(moment); i++ {
			got = got.Add(score.Measures[p.Passage.Measures[i].Written].Length)
		}
		if got.String() != tt.onset {
			t.Errorf("%s: %s quarter notes, want %s", tt.why, got, tt.onset)
		}
	}
}
