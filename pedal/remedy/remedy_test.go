package remedy_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/remedy"
	"pedalogue/pedal/revise"
)

// music lays notes out: words are moments a step apart, "+" joins a chord, "/" the
// staves, "-" is silence; ":n" after a pitch is its length in steps. A beat is every other moment.
func music(t *testing.T, notes string, step time.Duration) *finding.Music {
	t.Helper()
	b := pedal.Builder{Tick: step, Beat: 2}
	var staves []int
	for word := range strings.FieldsSeq(notes) {
		for s, staff := range strings.Split(word, "/") {
			for note := range strings.SplitSeq(staff, "+") {
				if note == "-" {
					continue
				}
				pitch, length, _ := strings.Cut(note, ":")
				ticks := int64(1)
				if length != "" {
					ticks = int64(length[0] - '0')
				}
				b.Strike(ticks, pitch)
				staves = append(staves, s+1)
			}
		}
		b.Wait(1)
	}
	p, err := b.Passage()
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range staves {
		p.Notes[i].Staff = s
	}
	return &finding.Music{Passage: p}
}

// judged plans music and finds what is to be said of it.
func judged(t *testing.T, m *finding.Music, o finding.Options) (*pedal.Plan, []finding.Finding) {
	t.Helper()
	plan, err := pedal.Solve(t.Context(), m.Passage, o.Plan)
	if err != nil {
		t.Fatal(err)
	}
	found, err := finding.All(m, plan, o)
	if err != nil {
		t.Fatal(err)
	}
	return plan, found
}

func TestTry(t *testing.T) {
	quick := 150 * time.Millisecond
	for _, tt := range []struct {
		why   string
		notes string
		step  time.Duration
		mode  pedal.Mode
		want  []string // "kind: remedy" of errors and warnings
	}{
		{"nothing to mend", "C5/C3 E5/G3", time.Second, pedal.Balanced, nil},
		{"ten notes: inner doubled ones go first, the bass and the melody stay", "C5+E5+G5+C6+E6/C3+E3+G3+C4+E4", time.Second, pedal.Balanced,
			[]string{"too-many-notes: Leave out E4 and C5."}},
		{"a chord too wide, with time: rolled at less cost than a bass note moved", "C6+E7/C3+F4 - - -", time.Second, pedal.Balanced,
			[]string{"wide-chord: Roll the chord."}},
		{"a chord too wide, without time", "C6+E7/C3+F4 C6/C3 E6", 180 * time.Millisecond, pedal.Balanced,
			[]string{"wide-chord: Leave out C6 and roll the chord.", "repeated-string: The first time, play C3 as C4 and C6 as C7."}},
		{"a repeated string with a partner that is free", "B5/- D5 - - - - - - C5 C5 C5 - - - - - D5", quick, pedal.Balanced,
			[]string{"repeated-string: Play C5 on the C and B strings in turn."}},
		{"a repeated string without one", "G4+D5 G4+D5 - - - -", quick, pedal.Balanced,
			[]string{"repeated-string: The second time, play G4 as G5 and D5 as D6."}},
		{"a leap", "C6/E2 E6/E4 - - - -", 200 * time.Millisecond, pedal.Balanced, []string{"leap: Leave out E4."}},
		{"G, G sharp and A: the outer notes stay", "G4+G#4+A4", time.Second, pedal.Balanced, []string{"string-clash: Leave out G♯4."}},
		{"a held note is ended", "G5:3+A5:3+A4:3 - G#5 -", 2 * time.Second, pedal.Balanced, []string{"held-string: End G5 sooner."}},
		{"no time for a foot, but another string", "F5+Gb4 F#5 - -", 250 * time.Millisecond, pedal.Written,
			[]string{"rushed-change: Play F♯5 on the G string, or play at 83 % of the tempo."}},
		{"no time at all, and only a melody", "G5 G#5+A5 A5+G#5 G5+A5", 20 * time.Millisecond, pedal.Balanced, nil},
	} {
		m := music(t, tt.notes, tt.step)
		o := finding.Options{Plan: pedal.Options{Mode: tt.mode}}
		plan, found := judged(t, m, o)
		if _, err := remedy.Try(t.Context(), m, plan, o, found); err != nil {
			t.Errorf("%s: %v", tt.why, err)
			continue
		}
		var got []string
		for _, f := range found {
			if f.Severity >= finding.Warning {
				got = append(got, fmt.Sprintf("%s: %s", f.Kind, f.Remedy))
				if f.Remedy == "" && f.Kind != "many-changes" {
					t.Errorf("%s: nothing is said of a remedy", tt.why)
				}
			}
		}
		if tt.want != nil && fmt.Sprint(got) != fmt.Sprint(tt.want) {
			t.Errorf("%s: %s\n got %q\nwant %q", tt.why, tt.notes, got, tt.want)
		}
	}
}

// A remedy that is applied to all of the music holds when it is planned anew: the
// finding has gone, and there are no more of its severity or a worse one. The plan of
// the whole may differ from the part that was tried, so that a few may fail.
func TestRemediesHold(t *testing.T) {
	tried, held := 0, 0
	for seed := range uint64(16) {
		m := music(t, randomNotes(rand.New(rand.NewPCG(seed, 9))), time.Duration(120+seed%5*60)*time.Millisecond)
		var o finding.Options
		plan, found := judged(t, m, o)
		remedies, err := remedy.Try(t.Context(), m, plan, o, found)
		if err != nil {
			t.Fatal(err)
		}
		for i, ops := range remedies {
			if ops == nil {
				continue
			}
			tried++
			if holds(t, m, o, found, &found[i], ops) {
				held++
			} else {
				t.Logf("seed %d: %s %s", seed, found[i].Text, found[i].Remedy)
			}
		}
	}
	t.Logf("%d of %d remedies hold", held, tried)
	if tried < 60 || held*30 < tried*29 {
		t.Errorf("%d of %d remedies hold", held, tried)
	}
}

func holds(t *testing.T, m *finding.Music, o finding.Options, before []finding.Finding, f *finding.Finding, ops []revise.Op) bool {
	t.Helper()
	r, err := revise.Apply(m, ops)
	if err != nil {
		t.Fatal(err)
	}
	_, after := judged(t, r.Music, o)
	count := func(list []finding.Finding, here bool) (n int) {
		for _, g := range list {
			if g.Severity >= f.Severity && (!here || g.Kind == f.Kind && g.Moment == f.Moment) {
				n++
			}
		}
		return n
	}
	return count(after, true) < count(before, true) && count(after, false) < count(before, false)
}

// randomNotes is music as a pianist might have it: chords, repeated notes and leaps,
// with chromatic notes.
func randomNotes(r *rand.Rand) string {
	var b strings.Builder
	signs := []string{"", "", "", "", "", "", "", "#", "b"}
	note := func(low, high int) string {
		at := low + r.IntN(high-low)
		return string("CDEFGAB"[at%7]) + signs[r.IntN(len(signs))] + fmt.Sprint(at/7)
	}
	for range 20 {
		b.WriteString(note(33, 42))
		for range r.IntN(4) {
			b.WriteString("+" + note(30, 46))
		}
		b.WriteString("/")
		switch r.IntN(3) {
		case 0:
			b.WriteString("-")
		default:
			b.WriteString(note(14, 22))
			for range r.IntN(3) {
				b.WriteString("+" + note(18, 32))
			}
		}
		b.WriteString(" ")
	}
	return b.String()
}

// A slower tempo is a remedy too, and having none is said.
func TestNoWay(t *testing.T) {
	m := music(t, "G5 G#5+A5 G5+A5 G#5+A5 G5+A5 G#5+A5", 5*time.Millisecond)
	var o finding.Options
	plan, found := judged(t, m, o)
	if _, err := remedy.Try(t.Context(), m, plan, o, found); err != nil {
		t.Fatal(err)
	}
	said := 0
	for _, f := range found {
		if f.Remedy == remedy.NoWay {
			said++
		}
	}
	if said == 0 {
		t.Error("five changes within 0.03 s, and a way is found for each")
	}
}
