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
		{name: "a tremolo under a change", source: "what goes on being plucked cannot be damped", piece: piece{notes: "G5:3*2+A5:3+A4:3 - G#5", step: 2 * second},
			want: []string{"held-string@2"}, text: "G5 is still held when the G pedal must go to G♯."},
		{name: "a note that ends in time is not held", source: "as the plan counts it", piece: piece{notes: "G5:2+A5:3 - G#5", step: 2 * second}},
		{name: "too little time for the foot", source: "a string sounds before its pedal moves: common practice",
			piece: piece{notes: "G5 G#5+A5", step: 250 * time.Millisecond},
			want:  []string{"rushed-change@1"}, text: "At this tempo the right foot cannot make the change to G♯: it has only 0.15 s, and a move takes 0.2 s.",
			tempo: "play at 83 % of the tempo"}, // 0.3 s instead of 0.25
		{name: "the tempo at which there is time", source: "arithmetic: 0.3 s for the sounding and the move instead of 0.25",
			piece: piece{notes: "G5 G#5+A5", step: 250 * time.Millisecond},
			change: func(music *Music, _ *Options) {
				music.Tempos = []Tempo{{Num: 240, Den: 1}, {From: time.Second, Num: 60, Den: 1}}
			},
			want: []string{"rushed-change@1"}, text: "At this tempo", tempo: "play at 200 quarter notes a minute"},
		{name: "the other string stands ready", source: "F♯ and G♭ are one pitch [EIN-tremolo]",
			piece: piece{notes: "F5+Gb4 F#5", step: 250 * time.Millisecond}, plan: pedal.Options{Mode: pedal.Written},
			want: []string{"rushed-change@1"}, text: "the right foot cannot make the change to F♯",
			tempo: "play at 83 % of the tempo"},
		{name: "no time at all", source: "a move takes time: common practice",
			piece: piece{notes: "G5 G#4+A5", step: 5 * time.Millisecond},
			want:  []string{"rushed-change@1"}, text: "At this tempo the right foot cannot make the change to G♯: it has no time, and a move takes 0.2 s."},
		{name: "two pedals of one foot", source: "two at once only on opposite sides [EIN-pedaling] [BLI 6]",
			piece: piece{notes: "G5+E5+F#5+A5 G#5+A5+Eb5+D6", step: 600 * time.Millisecond},
			want:  []string{"one-foot@1"}, text: "The right foot is wanted for G♯ and E♭ within 0.5 s; it moves one pedal at a time, the next one 0.5 s later at the soonest."},
		{name: "two pedals of one foot, and no time for a pause", source: "two at once only on opposite sides [EIN-pedaling] [BLI 6]",
			piece: piece{notes: "G5+E5+F#5+A5 G#5+A5+Eb5+D6", step: 450 * time.Millisecond},
			want:  []string{"rushed-change@1"}, text: "At this tempo the right foot cannot make the changes to G♯ and E♭ within 0.35 s, even without a pause: a move takes 0.2 s.",
			tempo: "play at 90 % of the tempo"},
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
		{name: "two pedals of a measure", source: "one finding for one fact", piece: piece{notes: "G1+F1+E4 - G#5+A5+F#5+E5"},
			want: []string{"ringing-change@1"}, text: "The F and G pedals move while F1 and G1 still ring, plucked 1 s before or more, so that the pitch of the ringing strings slides.",
			remedy: "Damp F1 and G1 before the pedals move."},
		{name: "a string that was only just plucked", source: "a slide is loudest just after plucking [EIN-slide]", piece: piece{notes: "A5 G5 A5+G#4", step: 310 * time.Millisecond},
			want: []string{"hardly-sounded@2"}, text: "The G pedal moves 0.11 s after G5 was plucked: it has hardly sounded, and the slide is heard."},
		{name: "the finger that plucks it again stops it", source: "common practice", piece: piece{notes: "A5 G5 A5+G#5", step: 310 * time.Millisecond}},
		{name: "a high string does not ring long", source: "longer strings ring longer [BLI 5]", piece: piece{notes: "G4 - G#5+A5"}},
		{name: "a low string has faded", source: "longer strings ring longer [BLI 5]", piece: piece{notes: "G2:4 - - - - G#5+A5"}},
		{name: "the finger that plucks it again damps it", source: "common practice", piece: piece{notes: "G1 - G#1+A1"}},
		{name: "what rang at the last change is told once", source: "one finding for one fact",
			piece: piece{notes: "G1 - G#5+A5 - G5+A5"}, want: []string{"ringing-change@1"},
			text: "G1 still rings", remedy: "Damp G1 before the pedal moves."},
	}
}
