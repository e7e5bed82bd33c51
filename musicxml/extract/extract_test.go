package extract_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/musicxml/extract"
)

// duet is a score of a flute and a harp, measure by measure.
func duet(flute, harp []string) string {
	return partwise(map[string][]string{"P1": flute, "P2": harp}, "P1", "P2")
}

func partwise(parts map[string][]string, order ...string) string {
	var b strings.Builder
	b.WriteString("<?xml version=\"1.0\"?>\n<score-partwise version=\"4.0\">\n  <work><work-title>Invented</work-title></work>\n  <part-list>\n")
	for _, id := range order {
		name := map[string]string{"P1": "Flute", "P2": "Harp", "P3": "Cello"}[id]
		fmt.Fprintf(&b, "    <score-part id=%q><part-name>%s</part-name></score-part>\n", id, name)
	}
	b.WriteString("  </part-list>\n")
	for _, id := range order {
		fmt.Fprintf(&b, "  <!-- %s -->\n  <part id=%q>\n", id, id)
		for i, m := range parts[id] {
			fmt.Fprintf(&b, "    <measure number=\"%d\">%s</measure>\n", i+1, m)
		}
		b.WriteString("  </part>\n")
	}
	b.WriteString("</score-partwise>\n")
	return b.String()
}

const (
	common = `<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>`
	note   = `<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration></note>`
	rest   = `<note><rest measure="yes"/><duration>4</duration></note>`
)

func words(text string) string {
	return "<direction><direction-type><words>" + text + "</words></direction-type></direction>"
}

// pause is a note with a fermata.
func pause(duration int) string {
	return fmt.Sprintf(`<note><pitch><step>C</step><octave>5</octave></pitch><duration>%d</duration><notations><fermata type="upright"/></notations></note>`, duration)
}

func bracket(role, number string) string {
	return `<direction><direction-type><bracket type="` + role + `" number="` + number + `" line-end="none"/></direction-type></direction>`
}

// opened reads a score and the player that it has.
func opened(t *testing.T, text string) (*extract.Extractor, *musicxml.Score) {
	t.Helper()
	doc, err := musicxml.Open(context.Background(), "a.musicxml", []byte(text), musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := musicxml.Read(context.Background(), doc, musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	x, err := extract.New(context.Background(), doc, score)
	if err != nil {
		t.Fatal(err)
	}
	return x, score
}

func partOf(t *testing.T, text string, o extract.Options) *extract.Part {
	t.Helper()
	x, score := opened(t, text)
	p, err := x.Part(context.Background(), score.Players()[0], musicxml.Options{}, o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// What others say to everybody is put in once, where the part does not say it.
func TestCarried(t *testing.T) {
	tempo := `<direction><direction-type><words font-weight="bold" default-y="20">Allegro</words></direction-type><sound tempo="120"/></direction>`
	for _, tt := range []struct {
		why         string
		flute, harp []string
		has         []string // each once
		lacks       []string
	}{
		{"tempo words with their speed, without their place on the page", []string{common + tempo + note}, []string{common + rest},
			[]string{`<words font-weight="bold">Allegro</words>`, `<sound tempo="120"/>`}, []string{"default-y"}},
		{"words that the part has are not put in again, their speed is", []string{common + tempo + note}, []string{common + words("allegro") + rest},
			[]string{"allegro", `<sound tempo="120"/>`}, []string{"Allegro"}},
		{"a slowing in the middle of a measure", []string{common + `<note><rest/><duration>3</duration></note>` + words("rit.") + `<note><rest/><duration>1</duration></note>`},
			[]string{common + rest}, []string{"<words>rit.</words>", "<offset>3</offset>"}, nil},
		{"the dashes behind it, as far as they go", []string{common + `<direction><direction-type><words>rit.</words></direction-type><direction-type><dashes type="start" default-y="9"/></direction-type></direction>` + note,
			note + `<direction><direction-type><dashes type="stop"/></direction-type><offset>-1</offset></direction>` + words("a tempo")},
			[]string{common + rest, rest}, []string{`<words>rit.</words></direction-type><direction-type><dashes type="start"/></direction-type>`,
				`<dashes type="stop"/></direction-type><offset>3</offset>`}, []string{"default-y"}},
		{"a bracket in a direction of its own, under a number that is free", []string{common + words("rall.") + bracket("start", "1") + note, note + bracket("stop", "1")},
			[]string{common + bracket("start", "1") + note + bracket("stop", "1"), rest},
			[]string{`<bracket type="start" number="16" line-end="none"/>`, `<bracket type="stop" number="16" line-end="none"/>`}, nil},
		{"dashes behind what is one player's alone, and dashes without an end", []string{common + words("dolce") + bracket("start", "1") + note + bracket("stop", "1"), words("rit.") + bracket("start", "1") + note},
			[]string{common + rest, rest}, []string{"rit."}, []string{"bracket"}},
		{"what is one player's alone stays with that player", []string{common + words("arco") + words("dolce") + words("ôtez vite la sourdine") + note},
			[]string{common + rest}, nil, []string{"words"}},
		{"a metronome mark", []string{common + `<direction><direction-type><metronome><beat-unit>half</beat-unit><per-minute>60</per-minute></metronome></direction-type></direction>` + note},
			[]string{common + rest}, []string{"<beat-unit>half</beat-unit>", "<per-minute>60</per-minute>"}, nil},
		{"a metronome mark in brackets", []string{common + `<direction><direction-type><words>[</words></direction-type><direction-type><metronome><beat-unit>half</beat-unit><per-minute>60</per-minute></metronome></direction-type><direction-type><words>]</words></direction-type></direction>` + note},
			[]string{common + rest}, []string{`<metronome parentheses="yes">`}, []string{"words"}},
		{"a rehearsal mark", []string{common + `<direction><direction-type><rehearsal enclosure="circle">A</rehearsal></direction-type></direction>` + note},
			[]string{common + rest}, []string{`<rehearsal enclosure="circle">A</rehearsal>`}, nil},
		{"a rehearsal mark of both is there once", []string{common + `<direction><direction-type><rehearsal>A</rehearsal></direction-type></direction>` + note},
			[]string{common + `<direction><direction-type><rehearsal>A</rehearsal></direction-type></direction>` + rest}, []string{"<rehearsal>A</rehearsal>"}, nil},
		{"repeats", []string{common + `<barline location="left"><repeat direction="forward"/></barline>` + note, note + `<barline location="right"><bar-style>light-heavy</bar-style><repeat direction="backward"/></barline>`},
			[]string{common + rest, rest}, []string{`<repeat direction="forward"/>`, `<repeat direction="backward"/>`, "light-heavy"}, nil},
		{"a repeat goes into the barline that is there", []string{common + note + `<barline location="right"><bar-style>light-heavy</bar-style><repeat direction="backward"/></barline>`},
			[]string{common + rest + `<barline location="right"><bar-style>light-heavy</bar-style></barline>`},
			[]string{`<bar-style>light-heavy</bar-style><repeat direction="backward"/></barline>`, "<barline"}, nil},
		{"a double bar takes the place of a plain one", []string{common + note + `<barline location="right"><bar-style>light-light</bar-style></barline>`},
			[]string{common + rest + `<barline location="right"><bar-style>regular</bar-style></barline>`}, []string{"light-light"}, []string{"regular"}},
		{"endings", []string{common + note, `<barline location="left"><ending number="1" type="start" default-y="40">1.</ending></barline>` + note + `<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>`, note},
			[]string{common + rest, rest, rest}, []string{`<ending number="1" type="start">1.</ending>`, `<ending number="1" type="stop"/>`}, nil},
		{"a jump in words, and the sign that it leads to", []string{common + `<direction><direction-type><segno/></direction-type></direction>` + note, note + words("D.S. al Fine")},
			[]string{common + rest, rest}, []string{"<segno/>", "D.S. al Fine"}, nil},
		{"a jump that the part prints and only another part's sound tells", []string{common + note, `<direction><direction-type><words>D.C.</words></direction-type><sound dacapo="yes"/></direction>` + note},
			[]string{common + rest, words("D.C.") + rest}, []string{`<sound dacapo="yes"/>`, "D.C."}, nil},
		{"a fermata over the rest", []string{common + `<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><notations><fermata type="upright"/></notations></note>`},
			[]string{common + rest}, []string{`<duration>4</duration><notations><fermata type="upright"/></notations>`}, nil},
		{"over the barline, where there is no rest at its end", []string{common + pause(4)}, []string{common + `<forward><duration>4</duration></forward>`},
			[]string{`<barline location="right"><fermata type="upright"/></barline>`}, nil},
		{"in the barline that is there", []string{common + pause(4)}, []string{common + `<forward><duration>4</duration></forward><barline location="right"><bar-style>light-light</bar-style></barline>`},
			[]string{`<bar-style>light-light</bar-style><fermata type="upright"/></barline>`, "<barline"}, nil},
		{"or that has one, or gets one", []string{common + pause(4) + `<barline location="right"><fermata type="upright"/></barline>`}, []string{common + `<forward><duration>4</duration></forward>`},
			[]string{"<fermata"}, nil},
		{"a hidden rest shows none", []string{common + pause(4)}, []string{common + `<note print-object="no"><rest/><duration>4</duration></note>`},
			[]string{`<barline location="right"><fermata type="upright"/></barline>`}, nil},
		{"nor is there anything to put it over in the middle", []string{common + pause(2) + pause(2)}, []string{common + `<forward><duration>2</duration></forward>` + strings.Replace(note, "<duration>4", "<duration>2", 1)},
			nil, []string{"fermata"}},
		{"over the rest of a measure that the part does not have", []string{common + note, pause(4)}, []string{common + rest},
			[]string{`<fermata type="upright"/>`}, nil},
		{"and of one without content", []string{common + note, pause(4)}, []string{common + rest, ""},
			[]string{`<fermata type="upright"/>`}, nil},
		{"no fermata where the harp plays", []string{common + `<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><notations><fermata/></notations></note>`},
			[]string{common + note}, nil, []string{"fermata"}},
		{"a measure that is shorter than the others", []string{common + note}, []string{common + `<note><rest/><duration>1</duration></note>`},
			[]string{"<forward><duration>3</duration></forward>"}, nil},
		{"by a time that its divisions cannot tell", []string{`<attributes><divisions>3</divisions></attributes><note><rest/><duration>7</duration></note>`}, []string{`<attributes><divisions>1</divisions></attributes><note><rest/><duration>2</duration></note>`},
			[]string{"<divisions>3</divisions>", "<forward><duration>1</duration></forward>"}, nil},
		{"a sign at such a time", []string{`<attributes><divisions>3</divisions></attributes><note><rest/><duration>4</duration></note>` + tempo + `<note><rest/><duration>8</duration></note>`}, []string{common + rest},
			[]string{"<divisions>3</divisions>", "<backup><duration>8</duration></backup>", "<forward><duration>8</duration></forward>", "Allegro"}, nil},
		{"measures that the part does not have", []string{common + note, note + words("rit.")}, []string{common + rest},
			[]string{`<measure number="2">`, "rit."}, nil},
		{"a measure without content", []string{common + note, tempo + note}, []string{common + rest, ""}, []string{"Allegro"}, nil},
		{"two speeds at one place: that of the first part holds, as in the score", []string{common + `<sound tempo="60"/>` + note}, []string{common + `<sound tempo="66"/>` + rest},
			[]string{`<sound tempo="60"/><sound tempo="66"/>`}, nil},
		{"measure numbers that only the first part has", []string{`<print><measure-numbering>system</measure-numbering></print>` + common + note}, []string{common + rest},
			[]string{`<print><measure-numbering>system</measure-numbering></print>`}, nil},
		{"and that the part's own print denies it", []string{`<print><measure-numbering>system</measure-numbering></print>` + common + note}, []string{`<print><measure-numbering>none</measure-numbering></print>` + common + rest},
			[]string{`<print><measure-numbering>system</measure-numbering></print>`}, []string{"none"}},
		{"or its empty print does not say", []string{`<print><measure-numbering>system</measure-numbering></print>` + common + note}, []string{`<print new-system="yes"/>` + common + rest},
			[]string{`<print new-system="yes"><measure-numbering>system</measure-numbering></print>`}, nil},
		{"a time signature for a part without any", []string{common + note}, []string{rest}, []string{"<beats>4</beats>"}, nil},
	} {
		text := duet(tt.flute, tt.harp)
		if tt.harp[len(tt.harp)-1] == "" {
			text = strings.ReplaceAll(text, `<measure number="2"></measure>`, `<measure number="2"/>`)
		}
		got := string(partOf(t, text, extract.Options{}).Document.Raw)
		for _, want := range tt.has {
			if n := strings.Count(got, want); n != 1 {
				t.Errorf("%s: %q is there %d times:\n%s", tt.why, want, n, got)
			}
		}
		for _, no := range tt.lacks {
			if strings.Contains(got, no) {
				t.Errorf("%s: %q is there:\n%s", tt.why, no, got)
			}
		}
		if strings.Contains(got, "Flute") || strings.Contains(got, "P1") {
			t.Errorf("%s: the flute is still there:\n%s", tt.why, got)
		}
	}
}

// A part to which the others say nothing is cut out byte for byte.
func TestCutByteForByte(t *testing.T) {
	harp := []string{common + words("près de la table") + note, rest}
	text := partwise(map[string][]string{"P1": {common + note, note}, "P2": harp, "P3": {common + note, note}}, "P1", "P2", "P3")
	want := partwise(map[string][]string{"P2": harp}, "P2")
	if got := string(partOf(t, text, extract.Options{}).Document.Raw); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestGroups(t *testing.T) {
	text := duet([]string{common + note}, []string{common + note})
	text = strings.Replace(text, `    <score-part id="P1">`, `    <part-group number="1" type="start"/>
    <part-group number="2" type="start"><group-symbol>bracket</group-symbol></part-group>
    <score-part id="P1">`, 1)
	text = strings.Replace(text, `    <score-part id="P2">`, `    <part-group number="2" type="stop"/>
    <score-part id="P2">`, 1)
	text = strings.Replace(text, "  </part-list>", "    <part-group number=\"1\" type=\"stop\"/>\n  </part-list>", 1)
	got := string(partOf(t, text, extract.Options{}).Document.Raw)
	if strings.Count(got, "<part-group") != 2 || strings.Contains(got, "bracket") {
		t.Errorf("the group without a part is to go, the one around the harp to stay:\n%s", got)
	}
}

// Scores by measures: the other parts go out of each, and a measure that the part does
// not have gets a rest.
func TestTimewise(t *testing.T) {
	measure := func(n int, flute, harp string) string {
		s := fmt.Sprintf("  <measure number=\"%d\">\n    <part id=\"P1\">%s</part>\n", n, flute)
		if harp != "" {
			s += fmt.Sprintf("    <part id=\"P2\">%s</part>\n", harp)
		}
		return s + "  </measure>\n"
	}
	text := "<score-timewise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>Flute</part-name></score-part><score-part id=\"P2\"><part-name>Harp</part-name></score-part></part-list>\n" +
		measure(1, common+words("Lento")+note, common+note) + measure(2, note, "") + measure(3, note+`<barline location="right"><repeat direction="backward"/></barline>`, rest) + "</score-timewise>\n"
	p := partOf(t, text, extract.Options{})
	got := string(p.Document.Raw)
	for want, n := range map[string]int{"Lento": 1, `<part id="P2">`: 3, `<rest measure="yes"/>`: 2, `<repeat direction="backward"/>`: 1, "P1": 0} {
		if strings.Count(got, want) != n {
			t.Errorf("%q is there %d times, not %d:\n%s", want, strings.Count(got, want), n, got)
		}
	}
}

// Runs of measures without notes, and what ends them.
func TestRests(t *testing.T) {
	n := func(m string, at ...string) []string { return append(at, m) }
	for _, tt := range []struct {
		why  string
		harp []string
		want string // the multiple-rest of each measure, "." for none
	}{
		{"four measures of rest", []string{common + rest, rest, rest, rest, note}, "4 . . . ."},
		{"one is none", []string{common + note, rest, note}, ". . ."},
		{"a rehearsal mark begins another", []string{common + rest, rest, `<direction><direction-type><rehearsal>A</rehearsal></direction-type></direction>` + rest, rest}, "2 . 2 ."},
		{"a double bar ends one", []string{common + rest, rest + `<barline location="right"><bar-style>light-light</bar-style></barline>`, rest, rest}, "2 . 2 ."},
		{"what is inside a measure needs that measure", []string{common + rest, rest, `<note><rest/><duration>2</duration></note>` + words("rit.") + `<note><rest/><duration>2</duration></note>`, rest, rest}, "2 . . 2 ."},
		{"another key", []string{common + rest, rest, `<attributes><key><fifths>1</fifths></key></attributes>` + rest, rest}, "2 . 2 ."},
		{"another length", []string{common + rest, rest, `<note><rest measure="yes"/><duration>3</duration></note>`, rest}, "2 . . ."},
		{"a plain end does not", []string{common + rest, rest + `<barline location="right"><bar-style>regular</bar-style></barline>`, rest}, "3 . ."},
		{"a repeat sign begins another", []string{common + rest, rest, `<barline location="left"><repeat direction="forward"/></barline>` + rest, rest, rest + `<barline location="right"><repeat direction="backward"/></barline>`}, "2 . 3 . ."},
		{"a fermata stands alone", []string{common + rest, rest, strings.Replace(rest, "</note>", "<notations><fermata/></notations></note>", 1), rest}, "2 . . ."},
		{"rests in pieces are rests", n(rest, common+rest, strings.Repeat("<note><rest/><duration>1</duration></note>", 4)), "3 . ."},
	} {
		p := partOf(t, partwise(map[string][]string{"P2": tt.harp}, "P2"), extract.Options{})
		rests, err := p.Rests(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		out, err := p.Document.Splice(context.Background(), rests.Edits)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, m := range strings.Split(string(out), "<measure ")[1:] {
			_, count, found := strings.Cut(m, "<multiple-rest>")
			if count, _, _ = strings.Cut(count, "<"); !found {
				count = "."
			}
			got = append(got, count)
		}
		if strings.Join(got, " ") != tt.want {
			t.Errorf("%s: %v, want %s", tt.why, got, tt.want)
		}
	}
}

// Marks that are still to be made begin a rest, or stand in none.
func TestRestsAtMarks(t *testing.T) {
	lower := `<backup><duration>4</duration></backup>` + rest
	p := partOf(t, partwise(map[string][]string{"P2": {common + rest, rest, rest + lower, rest, rest}}, "P2"), extract.Options{})
	head := p.Score.Parts[0].Measures[2].Head
	_, notes := p.Score.Parts[0].NotesOf(2)
	for _, tt := range []struct {
		at    int
		mark  string
		count int
		first string
	}{
		{head, "<direction/>", 2, "<multiple-rest>3<"},
		{head, "<direction><offset>2</offset></direction>", 2, "<multiple-rest>2<"},
		{notes[0].Start, "<direction/>", 2, "<multiple-rest>3<"},
		{notes[1].Start, "<direction/>", 2, "<multiple-rest>2<"}, // behind a rest some programs do not draw it
	} {
		at := tt.at
		rests, err := p.Rests(context.Background(), []musicxml.Edit{{Start: at, End: at, New: tt.mark}})
		if err != nil || rests.Count != tt.count || !strings.Contains(rests.Edits[1].New, tt.first) || rests.Edits[1].Start < at {
			t.Errorf("%s: %+v, want %d and %s: %v", tt.mark, rests, tt.count, tt.first, err)
		}
	}
}

// What is heard before an entrance, and who plays it.
func TestCues(t *testing.T) {
	low := strings.ReplaceAll(note, "<octave>5<", "<octave>3<")
	high := strings.ReplaceAll(note, "<octave>5<", "<octave>7<")
	clarinet := `<attributes><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>`
	four := []string{common + rest, rest, rest, note}
	for _, tt := range []struct {
		why                string
		top, harp, bottom  []string
		least              int
		has, lacks         []string
		cues, pitches, own int
	}{
		{"two measures before the entrance, small, in a voice of their own", []string{common + note, note, note, note}, four, nil, 3,
			[]string{">Flute</words>", "<voice>2</voice>"}, nil, 1, 2, 1},
		{"the rest is too short", []string{common + note, note, note, note}, four, nil, 4, nil, []string{"<cue/>"}, 0, 0, 1},
		{"none are wanted", []string{common + note, note, note, note}, four, nil, 0, nil, []string{"<cue/>"}, 0, 0, 1},
		{"nobody plays", []string{common + rest, rest, rest, note}, four, nil, 3, nil, []string{"<cue/>"}, 0, 0, 1},
		{"a wind player before a higher string player", []string{common + low, low, low, low}, four, []string{common + note, note, note, note}, 3,
			[]string{">Flute</words>", "<octave>3</octave>"}, []string{">Cello</words>"}, 1, 2, 1},
		{"a string player where no wind player plays", []string{common + rest, rest, rest, rest}, four, []string{common + note, note, note, note}, 3,
			[]string{">Cello</words>"}, nil, 1, 2, 1},
		{"with its ties", []string{common + note, note, strings.Replace(note, "</note>", `<tie type="start"/></note>`, 1),
			strings.Replace(strings.Replace(note, "</note>", `<tie type="stop"/></note>`, 1), "<duration>4<", "<duration>1<", 1) + `<note><pitch><step>G</step><octave>5</octave></pitch><duration>3</duration></note>`, note}, append([]string{common + rest}, four[1], four[1], four[1], note), nil, 3,
			[]string{`<tied type="start"/>`, `<tied type="stop"/>`}, nil, 1, 3, 1},
		{"at concert pitch", []string{common + clarinet + note, note, note, note}, four, nil, 3,
			[]string{"<step>B</step>", "<alter>-1</alter>", "<accidental>flat</accidental>", "<octave>4</octave>"}, nil, 1, 2, 1},
		{"a low one in a bass clef, and behind it the treble clef that was there", []string{common + low, low, low, low}, four, nil, 3,
			[]string{`<attributes><clef><sign>F</sign><line>4</line></clef></attributes>`, `<attributes><clef><sign>G</sign><line>2</line></clef></attributes>`}, nil, 1, 2, 1},
		{"a very high one an octave lower, under a line", []string{common + high, high, high, high}, four, nil, 3,
			[]string{`<octave-shift type="down" number="16" size="8"/>`, `<octave-shift type="stop" number="16" size="8"/>`, "<octave>7</octave>"}, nil, 1, 2, 1},
		{"from where on it is high", []string{common + high, high, note, high}, []string{common + rest, rest, rest, rest, note}, nil, 3,
			[]string{`<octave-shift type="down" number="16" size="8"/>`}, nil, 1, 2, 1},
		{"not where it ends low", []string{common + high, high, high, note}, []string{common + rest, rest, rest, rest, note}, nil, 3,
			nil, []string{`octave-shift`}, 1, 2, 1},
		{"in finer divisions than the part has", []string{`<attributes><divisions>3</divisions></attributes>` + strings.Repeat(`<note><pitch><step>D</step><octave>5</octave></pitch><duration>2</duration></note>`, 6),
			strings.Repeat(`<note><pitch><step>D</step><octave>5</octave></pitch><duration>2</duration></note>`, 6), strings.Repeat(`<note><pitch><step>D</step><octave>5</octave></pitch><duration>2</duration></note>`, 6), `<note><rest/><duration>12</duration></note>`},
			four, nil, 3, []string{"<divisions>3</divisions>", "<divisions>1</divisions>"}, nil, 1, 12, 1},
	} {
		parts, order := map[string][]string{"P1": tt.top, "P2": tt.harp}, []string{"P1", "P2"}
		if tt.bottom != nil {
			parts["P3"], order = tt.bottom, append(order, "P3")
		}
		p := partOf(t, partwise(parts, order...), extract.Options{Cues: tt.least})
		got := string(p.Document.Raw)
		cues, sounding := 0, 0
		for _, n := range p.Score.Parts[0].Notes {
			switch n.Kind {
			case musicxml.Cue:
				cues++
			case musicxml.Sounding:
				sounding++
			}
		}
		if p.Cues != tt.cues || cues != tt.pitches || sounding != tt.own {
			t.Errorf("%s: %d cues with %d notes beside %d", tt.why, p.Cues, cues, sounding)
		}
		for _, want := range tt.has {
			if !strings.Contains(got, want) {
				t.Errorf("%s: no %s in\n%s", tt.why, want, got)
			}
		}
		for _, no := range tt.lacks {
			if strings.Contains(got, no) {
				t.Errorf("%s: %s in\n%s", tt.why, no, got)
			}
		}
	}
}

// Pages end in rests, or where a hand is free, and nowhere else.
func TestTurns(t *testing.T) {
	sixteen := func(staff string) string {
		return strings.Repeat(`<note><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration><voice>`+staff+`</voice><staff>`+staff+`</staff></note>`, 16)
	}
	two := `<attributes><divisions>4</divisions><staves>2</staves></attributes>`
	back := `<backup><duration>16</duration></backup>`
	quiet := `<note><rest measure="yes"/><duration>16</duration><staff>1</staff></note>`
	both, one := sixteen("1")+back+sixteen("2"), sixteen("1")
	for _, tt := range []struct {
		why      string
		measures string // "b" both hands, "1" one, "." rest, one letter a measure
		want     string // numbers of the measures with which pages begin
	}{
		{"both hands all the time: nowhere", strings.Repeat("b", 30), ""},
		{"in the rest, with some of it on the next page", "bbbbbbb..bbbbbbbbbbbbb", "9"},
		{"where a hand is free", "bbbbbb1bbbbbbbb", "8"},
		{"a rest goes before a free hand", "bbbbbbb..1bbbbbbbbbbbb", "9"},
		{"all on one page", "bb..bb", ""},
		{"a long rest is not parted", "bbbbbb......bbbbbbbbbbbb", "13"},
	} {
		var harp []string
		for i, m := range strings.Split(tt.measures, "") {
			text := map[string]string{"b": both, "1": one, ".": quiet}[m]
			switch {
			case i == 0:
				text = two + text
			case i == 3:
				text = `<print new-system="yes" page-number="2"/>` + text
			case tt.measures[i] == '.' && tt.measures[i-1] == '.' && strings.Count(tt.measures, ".") == 2:
				text = words("près de la table") + text // two rests, not one of two measures
			}
			harp = append(harp, text)
		}
		p, err := partOf(t, partwise(map[string][]string{"P2": harp}, "P2"), extract.Options{}).WithTurns(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for i, m := range strings.Split(string(p.Document.Raw), "<measure ")[1:] {
			if strings.Contains(m, `new-page="yes"`) {
				got = append(got, fmt.Sprint(i+1))
			}
			if strings.Contains(m, "new-system") || strings.Contains(m, "page-number") {
				t.Errorf("%s: a break of the part's own has stayed in measure %d", tt.why, i+1)
			}
		}
		if strings.Join(got, " ") != tt.want || p.Turns != len(got) {
			t.Errorf("%s: %v and %d, want %s", tt.why, got, p.Turns, tt.want)
		}
	}
}

// A harp in two parts becomes one part with two staves, or is refused.
func TestJoin(t *testing.T) {
	hand := func(clef, divisions, more string) []string {
		return []string{`<attributes><divisions>` + divisions + `</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time><clef><sign>` + clef + `</sign></clef></attributes>` + more, note}
	}
	whole := func(d string) string {
		return `<note><pitch><step>E</step><octave>3</octave></pitch><duration>` + d + `</duration><voice>1</voice></note>`
	}
	slurred := strings.Replace(whole("4"), "</note>", `<notations><slur type="start"/></notations></note>`, 1)
	for _, tt := range []struct {
		why         string
		right, left []string
		has         map[string]int
		refusal     string
	}{
		{"two hands", hand("G", "1", whole("4")), hand("F", "1", whole("4")),
			map[string]int{"<staves>2</staves>": 1, `<clef number="1"><sign>G`: 1, `<clef number="2"><sign>F`: 1, "<staff>2</staff>": 2, "<voice>5</voice>": 2, "<backup>": 2, "<part id": 1, "<score-part ": 1}, ""},
		{"in other divisions", hand("G", "1", whole("4")), hand("F", "2", whole("8"))[:1],
			map[string]int{"<divisions>1</divisions>": 2, "<divisions>2</divisions>": 1, "<duration>8</duration>": 1}, ""},
		{"lines get numbers of their own", hand("G", "1", slurred), hand("F", "1", slurred),
			map[string]int{`<slur type="start"/>`: 1, `<slur number="2" type="start"/>`: 1}, ""},
		{"what the left hand alone has at its end", hand("G", "1", whole("4")), hand("F", "1", whole("4")+`<barline location="right"><repeat direction="backward"/></barline>`),
			map[string]int{"<repeat": 1, "<barline": 1, `<staff>2</staff></note><barline location="right">`: 1}, ""},
		{"a clef in the middle", hand("G", "1", whole("4")), hand("F", "1", whole("2")+`<attributes><clef><sign>C</sign></clef></attributes>`+whole("2")),
			map[string]int{`<clef number="2"><sign>C`: 1}, ""},
		{"other times", hand("G", "1", whole("4")), []string{strings.ReplaceAll(hand("F", "1", whole("4"))[0], "<beats>4<", "<beats>2<")},
			nil, "time signatures differ in measure 1"},
		{"times that only look otherwise", hand("G", "1", whole("4")), []string{strings.ReplaceAll(hand("F", "1", whole("4"))[0], "<time>", `<time symbol="common">`)},
			map[string]int{"<time": 1, "<staves>2</staves>": 1}, ""},
		{"three staves", hand("G", "1", whole("4")), []string{strings.ReplaceAll(hand("F", "1", whole("4"))[0], "<clef>", "<staves>2</staves><clef>")},
			nil, "has 2 staves"},
	} {
		text := partwise(map[string][]string{"P2": tt.right, "P3": tt.left}, "P2", "P3")
		doc, err := musicxml.Open(context.Background(), "a.musicxml", []byte(text), musicxml.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		read := musicxml.Options{Part: "P2+P3"}
		score, err := musicxml.Read(context.Background(), doc, read)
		if err != nil {
			t.Fatal(err)
		}
		x, err := extract.New(context.Background(), doc, score)
		if err != nil {
			t.Fatal(err)
		}
		p, err := x.Part(context.Background(), score.Players()[0], read, extract.Options{})
		if tt.refusal != "" {
			if err == nil || !strings.Contains(err.Error(), tt.refusal) {
				t.Errorf("%s: %v, want %s", tt.why, err, tt.refusal)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", tt.why, err)
			continue
		}
		for want, n := range tt.has {
			if got := strings.Count(string(p.Document.Raw), want); got != n {
				t.Errorf("%s: %q is there %d times, not %d:\n%s", tt.why, want, got, n, p.Document.Raw)
			}
		}
	}
}

// A part that is the harp's only by what another part says is one by itself too.
func TestHarpByAnotherPart(t *testing.T) {
	text := duet([]string{common + `<sound><instrument-change id="P2-I1"><instrument-sound>pluck.harp</instrument-sound></instrument-change></sound>` + note}, []string{common + note})
	text = strings.Replace(text, "<part-name>Harp</part-name>", `<part-name>Keys</part-name><score-instrument id="P2-I1"><instrument-name>Keys</instrument-name><instrument-sound>keyboard.piano</instrument-sound></score-instrument>`, 1)
	if p := partOf(t, text, extract.Options{}); len(p.Score.Players()) != 1 {
		t.Errorf("%d players", len(p.Score.Players()))
	}
}

// Parts that disagree about what is played when are refused.
func TestDisagreeing(t *testing.T) {
	ending := func(n string) string {
		return `<barline location="left"><ending number="` + n + `" type="start"/></barline>`
	}
	stop := `<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>`
	text := duet([]string{common + note, ending("1") + note + stop, note}, []string{common + note, ending("1, 2") + note + stop, note})
	x, score := opened(t, text)
	_, err := x.Part(context.Background(), score.Players()[0], musicxml.Options{}, extract.Options{})
	if err == nil || !strings.Contains(err.Error(), "the playing order") {
		t.Errorf("%v, want a refusal", err)
	}
}
