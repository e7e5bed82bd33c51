package finding

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"pedalogue/pedal"
)

func handChecks() []check {
	limit := func(k Kind, l Limit) func(*Music, *Options) {
		return func(_ *Music, o *Options) { o.Limits = map[Kind]Limit{k: l} }
	}
	return []check{
		{name: "five notes on one staff", source: "four fingers a hand [BLI 2] [EIN-hand]", piece: piece{notes: "C4+E4+G4+C5+E5/-", step: 0},
			change: func(m *Music, _ *Options) { m.Passage.Notes = append(m.Passage.Notes, pedal.Note{Staff: 2}) },
			want:   []string{"share-chord@0"}, text: "The upper staff has five notes at once, more than one hand plucks.",
			remedy: "Take C4 and E4 with the left hand and G4, C5 and E5 with the right."},
		{name: "four notes a hand", source: "eight in all [EIN-hand]", piece: piece{notes: "C5+E5+G5+C6/C3+G3+C4+E4"}},
		{name: "five notes and four", source: "ten-note solid chords are out [BLI 2] [RK]", piece: piece{notes: "C5+E5+G5+C6+E6/C3+G3+C4+E4"},
			want: []string{"too-many-notes@0"}, text: "Nine notes are wanted at once, and the hands have eight fingers to pluck with."},
		{name: "ten notes", source: "ten-note solid chords are out [BLI 2]", piece: piece{notes: "C5+E5+G5+C6+E6/C3+E3+G3+C4+E4"},
			want: []string{"too-many-notes@0"}, text: "Ten notes are wanted at once"},
		{name: "ten notes, rolled", source: "four fingers a hand, placed before they play [EIN-hand]", piece: piece{notes: "C5~+E5~+G5~+C6~+E6~/C3~+E3~+G3~+C4~+E4~"},
			want: []string{"too-many-notes@0"}, text: "Ten notes are in the rolled chord, and the hands have eight fingers to place on it."},
		{name: "a rolled chord with time", source: "0.05 s a note: common practice", piece: piece{notes: "C5~+E5~/C3~+E3~+G3~ C5", step: 250 * time.Millisecond}},
		{name: "a rolled chord without time", source: "rolled chords take time [EIN-hand]", piece: piece{notes: "C5~+E5~/C3~+E3~+G3~+C4~ E5", step: 250 * time.Millisecond},
			want: []string{"no-time-to-roll@0"}, text: "There is 0.25 s to roll the chord of six notes before a hand plays on; at 0.05 s a note it takes 0.3 s."},
		{name: "a rolled chord that is too wide", source: "rolled chords may span more than a tenth, but not everything [EIN-hand]", piece: piece{notes: "C5~+E6~+B6~/C2~+G2~+B3~"},
			want: []string{"wide-roll@0"}, text: "However the rolled chord is shared, one hand has a fourteenth to cover."},
		{name: "a rolled chord of two twelfths", source: "[EIN-hand]", piece: piece{notes: "C5~+E5~+G6~/C2~+G2~+G3~"}},
		{name: "only one staff is rolled", source: "[EIN-hand]", piece: piece{notes: "C5+E5+G5+C6+E6/C2~+E2~+G3~"},
			want: []string{"wide-roll@0", "share-chord@0"}, text: "However the rolled chord is shared, one hand has three octaves to cover."},
		{name: "only one staff is rolled, and close", source: "[EIN-hand]", piece: piece{notes: "C5+E5+G5+C6+E6/C4~+E4~"},
			want: []string{"share-chord@0"}, text: "The upper staff has five notes at once",
			remedy: "Take C5 and E5 with the left hand and G5, C6 and E6 with the right."},
		{name: "a tenth in each hand", source: "a tenth is safe [EIN-hand]", piece: piece{notes: "C5+E6/C3+E4"}},
		{name: "an eleventh for one hand, no help from the other", source: "wider is broken [EIN-arp]", piece: piece{notes: "C6+E7/C3+F4"},
			want: []string{"wide-chord@0"}, text: "one hand has an eleventh to reach"},
		{name: "the same under a bracket", source: "flagged if not to be broken [EIN-arp]", piece: piece{notes: "C6]+E7]/C3+F4"},
			want: []string{"wide-chord-unbroken@0"}, text: "the bracket forbids to break it. Comfort and safety are for the player and a teacher to judge."},
		{name: "wide only as the plan plays it", source: "E sharp lies a string below F [EIN-tremolo]", piece: piece{notes: "C6+B6/F2+A3"},
			change: func(m *Music, _ *Options) { m.Passage.Notes[2].On = pedal.SetOf(pedal.E) },
			want:   []string{"wide-chord@0"}, text: "It is the plan's other strings that make it so wide: as written it lies in two hands."},
		{name: "the same, rolled", source: "rolled chords may span more [EIN-hand]", piece: piece{notes: "C6~+E7~/C3~+F4~"}},
		{name: "the same, a wider hand", source: "the limit is an option", piece: piece{notes: "C6+E7/C3+F4"}, change: limit("wide-chord", 11)},
		{name: "an eleventh on one staff that the hands share", source: "staves are not hands [EIN-general] [PHI-notation]", piece: piece{notes: "G4/C3+F4"},
			want: []string{"share-chord@0"}, text: "The lower staff has an eleventh to reach at once",
			remedy: "Take C3 with the left hand and F4 and G4 with the right."},
		{name: "staves that cross", source: "common practice", piece: piece{notes: "E4+C5/C4+G4"},
			want: []string{"crossed-hands@0"}, text: "E4 in the upper one lies below G4 in the lower one.",
			remedy: "Take C4 and E4 with the left hand and G4 and C5 with the right."},
		{name: "staves that have changed places", source: "the hands have, too", piece: piece{notes: "C4+E4/C5+G5"}},
		{name: "staves that go on crossing", source: "one finding for one fact", piece: piece{notes: "E4+C5/C4+G4 E4+C5/C4+G4 | C5/C3 E4+C5/C4+G4 | C5/C3 | C5/C3 | E4+C5/C4+G4"},
			want: []string{"crossed-hands@0", "crossed-hands@6"}, text: "The staves cross",
			remedy: "Take C4 and E4 with the left hand and G4 and C5 with the right."},
		{name: "two voices of one staff", source: "voices may go to two hands: staves are not hands [EIN-general]", piece: piece{notes: "E5/C3+G3+E4+G4+C5"},
			change: func(m *Music, _ *Options) { m.Signs[1].Voice, m.Signs[2].Voice = "2", "2" }},
		{name: "four staves, each for itself", source: "staves are not hands [EIN-general]", piece: piece{notes: "C5/G4/C4/G3"}},
		{name: "one string on both staves", source: "common practice", piece: piece{notes: "C4+E4/C3+C4"},
			want: []string{"one-string-twice@0"}, text: "Two staves want C4 at once; it is one string, which one hand plucks."},
		{name: "one pitch on two strings", source: "B sharp and C are two strings [EIN-tremolo]", piece: piece{notes: "C4/B#3"}},
		{name: "right hand below C3", source: "[GOSS-TAG]", piece: piece{notes: "E2+B2/E1+B1"},
			want: []string{"right-hand-low@0"}, text: "Both hands are needed so low that the right one plays B2, below C3. Comfort and safety"},
		{name: "low notes that the left hand takes alone", source: "the low register is the left hand's [GOSS-TAG]", piece: piece{notes: "G2+B2/C2+E2"}},
		{name: "right hand down to C3", source: "[GOSS-TAG]", piece: piece{notes: "C3+E3+G3/C2+G2"}},
	}
}

// The claim of grip.splits: if any sharing of the strings fits two hands, so does
// one with the hands side by side.
func TestSplitsFindAnySharing(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		var g grip
		at := 0
		for range 2 + r.IntN(7) {
			at += 1 + r.IntN(6)
			g = append(g, stroke{rank: at})
		}
		any := false
		for set := range 1 << len(g) {
			var hands [2]grip
			for i, s := range g {
				hands[set>>i&1] = append(hands[set>>i&1], s)
			}
			any = any || !slices.ContainsFunc(hands[:], func(h grip) bool { return len(h) > fingers || h.span() > 10 })
		}
		if got := len(g.splits(10)) > 0; got != any {
			t.Fatalf("%v: a split is found: %v, exists: %v", g, got, any)
		}
	}
}
