package main

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/report"
)

// printed writes the marks of a page: "1.0 start: D C B | E F G A", "2.4: F♯".
// The number after the measure counts quarter notes.
func printed(p *page) []string {
	var list []string
	for i := range p.marks {
		m := &p.marks[i]
		at := fmt.Sprintf("%d.%v", m.measure+1, p.bridge.written[m.measure].moments[m.at].offset)
		if m.full() {
			list = append(list, fmt.Sprintf("%s %s: %v", at, m.reason, m.setting))
		} else {
			list = append(list, at+": "+strings.NewReplacer("\n", " ", between, " ").Replace(changeWords(m.changes, pedal.English)))
		}
	}
	return list
}

func TestPage(t *testing.T) {
	startOnly := settingsChoice{}
	sections := settingsChoice{sections: true}
	for _, test := range []struct {
		name, reason string
		choice       settingsChoice
		measures     []string
		want         []string
	}{
		{"change on the beat before", "a change with room stands on the last beat before its note",
			startOnly, []string{"F5:4 G5:4 A5:4 F#5:4"},
			[]string{"1.0 start: D C B | E F G A", "1.2: F♯"}},
		{"no earlier than the last use", "a pedal is not moved under a note that still sounds",
			startOnly, []string{"R:8 F5:4 F#5:4"},
			[]string{"1.0 start: D C B | E F G A", "1.3: F♯"}},
		{"right over left", "one place, one mark",
			startOnly, []string{"F5+B4:8 F#5+Bb4:8"},
			[]string{"1.0 start: D C B | E F G A", "1.2: F♯ B♭"}},
		{"repeat", "a change that the second pass needs stands after the repeat sign, not before it",
			startOnly, []string{"G5:16", "{fwd} F5:16", "F#5:16 {back}", "G5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0: F♮", "3.0: F♯"}},
		{"endings", "a change for one ending stands inside it",
			startOnly, []string{"{fwd} F5:16", "{1} F#5:16 {/1}", "{2} Fb5:16 {/2}"},
			[]string{"1.0 start: D C B | E F G A", "2.0: F♯", "3.0: F♭"}},
		{"rehearsal mark", "the whole setting is seen at a rehearsal mark, with the change that belongs there",
			sections, []string{"F5:16", "{reh=A} F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0 A: D C B | E F♯ G A"}},
		{"double bar", "the measure after a double bar begins a section",
			sections, []string{"F5:16 {double}", "F5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0 double bar: D C B | E F G A"}},
		{"long rest", "an entrance after four measures of rest",
			sections, []string{"F5:16", "R:16", "R:16", "R:16", "R:16", "F5:16"},
			[]string{"1.0 start: D C B | E F G A", "6.0 after rest: D C B | E F G A"}},
		{"short rest", "three measures of rest are no long rest",
			sections, []string{"F5:16", "R:16", "R:16", "R:16", "F5:16"},
			[]string{"1.0 start: D C B | E F G A"}},
		{"key", "a new key signature begins a section",
			sections, []string{"F5:16", "{key=2} F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0 key: D C B | E F♯ G A"}},
		{"every", "a setting every so many measures",
			settingsChoice{sections: true, every: 2}, []string{"F5:16", "F5:16", "F5:16", "F5:16"},
			[]string{"1.0 start: D C B | E F G A", "3.0 every: D C B | E F G A"}},
		{"glissando", "a glissando always has its setting [EIN-notating]",
			startOnly, []string{"F#5:16", "<gliss> C4:8 </gliss> C6:8"},
			[]string{"1.0 start: D C B | E F♯ G A", "2.0 glissando: D C B | E F G A"}},
		{"many changes", "four changes at one place are given as a setting",
			startOnly, []string{"D5+C5+E5+F5:16", "Db5+C#5+Eb5+F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0 many changes: D♭ C♯ B | E♭ F♯ G A"}},
		{"jump target", "where the passes come with other settings, the target shows the whole",
			sections, []string{"G5:16", "{fwd} F5:16", "F#5:16 {back}", "G5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0 repeat: D C B | E F G A", "3.0: F♯"}},
		{"grace", "a change for a grace note stands before it",
			startOnly, []string{"F5:8 g.F#5 G5:8"},
			[]string{"1.0 start: D C B | E F G A", "1.2: F♯"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			p, _ := pageOf(t, pedal.Written, test.choice, test.measures...)
			if got := printed(p); !slices.Equal(got, test.want) {
				t.Errorf("%s:\n got %q\nwant %q", test.reason, got, test.want)
			}
		})
	}
}

func TestResetsAreToldBeforeTheJump(t *testing.T) {
	p, _ := pageOf(t, pedal.Written, settingsChoice{}, "G5:16", "{fwd} F5:16", "F#5:16 {back}", "G5:16")
	if len(p.resets) != 1 || p.resets[0].measure != 2 || changeWords(p.resets[0].changes, pedal.English) != "F♮" {
		t.Errorf("resets %+v: want F♮ told in the last measure of the repeat", p.resets)
	}
}

// A first setting that is played again must hold again: here it would move F,
// which the music does not need after the Fine.
func TestStartPlayedAgain(t *testing.T) {
	b := bridgeOf(t, "G5:16 {fine}", "F#5:16", "F5:16 {dc}")
	o := pedal.Options{Mode: pedal.Written, FootTime: -1}
	plan, err := b.solve(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	wanted := b.sections(settingsChoice{})
	if _, err := layOut(b, plan, o.Instrument, wanted); !errors.Is(err, errRestated) {
		t.Fatalf("error %v, want errRestated: the plan leaves F natural, the page sets it sharp again", err)
	}
	again, _, err := b.fit(t.Context(), plan, o, wanted)
	if err != nil {
		t.Fatal(err)
	}
	if again.Cost.Changes != 2 || again.Proof.Minimal || again.Proof.Bound.Changes > 1 {
		t.Errorf("changes %d, proof %+v: want 2 changes, not called minimal, and no bound above 1", again.Cost.Changes, again.Proof)
	}
}

// Words that other programs look for in a score must not appear in ours.
func TestSettingIsNoJump(t *testing.T) {
	words := settingWords(pedal.Setting{}, pedal.English)
	if strings.Contains(words, "D C") {
		t.Errorf("%q reads as da capo", words)
	}
	if got := strings.ReplaceAll(words, between, " "); got != "E F G A\nD C B" {
		t.Errorf("setting %q, want the right foot over the left", got)
	}
}

// A harp that must be left in a setting is set when the last note is over.
func TestSettingAtTheEnd(t *testing.T) {
	b := bridgeOf(t, "F#5:16")
	end, err := pedal.ParseSetting("D C B | E F G A")
	if err != nil {
		t.Fatal(err)
	}
	o := pedal.Options{Mode: pedal.Written, FootTime: -1, End: &end}
	plan, err := b.solve(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	p, err := layOut(b, plan, o.Instrument, b.sections(settingsChoice{}))
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"1.0 start: D C B | E F♯ G A", "1.4: F♮"}
	if got := printed(p); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// The report tells of changes as a player meets their marks: in music that is
// played straight through, in written order, and a measure is called heavy if more
// than six marks stand in it.
func TestReportFollowsTheMarks(t *testing.T) {
	straight, heavy := 0, 0
	for _, s := range largestScores(t, 1<<20) {
		set := defaultSettings()
		set.read.Part = partFor(t, s)
		m, err := markScore(t.Context(), s.name, s.data, set)
		if err != nil || m.report.PlayingOrder.Written != m.report.PlayingOrder.Played {
			continue
		}
		straight++
		for _, p := range m.report.Parts {
			if !slices.IsSortedFunc(p.Changes, func(a, b report.Change) int {
				return cmp.Or(cmp.Compare(a.Marked.Index, b.Marked.Index), offset(t, a).Cmp(offset(t, b)))
			}) {
				t.Errorf("%s: the changes of part %s are out of order", s.name, p.ID)
			}
			marks := map[int]int{}
			for _, c := range p.Changes {
				marks[c.Marked.Index]++
			}
			maps.DeleteFunc(marks, func(_, n int) bool { return n <= 6 })
			for _, f := range p.Findings {
				if f.Kind == "many-changes" {
					if marks[f.Index] == 0 {
						t.Errorf("%s: m. %s is called heavy: %s", s.name, f.Measure, f.Text)
					}
					delete(marks, f.Index)
					heavy++
				}
			}
			if len(marks) > 0 {
				t.Errorf("%s: measures with so many marks are not called heavy: %v", s.name, marks)
			}
		}
	}
	if straight < 20 || heavy < 20 {
		t.Errorf("only %d scores are played straight through, with %d heavy measures", straight, heavy)
	}
}

func offset(t *testing.T, c report.Change) *big.Rat {
	r, ok := new(big.Rat).SetString(c.Marked.Offset)
	if !ok {
		t.Fatalf("offset %q", c.Marked.Offset)
	}
	return r
}
