package musicxml

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// harpScore writes a score with one harp, P1; each text is the content of a
// measure, which has a line of its own.
func harpScore(measures ...string) string {
	return partwise(listed("P1", "Harp"), partOf("P1", measures...))
}

// partwise writes a score from the content of its part-list and its parts.
func partwise(list string, parts ...string) string {
	return "<score-partwise version=\"4.0\">\n<part-list>" + list + "</part-list>\n" +
		strings.Join(parts, "\n") + "\n</score-partwise>\n"
}

func listed(id, name string) string {
	return fmt.Sprintf(`<score-part id="%s"><part-name>%s</part-name></score-part>`, id, name)
}

func partOf(id string, measures ...string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "<part id=\"%s\">\n", id)
	for i, m := range measures {
		fmt.Fprintf(&b, "<measure number=\"%d\">%s</measure>\n", i+1, m)
	}
	b.WriteString("</part>")
	return b.String()
}

const (
	quarters = `<attributes><divisions>1</divisions></attributes>`
	fourths  = `<attributes><divisions>4</divisions></attributes>`
	whole4   = `<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>`
)

// tone writes a note; its pitch is a step, signs of "#" or "b", and an octave.
// Before is what stands before the pitch, after what stands after the duration.
func tone(pitch string, duration, before, after string) string {
	alter := strings.Count(pitch, "#") - strings.Count(pitch[1:], "b")
	p := "<pitch><step>" + pitch[:1] + "</step>"
	if alter != 0 {
		p += fmt.Sprintf("<alter>%d</alter>", alter)
	}
	p += "<octave>" + pitch[len(pitch)-1:] + "</octave></pitch>"
	if duration != "" {
		duration = "<duration>" + duration + "</duration>"
	}
	return "<note>" + before + p + duration + after + "</note>"
}

func plain1(pitches ...string) string {
	var b strings.Builder
	for _, p := range pitches {
		b.WriteString(tone(p, "1", "", ""))
	}
	return b.String()
}

func readText(t testing.TB, text string, o Options) *Score {
	t.Helper()
	score, err := readScore(text, o)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return score
}

func readScore(text string, o Options) (*Score, error) {
	d, err := Open(ctx, "x", []byte(text), o.Limits)
	if err != nil {
		return nil, err
	}
	return Read(ctx, d, o)
}

// sounds writes the notes of a part as "pitch@onset+length", with "~" for one
// that goes on from a tie and a letter for a kind that is not Sounding.
func sounds(p *Part) string {
	var list []string
	for i := range p.Notes {
		n := &p.Notes[i]
		if n.Kind == Rest {
			continue
		}
		s := fmt.Sprintf("%v@%v+%v", n.Pitch, n.Onset, n.Length)
		switch {
		case n.Kind == Unpitched:
			s = fmt.Sprintf("u@%v+%v", n.Onset, n.Length)
		case n.Kind == Grace:
			s = "g" + s
		case n.Kind == Cue:
			s = "c" + s
		}
		if n.Tied {
			s = "~" + s
		}
		list = append(list, s)
	}
	return strings.Join(list, " ")
}

// Times are those of the rules 3 to 5 of the reading cases, which follow the
// MusicXML 4.0 reference for backup, forward, chord, grace and divisions.
func TestReadClock(t *testing.T) {
	const rest = `<note><rest/><duration>1</duration></note>`
	back := func(d string) string { return "<backup><duration>" + d + "</duration></backup>" }
	for _, tt := range []struct {
		name     string
		measures []string
		want     string
		reason   string
	}{
		{"in a row", []string{quarters + plain1("C4", "D4", "E4")}, "C4@0+1 D4@1+1 E4@2+1", "each begins where the one before ends"},
		{"next measure", []string{quarters + plain1("C4", "D4"), plain1("E4")}, "C4@0+1 D4@1+1 E4@2+1", "a measure begins where the longest part of the one before ends"},
		{"short measure", []string{whole4 + plain1("C4"), plain1("D4")}, "C4@0+1 D4@1+1", "the time signature changes nothing where there are durations"},
		{"empty measure", []string{whole4, plain1("D4")}, "D4@4+1", "the time signature counts where there are none"},
		{"empty measure, no time", []string{quarters, plain1("D4")}, "D4@4+1", "four quarters without one"},
		{"chord", []string{quarters + tone("C4", "2", "", "") + tone("E4", "2", "<chord/>", "") + plain1("D4")},
			"C4@0+2 E4@0+2 D4@2+1", "it begins with the note before and moves nothing"},
		{"longer chord note", []string{quarters + tone("C4", "1", "", "") + tone("E4", "3", "<chord/>", "") + plain1("D4")},
			"C4@0+1 E4@0+3 D4@1+1", "a chord note's own duration moves nothing"},
		{"chord after backup", []string{quarters + plain1("C4", "D4") + back("1") + tone("E4", "1", "<chord/>", "")},
			"C4@0+1 D4@1+1 E4@1+1", "it goes with the last note without chord, wherever the cursor is"},
		{"grace", []string{quarters + plain1("C4") + tone("D4", "", "<grace/>", "") + plain1("E4")},
			"C4@0+1 gD4@1+0 E4@1+1", "no time"},
		{"grace with duration", []string{quarters + tone("D4", "1", "<grace/>", "") + plain1("E4")}, "gD4@0+0 E4@0+1", "a duration that should not be there"},
		{"cue", []string{quarters + tone("D4", "1", "<cue/>", "") + rest}, "cD4@0+1", "silent, but it takes its time"},
		{"grace cue", []string{quarters + tone("D4", "", "<grace/><cue/>", "") + rest}, "cD4@0+0", "silent and without time"},
		{"small print", []string{quarters + tone("D4", "1", "<cue/>", "") + tone("D4", "", "<grace/><cue/>", "") + plain1("E4")}, "D4@0+1 gD4@1+0 E4@1+1", "beside a note that sounds"},
		{"rest", []string{quarters + rest + plain1("E4")}, "E4@1+1", "it takes its time"},
		{"backup", []string{quarters + plain1("C4", "D4") + back("2") + plain1("E4")}, "C4@0+1 D4@1+1 E4@0+1", "a second voice"},
		{"backup too far", []string{quarters + plain1("C4") + back("3") + plain1("E4")}, "C4@0+1 E4@0+1", "not before the measure"},
		{"forward", []string{quarters + "<forward><duration>2</duration></forward>" + plain1("E4")}, "E4@2+1", "nothing sounds"},
		{"forward at the end", []string{quarters + plain1("C4") + "<forward><duration>2</duration></forward>", plain1("E4")},
			"C4@0+1 E4@3+1", "the farthest cursor, not the last note"},
		{"backup at the end", []string{quarters + plain1("C4", "D4") + back("2"), plain1("E4")}, "C4@0+1 D4@1+1 E4@2+1", "the same"},
		{"divisions", []string{fourths + plain1("C4") + tone("D4", "3", "", "")}, "C4@0+1/4 D4@1/4+3/4", "parts of a quarter"},
		{"divisions change", []string{fourths + plain1("C4") + quarters + plain1("D4")}, "C4@0+1/4 D4@1/4+1", "from there on"},
		{"divisions go on", []string{fourths, plain1("C4", "D4")}, "C4@4+1/4 D4@17/4+1/4", "into the next measure"},
		{"no divisions", []string{plain1("C4", "D4")}, "C4@0+1 D4@1+1", "one (with a warning)"},
		{"decimals", []string{quarters + tone("C4", "0.5", "", "") + tone("D4", "1.25", "", "") + plain1("E4")},
			"C4@0+1/2 D4@1/2+5/4 E4@7/4+1", "durations are decimals; MusicXML 4.0, positive-divisions"},
		{"decimal divisions", []string{`<attributes><divisions>2.5</divisions></attributes>` + plain1("C4", "D4")}, "C4@0+2/5 D4@2/5+2/5", "so are divisions"},
		{"thirds", []string{`<attributes><divisions>3</divisions></attributes>` + plain1("C4", "D4", "E4", "F4")},
			"C4@0+1/3 D4@1/3+1/3 E4@2/3+1/3 F4@1+1/3", "exactly"},
		{"white space", []string{quarters + tone("C4", "\n\t1 ", "", "") + plain1("D4")}, "C4@0+1 D4@1+1", "XML Schema collapses it around numbers"},
		{"no duration", []string{quarters + tone("C4", "", "", "") + plain1("D4")}, "C4@0+0 D4@0+1", "no time (with a warning)"},
		{"unpitched", []string{quarters + "<note><unpitched/><duration>1</duration></note>" + plain1("D4")}, "u@0+1 D4@1+1", "a knock takes its time"},
		{"type and dots", []string{quarters + tone("C4", "1", "", "<type>whole</type><dot/>") + plain1("D4")}, "C4@0+1 D4@1+1", "what is printed changes nothing"},
		{"pitches", []string{quarters + plain1("C#4", "Cb4", "F##3", "Bbb2")}, "C#4@0+1 Cb4@1+1 F##3@2+1 Bbb2@3+1", "alter as written"},
		{"key", []string{`<attributes><divisions>1</divisions><key><fifths>3</fifths></key></attributes>` + plain1("F4")}, "F4@0+1", "a key alters nothing"},
		{"hidden", []string{quarters + strings.Replace(plain1("C4"), "<note", `<note print-object="no"`, 1)}, "C4@0+1", "it sounds"},
		{"another namespace", []string{quarters + `<x:note xmlns:x="u"><pitch/></x:note>` + plain1("C4")}, "C4@0+1", "its elements are not read"},
		{"in comments", []string{quarters + "<!--" + plain1("C4") + "-->" + plain1("D4")}, "D4@0+1", "what is commented out is not there"},
		{"CDATA", []string{quarters + strings.Replace(plain1("C4"), "<step>C", "<step><![CDATA[D]]>", 1)}, "D4@0+1", "it is text"},
		{"parted text", []string{quarters + strings.Replace(tone("C4", "12", "", ""), "12", "1<!-- -->2", 1)}, "C4@0+12", "a comment parts nothing"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := sounds(readText(t, harpScore(tt.measures...), Options{}).Parts[0]); got != tt.want {
				t.Errorf("%s, want %s: %s", got, tt.want, tt.reason)
			}
		})
	}
}

// Measures of all parts belong together by index; rule 5 of the reading cases.
func TestReadMeasures(t *testing.T) {
	score := readText(t, partwise(listed("P1", "Harp")+listed("P2", "Flute"),
		partOf("P1", whole4+plain1("C4"), "", plain1("D4")),
		partOf("P2", quarters+plain1("C4", "D4", "E4"), plain1("C4"))), Options{})
	var got []string
	for _, m := range score.Measures {
		got = append(got, fmt.Sprintf("%s@%v+%v", m.Number, m.Start, m.Length))
	}
	if want := "1@0+3 2@3+1 3@4+1"; strings.Join(got, " ") != want {
		t.Errorf("measures %v, want %s", got, want)
	}
	if got := sounds(score.Parts[0]); got != "C4@0+1 D4@4+1" {
		t.Errorf("harp %s", got)
	}
	if got := codes(score.Warnings); !slices.Equal(got, []string{"parts-differ-in-length"}) {
		t.Errorf("warnings %v", got)
	}
}

// A timewise score says the same in another order.
func TestReadTimewise(t *testing.T) {
	text := `<score-timewise><part-list>` + listed("P1", "Harp") + listed("P2", "Flute") + `</part-list>` +
		`<measure number="1"><part id="P2">` + quarters + plain1("C4", "C4") + `</part></measure>` +
		`<measure number="X1" implicit="yes"><part id="P1">` + quarters + plain1("D4") + `</part><part id="P2"/></measure>` +
		`<measure number="2"/></score-timewise>`
	score := readText(t, text, Options{})
	if got := sounds(score.Parts[0]); got != "D4@2+1" {
		t.Errorf("harp %s", got)
	}
	if len(score.Measures) != 3 || !score.Measures[1].Implicit || score.Measures[1].Number != "X1" || score.Measures[2].Start != NewFrac(3, 1) {
		t.Errorf("measures %+v", score.Measures)
	}
	if m := score.Parts[0].Measures; len(m) != 2 || m[0].Tag != -1 || m[0].End != -1 {
		t.Errorf("measures of the harp %+v", m)
	}
}

// Ties: rule 9 of the reading cases.
func TestReadTies(t *testing.T) {
	start, stop := `<tie type="start"/>`, `<tie type="stop"/>`
	printed := func(types ...string) string {
		s := "<notations>"
		for _, ty := range types {
			s += `<tied type="` + ty + `"/>`
		}
		return s + "</notations>"
	}
	at := func(pitch, after string) string { return tone(pitch, "1", "", after) }
	back := "<backup><duration>1</duration></backup>"
	for _, tt := range []struct {
		name, measure string
		want          string
		warnings      string
		reason        string
	}{
		{"two notes", at("C4", start) + at("C4", stop), "C4@0+1 ~C4@1+1", "", "the plain case"},
		{"three notes", at("C4", start) + at("C4", stop+start) + at("C4", stop), "C4@0+1 ~C4@1+1 ~C4@2+1", "", "a chain"},
		{"other pitch", at("C4", start) + at("D4", stop), "C4@0+1 D4@1+1", "tie-without-stop tie-without-start", "no tie"},
		{"enharmonic", at("C#4", start) + at("Db4", stop), "C#4@0+1 Db4@1+1", "tie-without-stop tie-without-start", "another string of the harp"},
		{"gap", at("C4", start) + at("E4", "") + at("C4", stop), "C4@0+1 E4@1+1 C4@2+1", "tie-without-stop tie-without-start", "the first does not end where the second begins"},
		{"no stop", at("C4", start) + at("C4", ""), "C4@0+1 C4@1+1", "tie-without-stop", "half a tie is none"},
		{"no start", at("C4", "") + at("C4", stop), "C4@0+1 C4@1+1", "tie-without-start", "half a tie is none"},
		{"printed only", at("C4", printed("start")) + at("C4", printed("stop")), "C4@0+1 ~C4@1+1", "", "tied counts where there is no tie"},
		{"printed too", at("C4", start+printed("start")) + at("C4", printed("stop")), "C4@0+1 ~C4@1+1", "", "each note for itself"},
		{"sound goes first", at("C4", start+printed("stop")) + at("C4", stop+printed("start")), "C4@0+1 ~C4@1+1", "", "tie decides"},
		{"let ring", at("C4", printed("let-ring")) + at("C4", ""), "C4@0+1 C4@1+1", "", "no tie"},
		{"other voice", at("C4", start+"<voice>1</voice>") + at("C4", stop+"<voice>2</voice>"), "C4@0+1 ~C4@1+1", "", "voices play no part"},
		{"other staff", at("C4", start+"<staff>1</staff>") + at("C4", stop+"<staff>2</staff>"), "C4@0+1 ~C4@1+1", "", "nor do staves"},
		{"stop first in the file", "<forward><duration>1</duration></forward>" + at("C4", stop) + back + back + at("C4", start),
			"~C4@1+1 C4@0+1", "", "order in the file plays none"},
		{"chord", at("C4", start) + tone("E4", "1", "<chord/>", start) + at("C4", stop) + tone("E4", "1", "<chord/>", stop),
			"C4@0+1 E4@0+1 ~C4@1+1 ~E4@1+1", "", "pitch by pitch"},
		{"grace", tone("C4", "", "<grace/>", start) + at("C4", stop), "gC4@0+0 ~C4@0+1", "", "a grace note tied on"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			score := readText(t, harpScore(quarters+tt.measure), Options{})
			if got := sounds(score.Parts[0]); got != tt.want {
				t.Errorf("%s, want %s: %s", got, tt.want, tt.reason)
			}
			if got := strings.Join(codes(score.Warnings), " "); got != tt.warnings {
				t.Errorf("warnings %q, want %q: %s", got, tt.warnings, tt.reason)
			}
		})
	}
}

// A note that only prints a tie goes on where a repeat leads to its measure.
func TestReadTieOverRepeat(t *testing.T) {
	both := `<notations><tied type="stop"/><tied type="start"/></notations>`
	score := readText(t, harpScore(quarters+repeatForward+plain1("D4"),
		repeatForward+tone("C4", "1", "", both), tone("C4", "1", "", `<tie type="stop"/>`)+repeatBackward), Options{})
	if got := sounds(score.Parts[0]); got != "D4@0+1 ~C4@1+1 ~C4@2+1" {
		t.Error(got)
	}
}

const (
	repeatForward  = `<barline location="left"><repeat direction="forward"/></barline>`
	repeatBackward = `<barline location="right"><repeat direction="backward"/></barline>`
)

// Lines from note to note: MusicXML 4.0, glissando and slide, whose numbers
// tell overlapping ones apart and are 1 by default.
func TestReadGlissandi(t *testing.T) {
	line := func(element, kind, number string) string {
		if number != "" {
			number = ` number="` + number + `"`
		}
		return `<notations><` + element + ` type="` + kind + `"` + number + `/></notations>`
	}
	at := func(pitch, after string) string { return tone(pitch, "1", "", after) }
	g := func(kind string) string { return line("glissando", kind, "") }
	for _, tt := range []struct {
		name, music, want, warnings, reason string
	}{
		{"two notes", at("C4", g("start")) + at("C6", g("stop")), "C4>C6", "", "the plain case"},
		{"over notes", at("C4", g("start")) + plain1("E4") + at("C6", g("stop")), "C4>C6", "", "notes between change nothing"},
		{"two in a row", at("C4", g("start")) + at("C6", strings.Replace(g("stop"), "<notations>", `<notations><glissando type="start"/>`, 1)) + at("C3", g("stop")),
			"C4>C6 C6>C3", "", "one ends where the next begins, whatever stands first"},
		{"crossed", at("C4", line("glissando", "start", "1")) + at("D4", line("glissando", "start", "2")) +
			at("C6", line("glissando", "stop", "1")) + at("D6", line("glissando", "stop", "2")), "C4>C6 D4>D6", "", "numbers tell them apart"},
		{"default number", at("C4", g("start")) + at("C6", line("glissando", "stop", "1")), "C4>C6", "", "it is 1"},
		{"slide and glissando", at("C4", line("slide", "start", "")) + at("D4", g("start")) + at("D6", g("stop")) + at("C6", line("slide", "stop", "")),
			"C4>C6 D4>D6", "", "two kinds of line"},
		{"stop first in the file", "<forward><duration>1</duration></forward>" + at("C6", g("stop")) + "<backup><duration>2</duration></backup>" + at("C4", g("start")),
			"C4>C6", "", "time decides"},
		{"from a grace note", tone("C4", "", "<grace/>", g("start")) + at("C6", g("stop")), "C4>C6", "", "it comes before what begins with it"},
		{"no stop", at("C4", g("start")) + plain1("C6"), "", "glissando-without-stop", "half a line"},
		{"no start", plain1("C4") + at("C6", g("stop")), "", "glissando-without-start", "half a line"},
		{"wrong way", at("C4", g("stop")) + at("C6", g("start")), "", "glissando-without-start glissando-without-stop", "time does not run backwards"},
		{"other number", at("C4", g("start")) + at("C6", line("glissando", "stop", "2")), "", "glissando-without-stop glissando-without-start", "another line"},
		{"numbers used again", at("C4", g("start")) + at("C6", g("stop")) + at("D4", g("start")) + at("D6", g("stop")), "C4>C6 D4>D6", "", "each stop once"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			score := readText(t, harpScore(quarters+tt.music), Options{})
			p := score.Parts[0]
			var got []string
			for _, l := range p.Glissandi {
				got = append(got, fmt.Sprintf("%v>%v", p.Notes[l.From].Pitch, p.Notes[l.To].Pitch))
			}
			if strings.Join(got, " ") != tt.want {
				t.Errorf("%v, want %s: %s", got, tt.want, tt.reason)
			}
			if got := strings.Join(codes(score.Warnings), " "); got != tt.warnings {
				t.Errorf("warnings %q, want %q: %s", got, tt.warnings, tt.reason)
			}
		})
	}
}

// Tremolos between two notes: MusicXML 4.0, tremolo.
func TestReadTremolos(t *testing.T) {
	tremolo := func(kind string) string {
		return `<notations><ornaments><tremolo type="` + kind + `">3</tremolo></ornaments></notations>`
	}
	at := func(pitch, after string) string { return tone(pitch, "1", "", after) }
	for _, tt := range []struct {
		name, music, want, warnings, reason string
	}{
		{"two notes", at("C4", tremolo("start")) + at("E4", tremolo("stop")), "C4~E4", "", "the plain case"},
		{"two chords", at("C4", tremolo("start")) + tone("G4", "1", "<chord/>", "") + at("E4", tremolo("stop")) + tone("B4", "1", "<chord/>", ""), "C4~E4", "", "named by their first notes"},
		{"on one note", at("C4", tremolo("single")) + plain1("E4"), "", "", "no pair"},
		{"two pairs", at("C4", tremolo("start")) + at("E4", tremolo("stop")) + at("D4", tremolo("start")) + at("F4", tremolo("stop")), "C4~E4 D4~F4", "", "one after the other"},
		{"no stop", at("C4", tremolo("start")) + plain1("E4"), "", "tremolo-without-stop", "half a pair"},
		{"two voices", at("C4", tremolo("start")+"<voice>1</voice>") + at("E4", tremolo("stop")+"<voice>1</voice>") +
			"<backup><duration>2</duration></backup>" + at("C3", tremolo("start")+"<voice>2</voice>") + at("E3", tremolo("stop")+"<voice>2</voice>"),
			"C4~E4 C3~E3", "", "each of its own voice"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			score := readText(t, harpScore(quarters+tt.music), Options{})
			p := score.Parts[0]
			var got []string
			for _, l := range p.Tremolos {
				got = append(got, fmt.Sprintf("%v~%v", p.Notes[l.From].Pitch, p.Notes[l.To].Pitch))
			}
			if strings.Join(got, " ") != tt.want {
				t.Errorf("%v, want %s: %s", got, tt.want, tt.reason)
			}
			if got := strings.Join(codes(score.Warnings), " "); got != tt.warnings {
				t.Errorf("warnings %q, want %q: %s", got, tt.warnings, tt.reason)
			}
		})
	}
}

// Tempo: sound goes before a printed mark at the same place; MusicXML 4.0,
// sound, whose tempo counts quarter notes a minute.
func TestReadTempos(t *testing.T) {
	metronome := func(unit, dots, number string) string {
		return "<direction><direction-type><metronome><beat-unit>" + unit + "</beat-unit>" + dots +
			"<per-minute>" + number + "</per-minute></metronome></direction-type></direction>"
	}
	for _, tt := range []struct{ name, music, want, reason string }{
		{"sound", `<sound tempo="96"/>` + plain1("C4"), "0:96", "the plain case"},
		{"decimal", `<sound tempo="72.5"/>` + plain1("C4"), "0:145/2", "exactly"},
		{"mark", metronome("quarter", "", "60"), "0:60", "a printed mark"},
		{"half notes", metronome("half", "", "60"), "0:120", "in quarter notes"},
		{"dotted", metronome("quarter", "<beat-unit-dot/>", "60"), "0:90", "half as much again"},
		{"twice dotted", metronome("quarter", "<beat-unit-dot/><beat-unit-dot/>", "80"), "0:140", "and half of that"},
		{"tied", metronome("half", "<beat-unit-tied><beat-unit>eighth</beat-unit><beat-unit-dot/></beat-unit-tied>", "40"), "0:110", "a beat of two notes"},
		{"tied to an unknown one", metronome("half", "<beat-unit-tied><beat-unit>4096th</beat-unit></beat-unit-tied>", "40"), "", "says nothing"},
		{"about", metronome("quarter", "", "ca. 60"), "0:60", "an approximate one"},
		{"range", metronome("quarter", "", "60-72"), "", "what is no number says nothing"},
		{"both", strings.Replace(metronome("quarter", "", "60"), "</direction>", `<sound tempo="66"/></direction>`, 1), "0:66", "sound decides"},
		{"both apart", metronome("quarter", "", "60") + `<sound tempo="66"/>`, "0:66", "sound decides"},
		{"later", plain1("C4") + `<sound tempo="66"/>`, "1:66", "where it stands"},
		{"offset", strings.Replace(metronome("quarter", "", "60"), "</direction>", "<offset>2</offset></direction>", 1) + plain1("C4"), "2:60", "or is meant to stand"},
		{"nought", `<sound tempo="0"/>`, "", "says nothing"},
		{"unknown unit", metronome("4096th", "", "60"), "", "says nothing"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var got []string
			for _, tempo := range readText(t, harpScore(quarters+tt.music), Options{}).Tempos {
				got = append(got, fmt.Sprintf("%v:%v", tempo.Onset, tempo.Quarter))
			}
			if strings.Join(got, " ") != tt.want {
				t.Errorf("%v, want %s: %s", got, tt.want, tt.reason)
			}
		})
	}
}

// A pedal setting that stands in the score.
func TestReadSettings(t *testing.T) {
	pedals := func(tunings ...string) string {
		s := ""
		for _, tuning := range tunings {
			step, alter, _ := strings.Cut(tuning, " ")
			s += "<pedal-tuning><pedal-step>" + step + "</pedal-step><pedal-alter>" + alter + "</pedal-alter></pedal-tuning>"
		}
		return "<direction><direction-type><harp-pedals>" + s + "</harp-pedals></direction-type><staff>2</staff></direction>"
	}
	all := []string{"D 0", "C 1", "B -1", "E 0", "F 1", "G 0", "A -1"}
	for _, tt := range []struct {
		name     string
		tunings  []string
		complete bool
		warnings string
		reason   string
	}{
		{"all", all, true, "", "seven pedals"},
		{"six", all[1:], false, "harp-pedals-incomplete", "one is missing"},
		{"none", nil, false, "harp-pedals-incomplete", "all are missing"},
		{"twice", append([]string{"D -1"}, all...), false, "harp-pedals-duplicate", "one is named twice"},
		{"twice for another", append([]string{"D -1", "D 0"}, all[2:]...), false, "harp-pedals-duplicate harp-pedals-incomplete", "and one is missing"},
		{"half a notch", append([]string{"D 0.5"}, all[1:]...), true, "harp-pedals-not-a-notch", "there is no such notch"},
		{"two notches", append([]string{"D 2"}, all[1:]...), true, "harp-pedals-not-a-notch", "nor this one"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			score := readText(t, harpScore(quarters+plain1("C4")+pedals(tt.tunings...)), Options{})
			s := score.Parts[0].Settings
			if len(s) != 1 || s[0].Complete() != tt.complete || s[0].Onset != NewFrac(1, 1) || s[0].Staff != 2 {
				t.Errorf("settings %+v, complete %v: %s", s, tt.complete, tt.reason)
			}
			if got := strings.Join(codes(score.Warnings), " "); got != tt.warnings {
				t.Errorf("warnings %q, want %q: %s", got, tt.warnings, tt.reason)
			}
		})
	}
}

// Every code of the package comment that the reader itself gives, once.
func TestReadWarnings(t *testing.T) {
	words := func(w string) string {
		return "<direction><direction-type><words>" + w + "</words></direction-type></direction>"
	}
	for _, tt := range []struct {
		code     string
		measures []string
		measure  string
		line     int
		reason   string
	}{
		{"backup-before-start", []string{quarters, plain1("C4") + "<backup><duration>2</duration></backup>"}, "2", 5, "rule 3 of the reading cases"},
		{"no-divisions", []string{plain1("C4", "D4"), plain1("E4")}, "1", 4, "rule 4; once for the part"},
		{"no-duration", []string{quarters + tone("C4", "", "", "")}, "1", 4, "MusicXML 4.0: a note without grace has a duration"},
		{"accidental-contradicts-alter", []string{quarters + tone("C#4", "1", "", "<accidental>flat</accidental>")}, "1", 4, "rule 6"},
		{"microtone", []string{quarters + strings.Replace(plain1("C#4"), "<alter>1", "<alter>0.5", 1)}, "1", 4, "no pedal gives it"},
		{"tie-without-start", []string{quarters + tone("C4", "1", "", `<tie type="stop"/>`)}, "1", 4, "rule 9"},
		{"tie-without-stop", []string{quarters, tone("C4", "1", "", `<tie type="start"/>`)}, "2", 5, "rule 9"},
		{"glissando-without-stop", []string{quarters + tone("C4", "1", "", `<notations><slide type="start"/></notations>`)}, "1", 4, "half a slide"},
		{"glissando-without-start", []string{quarters + tone("C4", "1", "", `<notations><slide type="stop"/></notations>`)}, "1", 4, "half a slide"},
		{"tremolo-without-stop", []string{quarters + tone("C4", "1", "", `<notations><ornaments><tremolo type="start">3</tremolo></ornaments></notations>`)}, "1", 4, "half a tremolo"},
		{"jump-from-words", []string{quarters + plain1("C4"), plain1("D4") + words("D.C.")}, "2", 5, "rule 11"},
		{"jump-without-target", []string{quarters + plain1("C4"), `<sound dalsegno="a"/>` + plain1("D4")}, "2", 5, "rule 11"},
		{"measure-repeat-without-notes", []string{quarters + plain1("C4"),
			`<attributes><measure-style><measure-repeat type="start">1</measure-repeat></measure-style></attributes>`}, "2", 5, "rule 14"},
		{"repeat-inside-measure", []string{quarters + plain1("C4") + `<barline location="middle"><repeat direction="backward"/></barline>`}, "1", 4, "no player stops there"},
		{"cue-notes", []string{quarters + plain1("C4"), tone("C4", "1", "<cue/>", "")}, "2", 5, "rule 7 of the reading cases"},
		{"instrument-unknown", []string{quarters + plain1("C4") + `<sound><instrument-change id="X"/></sound>`}, "1", 4, "MusicXML 4.0: an IDREF"},
		{"ending-without-number", []string{quarters + plain1("C4") + `<barline location="left"><ending number="" type="start"/></barline><barline><ending number="" type="stop"/><repeat direction="backward"/></barline>`,
			plain1("C4") + `<barline location="left"><ending number="2" type="start"/></barline>`}, "1", 4, "MusicXML 4.0, ending-number: a pass at least"},
	} {
		t.Run(tt.code, func(t *testing.T) {
			w := readText(t, harpScore(tt.measures...), Options{}).Warnings
			if len(w) != 1 || w[0].Code != tt.code || w[0].Part != "P1" || w[0].Measure != tt.measure || w[0].Line != tt.line || w[0].Text == "" {
				t.Errorf("%+v, want %s once, in measure %s, line %d: %s", w, tt.code, tt.measure, tt.line, tt.reason)
			}
		})
	}
}

// The package comment lists every code of a warning that the package gives, and
// no other.
func TestWarningCodesListed(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	given := regexp.MustCompile(`(?:(?:warn|warnAt|report)\([^"\n]*|Code: |\t\{)"([a-z]+(?:-[a-z]+)+)"`)
	listedCode := regexp.MustCompile(`(?m)^//\t([a-z]+(?:-[a-z]+)+) `)
	got, want := map[string]bool{}, map[string]bool{}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range listedCode.FindAllSubmatch(text, -1) {
			want[string(m[1])] = true
		}
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		for _, m := range given.FindAllSubmatch(text, -1) {
			got[string(m[1])] = true
		}
	}
	if !maps.Equal(got, want) {
		t.Errorf("given %v\nlisted %v", slices.Sorted(maps.Keys(got)), slices.Sorted(maps.Keys(want)))
	}
}

// What XML forbids and is read all the same is told, with its line; a DOCTYPE may
// hold its own end in comments, values and instructions.
func TestReadOddXML(t *testing.T) {
	const doctype = "<!DOCTYPE score-partwise [<!-- ]> <score-partwise> --><!ENTITY a \"]>\"><?pi ]> ?>]>\n"
	score := harpScore(quarters + plain1("C4"))
	if s := readText(t, doctype+score, Options{}); len(s.Warnings) != 0 || sounds(s.Parts[0]) != "C4@0+1" {
		t.Errorf("%+v, %s", s.Warnings, sounds(s.Parts[0]))
	}
	s := readText(t, "\n"+doctype+strings.Replace(score, "<note>", "<note x='1'y='2'z='3'>", 1), Options{})
	w := s.Warnings
	if len(w) != 1 || w[0].Code != "not-well-formed" || w[0].Line != 6 || w[0].Index != -1 || !strings.HasSuffix(w[0].Text, "between two attributes, in 2 places") {
		t.Errorf("%+v", w)
	}
}
