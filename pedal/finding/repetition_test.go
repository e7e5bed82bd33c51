package finding

import (
	"time"

	"pedalogue/pedal"
)

func repetitionChecks() []check {
	fast := 150 * time.Millisecond
	return []check{
		{name: "D repeated has no partner", source: "single string [EIN-tremolo]", piece: piece{notes: "D5 D5 D5 D5", step: fast},
			want: []string{"repeated-string@0"}, text: "D5 is plucked four times, 0.15 s apart: a string has hardly time to sound, and D has no second string."},
		{name: "F sharp repeated, the partner set", source: "F sharp and G flat [EIN-tremolo]", piece: piece{notes: "F#5+Gb3 F#5 F#5", step: fast},
			change: func(m *Music, _ *Options) { m.Passage.Notes[1].Fixed = true },
			want:   []string{"repeated-string@0"}, text: "F♯5 is plucked three times"},
		{name: "two spellings on one string", source: "the plan plays C sharp and D flat on one pedal where that saves changes", piece: piece{notes: "Db5+Bb4+C5 C#5 Db5", step: fast},
			change: func(m *Music, _ *Options) { m.Passage.Notes[3].On = pedal.SetOf(pedal.D) },
			want:   []string{"repeated-string@0"},
			text:   "D♭5 and D♭5 (written C♯5) fall on one string, which is plucked three times, 0.15 s apart: a string has hardly time to sound; it is the plan that plays them on one string, as written they are on two."},
		{name: "C repeated, the partner in use", source: "B sharp needs the B pedal [EIN-tremolo]", piece: piece{notes: "B4 C5 C5 C5 B4", step: fast},
			want: []string{"repeated-string@1"}, text: "C5 is plucked three times"},
		{name: "repeated with time", source: "a slower tempo serves [EIN-tremolo]", piece: piece{notes: "D5 D5 D5 D5", step: 250 * time.Millisecond}},
		{name: "a wire needs more time", source: "worst in low wires [EIN-tremolo] [GOSS-STOMP]", piece: piece{notes: "G2 G2", step: 250 * time.Millisecond},
			want: []string{"repeated-string@0"}, text: "G2 is plucked again after 0.25 s: a string has hardly time to sound, least of all a wire, and G has no second string."},
		{name: "the first gut string does not", source: "G2 is the last wire [EIN-strings]", piece: piece{notes: "A2 A2", step: 250 * time.Millisecond}},
		{name: "a repeated chord is one finding", source: "repeated chords are worse [EIN-tremolo]", piece: piece{notes: "D5+G5 D5+G5", step: fast},
			want: []string{"repeated-string@0"}, text: "D5 and G5 are plucked again after 0.15 s"},
		{name: "tremolo on D", source: "no partner [EIN-tremolo]", piece: piece{notes: "D5*8 D5*8"},
			want: []string{"tremolo-on-one-string@0"}, text: "The tremolo plucks D5 every 0.12 s, which is not convincing on one string, and D has no second string."},
		{name: "slow tremolo", source: "the limit is for speed", piece: piece{notes: "D5*4"}},
		{name: "tremolo between two spellings", source: "F sharp and G flat on two strings [EIN-tremolo]", piece: piece{notes: "F#5:2+Gb5:2 Gb5", step: fast},
			change: func(m *Music, _ *Options) {
				p := m.Passage
				for i, half := range []TremoloHalf{FirstHalf, SecondHalf, SecondHalf} {
					p.Notes[i].Fixed, m.Signs[i].Tremolo = true, half
				}
				p.Moments[1].Strikes[0].Note = 1
				p.Notes = p.Notes[:2]
			}},
		{name: "trill while the other hand plays", source: "common practice; [EIN-tremolo]", piece: piece{notes: "C5:3tr/C3 -/E3 -/G3"},
			want: []string{"trill-in-one-hand@0"}, text: "The trill on C5 falls to one hand, as the other plays three times meanwhile"},
		{name: "trill with both hands free", source: "trills are shared; [EIN-tremolo]", piece: piece{notes: "C5:3tr - - -/C3"}},
	}
}
