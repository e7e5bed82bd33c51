package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
)

// struckAt writes the notes of each moment that has any, with the time at which
// each ends: "0: C4-4 E4-2". Implied notes have a star.
func struckAt(b *bridge) []string {
	var list []string
	for i, m := range b.passage.Moments {
		if len(m.Strikes) == 0 {
			continue
		}
		var notes []string
		for _, s := range m.Strikes {
			n := b.passage.Notes[s.Note]
			name := n.Pitch.String()
			if n.Implied {
				name += "*"
			}
			notes = append(notes, fmt.Sprintf("%s-%d", name, s.End/b.clock.unit))
		}
		grace := ""
		if b.moments[i].grace.part != nil {
			grace = "grace "
		}
		list = append(list, fmt.Sprintf("%s%d: %s", grace, m.Onset/b.clock.unit, strings.Join(notes, " ")))
	}
	return list
}

func TestPassage(t *testing.T) {
	for _, test := range []struct {
		name, reason string
		measures     []string
		want         []string
	}{
		{"staves", "all that begins together is one moment, over both staves",
			[]string{"C5:8 D5:8 | C3:16"}, []string{"0: C5-2 C3-4", "2: D5-4"}},
		{"tie", "a tied note is not plucked again and lasts to the end of the tie",
			[]string{"<tie> C5:16", "</tie> C5:4 E5:12"}, []string{"0: C5-5", "5: E5-8"}},
		{"grace", "grace notes come one by one before the note they lean on",
			[]string{"g.D5 g.E5 F5:16"}, []string{"grace 0: D5-0", "grace 0: E5-0", "0: F5-4"}},
		{"repeat", "what is printed once is struck in each pass",
			[]string{"C5:16 {back}"}, []string{"0: C5-4", "4: C5-8"}},
		{"trill", "the trill's upper note is the next letter, as the key has it",
			[]string{"{key=-3} <trill> D5:16"}, []string{"0: D5-4 E♭5*-4"}},
		{"trill after accidental", "an earlier accidental in the measure goes before the key",
			[]string{"{key=-3} E5:4 <trill> D5:12"}, []string{"0: E5-1", "1: D5-4 E5*-4"}},
		{"turn", "a turn uses both neighbours",
			[]string{"<turn> C5:16"}, []string{"0: C5-4 D5*-4 B4*-4"}},
		{"mordent", "the mordent with the stroke goes below",
			[]string{"<mord> C5:16"}, []string{"0: C5-4 B4*-4"}},
		{"tremolo", "both notes of a tremolo are needed from its start to its end",
			[]string{"<trem> C#5:8 </trem> Db5:8"}, []string{"0: C♯5-4 D♭5-4", "2: D♭5-4"}},
		{"glissando", "all seven letters are needed until the end note, here as the key has them",
			[]string{"{key=1} <gliss> G4:8 </gliss> G5:8"},
			[]string{"0: G4-2 D4*-2 C4*-2 B4*-2 E4*-2 F♯4*-2 G4*-2 A4*-2", "2: G5-4"}},
		{"glissando with an octave written out", "seven notes that spell the setting go before the key",
			[]string{"C4:1 Db4:1 Eb4:1 F4:1 Gb4:1 Ab4:1 <gliss> Bb4:2 </gliss> C6:8"},
			[]string{"0: C4-0", "0: D♭4-0", "0: E♭4-0", "0: F4-1", "1: G♭4-1", "1: A♭4-1",
				"1: B♭4-2 D♭4*-2 C4*-2 B♭4*-2 E♭4*-2 F4*-2 G♭4*-2 A♭4*-2", "2: C6-4"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := struckAt(bridgeOf(t, test.measures...)); !slices.Equal(got, test.want) {
				t.Errorf("%s: got %q, want %q", test.reason, got, test.want)
			}
		})
	}
}

func TestTremoloOfOnePitchNeedsTwoStrings(t *testing.T) {
	b := bridgeOf(t, "<trem> C#5:8 </trem> Db5:8")
	for _, n := range b.passage.Notes {
		if !n.Fixed {
			t.Errorf("%s may be played on another string; the tremolo needs both spellings", n.Pitch.String())
		}
	}
}

func TestSeconds(t *testing.T) {
	for _, test := range []struct {
		name, reason string
		measures     []string
		tempo        tempoChoice
		want         []time.Duration // of each measure's start, in playing order
	}{
		{"default", "96 quarter notes a minute without any mark",
			[]string{"C4:16", "C4:16"}, tempoChoice{}, []time.Duration{0, 2500 * time.Millisecond}},
		{"marks", "a tempo holds from its place on",
			[]string{"{tempo=60} C4:16", "{tempo=120} C4:16", "C4:16"}, tempoChoice{},
			[]time.Duration{0, 4 * time.Second, 6 * time.Second}},
		{"repeat", "a jump back keeps the tempo until the next mark",
			[]string{"C4:16", "{tempo=60} C4:16 {back}"}, tempoChoice{},
			[]time.Duration{0, 2500 * time.Millisecond, 6500 * time.Millisecond, 10500 * time.Millisecond}},
		{"fixed", "the user's tempo goes before the marks",
			[]string{"{tempo=60} C4:16", "C4:16"}, tempoChoice{fixed: defaultTempo}, []time.Duration{0, 2500 * time.Millisecond}},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, score := readScore(t, test.measures...)
			b, err := newBridge(score, score.Players()[0], true, test.tempo)
			if err != nil {
				t.Fatal(err)
			}
			var got []time.Duration
			for _, first := range b.stepStarts {
				got = append(got, b.passage.Moments[first].At)
			}
			if !slices.Equal(got, test.want) {
				t.Errorf("%s: got %v, want %v", test.reason, got, test.want)
			}
		})
	}
}

func TestScoreWithoutMeasures(t *testing.T) {
	_, score := readScore(t)
	if _, err := newBridge(score, score.Players()[0], true, tempoChoice{}); err == nil || !strings.Contains(err.Error(), "no measures") {
		t.Errorf("error %v: want one that says that there is nothing to play", err)
	}
}

// Endings that no pass plays leave the measures as they stand.
func TestEndingsThatContradict(t *testing.T) {
	_, score := readScore(t, "{2} C4:16 {/1} {/2}")
	if len(score.Order) != 1 {
		t.Errorf("playing order %v: want the measure played", score.Order)
	}
}
