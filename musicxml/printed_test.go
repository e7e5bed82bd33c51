package musicxml

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// printedScore is an invented score whose second measure is printed with all that
// Printed tells.
const printedScore = `<score-partwise><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">
<measure number="1">
<attributes><divisions>2</divisions><key><fifths>-3</fifths></key><time symbol="cut"><beats>2</beats><beat-type>2</beat-type></time>
<staves>2</staves><clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>F</sign><line>4</line></clef></attributes>
<barline location="left"><bar-style>heavy-light</bar-style><ending number="1" type="start">1.</ending><repeat direction="forward"/></barline>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>8</duration></note>
<direction><direction-type><octave-shift type="down" size="15"/></direction-type><offset>-1</offset><staff>1</staff></direction>
</measure>
<measure number="2">
<direction placement="above"><direction-type><words> dolce
assai</words></direction-type><direction-type><dynamics><sf/><p/><other-dynamics>subito</other-dynamics></dynamics></direction-type><staff>2</staff></direction>
<direction><direction-type><rehearsal>B</rehearsal></direction-type><direction-type><words>Lento</words></direction-type>
<direction-type><metronome parentheses="yes"><beat-unit>eighth</beat-unit><beat-unit-dot/><per-minute>c. 50</per-minute></metronome></direction-type></direction>
<direction placement="below"><direction-type><metronome><beat-unit>half</beat-unit><beat-unit>quarter</beat-unit><beat-unit-dot/></metronome></direction-type></direction>
<direction><direction-type><metronome print-object="no"><beat-unit>half</beat-unit><per-minute>50</per-minute></metronome></direction-type></direction>
<direction><direction-type><metronome><metronome-note><metronome-type>half</metronome-type></metronome-note></metronome></direction-type></direction>
<direction><direction-type><segno/></direction-type></direction>
<note><grace slash="yes"/><pitch><step>D</step><octave>5</octave></pitch><type>eighth</type><stem>up</stem></note>
<note><pitch><step>E</step><octave>5</octave></pitch><duration>1</duration><type>16th</type><dot/><dot/><accidental parentheses="yes">flat</accidental>
<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification><stem>down</stem><notehead>x</notehead><staff>1</staff>
<beam number="1">begin</beam><beam number="2">forward hook</beam>
<notations><tied type="let-ring"/><arpeggiate number="2" direction="down"/><tuplet type="start" number="1" bracket="yes" show-number="both" placement="below"/>
<glissando type="start" line-type="wavy">gl.</glissando></notations></note>
<note><cue/><pitch><step>F</step><octave>5</octave></pitch><duration>1</duration><beam number="99">begin</beam><notations><tuplet type="stop" number="1"/></notations></note>
<attributes><clef number="2"><sign>C</sign><line>4</line></clef><clef><sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change></clef></attributes>
<direction><direction-type><octave-shift type="stop" size="15"/></direction-type><offset sound="yes">1</offset><staff>1</staff></direction>
<note><rest measure="yes"><display-step>B</display-step><display-octave>4</display-octave></rest><duration>6</duration></note>
<backup><duration>8</duration></backup>
<attributes><key number="2"><fifths>1</fifths></key></attributes>
<note><rest/><duration>8</duration><staff>2</staff></note>
<barline location="right"><bar-style>light-heavy</bar-style><ending number="1" type="stop"/><repeat direction="backward"/></barline>
</measure>
</part></score-partwise>`

func TestPrinted(t *testing.T) {
	doc, err := Open(t.Context(), "printed.musicxml", []byte(printedScore), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := Read(t.Context(), doc, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := score.Printed(t.Context(), doc, score.Parts[0], func(measure int) bool { return measure == 1 })
	if err != nil || len(got) != 1 {
		t.Fatal(got, err)
	}
	none, treble, tenor, low := 0, Clef{Sign: "G", Line: 2}, Clef{Sign: "C", Line: 4}, Clef{Sign: "G", Line: 2, Octaves: -1}
	quarter := func(n, d int64) Frac { return NewFrac(n, d) }
	m := got[0]
	if m.Index != 1 || m.Time.Beats != nil {
		t.Errorf("measure %d with the time signature %v, which stands in the first one", m.Index, m.Time)
	}
	// The first measure was not asked for: what it sets is in force all the same.
	for i, want := range []PrintedStaff{{treble, Key{Fifths: -3}, 2, false}, {Clef{Sign: "F", Line: 4}, Key{Measure: 1, Onset: quarter(4, 1), Staff: 2, Fifths: 1}, 0, false}} {
		if diff := cmp.Diff(want, m.Staves[i], cmp.Comparer(func(a, b Frac) bool { return a.Cmp(b) == 0 }), cmpopts.IgnoreFields(Key{}, "Start")); diff != "" {
			t.Errorf("staff %d at the start: %s", i+1, diff)
		}
	}
	equal := cmp.Comparer(func(a, b Frac) bool { return a.Cmp(b) == 0 })
	if diff := cmp.Diff([]StaffChange{
		{Onset: quarter(1, 1), Staff: 1, Clef: &low}, {Onset: quarter(1, 1), Staff: 2, Clef: &tenor}, {Onset: quarter(3, 2), Staff: 1, Shift: &none},
	}, m.Changes, equal); diff != "" {
		t.Errorf("changes: %s", diff)
	}
	if diff := cmp.Diff([]PrintedNote{
		{Type: "eighth", Stem: "up", Slash: true},
		{Type: "16th", Dots: 2, Accidental: "flat", Parentheses: true, Stem: "down", Head: "x", Beams: []string{"begin", "forward hook"},
			LetRing: true, Roll: "down", RollNumber: "2", Wavy: true, Glide: "gl.",
			Tuplets: []PrintedTuplet{{Number: "1", Start: true, Text: "3:2", Bracket: true, Below: true}}},
		{Small: true, Tuplets: []PrintedTuplet{{Number: "1"}}}, // no note has 99 beams
		{WholeMeasure: true, DisplayStep: 'B', DisplayOctave: 4},
		{},
	}, m.Notes); diff != "" {
		t.Errorf("notes: %s", diff)
	}
	if m.Right != (PrintedBarline{"light-heavy", "backward"}) || m.Left != (PrintedBarline{}) || m.Ending != (PrintedEnding{Over: true, Stops: true}) {
		t.Errorf("barlines %v %v, ending %v", m.Left, m.Right, m.Ending)
	}
	if diff := cmp.Diff([]PrintedText{
		{Staff: 2, Above: true, Kind: "words", Text: "dolce\nassai"}, {Staff: 2, Above: true, Kind: "dynamics", Text: "sfp subito"},
		{Staff: 1, Above: true, Kind: "rehearsal", Text: "B"}, {Staff: 1, Kind: "words", Text: "Lento"},
		{Staff: 1, Above: true, Kind: "metronome", Text: "c. 50", Beats: []PrintedBeat{{Type: "eighth", Dots: 1}}, Round: true},
		{Staff: 1, Kind: "metronome", Beats: []PrintedBeat{{Type: "half", Equal: true}, {Type: "quarter", Dots: 1}}},
		{Staff: 1, Above: true, Kind: "segno", Text: "segno"},
	}, m.Texts, equal, cmpopts.IgnoreFields(PrintedText{}, "Start")); diff != "" {
		t.Errorf("texts: %s", diff)
	}

	first, err := score.Printed(t.Context(), doc, score.Parts[0], func(measure int) bool { return measure == 0 })
	if err != nil || len(first) != 1 {
		t.Fatal(first, err)
	}
	if diff := cmp.Diff(TimeSignature{Beats: []string{"2"}, Units: []string{"2"}, Symbol: "cut"}, first[0].Time); diff != "" {
		t.Error(diff)
	}
	if first[0].Ending != (PrintedEnding{Over: true, Starts: true, Text: "1."}) || first[0].Left != (PrintedBarline{"heavy-light", "forward"}) {
		t.Errorf("the first measure begins with %v and %v", first[0].Left, first[0].Ending)
	}
}

// A timewise score holds the measures of a part one by one, and may leave some out.
func TestPrintedTimewise(t *testing.T) {
	const note = `<note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration><type>whole</type></note>`
	text := `<score-timewise><part-list><score-part id="A"><part-name>Harp</part-name></score-part><score-part id="B"><part-name>Flute</part-name></score-part></part-list>
<measure number="1"><part id="B">` + note + `</part><part id="A"><attributes><divisions>1</divisions><clef><sign>F</sign></clef></attributes>` + note + `</part></measure>
<measure number="2"><part id="B">` + note + `</part></measure>
<measure number="3"><part id="A">` + strings.Replace(note, "whole", "half", 1) + `</part></measure></score-timewise>`
	doc, err := Open(t.Context(), "timewise.musicxml", []byte(text), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := Read(t.Context(), doc, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := score.Printed(t.Context(), doc, score.Parts[0], func(int) bool { return true })
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 2 || got[0].Index != 0 || got[1].Index != 2 || got[1].Notes[0].Type != "half" || got[1].Staves[0].Clef.Sign != "F" {
		t.Errorf("%+v", got)
	}
}

// The notes of metronome marks in all their forms.
func TestPrintedBeats(t *testing.T) {
	group := func(notes ...string) string {
		text := ""
		for _, n := range notes {
			text += "<metronome-note>" + n + "</metronome-note>"
		}
		return text
	}
	const eighth = "<metronome-type>eighth</metronome-type>"
	tuplet := func(kind, more string) string {
		return `<metronome-tuplet type="` + kind + `"` + more + `><actual-notes>3</actual-notes><normal-notes>2</normal-notes></metronome-tuplet>`
	}
	for _, tt := range []struct {
		mark string
		want []PrintedBeat
		why  string
	}{
		{"<beat-unit>half</beat-unit><beat-unit-tied><beat-unit>eighth</beat-unit><beat-unit-dot/></beat-unit-tied><per-minute>40</per-minute>",
			[]PrintedBeat{{Type: "half", Tied: true}, {Type: "eighth", Dots: 1}}, "a beat of two notes"},
		{"<beat-unit>half</beat-unit><beat-unit>quarter</beat-unit><beat-unit-dot/><beat-unit-tied><beat-unit>eighth</beat-unit></beat-unit-tied>",
			[]PrintedBeat{{Type: "half", Equal: true}, {Type: "quarter", Dots: 1, Tied: true}, {Type: "eighth"}}, "two beats, one of them of two notes"},
		{group(eighth, eighth) + "<metronome-relation>equals</metronome-relation>" +
			group("<metronome-type>quarter</metronome-type>"+tuplet("start", ""), eighth+tuplet("stop", "")),
			[]PrintedBeat{{Type: "eighth"}, {Type: "eighth", Equal: true}, {Type: "quarter", Tuplet: "3"}, {Type: "eighth", Ends: true}}, "uneven eighths"},
		{group("<metronome-type>half</metronome-type><metronome-dot/><metronome-tied type=\"start\"/>", eighth+"<metronome-tied type=\"stop\"/>"+tuplet("start", ` show-number="both"`)+tuplet("stop", "")),
			[]PrintedBeat{{Type: "half", Dots: 1, Tied: true}, {Type: "eighth", Tuplet: "3:2", Ends: true}}, "a tie within a group"},
		{group(eighth), nil, "one note alone"},
	} {
		text := `<score-partwise><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1"><measure number="1">` +
			"<direction><direction-type><metronome>" + tt.mark + "</metronome></direction-type></direction></measure></part></score-partwise>"
		doc, err := Open(t.Context(), "beats.musicxml", []byte(text), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		score, err := Read(t.Context(), doc, Options{})
		if err != nil {
			t.Fatal(err)
		}
		printed, err := score.Printed(t.Context(), doc, score.Parts[0], func(int) bool { return true })
		if err != nil || len(printed) != 1 {
			t.Fatal(printed, err)
		}
		var got []PrintedBeat
		for _, text := range printed[0].Texts {
			got = text.Beats
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%s: %s", tt.why, diff)
		}
	}
}
