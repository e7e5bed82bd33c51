package part_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/internal/trial"
	"pedalogue/pedal/part"
	"pedalogue/pedal/part/parttest"
	"pedalogue/pedal/spelling"
)

// printed writes the marks of a page: "1.0 start: D C B | E F G A", "2.4: F♯".
// The number after the measure counts quarter notes.
func printed(done *part.Planned) []string {
	var list []string
	for i := range done.Page.Marks {
		m := &done.Page.Marks[i]
		at := fmt.Sprintf("%d.%v", m.Measure+1, done.Part.Offset(m.Place))
		if m.Full {
			list = append(list, fmt.Sprintf("%s %s: %v", at, m.Section, m.Setting()))
		} else {
			list = append(list, at+": "+strings.NewReplacer("\n", " ", spelling.Between, " ").Replace(spelling.English.Changes(m.Pedals)))
		}
	}
	return list
}

func TestPage(t *testing.T) {
	startOnly := part.Sections{StartOnly: true}
	sections := part.Sections{}
	for _, test := range []struct {
		name, reason string
		choice       part.Sections
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
		{"rehearsal mark", "the whole setting is seen at a rehearsal mark, and what moves there",
			sections, []string{"F5:16", "{reh=A} F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0 A: D C B | E F♯ G A", "2.0: F♯"}},
		{"nothing new", "a setting is not printed again within sixteen measures if no pedal has moved",
			sections, []string{"F5:16", "{reh=A} F5:16", "F5:16 {double}", "F5:16", "{key=2} G5:16"},
			[]string{"1.0 start: D C B | E F G A"}},
		{"double bar", "the measure after a double bar begins a section",
			sections, []string{"F5:8 F#5:8 {double}", "F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "1.2: F♯", "2.0 double bar: D C B | E F♯ G A"}},
		{"long rest", "an entrance after four measures of rest: in the last of them, as it is needed then",
			sections, []string{"F5:16", "R:16", "R:16", "R:16", "R:16", "F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0: F♯", "5.0 after rest: D C B | E F♯ G A"}},
		{"short rest", "three measures of rest are no long rest",
			sections, []string{"F5:8 F#5:8", "R:16", "R:16", "R:16", "F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "1.2: F♯"}},
		{"rehearsal in a rest", "where the player rests no setting is of use: it waits for the end of the rest",
			sections, []string{"F5:8 F#5:8", "{reh=A} R:16", "R:16", "F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "1.2: F♯", "3.0 A: D C B | E F♯ G A"}},
		{"rehearsal at the entrance", "a rehearsal can start there",
			sections, []string{"F5:8 F#5:8", "R:16", "{reh=A} F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "1.2: F♯", "3.0 A: D C B | E F♯ G A"}},
		{"key", "a new key signature begins a section",
			sections, []string{"F5:16", "{key=2} F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0 key: D C B | E F♯ G A", "2.0: F♯"}},
		{"every", "a setting every so many measures, and at no section",
			part.Sections{Every: 2}, []string{"F5:8 F#5:8", "{reh=A} F#5:16", "F#5:16", "F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "1.2: F♯", "3.0 every: D C B | E F♯ G A"}},
		{"glissando", "a glissando always has its setting [EIN-notating]",
			startOnly, []string{"F#5:16", "<gliss> C4:8 </gliss> C6:8"},
			[]string{"1.0 start: D C B | E F♯ G A", "2.0 glissando: D C B | E F G A", "2.0: F♮"}},
		{"many changes", "four changes at one place have a setting beside them",
			startOnly, []string{"D5+C5+E5+F5:16", "Db5+C#5+Eb5+F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0 many changes: D♭ C♯ B | E♭ F♯ G A", "2.0: E♭ F♯ D♭ C♯"}},
		{"jump target", "where the passes come with other settings, the target shows the whole",
			sections, []string{"G5:16", "{fwd} F5:16", "F#5:16 {back}", "G5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0 repeat: D C B | E F G A", "3.0: F♯"}},
		{"grace", "a change for a grace note stands before it",
			startOnly, []string{"F5:8 g.F#5 G5:8"},
			[]string{"1.0 start: D C B | E F G A", "1.2: F♯"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			done := planned(t, part.Wishes{Options: written(), Sections: test.choice}, test.measures...)
			if got := printed(done); !slices.Equal(got, test.want) {
				t.Errorf("%s:\n got %q\nwant %q", test.reason, got, test.want)
			}
		})
	}
}

func TestResetsAreToldBeforeTheJump(t *testing.T) {
	p := planned(t, part.Wishes{Options: written()}, "G5:16", "{fwd} F5:16", "F#5:16 {back}", "G5:16").Page
	if len(p.Resets) != 1 || p.Resets[0].Measure != 2 || spelling.English.Changes(p.Resets[0].Pedals) != "F♮" {
		t.Errorf("resets %+v: want F♮ told in the last measure of the repeat", p.Resets)
	}
}

// A first setting that is played again must hold again: here it would move F,
// which the music does not need after the Fine.
func TestStartPlayedAgain(t *testing.T) {
	again := planned(t, part.Wishes{Options: written(), Sections: part.Sections{StartOnly: true}}, "G5:16 {fine}", "F#5:16", "F5:16 {dc}").Plan
	if again.Cost.Changes != 2 || !again.Proof.Minimal {
		t.Errorf("changes %d, proof %+v: want 2 changes, proved", again.Cost.Changes, again.Proof)
	}
}

// Whatever is repeated, there is a page whose marks hold in every pass, its plan is
// proved, and it costs what is said of its mode.
func TestRepeatedMusicIsPrinted(t *testing.T) {
	for seed := range trial.Size[uint64](60, 120, 300) {
		music := repeatedMusic(rand.New(rand.NewPCG(seed, 3)))
		for i, mode := range pedal.Modes() {
			for _, foot := range []time.Duration{0, -1} {
				w := part.Wishes{Options: pedal.Options{Mode: mode, FootTime: foot}, Sections: part.Sections{StartOnly: seed%3 == 0, Every: int(seed % 4)}}
				done, err := partOf(t, part.Options{}, music...).Plan(t.Context(), w)
				if err != nil {
					t.Fatalf("seed %d, %v: %v\n%q", seed, mode, err, music)
				}
				if plan := done.Plan; !plan.Proof.Minimal || plan.Cost != done.Choices[i] {
					t.Errorf("seed %d, %v: costs %+v, proof %+v, told as %+v\n%q", seed, mode, plan.Cost, plan.Proof, done.Choices[i], music)
				}
			}
		}
	}
}

// repeatedMusic is chromatic music of a few measures with a repeat, with endings or
// da capo.
func repeatedMusic(r *rand.Rand) []string {
	letters := r.Perm(7)[:3+r.IntN(5)]
	note := func() string {
		return "CDEFGAB"[letters[r.IntN(len(letters))]:][:1] + []string{"", "", "", "#", "b", "##"}[min(r.IntN(16), 5)%6] + []string{"4", "5"}[r.IntN(2)]
	}
	music := make([]string, 3+r.IntN(5))
	for i := range music {
		for range []int{1, 2, 4}[r.IntN(3)] {
			music[i] += note()
			for range r.IntN(3) {
				music[i] += "+" + note()
			}
			music[i] += ":" + []string{"4", "8", "16"}[r.IntN(3)] + " "
		}
	}
	last := len(music) - 1
	from := r.IntN(last)
	if r.IntN(2) == 0 {
		from = 0
	}
	to := from + r.IntN(last-from)
	if from > 0 {
		music[from] = "{fwd} " + music[from]
	}
	switch r.IntN(4) {
	case 0:
		music[to] += "{back}"
	case 1:
		music[to], music[to+1] = "{1} "+music[to]+"{/1}", "{2} "+music[to+1]+"{/2}"
	case 2:
		music[to], music[last] = music[to]+"{fine}", music[last]+"{dc}"
	case 3:
		music[to], music[last] = music[to]+"{back}", music[last]+"{dc}"
	}
	return music
}

// A harp that must be left in a setting is set when the last note is over.
func TestSettingAtTheEnd(t *testing.T) {
	end, err := pedal.ParseSetting("D C B | E F G A")
	if err != nil {
		t.Fatal(err)
	}
	o := written()
	o.End = &end
	want := []string{"1.0 start: D C B | E F♯ G A", "1.4: F♮"}
	if got := printed(planned(t, part.Wishes{Options: o}, "F#5:16")); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// The last place of the music is played before as well: nobody may set the harp
// there each time, so that what is to be set when all is played is told in words.
func TestSettingAtAnEndPlayedBefore(t *testing.T) {
	end := pedal.Setting{pedal.F: pedal.Flat}
	o := written()
	o.End = &end
	for _, test := range []struct {
		measures   []string
		want, told string
	}{
		{[]string{"G5:16", "F5:16 {fine}", "F5:16 {dc}"}, "1.0 start: D C B | E F G A", "at the end: F♭"},
		{[]string{"G5:16", "F5:16"}, "1.0 start: D C B | E F G A; 2.4: F♭", ""},
	} {
		done := planned(t, part.Wishes{Options: o}, test.measures...)
		if got := strings.Join(printed(done), "; "); got != test.want {
			t.Errorf("%q: got %q, want %q", test.measures, got, test.want)
		}
		told := ""
		if c := done.Page.Closing; c != nil {
			told = spelling.English.AtEnd(c.Pedals)
		}
		if told != test.told {
			t.Errorf("%q: told %q, want %q", test.measures, told, test.told)
		}
	}
}

// What a jump back needs is told in the measure before the jump, early in it and beside
// no change, so that the words are drawn inside it; and only where no change that is
// printed there makes it.
func TestResetIsToldInsideItsMeasure(t *testing.T) {
	for _, test := range []struct{ name, last, want string }{
		{"at the beginning of the measure", "G5:4 A5:4 F5:4 A5:4 {back}", "2.0: F♯"},
		{"after a change that stands there", "F5:4 G5:4 A5:4 F5:4 {back}", "2.1: F♯"},
		{"nothing to tell", "F#5:16 {back}", ""},
	} {
		done := planned(t, part.Wishes{Options: written()}, "{fwd} F#5+B4:16", test.last)
		var told []string
		for _, m := range done.Page.Resets {
			told = append(told, fmt.Sprintf("%d.%v: %s", m.Measure+1, done.Part.Offset(m.Place), strings.ReplaceAll(spelling.English.Changes(m.Pedals), "\n", " ")))
		}
		if got := strings.Join(told, "; "); got != test.want {
			t.Errorf("%s: told %q, want %q, beside %q", test.name, got, test.want, printed(done))
		}
	}
}

// A rest of several measures may be one sign with a number. Programs draw what stands at
// the start of it, before what says so, and leave out what stands in its measures.
func TestRestAsOneSign(t *testing.T) {
	const all, sharp = "E5:4 F5:4 G5:4 A5:4", "E#5:4 F#5:4 G#5:4 A#5:4"
	for _, test := range []struct {
		name, reason string
		measures     []string
		want         []string
	}{
		{"written out", "a foot makes one change after the other, each on its beat",
			[]string{all, "R:16", "R:16", "R:16", "R:16", sharp},
			[]string{"1.0 start: D C B | E F G A", "2.0: E♯", "2.1: F♯", "2.2: G♯", "2.3: A♯", "5.0 after rest: D C B | E♯ F♯ G♯ A♯"}},
		{"one sign", "the changes stand at its start, and the setting at the entrance",
			[]string{all, "{rests=4} R:16", "R:16", "R:16", "R:16", sharp},
			[]string{"1.0 start: D C B | E F G A", "2.0 many changes: D C B | E♯ F♯ G♯ A♯", "2.0: E♯ F♯ G♯ A♯", "6.0 after rest: D C B | E♯ F♯ G♯ A♯"}},
		{"two signs", "each for itself",
			[]string{all, "{rests=2} R:16", "R:16", "{reh=A} {rests=20} R:16", "R:16", "R:16", "R:16", "R:16", "R:16", "R:16", "R:16", "R:16", "R:16", "R:16",
				"R:16", "R:16", "R:16", "R:16", "R:16", "R:16", "R:16", "R:16", "R:16", sharp},
			[]string{"1.0 start: D C B | E F G A", "2.0 many changes: D C B | E♯ F♯ G♯ A♯", "2.0: E♯ F♯ G♯ A♯", "24.0 A: D C B | E♯ F♯ G♯ A♯"}},
		{"one that ends early", "the last measure is not in it, and has the setting",
			[]string{all, "{rests=3} R:16", "R:16", "R:16", "R:16", "F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "2.0: F♯", "5.0 after rest: D C B | E F♯ G A"}},
		{"one that is none", "where something is played the sign is not believed",
			[]string{"F5:16", "{rests=9} F5:16", "R:16", "R:16", "R:16", "R:16", "F#5:16"},
			[]string{"1.0 start: D C B | E F G A", "3.0: F♯", "6.0 after rest: D C B | E F♯ G A"}},
		{"at the beginning", "the first setting stands before what says so",
			[]string{"{rests=4} R:16", "R:16", "R:16", "R:16", "F#5:16"},
			[]string{"1.0 start: D C B | E F♯ G A"}},
	} {
		done, err := partOf(t, part.Options{}, test.measures...).Plan(t.Context(), part.Wishes{Options: written()})
		if err != nil {
			t.Fatal(err)
		}
		if got := printed(done); !slices.Equal(got, test.want) {
			t.Errorf("%s, %s:\n got %q\nwant %q", test.name, test.reason, got, test.want)
		}
	}
	// Nothing can stand before the attributes of the first measure.
	plain := string(parttest.Compose("{rests=2} R:16", "R:16", "F#5:16"))
	_, score := parttest.Read(t, []byte(strings.Replace(plain, "</attributes>\n<attributes>", "", 1)))
	p, err := part.New(score, score.Players()[0], part.Options{})
	if err != nil {
		t.Fatal(err)
	}
	done, err := p.Plan(t.Context(), part.Wishes{Options: written()})
	if want := []string{"1.0 start: D C B | E F♯ G A", "3.0 after rest: D C B | E F♯ G A"}; err != nil || !slices.Equal(printed(done), want) {
		t.Errorf("at the beginning: got %q, want %q: %v", printed(done), want, err)
	}
}
