package part

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/part/parttest"
	"pedalogue/pedal/spelling"
)

// composed is the part of the only player of a composed score.
func composed(t *testing.T, measures ...string) *Part {
	t.Helper()
	_, score := parttest.Read(t, parttest.Compose(measures...))
	p, err := New(score, score.Players()[0], Options{})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// played is a composed score and a plan for it. plays names the string of each
// attacked note in written order; "-" leaves it as written.
func played(t *testing.T, notes, plays string) (*Part, *pedal.Plan) {
	t.Helper()
	b := composed(t, strings.Split(notes, ";")...)
	plan := &pedal.Plan{Strings: make([]pedal.String, len(b.Passage.Notes))}
	words := strings.Fields(plays)
	for i, n := range b.inWrittenOrder() {
		p := b.Passage.Notes[n].Pitch
		s := pedal.String{Letter: p.Letter, Octave: p.Octave, Position: pedal.Position(p.Cents / 100), OK: true}
		if words[i] != "-" {
			m, ok := spelling.Parse(words[i])
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
	for _, m := range b.respeltTexts(plan, spelling.English, func(int) bool { return true }) {
		if !m.Small || m.Placement != "above" {
			t.Errorf("%+v is not small and above", m)
		}
		grace := ""
		if m.Before >= 0 {
			grace = "g"
		}
		list = append(list, b.Score.Measures[m.Measure].Number+":"+m.Offset.String()+grace+"/"+strconv.Itoa(m.Staff)+" "+strings.ReplaceAll(m.Words, spelling.Between, " "))
	}
	return strings.Join(list, ", ")
}

func TestRespeltTexts(t *testing.T) {
	for _, tt := range []struct{ name, notes, plays, want, why string }{
		{"one", "C#5:4 D5:4", "D♭ -", "1:0/1 = D♭", "over the note"},
		{"natural", "B#4:4 D5:4", "C♮ -", "1:0/1 = C♮", "a natural has its sign, so that it is no letter of a section"},
		{"run", "C#5:4 C#5:4 E5:4 C#5:4", "D♭ D♭ - D♭", "1:0/1 = D♭", "once for a run"},
		{"broken run", "C#5:4 C#5:4 C#5:4", "D♭ - D♭", "1:0/1 = D♭, 1:2/1 = D♭", "in spelling.Between it was played as written"},
		{"other string", "B#4:4 B#4:4", "C♮ -", "1:0/1 = C♮", "the second is played as written"},
		{"next measure", "C#5:16;C#5:16", "D♭ D♭", "1:0/1 = D♭", "the run goes on"},
		{"a measure later", "C#5:16;R:16;C#5:16", "D♭ D♭", "1:0/1 = D♭, 3:0/1 = D♭", "it has not come for a measure"},
		{"chord", "C#4+F#4+A4:4", "D♭ G♭ -", "1:0/1 = D♭ G♭", "one text for a chord, from the lowest note up"},
		{"chord, top first", "F#4+C#4:4", "G♭ D♭", "1:0/1 = D♭ G♭", "whatever the order in the file"},
		{"octave", "C#4+C#5:4", "D♭ D♭", "1:0/1 = D♭", "a pedal is named once"},
		{"other octave later", "C#4:4 C#5:4", "D♭ D♭", "1:0/1 = D♭", "one pedal moves the strings of all octaves"},
		{"other octave as written", "C#4:4 D5:4 C#5:4 C#4:4", "D♭ - - D♭", "1:0/1 = D♭, 1:3/1 = D♭", "the run is broken in whatever octave"},
		{"two staves", "C#5:4 | C#3:4", "D♭ D♭", "1:0/1 = D♭, 1:0/2 = D♭", "each staff has its own"},
		{"grace", "g.C#5 D5:4", "D♭ -", "1:0g/1 = D♭", "before the grace note"},
		{"nothing", "C#5:4", "-", "", "nothing is respelt"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := textsFor(t, tt.notes, tt.plays); got != tt.want {
				t.Errorf("%s, want %s (%s)", got, tt.want, tt.why)
			}
		})
	}
}

// What an ornament leans on is not rewritten but told by text: its own note, and the
// lines of its neighbours. So are, in the same measure, other notes of that name.
func TestRewrittenNotes(t *testing.T) {
	for _, tt := range []struct{ name, notes, want, why string }{
		{"plain", "C4+C#4:4", "0=B#3", "C and C sharp at once need two letters"},
		{"ornament far off", "C4+C#4:4 <trill> G4:4", "0=B#3", "the trill's neighbour is A"},
		{"ornament on the note", "<trill> C4+C#4:4", "", "its neighbour is told from its name"},
		{"ornament on another of the name", "C4+C#4:4 <trill> C4:4", "", "the name would be read in two ways"},
		{"the same in another measure", "C4+C#4:4;<trill> C4:4", "0=B#3", "by then it is another line of music"},
		{"neighbour below on its old line", "C4+C#4:4 <mord> D4:4", "", "the mordent's neighbour is what C is"},
		{"neighbour above on its old line", "C4+C#4:4 <trill> B3:4", "", "the trill's neighbour is what C is"},
		{"neighbour on its new line", "C4+C#4:4 <trill> A3:4", "", "the trill's neighbour would be B sharp"},
		{"neighbour on the other side", "C4+C#4:4 <trill> D4:4", "0=B#3", "the trill goes to E"},
		{"ornament on the other staff", "C4+C#4:4 | <trill> B3:4", "0=B#3", "accidentals do not reach there"},
		{"ornament in the next measure", "C4+C#4:4;<trill> B3:4", "0=B#3", "accidentals end at the barline"},
		{"tied out of it", "<trill> B3:8 <tie> C4+C#4:8;</tie> C4+C#4:16", "", "the whole chain of ties is rewritten or none of it"},
		{"tied into it", "<tie> C4+C#4:16;</tie> C4+C#4:4 <trill> B3:4", "", "the whole chain of ties is rewritten or none of it"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := composed(t, strings.Split(tt.notes, ";")...)
			plan := &pedal.Plan{Strings: make([]pedal.String, len(b.Passage.Notes))}
			for i, n := range b.Passage.Notes {
				plan.Strings[i] = pedal.String{Letter: n.Pitch.Letter, Octave: n.Pitch.Octave, Position: pedal.Position(n.Pitch.Cents / 100), OK: true}
			}
			c := slices.IndexFunc(b.Passage.Notes, func(n pedal.Note) bool { return n.Pitch == pedal.Pitch{Letter: pedal.C, Octave: 4} })
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
