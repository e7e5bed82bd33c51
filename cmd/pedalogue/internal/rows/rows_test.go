package rows

import (
	"context"
	"slices"
	"strings"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/part"
	"pedalogue/pedal/part/parttest"
	"pedalogue/report"
)

// rowerOf plans a composed score.
func rowerOf(t *testing.T, w Wants, measures ...string) *rower {
	t.Helper()
	_, score := parttest.Read(t, parttest.Compose(measures...))
	p, err := part.New(score, score.Players()[0], w.Part)
	if err != nil {
		t.Fatal(err)
	}
	done, err := p.Plan(t.Context(), w.Plan)
	if err != nil {
		t.Fatal(err)
	}
	return &rower{part: p, done: done, wants: &w}
}

// Respelt notes are reported from measure to measure and beat to beat, whatever
// their staff.
func TestRespeltRowsAreInOrder(t *testing.T) {
	r := rowerOf(t, Wants{}, "R:8 C#5:8 | F#3:4 C#3:12", "F#4:16 | F#3:16")
	r.done.Plan = &pedal.Plan{}
	for _, n := range r.part.Passage.Notes {
		s := pedal.String{Letter: pedal.D, Position: pedal.Flat, Octave: n.Pitch.Octave, OK: true}
		if n.Pitch.Letter == pedal.F {
			s.Letter = pedal.G
		}
		r.done.Plan.Strings = append(r.done.Plan.Strings, s)
	}
	var rows []string
	for _, r := range r.respelt() {
		rows = append(rows, r.Measure+":"+r.Offset+" "+r.Written+" "+r.Played)
	}
	want := "1:0 F♯3 G♭3, 1:1 C♯3 D♭3, 1:2 C♯5 D♭5, 2:0 F♯4 G♭4, 2:0 F♯3 G♭3"
	if got := strings.Join(rows, ", "); got != want {
		t.Errorf("rows %s, want %s", got, want)
	}
}

func TestImpliedLeftOutIsTold(t *testing.T) {
	r := rowerOf(t, Wants{Part: part.Options{WrittenOnly: true}}, "<trill> C5:4 <gliss> D4:8 </gliss> D6:4 | R:16")
	var got []string
	findings, err := r.findings(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range findings {
		got = append(got, f.Kind+" "+string(f.Severity)+" "+f.Offset+" "+strings.Join(f.Notes, "+"))
	}
	if want := []string{"no-tempo note 0 ", "left-out note 0 C5", "left-out note 1 D4"}; !slices.Equal(got, want) {
		t.Errorf("found %q, want %q", got, want)
	}
}

func TestSignFindings(t *testing.T) {
	doc, score := parttest.Read(t, parttest.Compose("C#5:4 R:12", "R:4 | C#4:4 D4:4"))
	p := score.Parts[0]
	r := rower{part: &part.Part{Score: score, Player: score.Players()[0]}, wants: &Wants{}}
	at := slices.IndexFunc(p.Notes, func(n musicxml.Note) bool { return n.Staff == 2 && n.Pitch.Step == 'C' })
	_, signs, err := score.Respell(context.Background(), doc, []musicxml.Respelling{{Part: p, Note: at, Pitch: musicxml.Pitch{Step: 'D', Alter: musicxml.NewFrac(-1, 1), Octave: 4}}})
	if err != nil {
		t.Fatal(err)
	}
	list := r.signs(signs)
	if len(list) != 1 {
		t.Fatalf("%d findings: %+v", len(list), list)
	}
	f := list[0]
	if f.Kind != "accidental-changed" || f.Severity != report.SeverityNote || f.Measure != "2" || f.Index != 1 || f.Offset != "1" || f.Staff != 2 ||
		!slices.Equal(f.Notes, []string{"D4"}) || !strings.Contains(f.Text, "natural sign") {
		t.Errorf("%+v", f)
	}
}

// Findings about marks in the score obey --findings like all others.
func TestFindingsAboutMarksAreJudged(t *testing.T) {
	c, err := Judge([]string{"mark-differs=off", "accidental-changed=error"}, nil)
	if err != nil {
		t.Fatal(err)
	}
	got := c.judged([]report.Finding{
		{Kind: string(kindMarkDiffers), Severity: report.SeverityWarning},
		{Kind: string(kindAccidentalChanged), Severity: report.SeverityNote},
		{Kind: string(kindMarkNotKept), Severity: report.SeverityWarning},
	})
	if len(got) != 2 || got[0].Severity != report.SeverityError || got[1].Severity != report.SeverityWarning {
		t.Errorf("judged %+v: want the first left out, the second an error, the third as it was", got)
	}
}

func TestJudge(t *testing.T) {
	for _, tt := range []struct {
		args string
		fail string // in the error; "" for none
		kind finding.Kind
		want finding.Severity
		at   finding.Limit
	}{
		{args: "--findings string-clash=warning,leap=off", kind: "leap", want: finding.Off},
		{args: "--findings all=off --findings leap=error", kind: "leap", want: finding.Error},
		{args: "--findings leap=error,all=off", kind: "leap", want: finding.Off},
		{args: "--limit leap=0.3,right-hand-low=A2", kind: "leap", at: 300},
		{args: "--limit right-hand-low=A2", kind: "right-hand-low", at: 19},
		{args: "--findings leaps=off", fail: `"leaps" is no kind of finding; --help-findings lists them`},
		{args: "--findings leap=loud", fail: `"loud" is not a severity`},
		{args: "--findings leap", fail: "is not a severity"},
		{args: "--limit leap=soon", fail: `"soon" is not a number of seconds`},
		{args: "--limit one-foot=2", fail: "this kind has no limit"},
		{args: "--limit nothing=2", fail: "no kind of finding"},
	} {
		given := map[string][]string{}
		for words := strings.Fields(tt.args); len(words) > 0; words = words[2:] {
			given[words[0]] = append(given[words[0]], strings.Split(words[1], ",")...)
		}
		c, err := Judge(given["--findings"], given["--limit"])
		if tt.fail != "" {
			if err == nil || !strings.Contains(err.Error(), tt.fail) {
				t.Errorf("%s: the error is %v, want %q", tt.args, err, tt.fail)
			}
			continue
		}
		if err != nil || c.severities[tt.kind] != tt.want || c.limits[tt.kind] != tt.at {
			t.Errorf("%s: %v, %+v", tt.args, err, c)
		}
	}
}
