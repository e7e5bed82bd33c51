package report

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"pedalogue/report/engrave"
)

// Beats as players count them: common practice.
func TestSpokenBeat(t *testing.T) {
	for _, tt := range []struct{ offset, unit, want, why, length string }{
		{"0", "1", "1", "a beat", ""},
		{"2", "1", "3", "another", ""},
		{"3/2", "1", "and of 2", "half a beat", ""},
		{"7/4", "1", "last sixteenth before 3", "not 2¾", ""},
		{"5/4", "1", "2nd sixteenth of 2", "a sixteenth after 2", ""},
		{"11/6", "1", "last sextuplet note before 3", "not 2 5/6", ""},
		{"4/3", "1", "2nd triplet note of 2", "a third", ""},
		{"5/3", "1", "last triplet note before 3", "two thirds", ""},
		{"15/8", "1", "last thirty-second before 3", "an eighth of a beat less", ""},
		{"3/4", "1/2", "and of 2", "beats of eighths", ""},
		{"7/8", "1/2", "last thirty-second before 3", "thirty-seconds in beats of eighths", ""},
		{"3", "2", "and of 2", "beats of halves", ""},
		{"7/2", "2", "last eighth before 3", "eighths in beats of halves", ""},
		{"939/512", "1", "just before 3", "never 2 427/512", ""},
		{"513/512", "1", "just after 2", "an artefact of an exporter", ""},
		{"20/13", "1", "between 2 and 3", "thirteenths have no name", ""},
		{"15/4", "1", "last sixteenth of the measure", "there is no beat 5 in 4/4", "4"},
		{"11/4", "1", "last sixteenth before 4", "there is a beat 4", "4"},
		{"49/13", "1", "after 4", "there is no beat 5 to be between", "4"},
		{"7/2", "1", "and of 4", "in the last beat", "4"},
	} {
		if got := spokenBeat(tt.offset, tt.unit, tt.length); got != tt.want {
			t.Errorf("%s by %s: %q, want %q (%s)", tt.offset, tt.unit, got, tt.want, tt.why)
		}
	}
}

// A change that is printed once stands on one line, with its passes; settings that
// repeat the last one are left out; the rushed foot is named.
func TestSheetFoldsPasses(t *testing.T) {
	at := func(measure string, index int, offset string) Place {
		return Place{Measure: measure, Index: index, Offset: offset}
	}
	s := &Score{Head: Head{Title: "Ferry"}, Parts: []Part{{ID: "P1", Name: "Harp"}}}
	p := &s.Parts[0]
	for i, b := range []struct {
		index, pass int
		section     string
	}{{0, 1, "start"}, {1, 1, ""}, {0, 2, "start"}, {1, 2, ""}, {2, 1, "A"}, {3, 1, "B"}} {
		bar := Bar{Place: at(string(rune('1'+b.index)), b.index, "0"), Pass: b.pass, Section: b.section, Beat: "1", Length: "4"}
		if i >= 4 {
			bar.Setting[0] = 1 // D♯
		}
		p.Bars = append(p.Bars, bar)
	}
	f := func(index, pass int, offset string, rushed bool) Change {
		return Change{Pedal: 4, To: 1, Foot: 1, Pass: pass, Marked: at(string(rune('1'+index)), index, offset), Rushed: rushed}
	}
	b := func(index, pass int, offset string) Change {
		return Change{Pedal: 2, To: -1, Foot: 0, Pass: pass, Marked: at(string(rune('1'+index)), index, offset)}
	}
	p.Changes = []Change{f(0, 1, "2", false), b(1, 1, "0"), f(0, 2, "2", false), b(1, 2, "7/4"), f(2, 1, "1", true)}
	var out bytes.Buffer
	if err := WriteSheet(&out, s); err != nil {
		t.Fatal(err)
	}
	const want = `Ferry, Harp (P1)
setting at the start: D C B | E F G A

measure  beat                     left foot  right foot
1        3                                   F♯           each time
2        1                        B♭                      1st time only
2        last sixteenth before 3  B♭                      2nd time only
3                                 D♯ C B | E F G A              Rehearsal A
3        2                                   F♯ (rushed)
`
	got := out.String()
	if !strings.Contains(strings.Join(strings.Fields(got), " "), strings.Join(strings.Fields(want), " ")) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	p.Changes[2].Marked.Offset = "0"
	out.Reset()
	if err := WriteSheet(&out, s); err != nil || strings.Count(out.String(), "for the repeat: see m. 1\n") != 1 || strings.Index(out.String(), "for the repeat") < strings.Index(out.String(), "2nd time only") {
		t.Errorf("%v: no reminder before the jump back of what is changed at its target:\n%s", err, out.String())
	}
	p.Changes[2].Marked.Offset = "2"
	s.Sheet.From = &RehearsalStart{Measure: "2", Pass: 2}
	out.Reset()
	if err := WriteSheet(&out, s); err != nil || !strings.Contains(out.String(), "setting at measure 2 (2nd time): D C B♭ | E F♯ G A") ||
		strings.Contains(out.String(), "each time") || strings.Contains(out.String(), "for the repeat") || !strings.Contains(out.String(), "last sixteenth before 3") {
		t.Errorf("%v\n%s", err, out.String())
	}
	s.Sheet.From = &RehearsalStart{Measure: "2", Pass: 1}
	out.Reset()
	if err := WriteSheet(&out, s); err != nil || !strings.Contains(out.String(), "setting at measure 2 (1st time): D C B♭ | E F♯ G A") || strings.Contains(out.String(), "2        1   ") {
		t.Errorf("%v: what is moved as the music begins is not in the setting alone:\n%s", err, out.String())
	}
	for _, from := range []RehearsalStart{{"9", 1}, {"3", 2}} {
		s.Sheet.From = &from
		if err := WriteSheet(&out, s); err == nil {
			t.Errorf("%v: no error", from)
		}
	}
}

// With music the measure of each change is drawn once in each card, below the last of
// its rows, with its marks; in playing order each time that it is played.
func TestSheetMusic(t *testing.T) {
	s := withMusic(demo(), 2)
	s.Sheet.Music = true
	p := &s.Parts[0]
	for _, m := range p.Music.Measures {
		m.Marks = []engrave.Mark{{Staff: 2, Class: "pedals", Rows: [][]engrave.Word{{{Text: "mark of " + m.Number}}}}}
	}
	when := timelineOf(p)
	for _, from := range []*RehearsalStart{nil, {Measure: "2", Pass: 1}} {
		sheet, err := sheetOf(p, s.name(), when, SheetOptions{From: from, Music: true})
		if err != nil {
			t.Fatal(err)
		}
		drawn, shared := 0, 0
		for _, c := range sheet.Cards {
			for i, r := range c.Rows {
				follows := i+1 < len(c.Rows) && c.Rows[i+1].at.Index == r.at.Index && (from == nil || c.Rows[i+1].pass == r.pass)
				if follows == (r.Picture.SVG != "") || follows != r.Keep {
					t.Errorf("from %v: measure %s, beat %s: drawn %v, kept with the next %v, another row of it follows %v", from, r.Measure, r.Beat, r.Picture.SVG != "", r.Keep, follows)
				}
				if follows {
					shared++
				} else if drawn++; !strings.Contains(string(r.Picture.SVG), "mark of "+r.Measure+"<") {
					t.Errorf("the picture below measure %s is of another: %.200s", r.Measure, r.Picture.SVG)
				}
			}
		}
		if drawn < 4 || shared == 0 {
			t.Errorf("from %v: %d pictures, %d rows that share one", from, drawn, shared)
		}
	}
	page := htmlOf(t, s)
	if n := strings.Count(page, `class="music stand"`); n == 0 || n != strings.Count(page, `<tr class="measure">`) {
		t.Errorf("%d pictures on the sheet of the page, %d rows for them", n, strings.Count(page, `<tr class="measure">`))
	}
	season := seasonOf(t, withMusic(demo(), 2), s)
	if a, b := strings.Count(season, `class="music stand"`), strings.Count(page, `class="music stand"`); a != b {
		t.Errorf("%d pictures in the page of all sheets, want %d", a, b)
	}
	for _, m := range regexp.MustCompile(`href="#(g[^"]*)"`).FindAllStringSubmatch(season, -1) {
		if !strings.Contains(season, `id="`+m[1]+`"`) {
			t.Fatalf("the page of all sheets has no %s", m[1])
		}
	}
}

// What is not drawn is said: too much music, too many staves.
func TestSheetMusicLeftOut(t *testing.T) {
	heavy := withMusic(long(2000), 2)
	many := withMusic(demo(), 1)
	many.Parts[0].Music.Staves = engrave.MostStaves + 1
	for _, tt := range []struct {
		s    *Score
		want string
	}{
		{heavy, "There is too much music for one page: from measure "},
		{many, "The music is not drawn: there is none on 1 to 4 staves."},
		{demo(), "The music is not drawn"},
	} {
		tt.s.Sheet.Music = true
		page := htmlOf(t, tt.s)
		if !strings.Contains(page, tt.want) {
			t.Errorf("%s: the page does not say %q", tt.s.Title, tt.want)
		}
	}
}

// A sheet that begins elsewhere warns of what is played from there on.
func TestCautionsFromAMeasure(t *testing.T) {
	p := &Part{}
	for i, pass := range []int{1, 1, 2, 1} {
		place := Place{Measure: string("1223"[i]), Index: []int{0, 1, 1, 2}[i], Offset: "0"}
		p.Bars = append(p.Bars, Bar{Place: place, Pass: pass, Beat: "1", Length: "4"})
		if pass == 1 {
			p.Findings = append(p.Findings, Finding{Kind: "rushed-change", Severity: SeverityWarning, Place: place, Pass: 1, Text: "In measure " + place.Measure + "."})
		}
	}
	for _, tt := range []struct {
		from RehearsalStart
		want int
		why  string
	}{
		{RehearsalStart{"1", 1}, 3, "all is played"},
		{RehearsalStart{"2", 2}, 2, "measure 2 is played again"},
		{RehearsalStart{"3", 1}, 1, "what is behind is over"},
	} {
		sheet, err := sheetOf(p, "Ferry", timelineOf(p), SheetOptions{From: &tt.from})
		if err != nil || len(sheet.Cautions) != tt.want {
			t.Errorf("from %v: %v, cautions %v, want %d (%s)", tt.from, err, sheet.Cautions, tt.want, tt.why)
		}
	}
}
