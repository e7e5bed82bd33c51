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
			want:  []string{"rushed-change@1"}, text: "At this tempo the right foot cannot make the change to G♯: it has only 0.15 s, and a move takes 0.2 s.",
			remedy: "Leave out G♯5, or play at 83 % of the tempo."}, // 0.3 s instead of 0.25
		{name: "the tempo at which there is time", source: "arithmetic: 0.3 s for the sounding and the move instead of 0.25",
			piece: piece{notes: "G5 G#5+A5", step: 250 * time.Millisecond},
			change: func(music *Music, _ *Options) {
				music.Tempos = []Tempo{{Num: 240, Den: 1}, {From: time.Second, Num: 60, Den: 1}}
			},
			want: []string{"rushed-change@1"}, text: "At this tempo", remedy: "Leave out G♯5, or play at 200 quarter notes a minute."},
		{name: "the other string stands ready", source: "F♯ and G♭ are one pitch [EIN-tremolo]",
			piece: piece{notes: "F5+Gb4 F#5", step: 250 * time.Millisecond}, plan: pedal.Options{Mode: pedal.Written},
			want: []string{"rushed-change@1"}, text: "the right foot cannot make the change to F♯",
			remedy: "Play F♯5 on the G strings, where G♭ stands ready, or play at 83 % of the tempo."},
		{name: "no time at all", source: "a move takes time: common practice",
			piece: piece{notes: "G5 G#4+A5", step: 5 * time.Millisecond},
			want:  []string{"rushed-change@1"}, text: "At this tempo the right foot cannot make the change to G♯: it has no time, and a move takes 0.2 s.",
			remedy: "Leave out G♯4."},
		{name: "two pedals of one foot", source: "two at once only on opposite sides [EIN-pedaling] [BLI 6]",
			piece: piece{notes: "G5+E5+F#5+A5 G#5+A5+Eb5+D6", step: 600 * time.Millisecond},
			want:  []string{"one-foot@1"}, text: "The right foot is wanted for G♯ and E♭ within 0.5 s; it moves one pedal at a time and starts one every 0.5 s."},
		{name: "two pedals of one foot, and no time for a pause", source: "two at once only on opposite sides [EIN-pedaling] [BLI 6]",
			piece: piece{notes: "G5+E5+F#5+A5 G#5+A5+Eb5+D6", step: 450 * time.Millisecond},
			want:  []string{"rushed-change@1"}, text: "At this tempo the right foot cannot make the changes to G♯ and E♭ within 0.35 s, even without a pause: a move takes 0.2 s.",
			remedy: "Leave out G♯5, or play at 90 % of the tempo."},
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
