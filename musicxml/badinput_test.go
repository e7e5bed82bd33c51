package musicxml

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"pedalogue/musicxml/internal/xmltext"
)

// A bad score, and the error that it has to give.
type badScore struct {
	name    string
	text    string
	line    int    // 0 where no line can be told
	part    string // "" outside parts
	measure string // "" outside measures
	want    string // a piece of the message
	reason  string
}

// change returns a small good score with a piece of it replaced.
func change(old, new string) string {
	const good = whole4 + `<direction><direction-type><words>Con moto</words></direction-type><offset>1</offset><staff>1</staff><sound tempo="90"/></direction>` +
		`<note><pitch><step>C</step><alter>1</alter><octave>4</octave></pitch><duration>2</duration><staff>1</staff></note>` +
		`<backup><duration>1</duration></backup><forward><duration>3</duration></forward>` +
		`<barline location="right"><repeat direction="backward" times="2"/></barline>`
	text := harpScore(quarters+plain1("D4"), good)
	if strings.Count(text, old) == 0 {
		panic("not in the score: " + old)
	}
	i := strings.LastIndex(text, old)
	return text[:i] + new + text[i+len(old):]
}

// Fields of the second measure of change's score, on line 5. The types are those
// of MusicXML 4.0.
func badFields() []badScore {
	key := func(key string) string {
		return change("<divisions>1</divisions>", "<divisions>1</divisions><key>"+key+"</key>")
	}
	tuning := func(step, alter string) string {
		return change("<words>Con moto</words>", "<harp-pedals><pedal-tuning><pedal-step>"+step+"</pedal-step><pedal-alter>"+alter+"</pedal-alter></pedal-tuning></harp-pedals>")
	}
	divisions := func(d string) string { return change("<divisions>1<", "<divisions>"+d+"<") }
	duration := func(d string) string { return change("<duration>2<", "<duration>"+d+"<") }
	list := []badScore{
		{"divisions word", divisions("x"), 5, "P1", "2", `divisions "x"`, "positive-divisions is a decimal"},
		{"divisions empty", divisions(""), 5, "P1", "2", `divisions ""`, "no number"},
		{"divisions nought", divisions("0"), 5, "P1", "2", `divisions "0"`, "nothing can be divided by it"},
		{"divisions negative", divisions("-4"), 5, "P1", "2", `divisions "-4"`, "positive"},
		{"divisions exponent", divisions("1e3"), 5, "P1", "2", `divisions "1e3"`, "xs:decimal has no exponent"},
		{"divisions absurd", divisions("99999999999999999999"), 5, "P1", "2", "divisions", "beyond 64 bits"},
		{"duration word", duration("x"), 5, "P1", "2", `duration "x"`, "a decimal"},
		{"duration empty", duration(""), 5, "P1", "2", `duration ""`, "no number"},
		{"duration fraction", duration("1/2"), 5, "P1", "2", `duration "1/2"`, "no fractions"},
		{"duration comma", duration("0,5"), 5, "P1", "2", `duration "0,5"`, "no decimal comma"},
		{"duration negative", duration("-2"), 5, "P1", "2", `duration "-2" is negative`, "time does not run backwards"},
		{"duration infinite", duration("INF"), 5, "P1", "2", `duration "INF"`, "a float, not a decimal"},
		{"duration huge", duration("1" + strings.Repeat("0", 400)), 5, "P1", "2", "too large", "beyond 64 bits"},
		{"duration minute", duration("0." + strings.Repeat("0", 400) + "1"), 5, "P1", "2", "too fine", "beyond 64 bits"},
		{"duration with letters", duration("2 quarters"), 5, "P1", "2", `duration "2 quarters"`, "no units"},
		{"backup negative", change("<backup><duration>1<", "<backup><duration>-1<"), 5, "P1", "2", "negative", "a forward in disguise"},
		{"backup word", change("<backup><duration>1<", "<backup><duration>one<"), 5, "P1", "2", `duration "one"`, "a decimal"},
		{"forward negative", change("<forward><duration>3<", "<forward><duration>-3<"), 5, "P1", "2", "negative", "a backup in disguise"},
		{"sum too large", change("<forward>", strings.Repeat("<forward><duration>461168601842738790</duration></forward>", 25)+"<forward>"), 5, "P1", "2", "too fine", "the cursor overflows"},
		{"step small", change("<step>C", "<step>c"), 5, "P1", "2", `step "c"`, "steps are capitals"},
		{"step H", change("<step>C", "<step>H"), 5, "P1", "2", `step "H"`, "German names are not steps"},
		{"step empty", change("<step>C", "<step>"), 5, "P1", "2", `step ""`, "no step"},
		{"step with sign", change("<step>C", "<step>C#"), 5, "P1", "2", `step "C#"`, "alter says that"},
		{"octave word", change("<octave>4", "<octave>middle"), 5, "P1", "2", `octave "middle"`, "a number"},
		{"octave fraction", change("<octave>4", "<octave>4.5"), 5, "P1", "2", `octave "4.5"`, "a whole one"},
		{"octave 99", change("<octave>4", "<octave>99"), 5, "P1", "2", `octave "99"`, "0 to 9"},
		{"octave missing", change("<octave>4</octave>", ""), 5, "P1", "2", "no octave", "it has no default"},
		{"alter word", change("<alter>1", "<alter>sharp"), 5, "P1", "2", `alteration "sharp"`, "semitones"},
		{"alter empty", change("<alter>1", "<alter>"), 5, "P1", "2", `alteration ""`, "no number"},
		{"alter absurd", change("<alter>1", "<alter>1000000"), 5, "P1", "2", `alteration "1000000"`, "no pitch"},
		{"staff nought", change("<staff>1</staff></note>", "<staff>0</staff></note>"), 5, "P1", "2", `staff "0"`, "staves count from 1"},
		{"staff word", change("<staff>1</staff></note>", "<staff>upper</staff></note>"), 5, "P1", "2", `staff "upper"`, "a number"},
		{"staff absurd", change("<staff>1</staff></note>", "<staff>1000000000</staff></note>"), 5, "P1", "2", `staff "1000000000"`, "no part has so many"},
		{"staff of a text", change("<staff>1</staff><sound", "<staff>x</staff><sound"), 5, "P1", "2", `staff "x"`, "a number"},
		{"staves nought", change("<time>", "<staves>0</staves><time>"), 5, "P1", "2", `staves "0"`, "one at least"},
		{"staves word", change("<time>", "<staves>two</staves><time>"), 5, "P1", "2", `staves "two"`, "a number"},
		{"staves absurd", change("<time>", "<staves>1000000000</staves><time>"), 5, "P1", "2", `staves "1000000000"`, "no part has so many"},
		{"fifths word", key("<fifths>D</fifths>"), 5, "P1", "2", `key signature "D"`, "a number"},
		{"fifths fraction", key("<fifths>1.5</fifths>"), 5, "P1", "2", `key signature "1.5"`, "a whole one"},
		{"fifths absurd", key("<fifths>1000</fifths>"), 5, "P1", "2", `key signature "1000"`, "no key"},
		{"key step", key("<key-step>H</key-step><key-alter>1</key-alter>"), 5, "P1", "2", `key step "H"`, "A to G"},
		{"key alter", key("<key-step>F</key-step><key-alter>sharp</key-alter>"), 5, "P1", "2", `key alteration "sharp"`, "a number"},
		{"key alter first", key("<key-alter>1</key-alter><key-step>F</key-step>"), 5, "P1", "2", "after a step", "it belongs to no step"},
		{"tempo word", change(`tempo="90"`, `tempo="fast"`), 5, "P1", "2", `tempo "fast"`, "quarter notes a minute"},
		{"tempo negative", change(`tempo="90"`, `tempo="-90"`), 5, "P1", "2", `tempo "-90"`, "it is not negative"},
		{"offset word", change("<offset>1<", "<offset>later<"), 5, "P1", "2", `offset "later"`, "divisions"},
		{"offset absurd", change("<offset>1<", "<offset>9999999999999999999999<"), 5, "P1", "2", "offset", "beyond 64 bits"},
		{"times word", change(`times="2"`, `times="twice"`), 5, "P1", "2", `times "twice"`, "a number"},
		{"times negative", change(`times="2"`, `times="-1"`), 5, "P1", "2", `times "-1"`, "not negative"},
		{"times absurd", change(`times="2"`, `times="999999999"`), 5, "P1", "2", "up to 999", "a thousand million measures announced"},
		{"repeat without direction", change(`direction="backward"`, ``), 5, "P1", "2", "neither forward nor backward", "the attribute is required"},
		{"repeat sideways", change(`direction="backward"`, `direction="both"`), 5, "P1", "2", `direction "both"`, "there are two"},
		{"pedal step", tuning("H", "0"), 5, "P1", "2", `pedal step "H"`, "A to G"},
		{"pedal alter", tuning("C", "flat"), 5, "P1", "2", `pedal alteration "flat"`, "a number"},
		{"pedal alter empty", tuning("C", ""), 5, "P1", "2", `pedal alteration ""`, "no number"},
		{"attribute for text", change("<duration>2</duration>", `<duration value="2"/>`), 5, "P1", "2", `duration ""`, "the text is missing"},
		{"long nonsense", duration(strings.Repeat("x", 1<<20)), 5, "P1", "2", "xx…", "the message stays short"},
	}
	return list
}

// Whole documents that are not what they should be.
func badDocuments() []badScore {
	list := listed("P1", "Harp")
	return []badScore{
		{"nothing", "", 0, "", "", "empty", "no bytes"},
		{"white space", " \n\t\n", 0, "", "", "white space", "no document"},
		{"only a comment", "<!-- score -->", 1, "", "", "no element", "no root"},
		{"plain words", "Dear Sir,\n", 1, "", "", "not XML", "a letter"},
		{"another root", "<html>\n</html>", 0, "", "", "web page", "the usual result of a wrong download"},
		{"another document", "<svg>\n</svg>", 1, "", "", "<svg>", "a picture"},
		{"opus", "<opus><title>x</title></opus>", 1, "", "", "opus", "a list of scores"},
		{"root of another namespace", `<x:score xmlns:x="u"/>`, 1, "", "", "<score>", "not MusicXML"},
		{"no part-list", "<score-partwise>\n</score-partwise>", 0, "", "", "no part-list", "nothing to read"},
		{"empty part-list", partwise(""), 0, "", "", "no part", "nothing to read"},
		{"part without part-list", "<score-partwise>\n" + partOf("P1", quarters+plain1("C4")) + "</score-partwise>", 2, "P1", "", "not in the part-list", "nobody says what it is"},
		{"part-list after the parts", "<score-partwise>\n" + partOf("P1", "") + "<part-list>" + list + "</part-list></score-partwise>", 2, "P1", "", "not in the part-list", "the order is fixed"},
		{"unknown part", partwise(list, partOf("P1"), partOf("P2", plain1("C4"))), 5, "P2", "", `"P2" is not in the part-list`, "nobody says what it is"},
		{"part twice", partwise(list, partOf("P1", quarters), partOf("P1", quarters)), 6, "P1", "", "twice", "which one is it?"},
		{"id twice", partwise(list+list, partOf("P1", quarters)), 2, "", "", `"P1" twice`, "which one is it?"},
		{"part without id", partwise(list, partOf("P1", quarters), "<part><measure/></part>"), 6, "", "", "without an id", "none is left"},
		{"timewise part twice", "<score-timewise><part-list>" + list + "</part-list>\n<measure number=\"7\">\n<part id=\"P1\"/>\n<part id=\"P1\"/></measure></score-timewise>",
			4, "P1", "", "twice", "two measures in one"},
		{"crossed tags", change("</pitch><duration>2</duration>", "<duration>2</pitch></duration>"), 5, "P1", "2", "<duration> is closed by </pitch>", "3.1 of XML"},
		{"end tag left out", change("</note>", ""), 5, "P1", "2", "<note> is closed by </measure>", "3.1"},
		{"end tag too much", change("</note>", "</note></note>"), 5, "P1", "2", "<measure> is closed by </note>", "3.1"},
		{"two roots", harpScore(quarters) + harpScore(quarters), 7, "", "", "follows the end of the score", "2.1: one root"},
		{"text behind the root", harpScore(quarters) + "over", 6, "", "", "text outside", "2.1"},
		{"text before the root", "score:\n" + harpScore(quarters), 1, "", "", "not XML", "2.1"},
		{"attribute without marks", change(`times="2"`, `times=2`), 5, "P1", "2", "quotation marks", "3.1"},
		{"attribute twice", change(`times="2"`, `times="2" times="3"`), 5, "P1", "2", "times twice", "3.1"},
		{"ampersand", change("Con moto", "Allegro & Con moto"), 5, "P1", "2", "&amp;", "2.4"},
		{"less than", change("Con moto", "Con < moto"), 5, "P1", "2", "name of a tag is missing", "2.4"},
		{"unknown entity", change("Con moto", "Con&nbsp;moto"), 5, "P1", "2", "&nbsp;", "4.1"},
		{"control character", change("Con moto", "Con\x02moto"), 5, "P1", "2", "U+0002", "2.2"},
		{"NUL", change("Con moto", "Con\x00moto"), 0, "", "", "binary", "2.2; found before anything is read"},
		{"half a character", change("Con moto", "Con\xc3moto"), 5, "", "", "0xC3", "not UTF-8"},
		{"hyphens in a comment", change("Con moto", "<!-- a -- b -->"), 5, "P1", "2", "comment", "2.5"},
		{"XML 1.1", `<?xml version="1.1"?>` + harpScore(quarters), 1, "", "", "version 1.0", "another XML"},
		{"entity bomb", `<!DOCTYPE s [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;">]>` + "\n" + change("Con moto", "&c;"), 6, "P1", "2", "&c;", "entities in entities are not read"},
		{"entity in a file", `<!DOCTYPE s [<!ENTITY a SYSTEM "file:///etc/hostname">]>` + "\n" + change("Con moto", "&a;"), 6, "P1", "2", "&a;", "other files are never read"},
		{"deep nesting", change("Con moto", strings.Repeat("<x>", 200000)), 5, "P1", "2", "nested more than 128 deep", "a limit"},
		{"repeats without end", harpScore(repeats(30)...), 0, "", "", "more than 100000 measures", "nested 30 deep, each twice: 2 to the 30th"},
		{"endless times", harpScore(quarters+plain1("C4")+`<barline location="left"><repeat direction="forward"/></barline>`,
			`<barline location="left"><repeat direction="forward"/></barline>`, `<barline location="right"><repeat direction="backward" times="999"/></barline>`,
			`<barline location="right"><repeat direction="backward" times="999"/></barline>`), 0, "", "", "more than 100000 measures", "a million times a measure"},
		{"too fine in all", harpScore(primeMeasures()...), 0, "", "", "too fine", "no common measure of the lengths in 64 bits"},
	}
}

// repeats returns measures with n repeats, one inside the other.
func repeats(n int) []string {
	var m []string
	for range n {
		m = append(m, repeatForward)
	}
	for range n {
		m = append(m, repeatBackward)
	}
	return m
}

// primeMeasures returns measures whose divisions are different primes.
func primeMeasures() []string {
	var m []string
	for _, p := range []int{10007, 10009, 10037, 10039, 10061, 10067, 10069} {
		m = append(m, fmt.Sprintf("<attributes><divisions>%d</divisions></attributes>", p)+plain1("C4"))
	}
	return m
}

func TestBadInput(t *testing.T) {
	for _, tt := range append(badFields(), badDocuments()...) {
		t.Run(tt.name, func(t *testing.T) {
			begun := time.Now()
			_, err := readScore(tt.text, Options{})
			var e *Error
			if !errors.As(err, &e) {
				t.Fatalf("error %v, want %q: %s", err, tt.want, tt.reason)
			}
			if e.File != "x" || e.Line != tt.line || e.Part != tt.part || e.Measure != tt.measure || !strings.Contains(e.Err.Error(), tt.want) {
				t.Errorf("%v (line %d, part %q, measure %q)\nwant %q in line %d, part %q, measure %q: %s",
					err, e.Line, e.Part, e.Measure, tt.want, tt.line, tt.part, tt.measure, tt.reason)
			}
			if len(err.Error()) > 400 {
				t.Errorf("a message of %d bytes", len(err.Error()))
			}
			if d := time.Since(begun); d > 5*time.Second {
				t.Errorf("it took %v", d)
			}
		})
	}
}

// A score cut anywhere is cut short, and the error says in which line.
func TestBadInputCut(t *testing.T) {
	text := `<?xml version="1.0"?>` + "\n<!DOCTYPE score-partwise>\n" + strings.TrimRight(change("Con moto", "<![CDATA[Con]]> <!-- ma --> moto"), "\n")
	cuts := 0
	for i := 1; i < len(text); i++ {
		_, err := readScore(text[:i], Options{})
		var e *Error
		if !errors.As(err, &e) {
			t.Fatalf("cut at %d: %v", i, err)
		}
		if strings.Contains(text[:i], "<score-partwise") {
			cuts++
			if line := xmltext.Line([]byte(text), i); e.Line != line || !strings.Contains(err.Error(), "cut short") {
				t.Errorf("cut after %q: %v, want line %d", text[max(0, i-20):i], err, line)
			}
			if inside := strings.Contains(text[:i], `<measure number="2">`) && !strings.Contains(text[:i], "</part>"); inside && (e.Part != "P1" || e.Measure != "2") && !strings.Contains(text[:i], "</measure>\n</part") {
				t.Errorf("cut after %q: %v, want part P1, measure 2", text[max(0, i-20):i], err)
			}
		}
	}
	if cuts < 500 {
		t.Errorf("only %d cuts", cuts)
	}
}

// What is odd but can be read gives a warning and no error, or neither.
func TestOddInput(t *testing.T) {
	for _, tt := range []struct {
		name, text, code, reason string
	}{
		{"time word", change("<beats>4<", "<beats>four<"), "number-not-read", "durations decide"},
		{"beat type nought", change("<beat-type>4<", "<beat-type>0<"), "number-not-read", "durations decide"},
		{"divisions of a large prime", change("<divisions>1<", "<divisions>461168601842738777<"), "", "counted exactly all the same"},
		{"beats sum", change("<beats>4<", "<beats>3+2<"), "", "MusicXML 4.0, beats: a sum"},
		{"senza misura", change("<time><beats>4</beats><beat-type>4</beat-type></time>", "<time><senza-misura/></time>"), "", "MusicXML 4.0, senza-misura"},
		{"transposition", change("<time>", "<transpose><chromatic>low</chromatic></transpose><time>"), "number-not-read", "pedals follow what is written"},
		{"decimal transposition", change("<time>", "<transpose><chromatic>-2.0</chromatic></transpose><time>"), "", "MusicXML 4.0, semitones are decimals"},
		{"program", strings.Replace(change("Con moto", "Con moto"), "</part-name>", `</part-name><score-instrument id="I"><instrument-name>Harp</instrument-name></score-instrument><midi-instrument id="I"><midi-program>harp</midi-program></midi-instrument>`, 1), "number-not-read", "the name decides"},
		{"chord first", harpScore(quarters + tone("C4", "1", "<chord/>", "") + plain1("D4")), "chord-without-note", "it begins its own chord"},
		{"measure without number", strings.Replace(harpScore(quarters+plain1("C4")), ` number="1"`, "", 1), "", "the number is a label only"},
		{"measures of one number", strings.Replace(harpScore(quarters+plain1("C4"), plain1("C4")), `number="2"`, `number="1"`, 1), "", "the number is a label only"},
		{"note without pitch", harpScore(quarters + "<note><duration>1</duration></note>" + plain1("D4")), "", "read as a rest"},
		{"unknown elements", harpScore(quarters + "<future><deep/></future>" + plain1("D4")), "", "another version may have them"},
		{"ending without number", harpScore(quarters + plain1("C4") + `<barline location="left"><ending type="start"/></barline>`), "ending-without-number", "the first is taken"},
		{"ending number absurd", harpScore(quarters + plain1("C4") + `<barline location="left"><ending number="` + strings.Repeat("1-999,", 200000) + `" type="start"/></barline>`), "ending-without-repeat", "a long list"},
		{"huge attribute", harpScore(quarters + strings.Replace(plain1("C4"), "<note", `<note id="`+strings.Repeat("x", 8<<20)+`"`, 1)), "", "eight million characters"},
		{"huge comment", harpScore(quarters + "<!--" + strings.Repeat("x - ", 2<<20) + "-->"), "", "eight million characters"},
		{"many pieces of text", harpScore(quarters + "<direction><direction-type><words>" + strings.Repeat("<![CDATA[x]]>", 300000) + "</words></direction-type></direction>"), "", "put together at once"},
		{"many attributes", harpScore(quarters + strings.Replace(plain1("C4"), "<note", "<note"+manyAttributes(100000), 1)), "", "compared by a table"},
		{"many notes at once", harpScore(quarters + tone("C4", "1", "", `<tie type="start"/>`) + strings.Repeat(tone("C4", "1", "<chord/>", `<tie type="start"/>`), 30000) +
			tone("C4", "1", "", `<tie type="stop"/>`) + strings.Repeat(tone("C4", "1", "<chord/>", `<tie type="stop"/>`), 30000)), "", "ties all alike"},
		{"many glissandi", harpScore(quarters + strings.Repeat(tone("C4", "1", "", `<notations><glissando type="start"/></notations>`), 30000)), "glissando-without-stop", "none ends"},
		{"many tremolos", harpScore(quarters + strings.Repeat(tone("C4", "1", "", `<notations><ornaments><tremolo type="start">3</tremolo></ornaments></notations>`), 10000) +
			strings.Repeat(tone("E4", "1", "", `<notations><ornaments><tremolo type="stop">3</tremolo></ornaments></notations>`), 10000)), "", "all in one measure"},
		{"many measures", harpScore(append([]string{quarters + plain1("C4")}, make([]string, 60000)...)...), "", "all empty"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			begun := time.Now()
			score, err := readScore(tt.text, Options{})
			if err != nil {
				t.Fatalf("%v: %s", err, tt.reason)
			}
			got := ""
			if len(score.Warnings) > 0 {
				got = score.Warnings[0].Code
				if len(score.Warnings[0].Text) > 400 {
					t.Errorf("a warning of %d bytes", len(score.Warnings[0].Text))
				}
			}
			if got != tt.code {
				t.Errorf("warnings %v, want %q: %s", codes(score.Warnings), tt.code, tt.reason)
			}
			if d := time.Since(begun); d > 5*time.Second {
				t.Errorf("it took %v", d)
			}
		})
	}
}

func manyAttributes(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, ` a%d=""`, i)
	}
	return b.String()
}

// More repeats or jumps than can be followed in time are refused.
func TestBadInputRoads(t *testing.T) {
	var many, jumps []string
	for range 20000 {
		many = append(many, repeatForward+repeatBackward)
		jumps = append(jumps, `<sound tocoda="x"/>`)
	}
	for _, tt := range []struct {
		name     string
		measures []string
	}{
		{"repeats", many},
		{"nested repeats", repeats(10000)},
		{"jumps", jumps},
	} {
		t.Run(tt.name, func(t *testing.T) {
			begun := time.Now()
			_, err := readScore(harpScore(tt.measures...), Options{})
			if err == nil || !strings.Contains(err.Error(), "more than can be followed") {
				t.Errorf("error %v", err)
			}
			if d := time.Since(begun); d > 5*time.Second {
				t.Errorf("it took %v", d)
			}
		})
	}
}

// A timewise score that leaves its parts out of measures cannot fill the memory
// with measures that are not there.
func TestBadInputLeftOut(t *testing.T) {
	var b strings.Builder
	b.WriteString("<score-timewise><part-list>")
	for i := range 2000 {
		b.WriteString(listed(fmt.Sprintf("P%d", i), "Harp"))
	}
	b.WriteString("</part-list>" + strings.Repeat("<measure/>", 2000) + "<measure>")
	for i := range 2000 {
		fmt.Fprintf(&b, `<part id="P%d"/>`, i)
	}
	b.WriteString("</measure></score-timewise>")
	if _, err := readScore(b.String(), Options{}); err == nil || !strings.Contains(err.Error(), "left out") {
		t.Errorf("error %v", err)
	}
}

// An error says which limit would have to be larger; how to make it so is for the
// program to say.
func TestLimitsNamed(t *testing.T) {
	many := harpScore(repeats(30)...)
	for _, tt := range []struct {
		limit string
		text  string
		lim   Limits
	}{
		{"Bytes", smallScore, Limits{Bytes: 10}},
		{"Depth", many, Limits{Depth: 2}},
		{"Played", many, Limits{}},
		{"", "<opus/>", Limits{}},
	} {
		d, err := Open(ctx, "x", []byte(tt.text), tt.lim)
		if err == nil {
			_, err = Read(ctx, d, Options{Limits: tt.lim})
		}
		var e *Error
		if !errors.As(err, &e) || e.Limit != tt.limit || strings.Contains(e.Hint, "--") {
			t.Errorf("%v names the limit %q, want %q", err, e.Limit, tt.limit)
		}
	}
}
