package musicxml

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"pedalogue/musicxml/internal/xmltext"
)

// stripScore is one harp part of two staves; the e with an accent makes the
// encodings differ.
const stripScore = `<score-partwise version="4.0">
  <part-list>
    <score-part id="P1"><part-name>Harpe</part-name></score-part>
  </part-list>
  <part id="P1">
    <measure number="1">
      <attributes>
        <divisions>2</divisions>
        <staves>2</staves>
      </attributes>
      <direction><direction-type><words>pr` + "\u00e9" + `s de la table</words></direction-type></direction>
      <note>
        <pitch><step>C</step><alter>1</alter><octave>5</octave></pitch>
        <duration>2</duration>
        <staff>1</staff>
      </note>
      <note><pitch><step>D</step><octave>5</octave></pitch><duration>2</duration><staff>1</staff></note>
	<backup><duration>4</duration></backup>
      <note><rest/><duration>4</duration><staff>2</staff></note>
    </measure>
    <measure number="2"><note><rest measure="yes"/><duration>4</duration></note></measure>
  </part>
</score-partwise>
`

// firstMark is a mark as the first version wrote it.
const firstMark = `<direction placement="above"><direction-type><words font-style="normal">E F♯ G A</words></direction-type></direction>`

// stripForms are the score in every form in which a file can come.
func stripForms(t *testing.T) map[string][]byte {
	t.Helper()
	oneLine := strings.Join(strings.Fields(stripScore), " ")
	crlf := strings.ReplaceAll(stripScore, "\n", "\r\n")
	lines := strings.SplitAfter(crlf, "\n")
	for i := range lines {
		if i%3 == 0 {
			lines[i] = strings.Replace(lines[i], "\r\n", []string{"\n", "\r"}[i/3%2], 1)
		}
	}
	mixed := strings.Join(lines, "")
	latin := strings.ReplaceAll(stripScore, "\u00e9", "\xe9")
	prefixed := strings.NewReplacer("</", "</m:", "<", "<m:").Replace(stripScore)
	prefixed = strings.ReplaceAll(prefixed, "<m:/m:", "</m:")
	prefixed = strings.Replace(prefixed, "<m:score-partwise", `<m:score-partwise xmlns:m="urn:x"`, 1)
	return map[string][]byte{
		"lf":            []byte(stripScore),
		"crlf":          []byte(crlf),
		"cr":            []byte(strings.ReplaceAll(stripScore, "\n", "\r")),
		"mixed":         []byte(mixed),
		"mostly cr":     []byte(strings.ReplaceAll(mixed, "\r\n", "\r")),
		"one line":      []byte(oneLine),
		"no spaces":     []byte(strings.ReplaceAll(oneLine, "> <", "><")),
		"no indent":     []byte(strings.NewReplacer("\n  ", "\n", "\n    ", "\n", "\n      ", "\n").Replace(stripScore)),
		"no last line":  []byte(strings.TrimSpace(stripScore)),
		"prefix":        []byte(prefixed),
		"UTF-8 marked":  []byte(bomUTF8 + stripScore),
		"ISO-8859-1":    []byte(declared("ISO-8859-1") + latin),
		"UTF-16LE":      []byte(bomUTF16LE + encoded(declared("UTF-16")+crlf, false)),
		"UTF-16BE bare": []byte(encoded(declared("UTF-16BE")+mixed, true)),
		"zip":           zipOf(t, containerFor("score.xml"), file("score.xml", crlf), file("other.xml", "<a/>")),
		"zip, stored":   zipOf(t, containerFor("score.xml"), stored("score.xml", mixed)),
	}
}

// stripMarks are marks of every kind at every kind of place.
func stripMarks(p *Part) []Mark {
	half := NewFrac(1, 2)
	return []Mark{
		{Part: p, Before: -1, Staff: 1, Placement: "above", Words: "E\u00a0F♯\nD\u00a0C"},
		{Part: p, Before: -1, Staff: 1, Placement: "above", Pedals: []KeyStep{{'D', NewFrac(-1, 1)}}},
		{Part: p, Before: -1, Staff: 2, Placement: "below", Words: "a < b & \"c\""},
		{Part: p, Before: -1, Staff: 1, Offset: half, Words: "D♯"},
		{Part: p, Before: -1, Staff: 2, Offset: NewFrac(2, 1), Words: "at the end"},
		{Part: p, Before: -1, Measure: 1, Staff: 2, Offset: half, Words: "E♭"},
	}
}

func TestStripped(t *testing.T) {
	for name, raw := range stripForms(t) {
		t.Run(name, func(t *testing.T) {
			d, err := Open(ctx, "x", raw, Limits{})
			if err != nil {
				t.Fatal(err)
			}
			s, err := Read(ctx, d, Options{})
			if err != nil {
				t.Fatal(err)
			}
			edits, err := s.Edits(ctx, d, stripMarks(s.Parts[0]))
			if err != nil {
				t.Fatal(err)
			}
			first, last := s.Parts[0].Notes[0], s.Parts[0].Notes[1]
			edits = append(edits,
				d.Replacing(first.Start, first.End, strings.ReplaceAll(string(d.Text[first.Start:first.End]), ">C<", ">D<")),
				d.Replacing(last.Start, last.End, ""))
			checkStripped(t, d, edits)
		})
	}
}

// checkStripped makes edits and takes them out again.
func checkStripped(t *testing.T, d *Document, edits []Edit) {
	t.Helper()
	marked, err := d.Splice(ctx, edits)
	if err != nil {
		t.Fatal(err)
	}
	again, err := Open(ctx, d.Name, marked, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	own, err := again.Strip(ctx)
	if err != nil || len(own.Kept) > 0 {
		t.Errorf("told %+v, %v", own.Kept, err)
	}
	if got := len(own.Places); got != len(edits) {
		t.Errorf("%d places of ours, want %d", got, len(edits))
	}
	plain, err := again.Stripped(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(plain.Source, d.Source) {
		t.Fatalf("not what it was:\n%q\nwant\n%q", plain.Source, d.Source)
	}
	if d.Container == nil && !bytes.Equal(plain.Raw, d.Raw) {
		t.Error("the file is not what it was")
	}
	if d.Container != nil {
		checkContainerKept(t, d, plain)
	}
	twice, err := plain.Splice(ctx, edits)
	if err != nil || !bytes.Equal(twice, marked) {
		t.Errorf("marked again, the file is another (%v)", err)
	}
}

func TestStrippedWithoutMarks(t *testing.T) {
	for name, text := range map[string]string{
		"none":           stripScore,
		"in a CDATA":     "<score-partwise><![CDATA[<!--pedalogue:begin-->]]></score-partwise>",
		"in an order":    `<score-partwise><?a <!--pedalogue:end-->?></score-partwise>`,
		"other comments": "<!--pedal--><score-partwise><!-- pedalogue: not ours --></score-partwise>",
		"a DOCTYPE":      `<!DOCTYPE a [<!-- it's --> <!ENTITY b "<!--pedalogue:end-->"> ]><score-partwise/>`,
	} {
		d := &Document{Name: "x", Text: []byte(text)}
		got, err := d.Stripped(ctx)
		if got != d || err != nil {
			t.Errorf("%s: %v, %v; want the document itself", name, got, err)
		}
	}
}

// What is not well-formed says so: where a comment begins cannot be told there.
func TestStripBroken(t *testing.T) {
	d := &Document{Name: "x", Text: []byte("<a>\n<b></a><!--pedalogue:begin-->")}
	_, err := d.Strip(ctx)
	wantError(t, err, "x:2: <b> is closed by </a>", "")
}

// Comments that are out of order, or that nobody of us wrote, are an error, and so
// is what a score does not allow between them.
func TestStripDamage(t *testing.T) {
	const begin, end, mark = "<!--pedalogue:begin-->", "<!--pedalogue:end-->", firstMark
	for _, tt := range []struct{ name, text, want string }{
		{"no end", "\n" + begin + mark, "x:2: a mark has no end"},
		{"no beginning", "\n\n" + end + mark, "x:3: the end of a mark has no beginning"},
		{"no end of the first", "\n" + begin + "\n" + begin + mark + end, "x:2: a mark has no end"},
		{"two ends", begin + mark + end + end, "x:1: the end of a mark has no beginning"},
		{"a note", begin + "<note/>" + end, "x:1: between the comments of a mark stands something else"},
		{"a note behind", begin + mark + "<note/>" + end, "something else"},
		{"a note before", begin + "<note/>" + mark + end, "something else"},
		{"text", begin + mark + "text" + end, "something else"},
		{"half a mark", begin + strings.TrimSuffix(mark, "</direction>") + end + "</direction>", "something else"},
		{"two halves", "<b>" + begin + "</b>" + mark + end, "something else"},
		{"unknown word", "<!--pedalogue:start-->" + mark + end, "the comment before a mark is damaged"},
		{"not base64", "<!--pedalogue:begin PA=-->" + mark + end, "the comment before a mark is damaged"},
		{"loose base64", "<!--pedalogue:begin PGEvPg-->" + mark + end, "the comment before a mark is damaged"},
		{"altered base64", "<!--pedalogue:begin PGF=-->" + mark + end, "the comment before a mark is damaged"},
		{"not UTF-8", "<!--pedalogue:begin /w==-->" + mark + end, "the comment before a mark is damaged"},
		{"no checksum", `<!--pedalogue:begin was="PGEvPg=="-->` + mark + end, "the comment before a mark is damaged"},
		{"short checksum", `<!--pedalogue:begin sum="12"-->` + mark + end, "the comment before a mark is damaged"},
		{"no number", `<!--pedalogue:begin sum="1234567x"-->` + mark + end, "the comment before a mark is damaged"},
		{"unknown attribute", `<!--pedalogue:begin sum="00000000" until="x"-->` + mark + end, "the comment before a mark is damaged"},
		{"half an attribute", `<!--pedalogue:begin sum="00000000" was-->` + mark + end, "the comment before a mark is damaged"},
		{"bad options", `<!--pedalogue:begin sum="00000000" options="%zz"-->` + mark + end, "the comment before a mark is damaged"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := &Document{Name: "x", Text: []byte("<a>" + tt.text + "</a>")}
			s, err := d.Strip(ctx)
			wantError(t, err, tt.want, "go back to a copy without marks")
			if s.Edits != nil || s.Kept != nil {
				t.Errorf("%+v beside an error", s)
			}
		})
	}
}

// A file that another program has indented anew, whose quotation marks and
// attributes it has turned around or whose signs it has written as references,
// loses our marks all the same.
func TestStripReindented(t *testing.T) {
	mark := Mark{Staff: 1, Placement: "above", Words: "E F♯\nD C", Part: &Part{Staves: 2}, Small: true}
	direction := (&Score{}).direction(mark, "-0.5", "", "")
	sum := textSum(direction)
	for name, other := range map[string]string{
		"as it was":  direction,
		"indented":   strings.ReplaceAll(direction, "><", ">\n      <"),
		"one line":   strings.ReplaceAll(direction, "\n", " "),
		"references": strings.NewReplacer("♯", "&#9839;", "<words", "<words\n").Replace(direction),
		"quotation":  strings.ReplaceAll(direction, `"`, "'"),
		"order":      strings.Replace(direction, `font-style="normal" font-size="8"`, `font-size="8" font-style="normal"`, 1),
		"a section":  strings.Replace(direction, "E F", "<![CDATA[E ]]>F", 1),
	} {
		if name != "as it was" && other == direction {
			t.Fatalf("%s: nothing has changed in %s", name, direction)
		}
		d := documentOf(t, "<measure>\n<!--pedalogue:begin sum=\""+sum+"\"-->\n  "+other+"\n<!--pedalogue:end-->\n    <note/>\n</measure>")
		plain, err := d.Stripped(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := string(plain.Text), "<measure>\n\n    <note/>\n</measure>"; got != want || len(plain.Warnings) > 0 {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}

// withoutComments is a document without its comments.
func withoutComments(t *testing.T, text []byte) string {
	t.Helper()
	var bare strings.Builder
	for token, err := range xmltext.Tokens(ctx, text) {
		if err != nil {
			t.Fatal(err)
		}
		if token.Kind != xmltext.Comment && (token.Kind != xmltext.EndTag || text[token.Start+1] == '/') {
			bare.Write(text[token.Start:token.End])
		}
	}
	return bare.String()
}

// TestStripScores puts marks into every harp part of the collection, replaces
// notes, and takes all of it out again.
func TestStripScores(t *testing.T) {
	for _, path := range append(sharedFiles(t, "cases"), sharedFiles(t, "scores")...) {
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		d, err := Open(ctx, path, raw, Limits{})
		if err != nil || len(d.Text) > 4<<20 {
			continue
		}
		s, err := Read(ctx, d, Options{})
		if err != nil {
			continue
		}
		var marks []Mark
		var edits []Edit
		for _, p := range s.Parts {
			for k := range p.Measures {
				if p.Harp && p.Measures[k].End >= 0 {
					marks = append(marks, Mark{Part: p, Measure: k, Before: -1, Staff: 1 + k%2, Placement: "below", Words: fmt.Sprint("C♯\n", k)})
				}
			}
			for i, n := range p.Notes {
				if p.Harp && i%5 == 0 {
					edits = append(edits, d.Replacing(n.Start, n.End, "<note/>"))
				}
			}
		}
		more, err := s.Edits(ctx, d, marks)
		if err != nil {
			t.Errorf("%s: %v", path, err)
		}
		t.Run(path, func(t *testing.T) { checkStripped(t, d, append(edits, more...)) })
	}
}
