package main

import (
	"bytes"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/report"
)

// played is a composed score and a plan for it. plays names the string of each
// attacked note in written order; "-" leaves it as written.
func played(t *testing.T, notes, plays string) (*bridge, *pedal.Plan) {
	t.Helper()
	b := bridgeOf(t, strings.Split(notes, ";")...)
	plan := &pedal.Plan{Strings: make([]pedal.String, len(b.passage.Notes))}
	words := strings.Fields(plays)
	for i, n := range b.inWrittenOrder() {
		p := b.passage.Notes[n].Pitch
		s := pedal.String{Letter: p.Letter, Octave: p.Octave, Position: pedal.Position(p.Cents / 100), OK: true}
		if words[i] != "-" {
			m, ok := pedal.ParseMarks(words[i])
			if !ok {
				t.Fatalf("%q is no string", words[i])
			}
			s.Letter, s.Position = m.Pedals[0].Letter, m.Pedals[0].Position
		}
		plan.Strings[n] = s
	}
	return b, plan
}

// textsFor marks the notes of a composed score as a plan would play them, and
// lists the texts above the notes; see played.
func textsFor(t *testing.T, notes, plays string) string {
	t.Helper()
	b, plan := played(t, notes, plays)
	var list []string
	for _, m := range respeltTexts(b, plan, pedal.English, func(int) bool { return true }) {
		if !m.Small || m.Placement != "above" {
			t.Errorf("%+v is not small and above", m)
		}
		grace := ""
		if m.Before >= 0 {
			grace = "g"
		}
		list = append(list, b.score.Measures[m.Measure].Number+":"+m.Offset.String()+grace+"/"+strconv.Itoa(m.Staff)+" "+strings.ReplaceAll(m.Words, between, " "))
	}
	return strings.Join(list, ", ")
}

// Respelt notes are reported from measure to measure and beat to beat, whatever
// their staff.
func TestRespeltRowsAreInOrder(t *testing.T) {
	b, plan := played(t, "R:8 C#5:8 | F#3:4 C#3:12;F#4:16 | F#3:16", "G♭ D♭ D♭ G♭ G♭")
	var rows []string
	for _, r := range b.respelt(plan) {
		rows = append(rows, r.Measure+":"+r.Offset+" "+r.Written+" "+r.Played)
	}
	want := "1:0 F♯3 G♭3, 1:1 C♯3 D♭3, 1:2 C♯5 D♭5, 2:0 F♯4 G♭4, 2:0 F♯3 G♭3"
	if got := strings.Join(rows, ", "); got != want {
		t.Errorf("rows %s, want %s", got, want)
	}
}

func TestRespeltTexts(t *testing.T) {
	for _, tt := range []struct{ name, notes, plays, want, why string }{
		{"one", "C#5:4 D5:4", "D♭ -", "1:0/1 (D♭)", "over the note"},
		{"natural", "B#4:4 D5:4", "C♮ -", "1:0/1 (C♮)", "a natural has its sign, so that it is no letter of a section"},
		{"run", "C#5:4 C#5:4 E5:4 C#5:4", "D♭ D♭ - D♭", "1:0/1 (D♭)", "once for a run"},
		{"broken run", "C#5:4 C#5:4 C#5:4", "D♭ - D♭", "1:0/1 (D♭), 1:2/1 (D♭)", "in between it was played as written"},
		{"other string", "B#4:4 B#4:4", "C♮ -", "1:0/1 (C♮)", "the second is played as written"},
		{"next measure", "C#5:16;C#5:16", "D♭ D♭", "1:0/1 (D♭)", "the run goes on"},
		{"a measure later", "C#5:16;R:16;C#5:16", "D♭ D♭", "1:0/1 (D♭), 3:0/1 (D♭)", "it has not come for a measure"},
		{"chord", "C#4+F#4+A4:4", "D♭ G♭ -", "1:0/1 (D♭ G♭)", "one text for a chord, from the lowest note up"},
		{"chord, top first", "F#4+C#4:4", "G♭ D♭", "1:0/1 (D♭ G♭)", "whatever the order in the file"},
		{"octave", "C#4+C#5:4", "D♭ D♭", "1:0/1 (D♭)", "a pedal is named once"},
		{"other octave later", "C#4:4 C#5:4", "D♭ D♭", "1:0/1 (D♭), 1:1/1 (D♭)", "another line of the staff"},
		{"two staves", "C#5:4 | C#3:4", "D♭ D♭", "1:0/1 (D♭), 1:0/2 (D♭)", "each staff has its own"},
		{"grace", "g.C#5 D5:4", "D♭ -", "1:0g/1 (D♭)", "before the grace note"},
		{"nothing", "C#5:4", "-", "", "nothing is respelt"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := textsFor(t, tt.notes, tt.plays); got != tt.want {
				t.Errorf("%s, want %s (%s)", got, tt.want, tt.why)
			}
		})
	}
}

// Where an ornament stands in the measure on the staff, notes are not rewritten
// but told by text.
func TestRewrittenNotes(t *testing.T) {
	for _, tt := range []struct{ name, notes, want, why string }{
		{"plain", "C4+C#4:4", "0=B#3", "C and C sharp at once need two letters"},
		{"ornament beside", "C4+C#4:4 <trill> G4:4", "", "the trill's neighbour could be read otherwise"},
		{"ornament on the other staff", "C4+C#4:4 | <trill> G3:4", "0=B#3", "accidentals do not reach there"},
		{"ornament in the next measure", "C4+C#4:4;<trill> G4:4", "0=B#3", "accidentals end at the barline"},
		{"tied out of it", "<trill> G4:8 <tie> C4+C#4:8;</tie> C4+C#4:16", "", "the whole chain of ties is rewritten or none of it"},
		{"tied into it", "<tie> C4+C#4:16;</tie> C4+C#4:4 <trill> G4:4", "", "the whole chain of ties is rewritten or none of it"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := bridgeOf(t, strings.Split(tt.notes, ";")...)
			plan := &pedal.Plan{Strings: make([]pedal.String, len(b.passage.Notes))}
			for i, n := range b.passage.Notes {
				plan.Strings[i] = pedal.String{Letter: n.Pitch.Letter, Octave: n.Pitch.Octave, Position: pedal.Position(n.Pitch.Cents / 100), OK: true}
			}
			c := slices.IndexFunc(b.passage.Notes, func(n pedal.Note) bool { return n.Pitch == pedal.Pitch{Letter: pedal.C, Octave: 4} })
			plan.Strings[c] = pedal.String{Letter: pedal.B, Octave: 3, Position: pedal.Sharp, OK: true}
			got := ""
			for _, r := range b.rewritten(plan) {
				got += strconv.Itoa(r.Note) + "=" + r.Pitch.String()
			}
			if got != tt.want {
				t.Errorf("%q, want %q (%s)", got, tt.want, tt.why)
			}
		})
	}
}

// The option decides between texts, rewritten notes and nothing; the report
// lists what else has changed.
func TestRespellNotesOption(t *testing.T) {
	// In mode free, D flat is played as C sharp: it saves the changes of D.
	data := compose("Db5:4 E5:4 C#5:4 R:4", "C#5:4 Db4:4 C#5:4 D5:4")
	for _, tt := range []struct {
		args  []string
		texts int
		notes int // edits of notes
	}{
		{[]string{"--respell", "free"}, 1, 0},
		{[]string{"--respell", "free", "--respell-notes", "rewrite"}, 0, 1},
		{[]string{"--respell", "free", "--respell-notes", "none"}, 0, 0},
	} {
		var out, errs bytes.Buffer
		run(append([]string{"mark", "--quiet", "--report", "none"}, tt.args...), bytes.NewReader(data), &out, &errs)
		if got := strings.Count(out.String(), ">(C♯)<"); min(got, 1) != tt.texts {
			t.Errorf("%v: %d texts\n%s%s", tt.args, got, out.String(), errs.String())
		}
		if got := strings.Count(out.String(), "<!--pedalogue:begin P"); min(got, 1) != tt.notes {
			t.Errorf("%v: %d rewritten notes", tt.args, got)
		}
	}
	var out, errs bytes.Buffer
	if code := run([]string{"mark", "--respell-notes", "twice"}, bytes.NewReader(data), &out, &errs); code != exitUsage || !strings.Contains(errs.String(), "--respell-notes") {
		t.Errorf("exit %d: %s", code, errs.String())
	}
}

func TestSignFindings(t *testing.T) {
	doc, score := readScore(t, "C#5:4 R:12", "R:4 | C#4:4 D4:4")
	p := score.Parts[0]
	at := slices.IndexFunc(p.Notes, func(n musicxml.Note) bool { return n.Staff == 2 && n.Pitch.Step == 'C' })
	_, signs := score.Respell(doc, []musicxml.Respelling{{Part: p, Note: at, Pitch: musicxml.Pitch{Step: 'D', Alter: musicxml.NewFrac(-1, 1), Octave: 4}}})
	list := signFindings(score, score.Players()[0], signs)
	if len(list) != 1 {
		t.Fatalf("%d findings: %+v", len(list), list)
	}
	f := list[0]
	if f.Kind != "accidental-changed" || f.Severity != report.SeverityNote || f.Measure != "2" || f.Index != 1 || f.Offset != "1" || f.Staff != 2 ||
		!slices.Equal(f.Notes, []string{"D4"}) || !strings.Contains(f.Text, "natural sign") {
		t.Errorf("%+v", f)
	}
}

var placed = regexp.MustCompile(`<!--pedalogue:(begin|end)[^>]*-->`)

// A rewritten copy, read as it stands and played as written, takes as many
// changes as the plan that it was made for, and leaves no note to be respelt.
func TestRewrittenIsPlayed(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	checked := 0
	for i, path := range sharedScores(t) {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if len(data) > 60<<10 || i%2 > 0 {
			continue
		}
		set := defaultSettings()
		set.plan.FootTime, set.plan.Mode, set.plan.Instrument = -1, pedal.Free, pedal.AllStrings()
		set.respellNotes = respellRewrite
		doc, err := musicxml.Open(path, data, musicxml.Limits{})
		if err != nil {
			continue
		}
		score, err := musicxml.Read(doc, set.read)
		if err != nil {
			continue
		}
		set.read.Part = score.Parts[len(score.Parts)-1].ID
		m, copied, err := marking(path, data, set)
		if err != nil {
			continue
		}
		part := m.report.Parts[0]
		if part.Cost.Respelt == 0 || leftAsWritten(t, doc, set) {
			continue
		}
		checked++
		bare := placed.ReplaceAll(opened(t, path, copied).Text, nil)
		if doc.Encoding.Name != "UTF-8" {
			continue
		}
		set.plan.Mode = pedal.Written
		again, _, err := marking("x", bare, set)
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		got := again.report.Parts[0].Cost
		if got.Respelt != 0 || got.Changes != part.Cost.Changes || got.Unsounded != part.Cost.Unsounded {
			t.Errorf("%s: as written it costs %+v, the plan %+v", path, got, part.Cost)
		}
		checkContradictions(t, path, m.report, again.report)
	}
	if checked == 0 {
		t.Error("nothing was checked")
	}
}

// leftAsWritten reports whether a note is left as it is because of an ornament.
func leftAsWritten(t *testing.T, doc *musicxml.Document, set settings) bool {
	t.Helper()
	score, err := musicxml.Read(doc, set.read)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range score.Parts {
		for _, n := range p.Notes {
			if p.Harp && n.Signs != nil && len(n.Signs.Ornaments) > 0 {
				return true
			}
		}
	}
	return false
}

// checkContradictions wants no accidental in the rewritten copy to contradict
// its pitch, where none did before.
func checkContradictions(t *testing.T, path string, before, after *report.Score) {
	t.Helper()
	count := func(r *report.Score) (n int) {
		for _, w := range r.Warnings {
			if w.Code == "accidental-contradicts-alter" {
				n++
			}
		}
		return n
	}
	if count(after) > count(before) {
		t.Errorf("%s: an accidental contradicts its pitch", path)
	}
}
