package musicxml

import (
	"fmt"
	"strings"
	"testing"
)

// markedScore is a score of two measures for a harp, marked in the first.
func markedScore(t testing.TB) (plain, marked string) {
	t.Helper()
	plain = strings.ReplaceAll(harpScore(quarters+plain1("F#4", "G4"), plain1("A4")), "><", ">\n<")
	d := documentOf(t, plain)
	s, err := Read(ctx, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := s.Parts[0]
	edits, err := s.Edits(ctx, d, []Mark{
		{Part: p, Before: -1, Staff: 1, Placement: "above", Words: "E F♯ G A\nD C B"},
		{Part: p, Before: -1, Staff: 1, Placement: "above", Pedals: []KeyStep{{'D', NewFrac(-1, 1)}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	respelt, _, err := s.Respell(ctx, d, []Respelling{{p, 2, pitchFrom(t, "G##4")}})
	if err != nil {
		t.Fatal(err)
	}
	out, err := d.Splice(ctx, append(edits, respelt...))
	if err != nil {
		t.Fatal(err)
	}
	return plain, string(out)
}

// What a person has written between our comments stays, wherever it stands, and is
// told with its place and text; what is exactly ours goes.
func TestEditedMarks(t *testing.T) {
	plain, marked := markedScore(t)
	const foreign = "<direction><direction-type><words>MINE</words></direction-type></direction>"
	const end = "<!--pedalogue:end-->"
	for _, tt := range []struct {
		name, old, new string
		kept           []string // what stays
		text           string   // what the warning shows
		left           int      // how many pairs of comments stay
	}{
		{"words", "D C B<", "D C B - see cond. score!<", []string{"E F♯ G A\nD C B - see cond. score!"}, "see cond. score!", 1},
		{"one letter", "E F♯ G A", "E F G A", []string{"E F G A\nD C B"}, "E F G A", 1},
		{"an attribute", ` font-style="normal"`, ` font-style="italic"`, []string{`font-style="italic"`}, "E F♯ G A", 1},
		{"a pedal", "<pedal-alter>-1<", "<pedal-alter>1<", []string{"<pedal-alter>1<"}, "D 1", 1},
		{"beside", end, foreign + end, []string{foreign}, "MINE", 0},
		{"before", "<direction", foreign + "<direction", []string{foreign}, "MINE", 0},
		{"a comment", end, "<!-- mine -->" + end, []string{"<!-- mine -->"}, "<!-- mine -->", 0},
		{"a comment inside", "</direction>", "<!-- mine --></direction>", []string{"<!-- mine -->"}, "E F♯ G A", 1},
		{"an instruction", end, "<?mine?>" + end, []string{"<?mine?>"}, "<?mine?>", 0},
		{"two beside", end, foreign + foreign + end, []string{foreign + foreign}, "MINE MINE", 0},
		{"a pitch", "<step>G</step>\n<alter>2</alter>", "<step>G</step>\n<alter>1</alter>", []string{"<alter>1</alter>"}, "G 1 4", 1},
		{"a sign", "<accidental>double-sharp<", "<accidental>sharp<", []string{"<accidental>sharp<"}, "sharp", 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if !strings.Contains(marked, tt.old) {
				t.Fatalf("no %q in %s", tt.old, marked)
			}
			d := documentOf(t, strings.Replace(marked, tt.old, tt.new, 1))
			got, err := d.Stripped(ctx)
			if err != nil {
				t.Fatal(err)
			}
			text := string(got.Text)
			for _, piece := range tt.kept {
				if !strings.Contains(text, piece) {
					t.Errorf("%q is lost in %s", piece, text)
				}
			}
			if n := strings.Count(text, "pedalogue:begin"); n != tt.left || strings.Count(text, end) != n {
				t.Errorf("%d marks are left, want %d: %s", n, tt.left, text)
			}
			if len(got.Warnings) != 1 {
				t.Fatalf("told %+v", got.Warnings)
			}
			w := got.Warnings[0]
			if w.Code != "edited-mark" || w.Part != "P1" || w.Line == 0 || w.Measure == "" || w.Index < 0 || !strings.Contains(w.Text, tt.text) {
				t.Errorf("told %+v, want %q", w, tt.text)
			}
			// What stays does so again and again, and is all there is beside the plain score.
			again, err := got.Stripped(ctx)
			if err != nil || string(again.Text) != text {
				t.Errorf("stripped twice: %v, %s", err, again.Text)
			}
			if tt.left == 0 {
				bare := text
				for _, piece := range tt.kept {
					bare = strings.Replace(bare, piece+"\n", "", 1)
				}
				if bare != plain {
					t.Errorf("beside what stays it is %s, was %s", bare, plain)
				}
			}
		})
	}
}

// A copy with an edited mark is marked again; the mark stays, and so it does in
// every copy of a copy.
func TestEditedMarkIsMarkedAgain(t *testing.T) {
	text := strings.ReplaceAll(harpScore(quarters, plain1("F#4")), "<measure number=\"1\">"+quarters+"</measure>", "<measure number=\"1\"/>")
	edit := func(text string) string { return strings.Replace(text, ">F♯<", ">F♯ please<", 1) }
	for round := range 3 {
		d := documentOf(t, text)
		plain, err := d.Stripped(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if round > 0 && (len(plain.Warnings) != 1 || strings.Count(string(plain.Text), "F♯ please") != 1) {
			t.Fatalf("round %d: %v, %s", round, plain.Warnings, plain.Text)
		}
		s, err := Read(ctx, plain, Options{})
		if err != nil {
			t.Fatal(err)
		}
		edits, err := s.Edits(ctx, plain, []Mark{{Part: s.Parts[0], Measure: 0, Before: -1, Staff: 1, Words: "F♯"}, {Part: s.Parts[0], Measure: 1, Before: -1, Staff: 1, Words: "G"}})
		if err != nil {
			t.Fatal(err)
		}
		out, err := plain.Splice(ctx, edits)
		if err != nil {
			t.Fatal(err)
		}
		text = string(out)
		if round == 0 {
			text = edit(text)
		}
	}
}

// Copies of the first version are known by their form, and so is what was changed
// in them.
func TestFirstVersion(t *testing.T) {
	const begin, end = "<!--pedalogue:begin-->", "<!--pedalogue:end-->"
	words := func(text string) string {
		return `<direction placement="below"><direction-type><words font-style="normal">` + text + `</words></direction-type><offset>-1</offset><staff>2</staff></direction>`
	}
	diagram := `<direction placement="above"><direction-type><harp-pedals>` + strings.Repeat(`<pedal-tuning><pedal-step>D</pedal-step><pedal-alter>0</pedal-alter></pedal-tuning>`, 7) + `</harp-pedals></direction-type></direction>`
	for _, tt := range []struct {
		name, inside string
		ours         bool
	}{
		{"change", words("F♯"), true},
		{"changes", words("E♭\u00a0F♯\nD♮"), true},
		{"setting", words("E\u00a0F♯\u00a0G\u00a0A\nD\u00a0C\u00a0B♭"), true},
		{"French", words("Mi\u00a0Fa♯\nRé♮\u00a0Si♭"), true},
		{"German", words("Es\u00a0Fis\u00a0G\u00a0As\nDes\u00a0C\u00a0H"), true},
		{"respelt", strings.Replace(words("(D♭\u00a0E♯)"), `font-style="normal"`, `font-style="normal" font-size="8"`, 1), true},
		{"before a repeat", words("for the repeat: B♭\u00a0F♮"), true},
		{"in French", words("pour la reprise : Si♭"), true},
		{"in German", words("für die Wiederholung: His"), true},
		{"diagram", diagram, true},
		{"indented", strings.ReplaceAll(words("F♯"), "><", ">\n <"), true},
		{"an accidental", "<accidental>double-sharp</accidental>", true},
		{"nothing", "", true},
		{"a person's words", words("E\u00a0F♯\u00a0G\u00a0A\nD\u00a0C\u00a0B♭ - see cond. score!"), false},
		{"another direction", "<direction><direction-type><words>MINE</words></direction-type></direction>", false},
		{"another form", strings.Replace(words("F♯"), ` placement="below"`, "", 1), false},
		{"another font", strings.Replace(words("F♯"), "normal", "italic", 1), false},
		{"more in it", strings.Replace(words("F♯"), "<offset>", "<voice>1</voice><offset>", 1), false},
		{"two texts", strings.Replace(words("F♯"), "</words>", "</words><words>x</words>", 1), false},
		{"six pedals", strings.Replace(diagram, `<pedal-tuning><pedal-step>D</pedal-step><pedal-alter>0</pedal-alter></pedal-tuning>`, "", 1), false},
		{"another sign", "<accidental>quarter-flat</accidental>", false},
	} {
		d := documentOf(t, "<measure><note/>"+begin+tt.inside+end+"<note/></measure>")
		got, err := d.Stripped(ctx)
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		want, told := "<measure><note/><note/></measure>", 0
		if !tt.ours {
			want, told = string(d.Text), 1
		}
		if string(got.Text) != want || len(got.Warnings) != told {
			t.Errorf("%s: %s, told %v", tt.name, got.Text, got.Warnings)
		}
	}
}

// What the first version put in the place of something goes too, unless somebody
// has written into it.
func TestFirstVersionReplaced(t *testing.T) {
	const begin, end = "<!--pedalogue:begin PGEvPg==-->", "<!--pedalogue:end-->" // <a/>
	for _, tt := range []struct {
		inside string
		ours   bool
	}{
		{"", true},
		{"<pitch><step>D</step><alter>-1</alter><octave>4</octave></pitch>", true},
		{"<accidental>flat</accidental>", true},
		{"<direction-type><words/></direction-type>", true},
		{`<measure number="1">` + firstMark + firstMark + `</measure>`, true},
		{`<measure number="1"><note/>` + firstMark + `</measure>`, false},
		{`<measure number="1"><direction/>` + firstMark + `</measure>`, false},
		{"<pitch><step>D</step><mine/><octave>4</octave></pitch>", false},
		{"<direction-type><words>mine</words></direction-type>", false},
		{"<accidental>flat</accidental><mine/>", false},
	} {
		d := documentOf(t, "<x>"+begin+tt.inside+end+"</x>")
		got, err := d.Stripped(ctx)
		want, told := "<x><a/></x>", 0
		if !tt.ours {
			want, told = string(d.Text), 1
		}
		if err != nil || string(got.Text) != want || len(got.Warnings) != told {
			t.Errorf("%s: %s, %v, told %v", tt.inside, got.Text, err, got.Warnings)
		}
	}
}

// The text for the caller comes back whatever is in it, and in any encoding.
func TestOptionsInMarks(t *testing.T) {
	plain := harpScore(quarters+plain1("F#4"), plain1("A4"))
	for _, options := range []string{"--respell free --start \"D C B♭ | E F G A\"", "", "-->", "--- <a> & 100%", "\n\t\x00é♯\U0001D12A", "a=b;c:d,e.f/g+h"} {
		for _, declaration := range []string{"", declared("ISO-8859-1"), declared("US-ASCII")} {
			d := documentOf(t, declaration+plain)
			s, err := Read(ctx, d, Options{})
			if err != nil {
				t.Fatal(err)
			}
			p := s.Parts[0]
			edits, err := s.Edits(ctx, d, []Mark{{Part: p, Measure: 1, Before: -1, Staff: 1, Words: "A"}, {Part: p, Before: -1, Staff: 1, Words: "F♯"}})
			if err != nil {
				t.Fatal(err)
			}
			before := fmt.Sprint(edits)
			out, err := d.Splice(ctx, WithOptions(edits, options))
			if err != nil {
				t.Fatal(err)
			}
			if fmt.Sprint(edits) != before {
				t.Error("the caller's edits have changed")
			}
			copied := documentOf(t, string(out))
			own, err := copied.Strip(ctx)
			if err != nil || own.Options != options || len(own.Edits) != 2 {
				t.Errorf("%q came back as %q, %v, %d edits", options, own.Options, err, len(own.Edits))
			}
			if first := strings.Index(string(out), "options="); options != "" && first > strings.Index(string(out), "F♯") && declaration == "" {
				t.Error("they are not in the first mark")
			}
			wantPlain(t, d, copied)
		}
	}
	if got := WithOptions([]Edit{{0, 0, "<a/>"}}, "x"); fmt.Sprint(got) != fmt.Sprint([]Edit{{0, 0, "<a/>"}}) {
		t.Errorf("without a mark: %v", got)
	}
}

// Where the mark with the text was edited, so that it stays, the text of the run
// since then counts.
func TestOptionsBesideEditedMark(t *testing.T) {

	d := documentOf(t, harpScore(quarters+plain1("F#4")))
	mark := func(d *Document, options string) *Document {
		s, err := Read(ctx, d, Options{})
		if err != nil {
			t.Fatal(err)
		}
		edits, err := s.Edits(ctx, d, []Mark{{Part: s.Parts[0], Before: -1, Staff: 1, Words: "F♯"}})
		if err != nil {
			t.Fatal(err)
		}
		out, err := d.Splice(ctx, WithOptions(edits, options))
		if err != nil {
			t.Fatal(err)
		}
		return documentOf(t, string(out))
	}
	edited := documentOf(t, strings.Replace(string(mark(d, "first").Text), "F♯", "F♯!", 1))
	for _, tt := range []struct {
		d    *Document
		want string
	}{{edited, "first"}, {mark(edited, "second"), "second"}} {
		own, err := tt.d.Strip(ctx)
		if err != nil || own.Options != tt.want || len(own.Kept) != 1 {
			t.Errorf("options %q, want %q; kept %v, %v", own.Options, tt.want, own.Kept, err)
		}
	}
}

// FuzzEditedMarks: whatever somebody puts in the place of a piece of a marked copy,
// every word of it that is text stays, or the copy is refused; and what was not
// touched comes out.
func FuzzEditedMarks(f *testing.F) {
	f.Add(uint16(400), uint8(0), "mine")
	f.Add(uint16(420), uint8(5), "<direction/>mine")
	f.Add(uint16(500), uint8(20), "<!-- mine -->")
	plain, marked := markedScore(f)
	for i := 0; i < len(marked); i += 37 {
		f.Add(uint16(i), uint8(i%11), "mine")
	}
	f.Fuzz(func(t *testing.T, at uint16, cut uint8, put string) {
		from := min(int(at), len(marked))
		to := min(from+int(cut), len(marked))
		text := marked[:from] + put + marked[to:]
		d, err := Open(ctx, "x", []byte(text), fuzzLimits)
		if err != nil {
			return
		}
		got, err := d.Stripped(ctx)
		if err != nil {
			return // refused: nothing is written
		}
		if from == to && put == "" && string(got.Text) != plain {
			t.Fatalf("not the score: %s", got.Text)
		}
		// Words of the score itself may go, if the cut took our comments with them.
		for _, word := range wordsOf(d.Text) {
			if strings.Contains(word, "mine") && !strings.Contains(string(got.Text), word) {
				t.Errorf("%q is lost in\n%s\nfrom\n%s", word, got.Text, text)
			}
		}
		if again, err := got.Stripped(ctx); err != nil || string(again.Text) != string(got.Text) && len(got.Warnings) == 0 {
			t.Errorf("stripped twice: %v\n%s\n%s", err, got.Text, again.Text)
		}
	})
}

// wordsOf lists the texts of a document's elements.
func wordsOf(text []byte) []string {
	var list []string
	for _, piece := range strings.FieldsFunc(string(text), func(r rune) bool { return r == '<' || r == '>' }) {
		if strings.HasPrefix(piece, "mine") {
			list = append(list, piece)
		}
	}
	return list
}
