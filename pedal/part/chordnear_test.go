package part_test

import (
	"fmt"
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/keys"
	"pedalogue/pedal/part"
	"pedalogue/pedal/part/parttest"
)

// withSymbol composes a measure with a chord symbol in the place of {reh=H}.
func withSymbol(t *testing.T, symbol, measure string) *part.Part {
	t.Helper()
	const place = "<direction><direction-type><rehearsal>H</rehearsal></direction-type></direction>"
	text := string(parttest.ComposeMarks(measure))
	if symbol != "" && !strings.Contains(text, place) {
		t.Fatalf("no place for the symbol in %s", text)
	}
	_, score := parttest.Read(t, []byte(strings.Replace(text, place, symbol, 1)))
	p, err := part.New(score, score.Players()[0], part.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func harmony(root, kind, more string) string {
	alter := strings.Count(root, "#") - strings.Count(root, "b")
	return fmt.Sprintf("<harmony><root><root-step>%s</root-step><root-alter>%d</root-alter></root><kind>%s</kind>%s</harmony>", root[:1], alter, kind, more)
}

func degree(kind string, value, alter int) string {
	return fmt.Sprintf("<degree><degree-value>%d</degree-value><degree-alter>%d</degree-alter><degree-type>%s</degree-type></degree>", value, alter, kind)
}

// What names the chord of a glissando, in the order of what is believed first: a
// setting, words, the written octave, a chord symbol, the key. The settings are those
// of table T4 of the trade's facts, where it has the chord.
func TestGlissandoOnAChord(t *testing.T) {
	const sweep = " <gliss> C4:8 </gliss> C6:8"
	const octave = " C4:1 Db4:1 Eb4:1 F4:1 Gb4:1 Ab4:1 <gliss> Bb4:2 </gliss> C6:8"
	for _, tt := range []struct {
		why, measure, symbol string
		setting              string
		source               finding.GlissandoSource
		said                 string
		near                 bool
	}{
		{"words", "{reh=@gliss._C9}" + sweep, "", "D C B♭ | E F♭ G A♯", finding.FromWords, "gliss. C9", false},
		{"words, the other way round", "{reh=@C9_gliss.}" + sweep, "", "D C B♭ | E F♭ G A♯", finding.FromWords, "C9 gliss.", false},
		{"in words of another language", "{reh=@harpe_gliss._C9}" + sweep, "", "D C B♭ | E F♭ G A♯", finding.FromWords, "harpe gliss. C9", false},
		{"a scale", "{reh=@glissando_in_whole_tone_on_C}" + sweep, "", "D C B♭ | E F♭ G♭ A♭", finding.FromWords, "glissando in whole tone on C", false},
		{"pitches", "{reh=@gliss._(C_D♯_F♯_A)}" + sweep, "", "D♯ C B♯ | E♭ F♯ G♭ A", finding.FromWords, "gliss. (C D♯ F♯ A)", false},
		{"the chord alone, where it begins", "{reh=@C9}" + sweep, "", "D C B♭ | E F♭ G A♯", finding.FromWords, "C9", false},
		{"a chord earlier in the measure is of something else", "{reh=@C9} C4:2 <gliss> C4:6 </gliss> C6:8", "", "D C B | E F G A", finding.FromKey, "", false},
		{"the word earlier in the measure", "{reh=@gliss._C9} R:2 <gliss> C4:6 </gliss> C6:8", "", "D C B♭ | E F♭ G A♯", finding.FromWords, "gliss. C9", false},
		{"no line, the words alone", "{reh=@gliss._C9} C4:8 C6:8", "", "D C B♭ | E F♭ G A♯", finding.FromWords, "gliss. C9", false},
		{"no chord in the words", "{reh=@gliss._molto}" + sweep, "", "D C B | E F G A", finding.FromKey, "", false},
		{"two pitches are no chord", "{reh=@gliss._C_E}" + sweep, "", "D C B | E F G A", finding.FromKey, "", false},
		{"pedals are no chord", "{reh=@F♯_G♯_A♭}" + sweep, "", "D C B | E F G A", finding.FromKey, "", false},
		{"none is just that", "{reh=@gliss._C7}" + sweep, "", "D C B♭ | E F♭ G A♯", finding.FromWords, "gliss. C7", true},
		{"a setting goes before words", "{reh=@D_C_B_|_E_F_G_A} {reh=@gliss._C9}" + sweep, "", "D C B | E F G A", finding.FromSetting, "", false},
		{"words go before the octave", strings.Replace(octave, "<gliss>", "{reh=@gliss._B♭9} <gliss>", 1), "", "D C B♭ | E♯ F G♯ A♭", finding.FromWords, "gliss. B♭9", false},
		{"the octave goes before a symbol", "C4:1 Db4:1 Eb4:1 F4:1 Gb4:1 Ab4:1 {reh=H} <gliss> Bb4:2 </gliss> C6:8", harmony("C", "dominant-ninth", ""),
			"D♭ C B♭ | E♭ F G♭ A♭", finding.FromOctave, "", false},
		{"a symbol", "{reh=H}" + sweep, harmony("C", "dominant-ninth", ""), "D C B♭ | E F♭ G A♯", finding.FromSymbol, "C9", false},
		{"a symbol with an added degree", "{reh=H}" + sweep, harmony("C", "major", degree("add", 6, 0)+degree("add", 9, 0)), "D C B♯ | E F♭ G A", finding.FromSymbol, "Cmaj(add A)(add D)", false},
		{"with an altered one", "{reh=H} <gliss> E4:8 </gliss> E6:8", harmony("E", "dominant", degree("alter", 5, 1)), "D C B♯ | E F♭ G♯ A♭", finding.FromSymbol, "E7(B♯)", false},
		{"half diminished", "{reh=H} <gliss> D4:8 </gliss> D6:8", harmony("D", "half-diminished", ""), "D C B♯ | E♯ F G♯ A♭", finding.FromSymbol, "Dø7", false},
		{"one elsewhere", "{reh=H} D4:2 <gliss> C4:6 </gliss> C6:8", harmony("C", "dominant-ninth", ""), "D C B | E F G A", finding.FromKey, "", false},
		{"one that no list knows", "{reh=H}" + sweep, harmony("C", "Tristan", ""), "D C B | E F G A", finding.FromKey, "", false},
	} {
		t.Run(tt.why, func(t *testing.T) {
			p := withSymbol(t, tt.symbol, tt.measure)
			if len(p.Glissandi) != 1 {
				t.Fatalf("%d glissandi", len(p.Glissandi))
			}
			g := p.Glissandi[0]
			if g.Setting.String() != tt.setting || g.Source != tt.source || g.Said != tt.said || g.Near != tt.near {
				t.Errorf("%v from %d, %q, near %v; want %v from %d, %q, near %v", g.Setting, g.Source, g.Said, g.Near, tt.setting, tt.source, tt.said, tt.near)
			}
			for l, note := range g.Swept {
				if pitch := p.Passage.Notes[note].Pitch; pitch.Letter != pedal.Letter(l) || pitch.Cents != 100*int(g.Setting[l]) {
					t.Errorf("it sweeps %v, not the setting %v", pitch, g.Setting)
				}
			}
		})
	}
}

// In another key a glissando is set as one on the chord there, or if the pedals of a
// printed setting have no such positions, as near to it as can be.
func TestGlissandoInAnotherKey(t *testing.T) {
	for _, tt := range []struct {
		why, measure     string
		semitones, steps int
		setting          string
	}{
		{"C9 becomes E♭9", "{reh=@gliss._C9} <gliss> C4:8 </gliss> C6:8", 3, 2, "D♭ C♯ B♭ | E♭ F G A♯"},
		{"C9 becomes G9", "{reh=@gliss._C9} <gliss> C4:8 </gliss> C6:8", 7, 4, "D C♭ B | E♯ F G A"},
		{"the key moves", "<gliss> C4:8 </gliss> C6:8", 2, 1, "D C♯ B | E F♯ G A"},
		{"C pentatonic becomes D pentatonic, though B sharp cannot become C double sharp", "{reh=@D_C_B♯_|_E_F♭_G_A} <gliss> C4:8 </gliss> C6:8", 2, 1, "D C♭ B | E F♭ G♭ A"},
	} {
		p := withSymbol(t, "", tt.measure)
		shift := keys.Shift{Semitones: tt.semitones, Steps: tt.steps}
		g := p.Moved(shift).Glissandi[0]
		if sounds := classes(g.Setting); sounds != classes(mustSet(t, tt.setting)) || g.Near {
			t.Errorf("%s: %v sounds %s, want %v", tt.why, g.Setting, sounds, tt.setting)
		}
		for l, note := range g.Swept {
			if pitch := p.Moved(shift).Passage.Notes[note].Pitch; pitch.Letter != pedal.Letter(l) && tt.why != "the key moves" {
				t.Errorf("%s: it sweeps %v", tt.why, pitch)
			}
		}
	}
}

func mustSet(t *testing.T, text string) pedal.Setting {
	t.Helper()
	s, err := pedal.ParseSetting(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// classes are the pitch classes that a setting sounds.
func classes(s pedal.Setting) string {
	var sounds [12]bool
	for l, position := range s {
		sounds[(pedal.Letter(l).Semitones()+int(position)+12)%12] = true
	}
	return fmt.Sprint(sounds)
}
