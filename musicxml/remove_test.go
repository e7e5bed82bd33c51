package musicxml

import (
	"strings"
	"testing"
)

func TestRemove(t *testing.T) {
	const before, after = "<score-partwise><part-list><score-part id=\"P1\"><part-name>Harp</part-name></score-part></part-list>" +
		"<part id=\"P1\"><measure number=\"1\"><attributes/>", "<note><rest/><duration>1</duration></note></measure></part></score-partwise>"
	const pedals = "<harp-pedals><pedal-tuning><pedal-step>D</pedal-step><pedal-alter>0</pedal-alter></pedal-tuning></harp-pedals>"
	type parts = []DirectionPart
	for _, tt := range []struct {
		name, text string
		parts      parts // Start is set by the test
		want, why  string
	}{
		{"alone", "<direction><direction-type><words>C#</words></direction-type><staff>1</staff></direction>", parts{{}}, "", "nothing else is in it"},
		{"pedals alone", "<direction><direction-type>" + pedals + "</direction-type></direction>", parts{{Pedals: true}}, "", "nothing else is in it"},
		{"beside another", "<direction><direction-type><words>C#</words></direction-type><direction-type><dynamics><f/></dynamics></direction-type></direction>", parts{{}},
			"<direction><direction-type><dynamics><f/></dynamics></direction-type></direction>", "the dynamics stay"},
		{"second text", "<direction><direction-type><words>dolce</words></direction-type><direction-type><words>C#</words></direction-type></direction>", parts{{Nth: 1}},
			"<direction><direction-type><words>dolce</words></direction-type></direction>", "the other text stays"},
		{"text of a pair", "<direction><direction-type><words>dolce</words><words>C#</words></direction-type></direction>", parts{{Nth: 1}},
			"<direction><direction-type><words>dolce</words></direction-type></direction>", "a direction-type may hold several texts"},
		{"both of a pair", "<direction><direction-type><words>C</words><words>#</words></direction-type></direction>", parts{{}, {Nth: 1}}, "", "both are the mark"},
		{"text beside pedals", "<direction><direction-type>" + pedals + "</direction-type><direction-type><words>dolce</words></direction-type></direction>", parts{{Pedals: true}},
			"<direction><direction-type><words>dolce</words></direction-type></direction>", "each kind counts for itself"},
		{"with a sound", "<direction><direction-type><words>C#</words></direction-type><sound tempo=\"60\"/></direction>", parts{{}},
			"<direction><direction-type><words/></direction-type><sound tempo=\"60\"/></direction>", "the tempo stays, and a direction needs a direction-type"},
		{"two with a sound", "<direction><direction-type><words>C#</words></direction-type><direction-type><words>D#</words></direction-type><sound tempo=\"60\"/></direction>", parts{{}, {Nth: 1}},
			"<direction><direction-type><words/></direction-type><sound tempo=\"60\"/></direction>", "one empty one is enough"},
		{"loose end tag", "<direction><direction-type><words>C#</words></direction-type></direction >", parts{{}}, "", "white space is allowed there"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d, err := Open(ctx, "x", []byte(before+tt.text+after), Limits{})
			if err != nil {
				t.Fatal(err)
			}
			s, err := Read(ctx, d, Options{})
			if err != nil {
				t.Fatal(err)
			}
			for i := range tt.parts {
				tt.parts[i].Start = len(before)
			}
			edits, err := s.Remove(ctx, d, tt.parts)
			if err != nil {
				t.Fatal(err)
			}
			out, err := d.Splice(ctx, edits)
			if err != nil {
				t.Fatal(err)
			}
			if got := withoutComments(t, out); got != before+tt.want+after {
				t.Errorf("%s\nwant %s (%s)", got, before+tt.want+after, tt.why)
			}
			checkStripped(t, d, edits)
		})
	}
}

// A direction is read again where it stands: an end tag in a comment does not end
// it, and the entities and namespaces of the whole document hold in it.
func TestRemoveInPlace(t *testing.T) {
	for _, tt := range []struct{ name, doctype, direction, why string }{
		{"comment", "", "<direction><!-- was </direction> once --><direction-type><words>A♭</words></direction-type></direction>", "an end tag in a comment"},
		{"section", "", "<direction><direction-type><words><![CDATA[A♭ </direction>]]></words></direction-type></direction>", "an end tag in a CDATA section"},
		{"attribute", "", `<direction id="a>b"><direction-type><words>A♭</words></direction-type></direction>`, "a bracket in an attribute"},
		{"entity", `<!DOCTYPE score-partwise [<!ENTITY flat "♭">]>`, "<direction><direction-type><words>A&flat;</words></direction-type></direction>", "a declared entity"},
		{"namespace", "", `<direction><o:x xmlns:o="urn:o"/><direction-type><words>A♭</words></direction-type></direction>`, "a foreign element"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text := tt.doctype + strings.Replace(harpScore(quarters+"@"+plain1("A4")), "@", tt.direction, 1)
			d := documentOf(t, text)
			s, err := Read(ctx, d, Options{})
			if err != nil {
				t.Fatal(err)
			}
			edits, err := s.Remove(ctx, d, []DirectionPart{{Start: strings.Index(text, "<direction")}})
			if err != nil {
				t.Fatal(err)
			}
			checkStripped(t, d, edits)
			out, err := d.Splice(ctx, edits)
			if err != nil || strings.Contains(withoutComments(t, out), "A♭") || strings.Contains(withoutComments(t, out), "&flat;") {
				t.Errorf("%s, %v: %s", out, err, tt.why)
			}
		})
	}
}

// A place at which nothing begins is an error.
func TestRemoveElsewhere(t *testing.T) {
	d := documentOf(t, harpScore(quarters+plain1("A4")))
	s, err := Read(ctx, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.Remove(ctx, d, []DirectionPart{{Start: 3}})
	wantError(t, err, "no element begins at byte 3", "")
}
