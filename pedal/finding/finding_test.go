package finding

import (
	"slices"
	"testing"

	"pedalogue/pedal"
)

func TestRules(t *testing.T) {
	seen := map[Kind]bool{}
	for _, r := range Rules() {
		if seen[r.Kind] || r.Kind == "" || r.Means == "" || r.find == nil || r.Severity == Unset {
			t.Errorf("the rule %q is not unique or not complete", r.Kind)
		}
		seen[r.Kind] = true
		if (r.Unit == NoUnit) != (r.Limit == 0) {
			t.Errorf("%s: limit %d of unit %d", r.Kind, r.Limit, r.Unit)
		}
		if r.Unit == NoUnit {
			continue
		}
		if got, err := r.Unit.Parse(r.Unit.Format(r.Limit)); err != nil || got != r.Limit {
			t.Errorf("%s: limit %d reads back as %d, %v", r.Kind, r.Limit, got, err)
		}
	}
}

func TestLimits(t *testing.T) {
	for _, c := range []struct {
		unit Unit
		text string
		want Limit // -1 for an error
	}{
		{Count, "6", 6}, {Count, "0", -1}, {Count, "x", -1}, {Count, "", -1},
		{Interval, "10", 10}, {Interval, "-3", -1},
		{Seconds, "0.25", 250}, {Seconds, "2", 2000}, {Seconds, "1m", -1}, {Seconds, "-1", -1}, {Seconds, "", -1},
		{String, "C3", 21}, {String, "c3", -1}, {String, "H3", -1}, {String, "C", -1},
		{NoUnit, "1", -1},
	} {
		got, err := c.unit.Parse(c.text)
		if c.want < 0 != (err != nil) || err == nil && got != c.want {
			t.Errorf("unit %d: %q is %d, %v; want %d", c.unit, c.text, got, err, c.want)
		}
	}
	for _, c := range []struct {
		unit  Unit
		limit Limit
		want  string
	}{{Interval, 10, "a tenth"}, {Interval, 40, "more than five octaves"}, {Seconds, 250, "0.25 s"}, {String, 21, "C3"}, {Count, 6, "6"}} {
		if got := c.unit.Describe(c.limit); got != c.want {
			t.Errorf("limit %d of unit %d reads %q, want %q", c.limit, c.unit, got, c.want)
		}
	}
}

func TestSeverities(t *testing.T) {
	for _, s := range []Severity{Off, Note, Warning, Error} {
		if got, err := ParseSeverity(s.String()); err != nil || got != s {
			t.Errorf("%v reads back as %v, %v", s, got, err)
		}
	}
	for _, text := range []string{"", "fatal", "Error"} {
		if _, err := ParseSeverity(text); err == nil {
			t.Errorf("%q is read as a severity", text)
		}
	}
}

func TestSeverityOfAKind(t *testing.T) {
	c := check{piece: piece{notes: "A7 - C5/C2+F4"}}
	for _, o := range []struct {
		set  map[Kind]Severity
		want []Severity
	}{
		{nil, []Severity{Error, Note}},
		{map[Kind]Severity{"out-of-compass": Off}, []Severity{Note}},
		{map[Kind]Severity{"out-of-compass": Warning, "share-chord": Error}, []Severity{Warning, Error}},
	} {
		c.change = func(_ *Music, options *Options) { options.Severities = o.set }
		_, found := findIn(t, c)
		var got []Severity
		for _, f := range found {
			got = append(got, f.Severity)
		}
		if !slices.Equal(got, o.want) {
			t.Errorf("with %v: %v, want %v", o.set, got, o.want)
		}
	}
}

func TestEmptyPassage(t *testing.T) {
	if _, found := findIn(t, check{piece: piece{notes: "- -"}}); len(found) > 0 {
		t.Errorf("silence has findings: %v", found)
	}
}

// What a caller can get wrong is an error.
func TestErrors(t *testing.T) {
	for _, tt := range []struct {
		why  string
		harm func(m *Music, plan *pedal.Plan)
	}{
		{"no passage", func(m *Music, _ *pedal.Plan) { m.Passage = nil }},
		{"the plan of other music", func(_ *Music, p *pedal.Plan) { p.Strings = p.Strings[:1] }},
		{"the plan of longer music", func(_ *Music, p *pedal.Plan) { p.Settings = append(p.Settings, pedal.Setting{}) }},
		{"a note left out at no moment", func(_ *Music, p *pedal.Plan) { p.Unsounded = []pedal.Dropped{{Moment: 7}} }},
		{"a change at no moment", func(_ *Music, p *pedal.Plan) { p.Moves = []pedal.Move{{Needed: 9}} }},
		{"a change of no pedal", func(_ *Music, p *pedal.Plan) { p.Moves = []pedal.Move{{Letter: 9}} }},
		{"a held note at no moment", func(_ *Music, p *pedal.Plan) { p.Held = []pedal.Release{{Moment: -1}} }},
		{"a glissando from no note", func(m *Music, _ *pedal.Plan) { m.Glissandi = []Glissando{{Note: 9}} }},
		{"a glissando over no strings", func(m *Music, _ *pedal.Plan) { m.Glissandi = []Glissando{{Swept: []int{-1}}} }},
		{"a trill at no note", func(m *Music, _ *pedal.Plan) { m.LeftOut = []LeftOut{{Note: 9}} }},
		{"a damper pedal at no moment", func(m *Music, _ *pedal.Plan) { m.Dampers = []int{9} }},
		{"more moments without a tempo than there are", func(m *Music, _ *pedal.Plan) { m.Untimed = 3 }},
		{"a pitch without a letter", func(m *Music, _ *pedal.Plan) { m.Passage.Notes[0].Pitch.Letter = 9 }},
	} {
		m := piece{notes: "C5 D5"}.music(t)
		plan, err := pedal.Solve(t.Context(), m.Passage, pedal.Options{})
		if err != nil {
			t.Fatal(err)
		}
		tt.harm(m, plan)
		if _, err := All(m, plan, Options{}); err == nil {
			t.Errorf("%s: no error", tt.why)
		}
	}
	if got := String.Format(-1); got != "B-1" {
		t.Errorf("the string below C0 is %s", got)
	}
	if got := Severity(9).String(); got != "" {
		t.Errorf("no severity is called %q", got)
	}
}
