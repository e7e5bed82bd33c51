package finding

import (
	"time"

	"pedalogue/pedal"
)

func pedalChecks() []check {
	second := time.Second
	return []check{
		{name: "held note under a change", source: "a pedal bends what rings [PHI-tips]; a pianist holds [HC-BRUCH]",
			piece: piece{notes: "G5:3+A5:3+A4:3 - G#5", step: 2 * second},
			want:  []string{"held-string@2"}, text: "G5 is still held when the G pedal must go to G♯.",
			remedy: "End G5 here: then the pedal can move as planned."},
		{name: "a note that ends in time is not held", source: "as the plan counts it", piece: piece{notes: "G5:2+A5:3 - G#5", step: 2 * second}},
		{name: "too little time for the foot", source: "a string sounds before its pedal moves: common practice",
			piece: piece{notes: "G5 G#5+A5", step: 250 * time.Millisecond},
			want:  []string{"rushed-change@1"}, text: "The right foot has only 0.15 s for G♯, and needs 0.2 s.",
			remedy: "At 75 % of the tempo there would be time."},
		{name: "no time at all", source: "a move takes time: common practice",
			piece: piece{notes: "G5 G#4+A5", step: 5 * time.Millisecond},
			want:  []string{"rushed-change@1"}, text: "The right foot has no time for G♯"},
		{name: "two pedals of one foot", source: "two at once only on opposite sides [EIN-pedaling] [BLI 6]",
			piece: piece{notes: "G5+E5+F#5+A5 G#5+A5+Eb5+D6", step: 600 * time.Millisecond},
			want:  []string{"one-foot@1"}, text: "The right foot is wanted for"},
		{name: "two pedals of two feet", source: "[EIN-pedaling] [BLI 6]",
			piece: piece{notes: "G5+D5+A5+E5+C5 G#5+A5+C5+D#5+E5", step: 600 * time.Millisecond}},
		{name: "seven changes in a measure", source: "a heavy measure [HARPITECT]",
			piece: piece{notes: "G5+A5 G#5+A5 G5+A5 | G#5+A5 G5+A5 G#5+A5 G5+A5 G#5+A5 G5+A5 G#5+A5 G5+A5"},
			plan:  pedal.Options{FootTime: -1},
			want:  []string{"many-changes@3"}, text: "The feet make eight changes in this measure."},
		{name: "a low string that rings", source: "[PHI-tips] [BLI 5]",
			piece: piece{notes: "G1 - G#5+A5"},
			want:  []string{"ringing-change@1"}, text: "The G pedal moves while G1 still rings, plucked 1 s before",
			remedy: "Damp G1 before the pedal moves."},
		{name: "a high string does not ring long", source: "longer strings ring longer [BLI 5]", piece: piece{notes: "G4 - G#5+A5"}},
		{name: "a low string has faded", source: "longer strings ring longer [BLI 5]", piece: piece{notes: "G2:4 - - - - G#5+A5"}},
		{name: "the finger that plucks it again damps it", source: "common practice", piece: piece{notes: "G1 - G#1+A1"}},
		{name: "what rang at the last change is told once", source: "one finding for one fact",
			piece: piece{notes: "G1 - G#5+A5 - G5+A5"}, want: []string{"ringing-change@1"},
			text: "G1 still rings", remedy: "Damp G1 before the pedal moves."},
	}
}
