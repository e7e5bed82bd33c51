package musicxml

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
)

// transposed moves a score and reads the copy.
func transposed(t testing.TB, d *Document, o Options, by Interval, pick func(*Score) []*Part) (*Document, *Score, Transposed) {
	t.Helper()
	s, err := Read(ctx, d, o)
	if err != nil {
		t.Fatal(err)
	}
	var parts []*Part
	if pick != nil {
		parts = pick(s)
	}
	out, err := s.Transpose(ctx, d, by, parts)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := d.Splice(ctx, out.Edits)
	if err != nil {
		t.Fatal(err)
	}
	copied, err := Open(ctx, d.Name, raw, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	again, err := Read(ctx, copied, o)
	if err != nil {
		t.Fatal(err)
	}
	return copied, again, out
}

// What intervals do, by the letters and semitones of any book on harmony.
func TestInterval(t *testing.T) {
	for _, tt := range []struct {
		by     Interval
		fifths int
		moves  string
	}{
		{Interval{}, 0, "C4=C4 F#3=F#3"},
		{Interval{1, 1}, -5, "C4=Db4 B3=C4 E4=F4 F#4=G4"},
		{Interval{1, 0}, 7, "C4=C#4 B3=B#3 Bb3=B3"},
		{Interval{2, 1}, 2, "C4=D4 B3=C#4 E4=F#4 Cb4=Db4"},
		{Interval{3, 2}, -3, "C4=Eb4 A4=C5 F#4=A4"},
		{Interval{4, 2}, 4, "C4=E4 Ab4=C5 D#4=F##4"},
		{Interval{7, 4}, 1, "C4=G4 F4=C5 B3=F#4"},
		{Interval{-1, -1}, 5, "C4=B3 Db4=C4 F4=E4"},
		{Interval{-1, 0}, -7, "C4=Cb4 D#4=D4 Eb4=Ebb4"},
		{Interval{-2, -1}, -2, "D4=C4 C4=Bb3 F#4=E4"},
		{Interval{12, 7}, 0, "C4=C5 Bb2=Bb3"},
		{Interval{-12, -7}, 0, "C4=C3"},
		{Interval{6, 3}, 6, "C4=F#4 F4=B4 B3=E#4"},
		{Interval{6, 4}, -6, "C4=Gb4 F4=Cb5"},
	} {
		if got := tt.by.Fifths(); got != tt.fifths {
			t.Errorf("%+v: %d fifths, want %d", tt.by, got, tt.fifths)
		}
		for _, move := range strings.Fields(tt.moves) {
			from, to, _ := strings.Cut(move, "=")
			if got := tt.by.Move(pitchFrom(t, from)).String(); got != to {
				t.Errorf("%+v: %s becomes %s, want %s", tt.by, from, got, to)
			}
			if got := (Interval{-tt.by.Semitones, -tt.by.Steps}).Move(pitchFrom(t, to)).String(); got != from {
				t.Errorf("%+v back: %s becomes %s, want %s", tt.by, to, got, from)
			}
		}
	}
}

// keyed is a measure with a key signature and notes.
func keyed(fifths int, notes string) string {
	return fmt.Sprintf("<attributes><divisions>1</divisions><key><fifths>%d</fifths></key></attributes>", fifths) + notes
}

// signed is a note with an accidental.
func signed(pitch, sign string) string {
	return tone(pitch, "1", "", "<accidental>"+sign+"</accidental>")
}

// What moves and how, and the rest as it was.
func TestTranspose(t *testing.T) {
	quarter := func(pitch string) string { return strings.Replace(signed(pitch, "quarter-sharp"), ">1<", ">0.5<", 1) }
	zero := func(pitch string) string {
		return strings.Replace(plain1(pitch), "</step>", "</step><alter>0</alter>", 1)
	}
	chord := func(root, kind, bass string) string {
		step := func(name, pitch string) string {
			s := "<" + name + "-step>" + pitch[:1] + "</" + name + "-step>"
			switch pitch[1:] {
			case "#":
				s += "<" + name + "-alter>1</" + name + "-alter>"
			case "b":
				s += "<" + name + "-alter>-1</" + name + "-alter>"
			}
			return "<" + name + ">" + s + "</" + name + ">"
		}
		return "<harmony>" + step("root", root) + "<kind>" + kind + "</kind>" + step("bass", bass) + "</harmony>"
	}
	trill := func(pitch, mark, placement string) string {
		return tone(pitch, "1", "", `<notations><ornaments><trill-mark/><accidental-mark placement="`+placement+`">`+mark+`</accidental-mark></ornaments></notations>`)
	}
	steps := func(list ...string) string {
		s := "<attributes><divisions>1</divisions><key>"
		for _, k := range list {
			s += fmt.Sprintf("<key-step>%s</key-step><key-alter>%s</key-alter>", k[:1], k[1:])
		}
		return s + `<key-octave number="1">4</key-octave></key></attributes>`
	}
	for _, tt := range []struct {
		name, measure string
		by            Interval
		want, why     string
	}{
		{"pitches", keyed(0, plain1("C4", "E4", "B3")), Interval{2, 1}, keyed(2, plain1("D4", "F#4", "C#4")), "and the key signature"},
		{"to flats", keyed(2, plain1("D4", "F#4")), Interval{-2, -1}, keyed(0, plain1("C4", "E4")), "an alteration goes"},
		{"explicit zero", keyed(0, zero("C4")), Interval{12, 7}, keyed(0, zero("C5")), "what is right already stays"},
		{"accidentals", keyed(0, signed("F#4", "sharp")+plain1("F#4")+signed("F4", "natural")+signed("Bb4", "flat")), Interval{5, 3},
			keyed(-1, signed("B4", "natural")+plain1("B4")+signed("Bb4", "flat")+signed("Eb5", "flat")), "as the new key wants them"},
		{"a reminder", keyed(0, signed("F4", "natural")), Interval{2, 1}, keyed(2, signed("G4", "natural")), "stays one"},
		{"a reminder in parentheses", keyed(0, tone("F4", "1", "", `<accidental parentheses="yes">natural</accidental>`)), Interval{7, 4},
			keyed(1, tone("C5", "1", "", `<accidental parentheses="yes">natural</accidental>`)), "as it was"},
		{"one that is wanting", keyed(0, plain1("F#4")), Interval{2, 1}, keyed(2, plain1("G#4")), "still is"},
		{"double sharps", keyed(4, signed("F##4", "double-sharp")), Interval{1, 1}, keyed(-1, signed("G#4", "sharp")), "as they come"},
		{"new double sharps", keyed(5, signed("D##4", "double-sharp")), Interval{2, 1}, keyed(7, signed("E##4", "double-sharp")), "as they come"},
		{"a quarter tone", keyed(0, quarter("C#4")), Interval{2, 1}, keyed(2, quarter("D#4")), "stays one"},
		{"too many sharps", keyed(5, plain1("B4", "D#5")), Interval{4, 2}, keyed(-3, plain1("Eb5", "G5")), "the same key in flats"},
		{"too many flats", keyed(-5, plain1("Db4", "Ab4")), Interval{1, 1}, keyed(2, plain1("D4", "A4")), "the same key in sharps"},
		{"no key signature", quarters + plain1("C4", "E4"), Interval{2, 1}, quarters + "D4 F#4", "accidentals take its place"},
		{"chord symbols", keyed(0, chord("C", "dominant", "E")+plain1("C4")), Interval{1, 1}, keyed(-5, chord("Db", "dominant", "F")+plain1("Db4")), "root and bass"},
		{"chord symbols back", keyed(-5, chord("Db", "dominant", "F")+plain1("Db4")), Interval{-1, -1}, keyed(0, chord("C", "dominant", "E")+plain1("C4")), "the alteration goes"},
		{"ornaments", keyed(0, trill("E4", "sharp", "above")+trill("E4", "flat", "below")), Interval{2, 1}, keyed(2, trill("F#4", "sharp", "above")+trill("F#4", "flat", "below")), "F# becomes G#, Db becomes Eb"},
		{"hidden and cue notes", keyed(0, strings.Replace(plain1("C4"), "<note", `<note print-object="no"`, 1)+tone("C4", "1", "<cue/>", "")+tone("C4", "", "<grace/>", "")), Interval{2, 1},
			keyed(2, strings.Replace(plain1("D4"), "<note", `<note print-object="no"`, 1)+tone("D4", "1", "<cue/>", "")+tone("D4", "", "<grace/>", "")), "all move"},
		{"rests and knocks", keyed(0, `<note><rest><display-step>B</display-step><display-octave>4</display-octave></rest><duration>1</duration></note><note><unpitched/><duration>1</duration></note>`), Interval{2, 1},
			keyed(2, `<note><rest><display-step>B</display-step><display-octave>4</display-octave></rest><duration>1</duration></note><note><unpitched/><duration>1</duration></note>`), "where they are printed"},
		{"single steps", steps("B-1", "F1") + plain1("C4"), Interval{2, 1}, steps("C0", "G1") + plain1("D4"), "each by itself"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			want := tt.want
			if name := "no key signature"; tt.name == name {
				want = quarters + plain1("D4") + signed("F#4", "sharp")
			}
			if tt.name == "single steps" {
				want = strings.Replace(want, `number="1">4<`, `number="1">5<`, 1) // the B has come out of its octave
			}
			text := harpScore(tt.measure)
			got, _, out := transposed(t, documentOf(t, text), Options{}, tt.by, nil)
			if string(got.Text) != harpScore(want) {
				t.Errorf("%s\nwant %s: %s", got.Text, harpScore(want), tt.why)
			}
			if len(out.Left) > 0 {
				t.Errorf("left %+v", out.Left)
			}
		})
	}
}

// White space is kept as the score has it, where an element comes or goes.
func TestTransposeForm(t *testing.T) {
	const c = "<note>\r\n  <pitch>\r\n    <step>C</step>\r\n    <octave>4</octave>\r\n  </pitch>\r\n  <duration>1</duration>\r\n  <stem>up</stem>\r\n</note>\r\n"
	const sharp = "<note>\r\n  <pitch>\r\n    <step>C</step>\r\n    <alter>1</alter>\r\n    <octave>4</octave>\r\n  </pitch>\r\n  <duration>1</duration>\r\n  <accidental>sharp</accidental>\r\n  <stem>up</stem>\r\n</note>\r\n"
	plain, moved := harpScore(quarters+c), harpScore(quarters+sharp)
	if got, _, _ := transposed(t, documentOf(t, plain), Options{}, Interval{1, 0}, nil); string(got.Text) != moved {
		t.Errorf("%q\nwant %q", got.Text, moved)
	}
	if got, _, _ := transposed(t, documentOf(t, moved), Options{}, Interval{-1, 0}, nil); string(got.Text) != plain {
		t.Errorf("back: %q\nwant %q", got.Text, plain)
	}
}

// Parts are chosen by the caller; a part of nothing but percussion stays, and so does
// the interval between what is written and what sounds.
func TestTransposeParts(t *testing.T) {
	list := listed("P1", "Harp") + listed("P2", "Clarinet") + listed("P3", "Drums")
	drums := `<attributes><divisions>1</divisions><key><fifths>0</fifths></key><clef><sign>percussion</sign></clef></attributes><note><unpitched/><duration>1</duration></note>`
	clarinet := func(fifths int, notes string) string {
		return strings.Replace(keyed(fifths, notes), "</key>", "</key><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>", 1)
	}
	score := func(harp, other string) string {
		return partwise(list, partOf("P1", harp), partOf("P2", other), partOf("P3", drums))
	}
	d := documentOf(t, score(keyed(0, plain1("C4")), clarinet(2, plain1("D4"))))
	if got, _, _ := transposed(t, d, Options{}, Interval{2, 1}, nil); string(got.Text) != score(keyed(2, plain1("D4")), clarinet(4, plain1("E4"))) {
		t.Errorf("all: %s", got.Text)
	}
	harp := func(s *Score) []*Part { return s.Parts[:1] }
	if got, _, _ := transposed(t, d, Options{}, Interval{2, 1}, harp); string(got.Text) != score(keyed(2, plain1("D4")), clarinet(2, plain1("D4"))) {
		t.Errorf("the harp: %s", got.Text)
	}
	if got, _, _ := transposed(t, d, Options{}, Interval{}, nil); string(got.Text) != string(d.Text) {
		t.Errorf("by nothing: %s", got.Text)
	}
}

// A later key with too many signs is spelt otherwise, with its notes, up to the next;
// what is tied into it keeps its name.
func TestTransposeSections(t *testing.T) {
	tie := func(pitch string) string {
		return tone(pitch, "1", "", `<tie type="start"/>`)
	}
	tied := func(pitch string) string { return tone(pitch, "1", "", `<tie type="stop"/>`) }
	d := documentOf(t, harpScore(keyed(0, plain1("C4")+tie("B4")), keyed(5, tied("B4")+plain1("B4")), keyed(0, plain1("C4"))))
	got, s, out := transposed(t, d, Options{}, Interval{4, 2}, nil)
	want := harpScore(keyed(4, plain1("E4")+tie("D#5")), keyed(-3, tied("D#5")+plain1("Eb5")), keyed(4, plain1("E4")))
	if string(got.Text) != want {
		t.Errorf("%s\nwant %s", got.Text, want)
	}
	if len(out.Respelt) != 1 || out.Respelt[0].Key != 1 || out.Respelt[0].Part.ID != "P1" || !s.Parts[0].Notes[2].Tied {
		t.Errorf("respelt %+v", out.Respelt)
	}
}

// What stays is told, each kind once a part.
func TestTransposeLeft(t *testing.T) {
	fret := func(pitch string) string {
		return tone(pitch, "1", "", `<notations><technical><string>1</string><fret>0</fret></technical></notations>`)
	}
	_, _, out := transposed(t, documentOf(t, harpScore(keyed(0, fret("E4")+fret("E4")), plain1("C9", "C9"))), Options{}, Interval{12, 7}, nil)
	var got []string
	for _, w := range out.Left {
		got = append(got, fmt.Sprintf("%s %s %s %d %d %s", w.Code, w.Part, w.Measure, w.Index, w.Line, strings.Fields(w.Text)[1]))
	}
	if want := "[transpose-left P1 1 0 4 string transpose-left P1 2 1 5 note]"; fmt.Sprint(got) != want {
		t.Errorf("%v, want %s", got, want)
	}
	d := documentOf(t, harpScore(plain1("C4")))
	s, err := Read(ctx, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.Transpose(ctx, documentOf(t, harpScore("")), Interval{2, 1}, nil)
	wantError(t, err, "no element begins at byte", "")
}

// printedWrong counts the notes of a part that do not print as what they are: with
// their accidental, else that of the same line before them in the measure, else
// the key signature. It shares no code with what puts accidentals in.
func printedWrong(s *Score, p *Part) (wrong []int) {
	type place struct {
		step          byte
		octave, staff int
	}
	tiedOver := map[int]bool{}
	for i := range p.Notes {
		if j := p.Notes[i].TiedTo; j >= 0 && p.Notes[j].Measure > p.Notes[i].Measure {
			tiedOver[j] = true
		}
	}
	for k := range p.Measures {
		first, notes := p.NotesOf(k)
		order := make([]int, len(notes))
		for i := range order {
			order[i] = first + i
		}
		for i := range order { // by time, those of one time in the order of the file
			for j := i; j > 0 && p.Notes[order[j]].Onset.Less(p.Notes[order[j-1]].Onset); j-- {
				order[j], order[j-1] = order[j-1], order[j]
			}
		}
		inForce, since := map[place]Frac{}, map[place]Frac{}
		for _, i := range order {
			n := &p.Notes[i]
			if n.Kind == Rest || n.Kind == Unpitched || n.Hidden || tiedOver[i] {
				continue
			}
			at := place{n.Pitch.Step, n.Pitch.Octave, n.Staff}
			var key Key
			for _, c := range p.Keys {
				if (c.Staff == 0 || c.Staff == n.Staff) && c.Measure <= n.Measure && !n.Onset.Less(c.Onset) {
					key = c
				}
			}
			alter, ok := inForce[at]
			if !ok || since[at].Less(key.Onset) {
				alter = keyAlter(key, n.Pitch.Step)
			}
			if a, known := accidentals[n.Accidental]; known && n.Accidental != "" {
				alter = a
			}
			if alter.Cmp(n.Pitch.Alter) != 0 {
				wrong = append(wrong, i)
			}
			inForce[at], since[at] = n.Pitch.Alter, n.Onset
		}
	}
	return wrong
}

func keyAlter(k Key, step byte) Frac {
	for _, s := range k.Steps {
		if s.Step == step {
			return s.Alter
		}
	}
	sharps, flats := "FCGDAEB", "BEADGCF"
	switch {
	case k.Fifths > 0 && strings.IndexByte(sharps[:min(k.Fifths, 7)], step) >= 0:
		return NewFrac(1, 1)
	case k.Fifths < 0 && strings.IndexByte(flats[:min(-k.Fifths, 7)], step) >= 0:
		return NewFrac(-1, 1)
	}
	return Frac{}
}

// semitones is the height of a pitch by a table of letters.
func semitones(p Pitch) Frac {
	return NewFrac(int64(12*p.Octave+map[byte]int{'C': 0, 'D': 2, 'E': 4, 'F': 5, 'G': 7, 'A': 9, 'B': 11}[p.Step]), 1).Add(p.Alter)
}

// Real scores move there and back: every note sounds moved by the semitones, prints
// as what it is where it did before, and comes back where no section was respelt.
func TestTransposeScores(t *testing.T) {
	files := append(sharedFiles(t, "cases"), sharedFiles(t, "scores")...)
	intervals := []Interval{{1, 1}, {-1, -1}, {3, 2}, {-4, -2}, {2, 1}, {-5, -3}, {6, 3}, {-6, -4}, {1, 0}, {-2, -2}}
	if testing.Short() {
		files = files[:20]
	}
	for i, path := range files {
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		d, err := Open(ctx, path, raw, Limits{})
		if err != nil || len(d.Text) > 3<<20 {
			continue
		}
		s, err := Read(ctx, d, Options{})
		if err != nil {
			continue
		}
		by := intervals[i%len(intervals)]
		copied, is, out := transposed(t, d, Options{}, by, nil)
		if orderText(is.Order) != orderText(s.Order) || len(is.Warnings) > len(s.Warnings) {
			t.Errorf("%s: warnings %v, were %v", path, is.Warnings, s.Warnings)
		}
		for j, p := range s.Parts {
			if p.onlyPercussion() {
				continue
			}
			compareMoved(t, path, by, p, is.Parts[j], len(out.Respelt) > 0)
			was := printedWrong(s, p)
			for _, note := range printedWrong(is, is.Parts[j]) {
				if !slices.Contains(was, note) {
					t.Errorf("%s, %s: note %d prints wrong after %+v, but not before", path, p.ID, note, by)
				}
			}
		}
		if len(out.Respelt) > 0 {
			continue
		}
		_, back, _ := transposed(t, copied, Options{}, Interval{-by.Semitones, -by.Steps}, nil)
		for j, p := range s.Parts {
			if sounds(back.Parts[j]) != sounds(p) {
				t.Errorf("%s, %s: there and back it is another", path, p.ID)
			}
		}
	}
}

// compareMoved compares the notes of a part with those of its moved copy.
func compareMoved(t *testing.T, path string, by Interval, was, is *Part, respelt bool) {
	t.Helper()
	if len(was.Notes) != len(is.Notes) || len(was.Keys) != len(is.Keys) {
		t.Fatalf("%s: notes are lost", path)
	}
	for i := range was.Notes {
		a, b := &was.Notes[i], &is.Notes[i]
		if a.Kind != b.Kind || a.Onset != b.Onset || a.Length != b.Length || a.Tied != b.Tied || a.TiedTo != b.TiedTo {
			t.Fatalf("%s: note %d is %+v, was %+v", path, i, b, a)
		}
		if a.Kind == Rest || a.Kind == Unpitched {
			continue
		}
		if semitones(b.Pitch).Sub(semitones(a.Pitch)) != NewFrac(int64(by.Semitones), 1) {
			t.Fatalf("%s: note %d is %v, was %v", path, i, b.Pitch, a.Pitch)
		}
		step := func(p Pitch) int { return 7*p.Octave + strings.IndexByte("CDEFGAB", p.Step) }
		if !respelt && step(b.Pitch)-step(a.Pitch) != by.Steps {
			t.Fatalf("%s: note %d is spelt %v, was %v", path, i, b.Pitch, a.Pitch)
		}
	}
	for i := range was.Keys {
		if f := is.Keys[i].Fifths; was.Keys[i].Steps == nil && (f < -7 || f > 7 || (f-was.Keys[i].Fifths-by.Fifths())%12 != 0) {
			t.Errorf("%s: key %d has %d fifths, had %d", path, i, f, was.Keys[i].Fifths)
		}
	}
}

// FuzzTranspose: whatever score can be read is moved to one in which each note
// sounds higher by the interval.
func FuzzTranspose(f *testing.F) {
	for i, s := range fuzzScores() {
		f.Add([]byte(s), int8(i-5), int8(i%4-2))
	}
	f.Fuzz(func(t *testing.T, raw []byte, semitones, steps int8) {
		d, err := Open(ctx, "x", raw, fuzzLimits)
		if err != nil {
			return
		}
		s, err := Read(ctx, d, Options{Limits: fuzzLimits})
		if err != nil {
			return
		}
		by := Interval{int(semitones), int(steps)}
		out, err := s.Transpose(ctx, d, by, nil)
		if err != nil {
			t.Fatal(err)
		}
		copied, err := d.Splice(ctx, out.Edits)
		if err != nil {
			t.Fatal(err)
		}
		larger := Limits{Bytes: 2 << 20, Depth: 64, Entries: 20, Played: 2000}
		again, err := Open(ctx, "x", copied, larger)
		if err != nil {
			t.Fatal(err)
		}
		is, err := Read(ctx, again, Options{Limits: larger})
		if err != nil {
			return // an octave or alteration may have gone beyond what is read
		}
		for j, p := range s.Parts {
			if !p.onlyPercussion() && by != (Interval{}) {
				compareMoved(t, "x", by, p, is.Parts[j], true)
			}
		}
	})
}
