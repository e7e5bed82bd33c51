package finding

import (
	"time"

	"pedalogue/pedal"
)

func moveChecks() []check {
	quick := 200 * time.Millisecond
	fifth := 100 * time.Millisecond
	dampers := func(n int) func(*Music, *Options) {
		return func(m *Music, _ *Options) { m.Dampers = []int{0, 1, 1}[:n] }
	}
	return []check{
		{name: "a leap of two octaves with the other hand busy", source: "leaps need placing time [HLP] [MILLS]",
			piece: piece{notes: "C6/E2 E6/E4", step: quick},
			want:  []string{"leap@1"}, text: "One hand has 0.2 s to leap two octaves, from E2 to E4, and the other is busy."},
		{name: "the same leap with time", source: "[HLP] [MILLS]", piece: piece{notes: "C6/E2 E6/E4", step: time.Second}},
		{name: "the other hand takes it", source: "often two hands are needed [MILLS]", piece: piece{notes: "C5/E2 -/E4", step: quick}},
		{name: "the other hand takes it with its own note", source: "often two hands are needed [MILLS]", piece: piece{notes: "C5/E2 G4/E4", step: quick}},
		{name: "a way within the hand is no leap", source: "a tenth is safe [EIN-hand]", piece: piece{notes: "C6/C3 E6/E4", step: quick}},
		{name: "quintuplet run of the right hand, the left busy", source: "[WEEKS] [UBC] [HOLDEN]",
			piece: piece{notes: "C5/C3 D5 E5/G3 F5 G5 A5", step: fifth, beat: 5},
			want:  []string{"five-in-hand@0"}, text: "One hand has a run of five notes in a beat, 0.1 s apart, and is placed by fours at most."},
		{name: "quintuplet run, the left free", source: "[WEEKS]; often two hands are needed [MILLS]",
			piece:  piece{notes: "C5/- D5 E5 F5 G5 A5", step: fifth, beat: 5},
			change: func(m *Music, _ *Options) { m.Passage.Notes = append(m.Passage.Notes, pedal.Note{Staff: 2}) },
			want:   []string{"five-in-hand@0"}, text: "One hand has a run of five notes",
			remedy: "Share it between the hands: the other one plucks nothing in this beat."},
		{name: "four notes in a beat", source: "runs of four lie well [UBC]", piece: piece{notes: "C5/C3 D5 E5/G3 F5 G5", step: fifth, beat: 4}},
		{name: "five slow notes", source: "the limit is for speed", piece: piece{notes: "C5/C3 D5 E5/G3 F5 G5 A5", step: 300 * time.Millisecond, beat: 5}},
		{name: "five notes that turn back", source: "the hand is placed on fewer strings", piece: piece{notes: "C5/C3 D5 E5/G3 D5 C5 A5", step: 250 * time.Millisecond, beat: 5}},
		{name: "the other hand was free where the leap begins", source: "often two hands are needed [MILLS]", piece: piece{notes: "C3/- -/E5 G5/C3", step: quick}},
		{name: "a limit is compared as it is printed", source: "0.3 s for two octaves is the limit", piece: piece{notes: "C6/E2 E6/E4", step: 299 * time.Millisecond}},
		{name: "a long run of one hand, the other busy", source: "hands are placed by fours [UBC] [HOLDEN]",
			piece: piece{notes: "C5/C3 D5 E5/G3 F5 G5 A5/G3 B5 C6 D6/G3 E6", step: 120 * time.Millisecond, beat: 4},
			want:  []string{"run-in-one-hand@0"}, text: "One hand plays a run of ten notes, 0.12 s apart, in three placings, while the other is busy."},
		{name: "the same, the other free", source: "often two hands are needed [MILLS]", piece: piece{notes: "C5/C3 D5 E5 F5 G5 A5 B5 C6 D6 E6", step: 120 * time.Millisecond, beat: 4}},
		{name: "a figure on four strings", source: "the hand stays where it is placed [UBC]",
			piece: piece{notes: "C5/C3 E5 G5/G3 C6 G5 E5/G3 C5 E5 G5/G3 C6", step: 120 * time.Millisecond, beat: 4}},
		{name: "no tempo", source: "what was assumed is told", piece: piece{notes: "- C5 D5"},
			change: func(m *Music, _ *Options) { m.Untimed, m.Tempos = 3, []Tempo{{Num: 96, Den: 1}} },
			want:   []string{"no-tempo@1"}, text: "The score gives no tempo; 96 quarter notes a minute were assumed. Which",
			remedy: "Give the tempo with --tempo."},
		{name: "no tempo before the music begins", source: "nothing is played there", piece: piece{notes: "- C5 D5"},
			change: func(m *Music, _ *Options) { m.Untimed = 1 }},
		{name: "damper pedal once", source: "no damper pedal [BLI 5]", piece: piece{notes: "C5"}, change: dampers(1),
			want: []string{"damper-pedal@0"}, text: "A piano's damper pedal is marked here; a harp has none",
			remedy: "Leave the marks out; let ring where the pedal goes down, and damp where it comes up."},
		{name: "damper pedal often", source: "no damper pedal [BLI 5]", piece: piece{notes: "C5 D5"}, change: dampers(3),
			want: []string{"damper-pedal@0"}, text: "marked three times from here on",
			remedy: "Leave the marks out; let ring where the pedal goes down, and damp where it comes up."},
	}
}
