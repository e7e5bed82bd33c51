package musicxml

import (
	"fmt"
	"strings"
	"testing"
)

// A shorthand of notes: pitch as Pitch.String writes it, with the printed
// accidental after a slash; "|" is a barline, "~" after a note ties it to the
// next one, "key=-3" is a key signature, "&" before it puts it into a chord, "2:" on the second staff, "h:"
// hides it.
func notesFor(t *testing.T, key int, list string) string {
	t.Helper()
	var b strings.Builder
	fmt.Fprintf(&b, "<score-partwise><part-list><score-part id=\"P1\"><part-name>Harp</part-name></score-part></part-list>\n<part id=\"P1\">\n"+
		"<measure number=\"1\">\n<attributes><divisions>1</divisions><key><fifths>%d</fifths></key><staves>2</staves></attributes>\n", key)
	measure, tied := 1, false
	for _, word := range strings.Fields(list) {
		if word == "|" {
			measure++
			fmt.Fprintf(&b, "</measure>\n<measure number=\"%d\">\n", measure)
			continue
		}
		if fifths, ok := strings.CutPrefix(word, "key="); ok {
			fmt.Fprintf(&b, "<attributes><key><fifths>%s</fifths></key></attributes>\n", fifths)
			continue
		}
		attr, chord, staff := "", "", "1"
		if rest, ok := strings.CutPrefix(word, "h:"); ok {
			word, attr = rest, ` print-object="no"`
		}
		if rest, ok := strings.CutPrefix(word, "2:"); ok {
			word, staff = rest, "2"
		}
		if rest, ok := strings.CutPrefix(word, "&"); ok {
			word, chord = rest, "<chord/>"
		}
		ties := ""
		if tied {
			ties = `<tie type="stop"/>`
		}
		word, tied = strings.CutSuffix(word, "~")
		if tied {
			ties += `<tie type="start"/>`
		}
		pitch, sign, signed := strings.Cut(word, "/")
		if signed {
			sign = "<accidental>" + sign + "</accidental>\n  "
		}
		alter := ""
		if n := strings.Count(pitch, "#") - strings.Count(pitch, "b"); n != 0 {
			alter = fmt.Sprintf("\n    <alter>%d</alter>", n)
		}
		fmt.Fprintf(&b, " <note%s>%s\n  <pitch>\n    <step>%c</step>%s\n    <octave>%c</octave>\n  </pitch>\n  <duration>1</duration>%s\n  <type>quarter</type>\n  %s<staff>%s</staff>\n </note>\n",
			attr, chord, pitch[0], alter, pitch[len(pitch)-1], ties, sign, staff)
	}
	return b.String() + "</measure>\n</part>\n</score-partwise>\n"
}

// shown writes the notes of a document in the shorthand, without ties, chords,
// staves and bars.
func shown(t *testing.T, d *Document, p *Part) string {
	t.Helper()
	var words []string
	var starts []int
	for _, n := range p.Notes {
		starts = append(starts, n.Start)
	}
	elements, err := d.elements(ctx, starts)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range p.Notes {
		word := n.Pitch.String()
		if a := elements[n.Start].Child("accidental"); a != nil {
			word += "/" + a.Trimmed()
		}
		words = append(words, word)
	}
	return strings.Join(words, " ")
}

func pitchFrom(t testing.TB, text string) Pitch {
	t.Helper()
	alter := int64(strings.Count(text, "#") - strings.Count(text, "b"))
	return Pitch{Step: text[0], Alter: NewFrac(alter, 1), Octave: int(text[len(text)-1] - '0')}
}

func TestRespell(t *testing.T) {
	for _, tt := range []struct {
		name  string
		key   int
		notes string
		to    string // "index=pitch", several
		want  string
		signs string // the other notes that change
		why   string
	}{
		{"sign replaced", 0, "C#5/sharp D5", "0=Db5", "Db5/flat D5/natural", "+1 natural", "the next D was natural by the key"},
		{"sign not needed", 1, "Gb4/flat A4", "0=F#4", "F#4 A4", "", "F sharp is in the key"},
		{"sign added", 1, "F#4 A4", "0=Gb4", "Gb4/flat A4", "", "G flat is not in the key"},
		{"next one loses its reason", 0, "C#5/sharp C5/natural", "0=Db5", "Db5/flat C5", "-1", "nothing to take back any more"},
		{"a reminder stays", 0, "D5 C#5/sharp D5/natural", "1=Db5", "D5 Db5/flat D5/natural", "", "it was needless before and is needed now"},
		{"another reminder stays", 0, "Eb4/flat D4/natural C#5/sharp", "0=D#4", "D#4/sharp D4/natural C#5/sharp", "", "it was a reminder and has a reason now"},
		{"second of a run", 0, "C#5/sharp C#5", "0=Db5 1=Db5", "Db5/flat Db5", "", "one sign for the measure"},
		{"first of a run only", 0, "C#5/sharp C#5", "0=Db5", "Db5/flat C#5/sharp", "+1 sharp", "it leant on the first one's sign"},
		{"other octave", 0, "C#5/sharp D4 D6", "0=Db5", "Db5/flat D4/natural D6", "+1 natural", "a sign holds for its line only, but the first D is reminded"},
		{"other octave, same pitch", 0, "C#5/sharp Db4/flat", "0=Db5", "Db5/flat Db4/flat", "", "there is nothing to remind of"},
		{"other octave, not rewritten", 0, "C#5/sharp F5 F#4/sharp F5", "0=Db5", "Db5/flat F5 F#4/sharp F5", "", "what was doubtful before is not our doing"},
		{"rewritten after another octave", -1, "B4 A#5/sharp", "1=Bb5", "B4 Bb5/flat", "", "in the key, but B was natural just before"},
		{"key gives it, other octave", 1, "F4/natural Gb5/flat", "1=F#5", "F4/natural F#5/sharp", "", "in G, but F was natural just before"},
		{"key gives it, next measure", 1, "F4/natural | Gb4/flat F#4", "1=F#4", "F4/natural F#4/sharp F#4", "", "the key's F sharp after a natural one"},
		{"key gives it, same octave doubled", 1, "Gb4/flat &Gb5/flat", "0=F#4 1=F#5", "F#4 F#5", "", "struck as one, by the key"},
		{"who reminded has gone", -4, "E4/natural | Eb4/flat Eb4 Eb4", "1=D#4", "E4/natural D#4/sharp Eb4/flat Eb4", "+2 flat", "the flat of the first E was a reminder"},
		{"who did not remind has gone", -4, "F4 | Eb4 F4", "1=D#4", "F4 D#4/sharp F4", "", "nobody stumbles"},
		{"both octaves afterwards", 0, "C#5/sharp D4 &D5", "0=Db5", "Db5/flat D4/natural D5/natural", "+1 natural, +2 natural", "an octave gets both signs"},
		{"other staff", 0, "C#5/sharp 2:D5 D5", "0=Db5", "Db5/flat D5/natural D5/natural", "+2 natural, +1 natural", "a sign holds for its staff only, but the first D is reminded"},
		{"next measure", 0, "C#5/sharp | D5 D5", "0=Db5", "Db5/flat D5/natural D5", "+1 natural", "a sign holds until the barline, of which the next one reminds"},
		{"next measure, same pitch", 0, "C#5/sharp | Db5/flat", "0=Db5", "Db5/flat Db5/flat", "", "there is nothing to remind of"},
		{"next measure, with a sign", 0, "C#5/sharp | D5/natural", "0=Db5", "Db5/flat D5/natural", "", "it stands there already"},
		{"next measure, other line", 0, "C#5/sharp | C5 E5", "0=Db5", "Db5/flat C5 E5", "", "no note was rewritten on it"},
		{"the measure after", 0, "C#5/sharp | E5 | D5", "0=Db5", "Db5/flat E5 D5", "", "by then it is forgotten"},
		{"tie in the measure", 0, "C#5/sharp~ C#5 D5", "0=Db5", "Db5/flat Db5 D5/natural", "+2 natural", "what is tied goes with it"},
		{"tie over the barline", 0, "C#5/sharp~ | C#5 D5 C#5/sharp", "0=Db5", "Db5/flat Db5 D5/natural C#5/sharp", "+2 natural", "the tie carries the sign, and no further, of which the next one reminds"},
		{"after the tie", 0, "C#5/sharp~ | C#5 C#5/sharp", "0=Db5 2=Db5", "Db5/flat Db5 Db5/flat", "", "the next one needs its own"},
		{"octave changes", 0, "B#3/sharp C4", "0=C4", "C4 C4", "", "B sharp 3 is C 4"},
		{"octave changes downwards", 0, "C4 B3", "0=B#3", "B#3/sharp B3/natural", "+1 natural", "C 4 is B sharp 3"},
		{"new key in the measure", 0, "C#5/sharp key=0 D5", "0=Db5", "Db5/flat D5", "", "a key signature takes signs back"},
		{"key of sharps", 0, "key=3 C#5 D5", "0=Db5", "Db5/flat D5/natural", "+1 natural", "the signature in force counts"},
		{"hidden notes", 0, "h:C#5 D5", "0=Db5", "Db5 D5", "", "what is not printed needs no sign"},
		{"chord", 0, "A4 &C#5/sharp D5", "1=Db5", "A4 Db5/flat D5/natural", "+2 natural", "any note of a chord"},
		{"file without signs", 0, "C#5 D5 C#5", "0=Db5", "Db5/flat D5/natural C#5/sharp", "+1 natural, +2 sharp", "where a sign is new, others are too"},
		{"sign wanting before", 0, "C#5 D#5 C5", "0=Db5", "Db5/flat D#5 C5", "", "what was wanting before is not our doing"},
		{"wrong sign", 0, "C#5/natural E5", "0=Db5", "Db5/flat E5", "", "the pitch counts"},
		{"double sharp beside", 0, "Fb4/flat E##4/double-sharp", "0=E4", "E4 E##4/double-sharp", "", "needed before and after"},
		{"double sharp wants a sign", 2, "F##4/double-sharp E#4/sharp F##4", "1=F4", "F##4/double-sharp F4/natural F##4/double-sharp", "+2 double-sharp", "it leant on the first one's sign"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d, err := Open(ctx, "x", []byte(notesFor(t, tt.key, tt.notes)), Limits{})
			if err != nil {
				t.Fatal(err)
			}
			s, err := Read(ctx, d, Options{})
			if err != nil {
				t.Fatal(err)
			}
			var list []Respelling
			for _, word := range strings.Fields(tt.to) {
				i, pitch, _ := strings.Cut(word, "=")
				list = append(list, Respelling{s.Parts[0], int(i[0] - '0'), pitchFrom(t, pitch)})
			}
			edits, signs, err := s.Respell(ctx, d, list)
			if err != nil {
				t.Fatal(err)
			}
			var changed []string
			for _, c := range signs {
				if c.Added {
					changed = append(changed, fmt.Sprintf("+%d %s", c.Note, c.Sign))
				} else {
					changed = append(changed, fmt.Sprintf("-%d", c.Note))
				}
			}
			if got := strings.Join(changed, ", "); got != tt.signs {
				t.Errorf("other notes %q, want %q (%s)", got, tt.signs, tt.why)
			}
			checkStripped(t, d, edits)
			out, err := d.Splice(ctx, edits)
			if err != nil {
				t.Fatal(err)
			}
			again, err := Open(ctx, "x", out, Limits{})
			if err != nil {
				t.Fatal(err)
			}
			s2, err := Read(ctx, again, Options{})
			if err != nil {
				t.Fatal(err)
			}
			if got := shown(t, again, s2.Parts[0]); got != tt.want {
				t.Errorf("%s, want %s (%s)", got, tt.want, tt.why)
			}
			for i, n := range s2.Parts[0].Notes {
				if was := s.Parts[0].Notes[i]; n.Onset != was.Onset || n.Length != was.Length || n.Tied != was.Tied || n.TiedTo != was.TiedTo {
					t.Errorf("note %d is no longer what it was but for its name", i)
				}
			}
		})
	}
}

// An accidental goes where the schema wants it, whatever stands around it.
func TestRespellOrder(t *testing.T) {
	for _, tt := range []struct{ name, note, want string }{
		{"after the type", "<note><pitch><step>F</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice><type>quarter</type><stem>up</stem></note>",
			"<note><pitch><step>E</step><alter>1</alter><octave>4</octave></pitch><duration>1</duration><voice>1</voice><type>quarter</type><accidental>sharp</accidental><stem>up</stem></note>"},
		{"after the dots", "<note><pitch><step>F</step><octave>4</octave></pitch><duration>1</duration><type>quarter</type><dot/><dot/><time-modification/></note>",
			"<note><pitch><step>E</step><alter>1</alter><octave>4</octave></pitch><duration>1</duration><type>quarter</type><dot/><dot/><accidental>sharp</accidental><time-modification/></note>"},
		{"at the end", "<note><pitch><step>F</step><octave>4</octave></pitch><duration>1</duration></note>",
			"<note><pitch><step>E</step><alter>1</alter><octave>4</octave></pitch><duration>1</duration><accidental>sharp</accidental></note>"},
		{"with prefix and attributes", "<note><pitch ><step >F</step><alter>0</alter><octave>4</octave ></pitch><duration>1</duration><accidental cautionary='yes'>natural</accidental></note>",
			"<note><pitch ><step>E</step><alter>1</alter><octave>4</octave></pitch><duration>1</duration><accidental>sharp</accidental></note>"},
	} {
		for _, prefix := range []string{"", "m:"} {
			t.Run(prefix+tt.name, func(t *testing.T) {
				text := "<score-partwise><part-list><score-part id=\"P1\"><part-name>Harp</part-name></score-part></part-list><part id=\"P1\"><measure number=\"1\">" +
					tt.note + "</measure></part></score-partwise>"
				want := tt.want
				if prefix != "" {
					to := strings.NewReplacer("</", "</m:", "<", "<m:")
					text, want = strings.Replace(to.Replace(text), "<m:score-partwise", `<m:score-partwise xmlns:m="urn:m"`, 1), to.Replace(want)
				}
				d, err := Open(ctx, "x", []byte(text), Limits{})
				if err != nil {
					t.Fatal(err)
				}
				s, err := Read(ctx, d, Options{})
				if err != nil {
					t.Fatal(err)
				}
				edits, _, err := s.Respell(ctx, d, []Respelling{{s.Parts[0], 0, pitchFrom(t, "E#4")}})
				if err != nil {
					t.Fatal(err)
				}
				out, err := d.Splice(ctx, edits)
				if err != nil {
					t.Fatal(err)
				}
				if got := withoutComments(t, out); !strings.Contains(got, ">"+want+"<") {
					t.Errorf("%s\nhas not\n%s", got, want)
				}
				checkStripped(t, d, edits)
			})
		}
	}
}

// A note is read again where it stands, with the entities and namespaces of the
// whole document.
func TestRespellInPlace(t *testing.T) {
	const note = `<note><pitch><step>F</step><octave>4</octave></pitch><duration>1</duration>@</note>`
	for _, tt := range []struct{ name, doctype, inside, why string }{
		{"entity", `<!DOCTYPE score-partwise [<!ENTITY la "la">]>`, "<lyric><text>&la;</text></lyric>", "a declared entity"},
		{"comment", "", "<!-- </note> -->", "an end tag in a comment"},
		{"two prefixes", "", "<n:notations xmlns:n=\"urn:m\"/>", "another prefix for the score's own namespace"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text := harpScore(quarters + strings.Replace(note, "@", tt.inside, 1))
			text = tt.doctype + strings.Replace(text, "<score-partwise", `<score-partwise xmlns="urn:m"`, 1)
			d := documentOf(t, text)
			s, err := Read(ctx, d, Options{})
			if err != nil {
				t.Fatal(err)
			}
			edits, _, err := s.Respell(ctx, d, []Respelling{{s.Parts[0], 0, pitchFrom(t, "E#4")}})
			if err != nil {
				t.Fatal(err)
			}
			checkStripped(t, d, edits)
			out, err := d.Splice(ctx, edits)
			if got := withoutComments(t, out); err != nil || !strings.Contains(got, "<step>E</step><alter>1</alter>") {
				t.Errorf("%s, %v: %s", got, err, tt.why)
			}
		})
	}
}

// The pitch may have a prefix of its own, declared far above.
func TestRespellPrefix(t *testing.T) {
	text := strings.NewReplacer("<score-partwise", `<score-partwise xmlns="urn:m" xmlns:p="urn:m"`,
		"<pitch", "<p:pitch", "</pitch", "</p:pitch", "<step", "<p:step", "</step", "</p:step", "<octave", "<p:octave", "</octave", "</p:octave").
		Replace(harpScore(quarters + plain1("F4")))
	d := documentOf(t, text)
	s, err := Read(ctx, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	edits, _, err := s.Respell(ctx, d, []Respelling{{s.Parts[0], 0, pitchFrom(t, "E#4")}})
	if err != nil {
		t.Fatal(err)
	}
	checkStripped(t, d, edits)
	out, err := d.Splice(ctx, edits)
	if err != nil {
		t.Fatal(err)
	}
	again := documentOf(t, string(out))
	if s, err = Read(ctx, again, Options{}); err != nil || s.Parts[0].Notes[0].Pitch != pitchFrom(t, "E#4") {
		t.Errorf("%s, %v", out, err)
	}
}
