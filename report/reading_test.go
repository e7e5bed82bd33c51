package report

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"pedalogue/report/engrave"
)

func readingHTML(t *testing.T, r *Reading) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteReadingHTML(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// readingOf is a reading of the music of a report, with a warning about its second
// measure and one about the file.
func readingOf(s *Score) *Reading {
	r := &Reading{
		Tool: s.Tool, Version: s.Version, Path: s.Path, Title: s.Title,
		Facts: []Fact{{Name: "document", Value: "score-partwise, UTF-8"}, {Name: "parts", Items: []string{"harp  P1     Harp    2 staves, by its name"}}},
		Warnings: []Warning{
			{Code: "path-differs", Index: -1, Text: "the container names another file"},
			{Code: "backup-before-start", Part: "P1", Measure: "2", Index: 1, Line: 17, Text: "a backup goes before the start"},
			{Code: "no-duration", Part: "P9", Measure: "2", Index: 1, Line: 18, Text: "a note of the flute has no duration"},
		},
	}
	for i := range s.Parts {
		p := &s.Parts[i]
		h := ReadHarp{ID: p.ID, Name: p.Name, Music: p.Music}
		for k := range p.Measures {
			number := ""
			if m := p.Music.Measures[k]; m != nil {
				number = m.Number
			}
			h.Measures = append(h.Measures, number)
		}
		r.Harps = append(r.Harps, h)
	}
	return r
}

func hostileReading() *Reading {
	s := hostileMusic()
	r := readingOf(s)
	r.Path, r.Title = attack, attack
	r.Facts = []Fact{{attack, attack, []string{attack}}}
	for i := range r.Harps {
		for k := range r.Harps[i].Measures {
			r.Harps[i].Measures[k] = attack
		}
		r.Harps[i].Name, r.Harps[i].ID = attack, attack
	}
	for i := range r.Warnings {
		r.Warnings[i].Text, r.Warnings[i].Part, r.Warnings[i].Measure = attack, attack, attack
	}
	return r
}

// Every measure is drawn once and has an address; a warning leads to its measure and
// the sign there back to it.
func TestReadingShowsAllMeasures(t *testing.T) {
	s := withMusic(long(30), 2)
	page := readingHTML(t, readingOf(s))
	for i := range 30 {
		if n := strings.Count(page, fmt.Sprintf(`id="m1-%d"`, i+1)); n != 1 {
			t.Errorf("measure %d has %d addresses", i+1, n)
		}
	}
	if n := strings.Count(page, `href="#gn4"`); n != 30*24 {
		t.Errorf("%d black heads are drawn, want 24 in each of 30 measures", n)
	}
	for _, want := range []string{`<li id="w2"><bdi>line 17, part P1, m. 2: a backup goes before the start</bdi> <a href="#m1-2">`, `<a href="#w2" aria-label="warning about reading measure 2">`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %s", want)
		}
	}
	if n := strings.Count(page, `>in the music</a>`); n != 1 {
		t.Errorf("%d warnings lead into the music; one is about the file, one about another part", n)
	}
}

// What cannot be drawn is said.
func TestReadingSaysWhatItLeavesOut(t *testing.T) {
	for _, test := range []struct {
		name, want string
		edit       func(*ReadHarp)
	}{
		{"nothing", "There is nothing to draw.", func(h *ReadHarp) { h.Music = nil }},
		{"too many staves", "The part has 5 staves; music is drawn on 4 at most.", func(h *ReadHarp) { h.Music.Staves = 5 }},
		{"too much", "from measure <bdi>4</bdi> on it is left out", func(h *ReadHarp) {
			h.Music.Measures[3].Chords = make([]engrave.Chord, mostDrawn)
			for i := range h.Music.Measures[3].Chords {
				h.Music.Measures[3].Chords[i].Notes = make([]engrave.Note, 1)
			}
		}},
		{"other accidentals", "and without <bdi>accidentals other than", func(h *ReadHarp) { h.Music.Measures[3].Chords[0].Notes[0].Sign = engrave.OtherSign }},
	} {
		r := readingOf(withMusic(long(5), 1))
		test.edit(&r.Harps[0])
		if page := readingHTML(t, r); !strings.Contains(page, test.want) {
			t.Errorf("%s: the page does not say %q", test.name, test.want)
		}
	}
}
