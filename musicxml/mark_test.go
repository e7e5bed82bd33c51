package musicxml

import (
	"bytes"
	"fmt"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// marked puts marks into a score and returns the text of the copy.
func marked(t testing.TB, d *Document, marks func(*Score) []Mark) string {
	t.Helper()
	score, err := Read(ctx, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	edits, err := score.Edits(ctx, d, marks(score))
	if err != nil {
		t.Fatal(err)
	}
	copied, err := d.Splice(ctx, edits)
	if err != nil {
		t.Fatal(err)
	}
	again, err := Open(ctx, d.Name, copied, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	wantPlain(t, d, again)
	return withoutSums(string(again.Text))
}

// bareMark is the comment before a mark as withoutSums leaves it.
const bareMark = openMark + "-->"

var sumAttribute = regexp.MustCompile(` sum="[0-9a-f]{8}"`)

// withoutSums takes the checksums out of a marked copy.
func withoutSums(text string) string { return sumAttribute.ReplaceAllString(text, "") }

// wantPlain checks that a marked copy without its marks is the original.
func wantPlain(t testing.TB, was, is *Document) {
	t.Helper()
	plain, err := is.Stripped(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(plain.Source, was.Source) {
		t.Fatalf("without its marks the copy is\n%q, not\n%q", plain.Source, was.Source)
	}
}

func documentOf(t testing.TB, text string) *Document {
	t.Helper()
	d, err := Open(ctx, "x", []byte(text), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

const (
	twoStaves = `<attributes><divisions>2</divisions><staves>2</staves></attributes>`
	low       = `<staff>2</staff>`
	turnBack  = `<backup><duration>4</duration></backup>`
	nine      = `<attributes><measure-style><multiple-rest>9</multiple-rest></measure-style></attributes>`
	wholeRest = `<note><rest measure="yes"/><duration>4</duration></note>`
)

// Where a mark goes: directly before the first note without chord that begins at
// its time, on its own staff where there is one; else at a distance. In each
// case "^" stands for the mark, and the offset is in divisions, of which there
// are two to a quarter.
func TestMarkPlace(t *testing.T) {
	for _, tt := range []struct {
		name    string
		measure string // with "^" where the mark has to go
		at      Frac
		staff   int
		offset  string
		reason  string
	}{
		{"first note", twoStaves + "^" + tone("C4", "2", "", "") + tone("D4", "2", "", ""), Frac{}, 1, "", "it begins there"},
		{"second note", twoStaves + tone("C4", "2", "", "") + "^" + tone("D4", "2", "", ""), NewFrac(1, 1), 1, "", "it begins there"},
		{"rest", twoStaves + tone("C4", "2", "", "") + "^<note><rest/><duration>2</duration></note>", NewFrac(1, 1), 1, "", "a rest begins there"},
		{"chord", twoStaves + tone("C4", "2", "", "") + "^" + tone("D4", "2", "", "") + tone("F4", "2", "<chord/>", ""), NewFrac(1, 1), 1, "", "before the whole chord"},
		{"other staff", twoStaves + tone("C4", "4", "", "") + turnBack + tone("C3", "2", "", low) + "^" + tone("D3", "2", "", low), NewFrac(1, 1), 1, "", "there alone a note begins"},
		{"own staff", twoStaves + tone("C4", "2", "", "") + tone("D4", "2", "", "") + turnBack + tone("C3", "2", "", low) + "^" + tone("D3", "2", "", low), NewFrac(1, 1), 2, "", "its own staff goes first"},
		{"after grace notes", twoStaves + tone("B3", "", "<grace/>", "") + "^" + tone("C4", "4", "", ""), Frac{}, 1, "", "it belongs to the note"},
		{"in a long note", twoStaves + "^" + tone("C4", "4", "", ""), NewFrac(1, 1), 1, "2", "at a distance from its beginning"},
		{"in a long note, later", twoStaves + tone("C4", "2", "", "") + "^" + tone("D4", "4", "", ""), NewFrac(3, 2), 1, "1", "from the nearest beginning"},
		{"half a division", twoStaves + "^" + tone("C4", "4", "", ""), NewFrac(1, 4), 1, "0.5", "MusicXML 4.0, offset: divisions are decimals"},
		{"in a long note of its staff", twoStaves + tone("C4", "2", "", "") + tone("D4", "2", "", "") + turnBack + "^" + tone("C3", "4", "", low), NewFrac(3, 2), 2, "3", "of its own staff"},
		{"end of the measure", twoStaves + "^" + tone("C4", "2", "", ""), NewFrac(1, 1), 1, "2", "from the last note"},
		{"nothing", twoStaves + "^", Frac{}, 1, "", "after the attributes"},
		{"nothing, later", twoStaves + "^<forward><duration>4</duration></forward>", NewFrac(1, 1), 1, "2", "from the measure's start"},
		{"before the barline", twoStaves + "^" + `<barline location="right"><bar-style>light-heavy</bar-style></barline>`, Frac{}, 1, "", "where the cursor stands"},
		{"rest of several measures", twoStaves + "^" + nine + wholeRest, Frac{}, 1, "", "some programs draw nothing behind what says so"},
		{"rest of several measures, other staff", twoStaves + "^" + nine + wholeRest + turnBack + "<note><rest/><duration>4</duration><staff>2</staff></note>", Frac{}, 2, "", "the same"},
		{"rest of several measures, later", twoStaves + nine + "^" + wholeRest, NewFrac(1, 1), 1, "2", "it is not at its start"},
		{"rest of several measures, played", twoStaves + nine + "^" + tone("C4", "4", "", ""), Frac{}, 1, "", "it is none"},
		{"rest of several measures, late", twoStaves + "^" + wholeRest + nine, Frac{}, 1, "", "it stands before it as it is"},
		{"rest of several measures at the head", strings.Replace(twoStaves, "</attributes>", "", 1) + strings.TrimPrefix(nine, "<attributes>") + "^" + wholeRest, Frac{}, 1, "", "before the first attributes there are no staves"},
		{"cue notes", twoStaves + "^" + tone("C4", "2", "<cue/>", ""), Frac{}, 1, "", "they take their time too"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			before, after, _ := strings.Cut(tt.measure, "^")
			d := documentOf(t, harpScore(before+after))
			text := marked(t, d, func(s *Score) []Mark {
				return []Mark{{Part: s.Parts[0], Offset: tt.at, Before: -1, Staff: tt.staff, Placement: "below", Words: "F♯"}}
			})
			offset := ""
			if tt.offset != "" {
				offset = "<offset>" + tt.offset + "</offset>"
			}
			want := before + bareMark + `<direction placement="below"><direction-type><words font-style="normal">F♯</words></direction-type>` +
				offset + fmt.Sprintf("<staff>%d</staff></direction>", tt.staff) + closeMark + after
			if !strings.Contains(text, want) {
				t.Errorf("%s\nwant %s\n%s", text, want, tt.reason)
			}
		})
	}
}

// Which measures are in a rest of several: those without notes, as many as it says.
func TestReadRests(t *testing.T) {
	for _, tt := range []struct {
		why      string
		measures []string
		want     []int
	}{
		{"as many as it says", []string{quarters + plain1("C4"), strings.Replace(nine, "9", "2", 1) + wholeRest, wholeRest, wholeRest}, []int{0, 1, 2, 0}},
		{"no more than there are", []string{quarters + nine + wholeRest, wholeRest}, []int{1, 2}},
		{"until something is played", []string{quarters + nine + wholeRest, plain1("C4"), wholeRest}, []int{1, 0, 0}},
		{"a new one begins anew", []string{quarters + nine + wholeRest, nine + wholeRest, wholeRest}, []int{1, 1, 2}},
		{"no number", []string{quarters + strings.Replace(nine, "9", "some", 1) + wholeRest, wholeRest}, []int{0, 0}},
	} {
		s, err := Read(ctx, documentOf(t, harpScore(tt.measures...)), Options{})
		if err != nil {
			t.Fatal(err)
		}
		var got []int
		for _, m := range s.Parts[0].Measures {
			got = append(got, m.InRest)
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: %v, want %v", tt.why, got, tt.want)
		}
	}
}

// A mark that is read again stands where it was meant to, wherever that is.
func TestMarkIsReadBack(t *testing.T) {
	second := tone("E4", "3", "", "") + tone("G4", "", "<grace/>", "") + tone("F4", "1", "", "") + turnBack + tone("C3", "4", "", low)
	scores := map[string]string{
		"partwise": harpScore(twoStaves+tone("C4", "4", "", ""), second, "", second),
		"closed":   strings.Replace(harpScore(twoStaves+tone("C4", "4", "", ""), second, "", second), "></measure>\n<measure number=\"4\"", "/>\n<measure number=\"4\"", 1),
		"timewise": timewiseScore(listed("P1", "Harp")+listed("P2", "Flute"), []string{twoStaves + second, second, "", second}, make([]string, 4)),
		"lines":    strings.ReplaceAll(harpScore(twoStaves+second, second, "", second), "><", ">\r\n\t<"),
		"comments": strings.ReplaceAll(harpScore(twoStaves+second, second, "", second), "<note>", "<!-- > --><note>"),
	}
	scores["closed part"] = strings.Replace(scores["timewise"], `<part id="P1"></part>`, `<part id="P1" />`, 1)
	for name, text := range scores {
		t.Run(name, func(t *testing.T) {
			for k := range 4 {
				for eighths := range int64(8) {
					for staff := 1; staff <= 2; staff++ {
						at := NewFrac(eighths, 4)
						d := documentOf(t, text)
						copied := marked(t, d, func(s *Score) []Mark {
							m := Mark{Part: s.Parts[0], Measure: k, Offset: at, Before: -1, Staff: staff, Words: "A♭\nB♮"}
							twin := m
							twin.Words, twin.Pedals = "", []KeyStep{{'A', NewFrac(-1, 1)}}
							return []Mark{twin, m}
						})
						s := readText(t, copied, Options{})
						p := s.Parts[0]
						if len(p.Directions) != 1 || len(p.Settings) != 1 {
							t.Fatalf("%d texts, %d settings in\n%s", len(p.Directions), len(p.Settings), copied)
						}
						want := s.Measures[k].Start.Add(at)
						for _, got := range []Direction{p.Directions[0], {Measure: p.Settings[0].Measure, Onset: p.Settings[0].Onset, Staff: p.Settings[0].Staff, Words: "A♭\nB♮"}} {
							if got.Measure != k || got.Onset != want || got.Staff != staff || got.Words != "A♭\nB♮" {
								t.Fatalf("read back as %+v, want measure %d, %v, staff %d in\n%s", got, k, want, staff, copied)
							}
						}
					}
				}
			}
		})
	}
}

// A mark before a grace note stands before it and takes its time.
func TestMarkBeforeGrace(t *testing.T) {
	grace := tone("B3", "", "<grace/>", "")
	d := documentOf(t, harpScore(quarters+plain1("C4")+grace+grace+plain1("D4")))
	text := marked(t, d, func(s *Score) []Mark {
		return []Mark{{Part: s.Parts[0], Offset: NewFrac(1, 1), Before: 2, Staff: 1, Words: "x"}}
	})
	if want := plain1("C4") + grace + bareMark; !strings.Contains(text, want) {
		t.Errorf("%s\nwant %s", text, want)
	}
}

// prefixed gives every element of a score a namespace prefix.
func prefixed(text string) string {
	text = strings.NewReplacer("</", "</m:", "<", "<m:").Replace(text)
	return strings.Replace(text, "<m:score-partwise>", `<m:score-partwise xmlns:m="u">`, 1)
}

// A mark has the indentation of its place and the form of the document around it.
func TestMarkForm(t *testing.T) {
	indented := "<score-partwise>\n\t<part-list>" + listed("P1", "Harp") + "</part-list>\n\t<part id=\"P1\">\n\t\t<measure number=\"1\">\n\t\t\t" +
		quarters + "\n\t\t\t" + plain1("C4") + "\n\t\t</measure>\n\t</part>\n</score-partwise>\n"
	lines := func(end string) string {
		return strings.ReplaceAll(bareMark+"\n\t\t\t<direction>\n\t\t\t\t<direction-type>\n\t\t\t\t\t<words font-style=\"normal\">F\u266f &amp; D\nC</words>\n"+
			"\t\t\t\t</direction-type>\n\t\t\t</direction>\n\t\t\t"+closeMark+"\n\t\t\t<note>", "\n", end)
	}
	const words = "F♯ & D\nC"
	for _, tt := range []struct{ name, text, want, reason string }{
		{"lines", indented, lines("\n"), "each element on its line"},
		{"CRLF", strings.ReplaceAll(indented, "\n", "\r\n"), lines("\r\n"), "the document's line ends"},
		{"CR", strings.ReplaceAll(indented, "\n", "\r"), lines("\r"), "the document's line ends"},
		{"one line", strings.NewReplacer("\n", "", "\t", "").Replace(indented),
			bareMark + `<direction><direction-type><words font-style="normal">F♯ &amp; D` + "\n" + `C</words></direction-type></direction>` + closeMark + "<note>", "no lines where there are none"},
		{"prefix", prefixed(indented), "<m:direction>\n\t\t\t\t<m:direction-type>\n\t\t\t\t\t<m:words font-style=\"normal\">F♯ &amp; D\nC</m:words>", "the root's namespace prefix"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := documentOf(t, tt.text)
			score, err := Read(ctx, d, Options{})
			if err != nil {
				t.Fatal(err)
			}
			edits, err := score.Edits(ctx, d, []Mark{{Part: score.Parts[0], Before: -1, Staff: 1, Words: words}})
			if err != nil {
				t.Fatal(err)
			}
			out, err := d.Splice(ctx, edits)
			if err != nil || !strings.Contains(withoutSums(string(out)), tt.want) {
				t.Errorf("%v\n%q\nwant %q: %s", err, out, tt.want, tt.reason)
			}
		})
	}
}

// A character that the encoding lacks goes in as a reference.
func TestMarkInLatin1(t *testing.T) {
	text := declared("ISO-8859-1") + strings.Replace(harpScore(quarters+plain1("C4")), "Harp<", "Harpe \xe9<", 1)
	d := documentOf(t, text)
	score, err := Read(ctx, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	edits, err := score.Edits(ctx, d, []Mark{{Part: score.Parts[0], Before: -1, Staff: 1, Words: "F♯ é"}})
	if err != nil {
		t.Fatal(err)
	}
	out, err := d.Splice(ctx, edits)
	if err != nil || !bytes.Contains(out, []byte("F&#9839; \xe9")) || !bytes.Contains(out, []byte("Harpe \xe9<")) {
		t.Errorf("%v: %q", err, out)
	}
}

// A place that is not there, or that no offset can name, is an error and no mark
// somewhere else.
func TestMarkWithoutPlace(t *testing.T) {
	short := partwise(listed("P1", "Harp")+listed("P2", "Flute"), partOf("P1", quarters+plain1("C4")), partOf("P2", quarters+plain1("C4"), plain1("C4")))
	left := `<score-timewise><part-list>` + listed("P1", "Harp") + listed("P2", "Flute") + `</part-list>` +
		`<measure number="1"><part id="P2">` + quarters + plain1("C4") + `</part></measure>` +
		`<measure number="2"><part id="P1">` + quarters + plain1("C4") + `</part></measure></score-timewise>`
	for _, tt := range []struct {
		name, text string
		mark       Mark
		want       string
	}{
		{"past the part's end", short, Mark{Measure: 1}, "measure 2: the part has no such measure"},
		{"left out", left, Mark{Measure: 0}, "measure 1: the part has no such measure"},
		{"a third of a division", short, Mark{Measure: 0, Offset: NewFrac(1, 3)}, "measure 1: a mark at 1/3"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := documentOf(t, tt.text)
			score, err := Read(ctx, d, Options{})
			if err != nil {
				t.Fatal(err)
			}
			tt.mark.Part, tt.mark.Before, tt.mark.Staff = score.Parts[0], -1, 1
			_, err = score.Edits(ctx, d, []Mark{tt.mark})
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
		})
	}
}

// Marks in a score that is one long line cost no more than in one with lines.
func TestMarksInOneLine(t *testing.T) {
	const measures = 4000
	content := make([]string, measures)
	for i := range content {
		content[i] = plain1("C4", "D4", "E4", "F4")
	}
	content[0] = quarters + content[0]
	d := documentOf(t, strings.ReplaceAll(harpScore(content...), "\n", ""))
	score, err := Read(ctx, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var marks []Mark
	for k := range measures {
		marks = append(marks, Mark{Part: score.Parts[0], Measure: k, Before: -1, Staff: 1, Words: "x"})
	}
	var edits []Edit
	if used := allocatedBy(func() { edits, err = score.Edits(ctx, d, marks) }); err != nil || used > 100<<20 {
		t.Errorf("%v, %d bytes for %d marks", err, used, len(edits))
	}
}

// allocatedBy returns how many bytes f has allocated. Other tests may not run
// at the same time.
func allocatedBy(f func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// A text that is to be printed apart from others at its note stands a division later,
// unless that is more than half of the note or another note begins then.
func TestApart(t *testing.T) {
	note := func(duration string) string {
		return "<note><pitch><step>C</step><octave>4</octave></pitch><duration>" + duration + "</duration></note>"
	}
	for _, tt := range []struct{ name, divisions, notes, want string }{
		{"little", "8", note("8") + note("8"), "<offset>1</offset>"},
		{"a division is half of the note", "4", note("2") + note("2"), "<offset>1</offset>"},
		{"a division is the whole note", "4", note("1") + note("1"), ""},
		{"another note begins then", "8", note("8") + "<backup><duration>8</duration></backup>" + note("1") + note("7"), ""},
	} {
		text := `<score-partwise><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1"><measure number="1">` +
			"<attributes><divisions>" + tt.divisions + "</divisions></attributes>" + tt.notes + "</measure></part></score-partwise>"
		got := marked(t, documentOf(t, text), func(s *Score) []Mark {
			return []Mark{{Part: s.Parts[0], Before: -1, Staff: 1, Words: "= D♭", Apart: true}}
		})
		if strings.Contains(got, "<offset>") != (tt.want != "") || !strings.Contains(got, tt.want) {
			t.Errorf("%s: got %s, want %q in it", tt.name, got, tt.want)
		}
	}
}
