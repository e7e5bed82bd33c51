package musicxml_test

import (
	"strings"
	"testing"

	"pedalogue/musicxml"
)

// toRevise is a measure with a chord whose head is beamed, slurred and in a tuplet, a
// note tied over the barline, grace notes, and accidentals that hold on.
const toRevise = `<?xml version="1.0"?>
<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>6</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves></attributes>
<note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type><accidental>sharp</accidental><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification><staff>1</staff><beam number="1">begin</beam><notations><tuplet type="start"/><slur type="start" number="1"/></notations></note>
<note><chord/><pitch><step>A</step><octave>4</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type><staff>1</staff></note>
<note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification><staff>1</staff><beam number="1">continue</beam></note>
<note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification><staff>1</staff><beam number="1">end</beam><notations><tuplet type="stop"/><slur type="stop" number="1"/><articulations><staccato/></articulations></notations></note>
<note><grace/><pitch><step>D</step><octave>5</octave></pitch><voice>1</voice><type>16th</type><staff>1</staff><beam number="1">begin</beam></note>
<note><grace/><pitch><step>E</step><octave>5</octave></pitch><voice>1</voice><type>16th</type><staff>1</staff><beam number="1">end</beam></note>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>18</duration><tie type="start"/><voice>1</voice><type>half</type><dot/><staff>1</staff><notations><tied type="start"/></notations></note>
<note><chord/><pitch><step>E</step><octave>5</octave></pitch><duration>18</duration><voice>1</voice><type>half</type><dot/><staff>1</staff></note>
<backup><duration>24</duration></backup>
<note><pitch><step>C</step><octave>3</octave></pitch><duration>24</duration><voice>2</voice><type>whole</type><staff>2</staff></note>
</measure><measure number="2">
<note><pitch><step>C</step><octave>5</octave></pitch><duration>24</duration><tie type="stop"/><voice>1</voice><type>whole</type><staff>1</staff><notations><tied type="stop"/></notations></note>
</measure></part></score-partwise>`

// spelt writes the notes of a part: "F#4+A4", "r" for a rest, "(D5)" for a grace note,
// "~" behind what goes on, each with its length, an accidental in brackets, "|" for a barline.
func spelt(s *musicxml.Score) string {
	var words []string
	p := s.Parts[0]
	for k := range p.Measures {
		_, notes := p.NotesOf(k)
		for i := range notes {
			n := &notes[i]
			word := n.Pitch.String()
			switch {
			case n.Kind == musicxml.Rest:
				word = "r"
			case n.LeftOut():
				word = "x"
			case n.Kind == musicxml.Grace:
				word = "(" + word + ")"
			}
			if n.Accidental != "" {
				word += "[" + n.Accidental + "]"
			}
			if n.TiedTo >= 0 {
				word += "~"
			}
			if n.Chord {
				words[len(words)-1] += "+" + word
				continue
			}
			if n.Kind != musicxml.Grace {
				word = n.Length.String() + ":" + word
			}
			words = append(words, word)
		}
		words = append(words, "|")
	}
	return strings.Join(words, " ")
}

func TestRevise(t *testing.T) {
	const rest = " 1/3:F#4 1/3:G4 (D5) (E5) 3:C5~+E5 4:C3 | 4:C5 |"
	take := func(notes ...int) (list []musicxml.Revision) {
		for _, n := range notes {
			list = append(list, musicxml.Revision{Note: n})
		}
		return list
	}
	pitch := func(note int, p musicxml.Pitch) []musicxml.Revision {
		return []musicxml.Revision{{Note: note, Do: musicxml.Repitch, Pitch: p}}
	}
	f5 := musicxml.Pitch{Step: 'F', Alter: musicxml.NewFrac(1, 1), Octave: 5}
	for _, tt := range []struct {
		why  string
		list []musicxml.Revision
		want string
	}{
		{"nothing", nil, "1/3:F#4[sharp]+A4" + rest},
		{"a note of a chord", take(1), "1/3:F#4[sharp]" + rest},
		{"the head, whose accidental the next note needs", take(0), "1/3:A4 1/3:F#4[sharp] 1/3:G4 (D5) (E5) 3:C5~+E5 4:C3 | 4:C5 |"},
		{"both", take(0, 1), "1/3:r 1/3:F#4[sharp] 1/3:G4 (D5) (E5) 3:C5~+E5 4:C3 | 4:C5 |"},
		{"a note that stands alone", take(3), "1/3:F#4[sharp]+A4 1/3:F#4 1/3:r (D5) (E5) 3:C5~+E5 4:C3 | 4:C5 |"},
		{"a grace note of a beamed pair", take(4), "1/3:F#4[sharp]+A4 1/3:F#4 1/3:G4 (E5) 3:C5~+E5 4:C3 | 4:C5 |"},
		{"a tied note, with what goes on", take(6), "1/3:F#4[sharp]+A4 1/3:F#4 1/3:G4 (D5) (E5) 3:E5 4:C3 | 4:r |"},
		{"an octave up: both lines get an accidental", pitch(0, f5), "1/3:F#5[sharp]+A4 1/3:F#4[sharp] 1/3:G4 (D5) (E5) 3:C5~+E5 4:C3 | 4:C5 |"},
		{"another string, over the barline", pitch(6, musicxml.Pitch{Step: 'B', Alter: musicxml.NewFrac(1, 1), Octave: 4}),
			"1/3:F#4[sharp]+A4 1/3:F#4 1/3:G4 (D5) (E5) 3:B#4[sharp]~+E5 4:C3 | 4:B#4 |"},
		{"cut where it is tied", []musicxml.Revision{{Note: 6, Do: musicxml.CutShort, Length: musicxml.NewFrac(3, 1)}}, "1/3:F#4[sharp]+A4 1/3:F#4 1/3:G4 (D5) (E5) 3:C5+E5 4:C3 | 4:r |"},
		{"early, as a grace note", []musicxml.Revision{{Note: 0, Do: musicxml.AsGrace}}, "(F#4)[sharp] 1/3:A4 1/3:F#4 1/3:G4 (D5) (E5) 3:C5~+E5 4:C3 | 4:C5 |"},
	} {
		doc, score := open(t, toRevise)
		for i := range tt.list {
			tt.list[i].Part = score.Parts[0]
		}
		edits, err := score.Revise(t.Context(), doc, tt.list)
		if err != nil {
			t.Errorf("%s: %v", tt.why, err)
			continue
		}
		raw, err := doc.Splice(t.Context(), edits)
		if err != nil {
			t.Fatal(err)
		}
		_, now := open(t, string(raw))
		if got := spelt(now); got != tt.want {
			t.Errorf("%s:\n     %s\nwant %s", tt.why, got, tt.want)
		}
		if n := strings.Count(string(raw), "<beam"); tt.why == "a grace note of a beamed pair" && n != 3 {
			t.Errorf("%s: %d beams are left, want those of the triplet", tt.why, n)
		}
		if strings.Count(string(raw), "<tuplet") != 2 || strings.Count(string(raw), "<slur") != 2 {
			t.Errorf("%s: the tuplet or the slur is not whole", tt.why)
		}
	}
	doc, score := open(t, toRevise)
	rolls := []musicxml.Revision{{Part: score.Parts[0], Note: 0, Do: musicxml.RollIt}, {Part: score.Parts[0], Note: 1, Do: musicxml.RollIt}}
	edits, err := score.Revise(t.Context(), doc, rolls)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := doc.Splice(t.Context(), edits)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(raw), "<arpeggiate/>"); n != 2 {
		t.Errorf("%d arpeggio signs, want 2", n)
	}
	for _, bad := range []musicxml.Revision{{Note: 99}, {Note: 0, Do: musicxml.Restaff, Staff: 3}, {Note: 0, Do: musicxml.CutShort}, {Note: 4, Do: musicxml.AsGrace}, {Note: 0, Do: 99}} {
		bad.Part = score.Parts[0]
		if _, err := score.Revise(t.Context(), doc, []musicxml.Revision{bad}); err == nil {
			t.Errorf("%+v is no error", bad)
		}
	}
}

// What is left out is printed and silent, but only between our comments; strip brings
// it back byte for byte, marks that are made anew leave it.
func TestLeaveOut(t *testing.T) {
	doc, score := open(t, toRevise)
	p := score.Parts[0]
	edits, err := score.LeaveOut(t.Context(), doc, []musicxml.NoteAt{{Part: p, Note: 0}, {Part: p, Note: 6}})
	if err != nil {
		t.Fatal(err)
	}
	texts, err := score.ReductionTexts(t.Context(), doc, []musicxml.Mark{{Part: p, Before: -1, Staff: 1, Placement: "above", Words: "Roll the chord", Small: true}})
	if err != nil {
		t.Fatal(err)
	}
	raw, err := doc.Splice(t.Context(), append(texts, edits...))
	if err != nil {
		t.Fatal(err)
	}
	reduced, now := open(t, string(raw))
	const want = "1/3:x[sharp]+A4 1/3:F#4 1/3:G4 (D5) (E5) 3:x+E5 4:C3 | 4:x |"
	if got := spelt(now); got != want {
		t.Errorf("read as %s, want %s", got, want)
	}
	// A mark where a note is left out stands before our comment, not in it.
	mark, err := now.Edits(t.Context(), reduced, []musicxml.Mark{{Part: now.Parts[0], Before: -1, Staff: 1, Words: "F♯"}})
	if err != nil {
		t.Fatal(err)
	}
	marked, err := reduced.Splice(t.Context(), mark)
	if err != nil {
		t.Fatal(err)
	}
	both, again := open(t, string(marked))
	if got := spelt(again); got != want {
		t.Errorf("marked, it is read as %s, want %s", got, want)
	}
	if plain, err := both.Unmarked(t.Context()); err != nil || string(plain.Raw) != string(raw) {
		t.Errorf("without its marks it is another score, %v", err)
	}
	if plain, err := both.Stripped(t.Context()); err != nil || string(plain.Raw) != toRevise {
		t.Errorf("stripped, it is another score, %v", err)
	}
	// Parentheses alone leave nothing out.
	_, shown := open(t, strings.Replace(toRevise, "<staff>1</staff>", `<notehead parentheses="yes">normal</notehead><staff>1</staff>`, 1))
	if got := spelt(shown); strings.Contains(got, "x") {
		t.Errorf("parentheses alone leave out: %s", got)
	}
}

// open opens and reads a score.
func open(t *testing.T, text string) (*musicxml.Document, *musicxml.Score) {
	t.Helper()
	doc, err := musicxml.Open(t.Context(), "score.musicxml", []byte(text), musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := musicxml.Read(t.Context(), doc, musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return doc, score
}
