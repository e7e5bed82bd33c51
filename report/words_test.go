package report

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pedalogue/report/plain"
)

func TestCount(t *testing.T) {
	for _, tt := range []struct {
		n    int
		want string
	}{{0, "no changes"}, {1, "1 change"}, {2, "2 changes"}, {1000, "1,000 changes"}, {1234567, "1,234,567 changes"}} {
		if got := count(tt.n, "change"); got != tt.want {
			t.Errorf("count(%d) = %q, want %q", tt.n, got, tt.want)
		}
	}
}

func TestOrdinal(t *testing.T) {
	want := map[int]string{1: "1st", 2: "2nd", 3: "3rd", 4: "4th", 11: "11th", 12: "12th", 13: "13th", 21: "21st", 111: "111th", 102: "102nd"}
	for n, w := range want {
		if got := ordinal(n); got != w {
			t.Errorf("ordinal(%d) = %q, want %q", n, got, w)
		}
	}
}

func TestBeatNumber(t *testing.T) {
	for _, tt := range []struct{ name, offset, unit, want string }{
		{"downbeat", "0", "1", "1"},
		{"off the second beat", "3/2", "1", "2½"},
		{"eighths in 6/8", "3/2", "1/2", "4"},
		{"halves in 2/2", "3", "2", "2½"},
		{"triplet", "2/3", "1", "1⅔"},
		{"a sextuplet note", "5/6", "1", "1⅚"},
		{"a septuplet note, whose fraction has no sign of its own", "4/7", "1", "1⁴⁄₇"},
		{"before the barline", "-1/2", "1", "½"},
		{"not a fraction", "x\x1b", "1", "x�"},
		{"no unit", "1", "0", "1"},
	} {
		if got := beatNumber(tt.offset, tt.unit); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// TestUnit makes sure that quarter notes are not called beats where one measure
// does not know its beat.
func TestUnit(t *testing.T) {
	s := demo()
	p := &s.Parts[0]
	if got := timelineOf(p).place(p.Changes[0].Marked, 1); got != "m. 2 (1st time), beat 2" {
		t.Errorf("place %q", got)
	}
	p.Bars[5].Beat = ""
	if got := timelineOf(p).place(p.Changes[0].Marked, 1); got != "m. 2 (1st time), quarter 2" {
		t.Errorf("place %q", got)
	}
}

func TestMeasure(t *testing.T) {
	bars := []Bar{{Place: Place{Measure: "1"}, Pass: 1}}
	for pass := range 5 {
		bars = append(bars, Bar{Place: Place{Measure: "2", Index: 1}, Pass: pass + 1})
	}
	when := timelineOf(&Part{Bars: bars})
	for _, tt := range []struct {
		name   string
		place  Place
		passes []int
		want   string
	}{
		{"played once", Place{"1", 0, "0"}, []int{1}, "1"},
		{"one of several", Place{"2", 1, "0"}, []int{1}, "2 (1st time)"},
		{"two", Place{"2", 1, "0"}, []int{1, 3}, "2 (1st and 3rd time)"},
		{"a run", Place{"2", 1, "0"}, []int{1, 2, 3, 4}, "2 (1st to 4th time)"},
		{"no run", Place{"2", 1, "0"}, []int{1, 2, 5}, "2 (1st, 2nd and 5th time)"},
		{"no number printed", Place{"", 7, "0"}, []int{1}, "#8"},
		{"played again, as the change says", Place{"9", 8, "0"}, []int{2}, "9 (2nd time)"},
	} {
		if got := when.measure(tt.place, tt.passes...); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestProofSentence(t *testing.T) {
	all := []string{"unsounded", "held", "rushed", "changes", "respelt"}
	weighed := []string{"unsounded", "held", "rushed", "respelt", "switches", "changes"}
	for _, tt := range []struct {
		name string
		part Part
		want string
	}{
		{"proved", Part{Proof: Proof{Minimal: true, Covers: []string{"unsounded", "changes"}}},
			"Proved: no plan is better. What counts, the most important first: notes that no string can play, pedal changes."},
		{"one cost", Part{Proof: Proof{Minimal: true, Covers: []string{"unsounded"}}},
			"Proved: no plan is better. What counts: notes that no string can play."},
		{"a weighed sum is one cost", Part{Options: Options{Respell: "balanced", ChangePrice: 3, SwitchPrice: 1}, Proof: Proof{Minimal: true, Covers: weighed}},
			"Proved: no plan is better. What counts, the most important first: notes that no string can play, changes under a note still held, rushed changes, pedal changes, switches of a name to another string and respelt notes together (one change counts as 3, one switch as 1)."},
		{"not proved", Part{Proof: Proof{Covers: all, Bound: Cost{Changes: 28, Notches: 1}}},
			"Not proved: a better plan may exist. No plan can do better than 28 changes in all and 1 notch."},
		{"nothing known", Part{},
			"Not proved: a better plan may exist. No plan can do better than no change at all."},
	} {
		if got := tt.part.proofSentence(); got != tt.want {
			t.Errorf("%s:\n got %q\nwant %q", tt.name, got, tt.want)
		}
	}
}

func TestASCII(t *testing.T) {
	if got, want := plain.ASCII("F♯ B♭ E♮ – 2½, 1⁴⁄₇ … café 𝄞"), `F# Bb En - 2 1/2, 1 4/7 ... caf\u00e9 \U0001d11e`; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	for line := range strings.Lines(textOf(t, demo(), TextOptions{ASCII: true})) {
		if strings.IndexFunc(line, func(r rune) bool { return r > 126 }) >= 0 {
			t.Errorf("not ASCII: %q", line)
		}
	}
}

func TestFold(t *testing.T) {
	finding := func(kind string, s Severity, index, pass int) Finding {
		return Finding{Kind: kind, Severity: s, Place: Place{Index: index, Offset: "0"}, Pass: pass, Notes: []string{fmt.Sprintf("C%d", index)}}
	}
	var findings []Finding
	for i := range 9 {
		findings = append(findings, finding("trill", SeverityNote, i, 1))
	}
	for i := range 6 {
		findings = append(findings, finding("held", SeverityWarning, i, 1), finding("held", SeverityWarning, i, 2))
	}
	findings = append(findings, finding("clash", SeverityError, 3, 1))
	type row struct {
		kind          string
		shown, folded int
	}
	var got []row
	for _, f := range fold(findings) {
		got = append(got, row{f.shown[0].Kind, len(f.shown), len(f.folded)})
	}
	want := []row{
		{"clash", 1, 0}, // the gravest first
		{"held", 6, 0},  // twelve, but six printed places: one more than five is not folded
		{"trill", 2, 7},
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if r := measureRange(fold(findings)[2].folded); r != "mm. #3–#9" {
		t.Errorf("range %q", r)
	}
}

// Findings of one cause are one, with their places: those of one kind, severity, notes
// and remedy. Of one severity the most important come first.
func TestMerge(t *testing.T) {
	at := func(index, pass, rank int, notes, remedy string) Finding {
		return Finding{Kind: "leap", Severity: SeverityWarning, Place: Place{Index: index, Offset: "0"}, Pass: pass, Rank: rank, Notes: []string{notes}, Remedy: remedy}
	}
	got := merge([]Finding{
		at(0, 1, 4, "C4", ""), at(0, 2, 5, "C4", ""), at(1, 1, 3, "D4", ""), at(2, 1, 6, "C4", ""), at(2, 1, 7, "C4", ""), at(3, 1, 8, "C4", "Leave out C4."),
		{Kind: "tempo", Severity: SeverityWarning, Rank: 1, Text: "a", Place: Place{Offset: "0"}},
		{Kind: "tempo", Severity: SeverityWarning, Rank: 2, Text: "b", Place: Place{Offset: "0"}},
	})
	var rows []string
	for _, f := range got {
		rows = append(rows, fmt.Sprint(f.Rank, f.passes, f.times, len(f.keys), f.elsewhere()))
	}
	want := []string{"1 [1] 1 1", "2 [1] 1 1", "3 [1] 1 1", "4 [1 2] 4 4 The same in m. #3.", "8 [1] 1 1"}
	if !slices.Equal(rows, want) {
		t.Errorf("got %q, want %q", rows, want)
	}
	var many []Finding
	for i := range 20 {
		many = append(many, at(i, 1, i+1, "C4", ""))
	}
	if got := merge(many)[0].elsewhere(); !strings.HasSuffix(got, "#13 and 7 other measures.") {
		t.Errorf("twenty places are told as %q", got)
	}
}

func TestLiesSentence(t *testing.T) {
	for _, tt := range []struct {
		moments, decide, cannot int
		want                    string
	}{
		{0, 0, 0, "All of the music lies on the harp as it stands."},
		{40, 5, 2, "82 % of the music lies on the harp as it stands, 13 % needs a decision, 5 % cannot be played as planned."},
		{1000, 1, 0, "Over 99 % of the music lies on the harp as it stands, under 1 % needs a decision."},
		{3, 0, 3, "0 % of the music lies on the harp as it stands, 100 % cannot be played as planned."},
	} {
		l := LiesOf(tt.moments, tt.decide, tt.cannot)
		if got := l.sentence(); got != tt.want {
			t.Errorf("%+v: %q, want %q", tt, got, tt.want)
		}
		if sum := l.AsItStands + l.ToDecide + l.Cannot; sum < 0.9999 || sum > 1.0001 {
			t.Errorf("%+v: the shares add up to %v", tt, sum)
		}
	}
}

// TestTextNouns makes sure that no number is followed by a wrong
// noun.
func TestTextNouns(t *testing.T) {
	s := demo()
	p := &s.Parts[0]
	p.Cost, p.Changes, p.Findings, p.Respelt = Cost{Changes: 1, Respelt: 1}, p.Changes[:1], p.Findings[:1], p.Respelt[:1]
	got := textOf(t, s, TextOptions{})
	for _, want := range []string{"1 change,", "1 error,", "no warnings,", "1 reading warning", "\n  1 change\n", "\n  1 respelt note "} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	two := []Respelt{p.Respelt[0], p.Respelt[0]}
	for counted, want := range map[int]string{
		1: "\n  2 respelt notes, 1 with unisons counted once (",
		2: "\n  2 respelt notes (",
		3: "\n  2 respelt notes, 3 as played (",
	} {
		p.Respelt, p.Cost.Respelt = two, counted
		if got := textOf(t, s, TextOptions{}); !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	p.Changes = nil
	if !strings.Contains(textOf(t, s, TextOptions{}), "No pedal changes") {
		t.Error("a plan without changes does not say so")
	}
}

func TestWhyRushed(t *testing.T) {
	for _, tt := range []struct {
		window   [2]Seconds
		moveTime float64
		want     string
	}{
		{[2]Seconds{2, 1.96}, 0.2, "rushed: there is 0.16 s, and a move takes 0.2 s"},
		{[2]Seconds{2, 1.8}, 0.2, "rushed: there is no time, and a move takes 0.2 s"},
		{[2]Seconds{2.2, 1.8}, 0.2, "rushed: there is no time, and a move takes 0.2 s"}, // the string has not sounded for long enough
		{[2]Seconds{2, 2}, 0.2, "rushed: the foot has another change to make then"},
		{[2]Seconds{2, 4}, 0.2, "rushed: the foot has another change to make then"},
		{[2]Seconds{1.1, 1.3 - 0.2}, 0.2, "rushed: the foot has another change to make then"}, // 1.0999…
	} {
		if got := (Change{Window: tt.window, Rushed: true}).whyRushed(tt.moveTime); got != tt.want {
			t.Errorf("%v of %v: %q, want %q", tt.window, tt.moveTime, got, tt.want)
		}
	}
}

func TestQuarters(t *testing.T) {
	for length, want := range map[string]string{"3": "3 quarter notes", "5/2": "2½ quarter notes", "1": "1 quarter note", "1/2": "½ quarter note", "x": "x"} {
		if got := Quarters(length); got != want {
			t.Errorf("a length of %s is written %q, want %q", length, got, want)
		}
	}
}
