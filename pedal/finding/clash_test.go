package finding

import "pedalogue/pedal"

func clashChecks() []check {
	written := pedal.Options{Mode: pedal.Written}
	return []check{
		{name: "C and C sharp, as written", source: "[BLI 8] [BAL]", piece: piece{notes: "C4+C#5"}, plan: written,
			want: []string{"string-clash@0"}, text: "both are on the C strings; every note is to be played on its written string.",
			remedy: "Leave out C♯5; everything else here can be played as planned."},
		{name: "C and C sharp, respelt", source: "[BLI 8] [BAL]", piece: piece{notes: "C4+C#5"}},
		{name: "F and F sharp, respelt", source: "[BAL] [C&O-PED]", piece: piece{notes: "F4+F#5"}},
		{name: "C, C sharp, D", source: "playable as B sharp, C sharp, D [C&O-PED]", piece: piece{notes: "C4+C#4+D4"}},
		{name: "D, D sharp, E", source: "playable as D, E flat, F flat", piece: piece{notes: "D4+D#4+E4"}},
		{name: "A, A sharp, B", source: "playable as A, B flat, C flat", piece: piece{notes: "A4+A#4+B4"}},
		{name: "G, G sharp, A", source: "impossible [C&O-PED]", piece: piece{notes: "G4+G#4+A4"},
			want: []string{"string-clash@0"}, text: "G♯ and G are wanted together, and both are on the G strings; A♭ is not free, as the A strings play A; G has no second string.",
			remedy: "Leave out G♯4; everything else here can be played as planned."},
		{name: "a clash in two octaves is one finding", source: "a pedal moves all octaves [EIN-notating]", piece: piece{notes: "G3+A3+G#3+G4+A4+G#4+G5+A5"},
			want: []string{"string-clash@0"}, text: "G♯ and G are wanted together",
			remedy: "Leave out G♯3 and G♯4; everything else here can be played as planned."},
		{name: "the other string stands right", source: "[BLI 8]", piece: piece{notes: "Db4 - C4+C#5"}, plan: written,
			want: []string{"string-clash@2"}, text: "every note is to be played on its written string.",
			remedy: "Play C♯ as D♭, to which the D pedal is set here."},
		{name: "quarter tone", source: "three positions a pedal [GROVE]", piece: piece{notes: "Cq4"},
			want: []string{"quarter-tone@0"}, text: "C(0.5) lies between two positions of the pedal"},
		{name: "triple sharp B", source: "B triple sharp is D, which only D plays", piece: piece{notes: "B###4+D5"},
			want: []string{"double-accidental@0"}, text: "No pedal sets B♯♯♯: it is played as D5, on the D string."},
		{name: "triple sharp C", source: "C triple sharp is D sharp, on the D string", piece: piece{notes: "C###4"},
			want: []string{"double-accidental@0"}, text: "No pedal sets C♯♯♯: it is played as E♭4, on the E string."},
		{name: "double sharp", source: "[HC-CREATE]", piece: piece{notes: "Fx4+Fx5/D3"},
			want: []string{"double-accidental@0"}, text: "No pedal sets F𝄪: it is played as G4 and G5, on the G strings."},
		{name: "a double sharp again", source: "one finding for one fact", piece: piece{notes: "Fx4/D3 Fx5 - Fx4"},
			want: []string{"double-accidental@0"}, text: "No pedal sets F𝄪: it is played as G4, on the G string, here and twice more."},
		{name: "double sharp in the way", source: "[HC-CREATE]", piece: piece{notes: "Fx4+G#4+A4"},
			want: []string{"string-clash@0"}, text: "F𝄪 can only be played as G, and the G strings play G♯ here; A♭ is not free, as the A strings play A.",
			remedy: "Leave out F𝄪4; everything else here can be played as planned."},
	}
}
