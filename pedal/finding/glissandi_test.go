package finding

import "pedalogue/pedal"

// sweep makes a glissando of the first note, up to the end of its length, in the
// setting of the key.
func sweep(setting string, source GlissandoSource) func(*Music, *Options) {
	s, err := pedal.ParseSetting(setting)
	if err != nil {
		panic(err)
	}
	return func(m *Music, _ *Options) {
		p := m.Passage
		first := p.Moments[0].Strikes[0]
		g := Glissando{Note: first.Note, Setting: s, Source: source}
		for l := range pedal.Letter(pedal.Letters) {
			g.Swept = append(g.Swept, len(p.Notes))
			p.Moments[0].Strikes = append(p.Moments[0].Strikes, pedal.Strike{Note: len(p.Notes), End: first.End, Until: first.Until})
			p.Notes = append(p.Notes, pedal.Note{
				Pitch: pedal.Pitch{Letter: l, Cents: 100 * int(s[l]), Octave: 4}, Staff: 1,
				Implied: true, Fixed: true,
			})
		}
		m.Glissandi = []Glissando{g}
	}
}

// said is a sweep whose chord is named.
func said(sweep func(*Music, *Options), words string, near bool) func(*Music, *Options) {
	return func(m *Music, o *Options) {
		sweep(m, o)
		m.Glissandi[0].Said, m.Glissandi[0].Near = words, near
	}
}

func glissandoChecks() []check {
	const set = "glissando-setting@0"
	omit := func(by Implication) func(*Music, *Options) {
		return func(m *Music, _ *Options) { m.LeftOut = []LeftOut{{Note: 0, By: by}} }
	}
	return []check{
		{name: "glissando as printed", source: "the full setting stands before it [EIN-notating]", piece: piece{notes: "C4:2 - C6"},
			change: sweep("D C B# | E Fb G A", FromSetting), want: []string{set},
			text: "The glissando is set D C B♯ | E F♭ G A, as printed before it."},
		{name: "glissando from its octave", source: "[EIN-gliss]", piece: piece{notes: "C4:2 - C6"},
			change: sweep("D C B | E F G A", FromOctave), want: []string{set}, text: "from its first octave, which is written out."},
		{name: "glissando on a chord in words", source: "[EIN-gliss]", piece: piece{notes: "C4:2 - C6"},
			change: said(sweep("D C Bb | E Fb G A#", FromWords), "gliss. C9", false), want: []string{set},
			text: "The glissando is set D C B♭ | E F♭ G A♯, from the words “gliss. C9”."},
		{name: "glissando on a chord that cannot be set", source: "[FORUM-GLISS]", piece: piece{notes: "C4:2 - C6"},
			change: said(sweep("D C B# | E Fb G A", FromSymbol), "C", true), want: []string{set},
			text: "from the chord symbol C; no setting sounds just that, and this is the nearest."},
		{name: "glissando from the key", source: "[EIN-notating]", piece: piece{notes: "C4:2 - C6"},
			change: sweep("D C B | E F G A", FromKey), want: []string{set}, text: "from the key signature and the notes at its ends"},
		{name: "foreign letter", source: "unwanted letters sound [EIN-gliss]", piece: piece{notes: "C4:2 - Bb5"},
			change: sweep("D C B | E F G A", FromKey), want: []string{set, "glissando-foreign@0"}, text: "from the key signature"},
		{name: "foreign letter in another measure", source: "[EIN-gliss]", piece: piece{notes: "C4:2 - C6 | Bb5"},
			change: sweep("D C B | E F G A", FromKey), want: []string{set}, text: "from the key signature"},
		{name: "not settable with the chord under it", source: "seven strings an octave sound [EIN-gliss]", piece: piece{notes: "C4:2/F#3+A#3 - C6"},
			change: sweep("D C B | E F G A", FromSetting),
			want:   []string{"string-clash@0", "string-clash@0", set}, text: "F♯ and the glissando's F are wanted together, and both are on the F strings; G♭ is not free, as the G strings play G; E♯ is not free, as the E strings play E.",
			remedy: "Leave out F♯3; everything else here can be played as planned."},
		{name: "the sweep gives way", source: "the plan drops as few notes as it can", piece: piece{notes: "C4:2/F#3+F#2 - C6"},
			change: sweep("D C B | E F G A", FromSetting),
			want:   []string{"glissando-clash@0", set}, text: "The glissando cannot be set: it wants F, and F♯ is wanted at the same time."},
		{name: "trill left out", source: "--implied=off", piece: piece{notes: "C5"}, change: omit(ByOrnament),
			want: []string{"left-out@0"}, text: "The notes that the ornament adds are not counted."},
		{name: "glissando left out", source: "--implied=off", piece: piece{notes: "C5"}, change: omit(ByGlissando),
			want: []string{"left-out@0"}, text: "The strings that the glissando sweeps are not counted."},
	}
}
