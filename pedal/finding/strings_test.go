package finding

import "pedalogue/pedal"

func stringChecks() []check {
	harp48, err := pedal.ParseInstrument("48")
	if err != nil {
		panic(err)
	}
	disced := func(_ *Music, o *Options) {
		o.Plan.Instrument = pedal.Instrument{Lowest: pedal.StringName{Letter: pedal.C, Octave: 1}, Highest: pedal.StringName{Letter: pedal.G, Octave: 7},
			Undisced: []pedal.StringName{{Letter: pedal.C, Octave: 1}}}
	}
	tune := func(s string) string { return "must be tuned to " + s + " before the piece." }
	return []check{
		{name: "B flat below the lowest string", source: "[HIO]", piece: piece{notes: "Bb0"},
			want: []string{"out-of-compass@0"}, text: "B♭0 is below the harp's lowest string, C1."},
		{name: "an octave higher the pedal stands right", source: "[HIO]", piece: piece{notes: "Bb0/Bb3"},
			want: []string{"out-of-compass@0"}, text: "B♭0 is below the harp's lowest string, C1.", remedy: "Play it an octave higher, as B♭1."},
		{name: "an octave higher it is played already", source: "[HIO]", piece: piece{notes: "A0/A1"},
			want: []string{"out-of-compass@0"}, text: "A0 is below", remedy: "Leave it out; A1 is played with it."},
		{name: "A7 on 47 strings", source: "[WIKI]", piece: piece{notes: "A7"},
			want: []string{"out-of-compass@0"}, text: "A7 is above the harp's highest string, G7.", remedy: "Play it an octave lower, as A6."},
		{name: "A7 on 48 strings", source: "[WIKI]", piece: piece{notes: "A7"}, plan: pedal.Options{Instrument: harp48},
			want: []string{"string-without-discs@0"}, text: tune("A♮")},
		{name: "C flat 1, the lowest pitch", source: "open C1 string [WIKI]", piece: piece{notes: "Cb1"},
			want: []string{"string-without-discs@0"}, text: "The C1 string has no discs on most harps, so its pedal does not reach it; it " + tune("C♭")},
		{name: "B sharp 0 on the C1 string", source: "no B string below C1; C1 natural if so tuned", piece: piece{notes: "B#0"},
			want: []string{"string-without-discs@0"}, text: tune("C♮")},
		{name: "G sharp 7 where the top string has discs", source: "[WIKI]", piece: piece{notes: "G#7"}, change: disced},
		{name: "C1 and C sharp 1", source: "low C is one pitch [GOSS-65]", piece: piece{notes: "C1 - - - C#1"},
			want: []string{"string-without-discs@0", "two-tunings@4"}, text: tune("C♮")},
		{name: "B sharp 0 when C1 is tuned flat", source: "[GOSS-65]", piece: piece{notes: "Cb1 - B#0"},
			want: []string{"string-without-discs@0", "two-tunings@2"}, text: tune("C♭")},
		{name: "the lowest and highest strings with discs", source: "C1, D1 and G7 have none [BLI 3] [C&O-PED]", piece: piece{notes: "E1 - - F7"}},
		{name: "D1 on 46 strings", source: "D1 to G7", piece: piece{notes: "C1"}, plan: pedal.Options{Instrument: pedal.SemiGrand46()},
			want: []string{"out-of-compass@0"}, text: "C1 is below the harp's lowest string, D1.", remedy: "Play it an octave higher, as C2."},
		{name: "F7 on 44 strings", source: "D1 to E7 [GLOSS]; as E sharp it is there", piece: piece{notes: "F7"}, plan: pedal.Options{Instrument: pedal.Harp44()}},
		{name: "G7 on 44 strings", source: "D1 to E7 [GLOSS]", piece: piece{notes: "G7"}, plan: pedal.Options{Instrument: pedal.Harp44()},
			want: []string{"out-of-compass@0"}, text: "G7 is above the harp's highest string, E7.", remedy: "Play it an octave lower, as G6."},
	}
}
