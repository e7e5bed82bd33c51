// Package parttest composes small scores for tests.
package parttest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"pedalogue/musicxml"
)

// Compose writes a harp part in 4/4 with four divisions to the quarter note and
// a measure for each text. In a text, "C#4:4" is a note of four divisions,
// "C4+E4:4" a chord, "R:4" a rest, "g.D4" a grace note, "|" begins the lower
// staff, and words in braces are signs: {fwd} {back} {1} {/1} {2} {/2} {dc}
// {fine} {tempo=60} {key=-3} {reh=A} {double} {rests=4}. Signs for the next note: <trill>
// <gliss> </gliss> <tie> </tie> <trem> </trem>.
func Compose(measures ...string) []byte {
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
		case name == "rests":
			fmt.Fprintf(&b, "<attributes><measure-style><multiple-rest>%s</multiple-rest></measure-style></attributes>\n", value)
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

var rehearsal = regexp.MustCompile(`<direction-type><rehearsal>@([^<]*)</rehearsal></direction-type>`)

// ComposeMarks is Compose with texts: {reh=@C#} is the text "C#", with "_" for a
// space, "~" for a line end and "+" between texts of one direction.
// {reh=@=D-1,C0} is a harp-pedals element.
func ComposeMarks(measures ...string) []byte {
	return rehearsal.ReplaceAllFunc(Compose(measures...), func(found []byte) []byte {
		text := string(rehearsal.FindSubmatch(found)[1])
		if list, ok := strings.CutPrefix(text, "="); ok {
			var b strings.Builder
			for _, item := range strings.Split(list, ",") {
				fmt.Fprintf(&b, "<pedal-tuning><pedal-step>%s</pedal-step><pedal-alter>%s</pedal-alter></pedal-tuning>", item[:1], item[1:])
			}
			return []byte("<direction-type><harp-pedals>" + b.String() + "</harp-pedals></direction-type>")
		}
		text = strings.NewReplacer("_", " ", "~", "\n", "+", "</words><words>").Replace(text)
		return []byte("<direction-type><words>" + text + "</words></direction-type>")
	})
}

// Random is chromatic music with repeats, endings, jumps, rests, rehearsal
// marks, key changes, grace notes, tremolos and glissandi, wherever they fall.
func Random(seed uint64) []string {
	r := rand.New(rand.NewPCG(seed, 7))
	pitch := func() string {
		return string("CDEFGAB"[r.IntN(7)]) + []string{"", "", "#", "b", "##"}[r.IntN(5)] + fmt.Sprint(3+r.IntN(3))
	}
	pick := func(oneIn int, text string) string {
		if r.IntN(oneIn) == 0 {
			return text + " "
		}
		return ""
	}
	measures := make([]string, 4+r.IntN(9))
	for i := range measures {
		var b strings.Builder
		b.WriteString(pick(4, "{fwd}") + pick(6, "{1}") + pick(6, "{2}") + pick(6, "{reh=A}") + pick(6, fmt.Sprintf("{key=%d}", r.IntN(9)-4)))
		for staff := range 2 {
			if staff == 1 {
				b.WriteString("| ")
			}
			for range 4 {
				b.WriteString(pick(9, "g."+pitch()) + pick(12, "<trill>") + pick(14, "<gliss>") + pick(14, "</gliss>") + pick(12, "<trem>") + pick(12, "</trem>"))
				b.WriteString([]string{"R:4 ", pitch() + ":4 ", pitch() + "+" + pitch() + ":4 ", pitch() + ":4 "}[r.IntN(4)])
			}
		}
		b.WriteString(pick(5, "{back}") + pick(6, "{/1}") + pick(6, "{/2}") + pick(12, "{dc}") + pick(12, "{fine}") + pick(6, "{double}"))
		measures[i] = b.String()
	}
	return measures
}

// Read reads bytes as a score.
func Read(t testing.TB, data []byte) (*musicxml.Document, *musicxml.Score) {
	t.Helper()
	doc, err := musicxml.Open(context.Background(), "test.musicxml", data, musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := musicxml.Read(context.Background(), doc, musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return doc, score
}
