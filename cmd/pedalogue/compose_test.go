package main

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/pedal"
)

// compose writes a harp part in 4/4 with four divisions to the quarter note and
// a measure for each text. In a text, "C#4:4" is a note of four divisions,
// "C4+E4:4" a chord, "R:4" a rest, "g.D4" a grace note, "|" begins the lower
// staff, and words in braces are signs: {fwd} {back} {1} {/1} {2} {/2} {dc}
// {fine} {tempo=60} {key=-3} {reh=A} {double}. Signs for the next note: <trill>
// <gliss> </gliss> <tie> </tie> <trem> </trem>.
func compose(measures ...string) []byte {
	var b strings.Builder
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0">
<part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>
<part id="P1">
`)
	for i, text := range measures {
		fmt.Fprintf(&b, "<measure number=\"%d\">\n", i+1)
		if i == 0 {
			b.WriteString("<attributes><divisions>4</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves></attributes>\n")
		}
		b.WriteString(composeMeasure(text))
		b.WriteString("</measure>\n")
	}
	b.WriteString("</part>\n</score-partwise>\n")
	return []byte(b.String())
}

var signs = map[string]string{
	"fwd":    `<barline location="left"><repeat direction="forward"/></barline>`,
	"back":   `<barline location="right"><repeat direction="backward"/></barline>`,
	"1":      `<barline location="left"><ending number="1" type="start"/></barline>`,
	"/1":     `<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>`,
	"2":      `<barline location="left"><ending number="2" type="start"/></barline>`,
	"/2":     `<barline location="right"><ending number="2" type="discontinue"/></barline>`,
	"dc":     `<sound dacapo="yes"/>`,
	"fine":   `<sound fine="yes"/>`,
	"double": `<barline location="right"><bar-style>light-light</bar-style></barline>`,
}

var notations = map[string]string{
	"<trill>":  `<ornaments><trill-mark/></ornaments>`,
	"<turn>":   `<ornaments><turn/></ornaments>`,
	"<mord>":   `<ornaments><mordent/></ornaments>`,
	"<gliss>":  `<glissando type="start" number="1"/>`,
	"</gliss>": `<glissando type="stop" number="1"/>`,
	"<tie>":    `<tied type="start"/>`,
	"</tie>":   `<tied type="stop"/>`,
	"<trem>":   `<ornaments><tremolo type="start">3</tremolo></ornaments>`,
	"</trem>":  `<ornaments><tremolo type="stop">3</tremolo></ornaments>`,
}

func composeMeasure(text string) string {
	var b strings.Builder
	staff, length, pending := 1, 0, ""
	for _, word := range strings.Fields(text) {
		name, value, _ := strings.Cut(strings.Trim(word, "{}"), "=")
		switch {
		case word == "|":
			fmt.Fprintf(&b, "<backup><duration>%d</duration></backup>\n", length)
			staff, length = 2, 0
		case notations[word] != "":
			pending += notations[word]
		case name == "tempo":
			fmt.Fprintf(&b, "<sound tempo=%q/>\n", value)
		case name == "key":
			fmt.Fprintf(&b, "<attributes><key><fifths>%s</fifths></key></attributes>\n", value)
		case name == "reh":
			fmt.Fprintf(&b, "<direction><direction-type><rehearsal>%s</rehearsal></direction-type></direction>\n", value)
		case signs[name] != "":
			b.WriteString(signs[name] + "\n")
		default:
			n := composeNotes(&b, word, staff, pending)
			length += n
			pending = ""
		}
	}
	return b.String()
}

var pitchPattern = regexp.MustCompile(`^([A-G])(#{0,2}|b{0,2})(\d)$`)

// composeNotes writes a note, chord or rest and returns its length.
func composeNotes(b *strings.Builder, word string, staff int, notation string) int {
	word, grace := strings.CutPrefix(word, "g.")
	names, digits, _ := strings.Cut(word, ":")
	length := 0
	fmt.Sscan(digits, &length)
	for i, name := range strings.Split(names, "+") {
		b.WriteString("<note>")
		if grace {
			b.WriteString("<grace/>")
		}
		if i > 0 {
			b.WriteString("<chord/>")
		}
		if m := pitchPattern.FindStringSubmatch(name); m != nil {
			alter := strings.Count(m[2], "#") - strings.Count(m[2], "b")
			fmt.Fprintf(b, "<pitch><step>%s</step><alter>%d</alter><octave>%s</octave></pitch>", m[1], alter, m[3])
		} else {
			b.WriteString("<rest/>")
		}
		if !grace {
			fmt.Fprintf(b, "<duration>%d</duration>", length)
		}
		fmt.Fprintf(b, "<voice>%d</voice><staff>%d</staff>", staff, staff)
		if notation != "" {
			fmt.Fprintf(b, "<notations>%s</notations>", notation)
		}
		b.WriteString("</note>\n")
	}
	return length
}

// readScore reads a composed score.
func readScore(t *testing.T, measures ...string) (*musicxml.Document, *musicxml.Score) {
	t.Helper()
	doc, err := musicxml.Open("test.musicxml", compose(measures...), musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := musicxml.Read(doc, musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return doc, score
}

// bridgeOf builds the passage of a composed score.
func bridgeOf(t *testing.T, measures ...string) *bridge {
	t.Helper()
	_, score := readScore(t, measures...)
	b, err := newBridge(score, score.Players()[0], true, tempoChoice{})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// pageOf plans a composed score without regard to the feet and lays it out.
func pageOf(t *testing.T, mode pedal.Mode, choice settingsChoice, measures ...string) (*page, *pedal.Plan) {
	t.Helper()
	b := bridgeOf(t, measures...)
	o := pedal.Options{Mode: mode, FootTime: -1}
	plan, err := b.solve(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	p, err := layOut(b, plan, o.Instrument, b.sections(choice))
	if err != nil {
		t.Fatal(err)
	}
	return p, plan
}

// defaultSettings are those of a command line without options.
func defaultSettings() settings {
	var s settings
	f := newFlags("mark", "")
	for _, take := range []func() error{planFlags(f, &s), markFlags(f, &s)} {
		if err := take(); err != nil {
			panic(err) // the defaults are ours
		}
	}
	return s
}
