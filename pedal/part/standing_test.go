package part_test

import (
	"strings"
	"testing"

	"pedalogue/pedal/part"
)

func TestExistingMarks(t *testing.T) {
	for _, tt := range []struct{ name, music, want, why string }{
		{"setting", "{reh=@D_C#_Bb_|_E_F#_G_A} C5:4", "0 D C♯ B♭ | E F♯ G A", "one line"},
		{"two lines", "{reh=@E_F#_G_A~D_C#_Bb} C5:4", "0 D C♯ B♭ | E F♯ G A", "one text"},
		{"two directions", "{reh=@E_F#_G_A} {reh=@D_C#_Bb} C5:4", "0 D C♯ B♭ | E F♯ G A", "a text for each line"},
		{"two directions apart", "{reh=@E_F#_G_A} C5:4 {reh=@D_C#_Bb} C5:4", "", "each for itself is no mark"},
		{"letter and sign apart", "{reh=@F+♯} C5:4", "0 F♯", "the sign has a font of its own"},
		{"two changes in one direction", "{reh=@Fa♯+Si♭} C5:4", "0 F♯ B♭", "two texts"},
		{"with another text", "{reh=@dolce+F♯} C5:4", "0 F♯", "the other text is none"},
		{"ordinary texts", "{reh=@dolce} {reh=@D.C.} {reh=@(F♯)} C5:4", "", "no marks"},
		{"diagram", "{reh=@=D0,C1,B-1,E0,F1,G0,A0} C5:4", "0 D C♯ B♭ | E F♯ G A", "all seven"},
		{"part of a diagram", "{reh=@=C1,F1} C5:4", "0 C♯ F♯", "pedals that are not named stay"},
		{"duplicate", "{reh=@=C1,C0,F1} C5:4", "0 F♯", "what is named twice says nothing"},
		{"no notch", "{reh=@=C2,F1} C5:4", "0 F♯", "no pedal goes there"},
		{"among other words", "{reh=@près_de_la_table_–_F♭} C5:4", "0 F♭", "a dash parts them"},
		{"among other words, the sign apart", "{reh=@gliss._avec_Do+♯} C5:4", "0 C♯", "in a font of its own"},
		{"beside other words", "{reh=@F♯_(sec)+cantabile} C5:4", "0 F♯", "parentheses part them"},
		{"a key", "{reh=@C♯_minor} C5:4", "", "no pedal"},
		{"in order", "C5:4 {reh=@F♯} C5:4 {reh=@=C1} C5:4", "1 F♯, 2 C♯", "by time"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var list []string
			for _, m := range partOf(t, part.Options{}, tt.music).Standing {
				var pedals []string
				for _, p := range m.Pedals {
					pedals = append(pedals, p.String())
				}
				text := strings.Join(pedals, " ")
				if m.Full {
					text = m.Setting().String()
				}
				list = append(list, m.Onset.String()+" "+text)
			}
			if got := strings.Join(list, ", "); got != tt.want {
				t.Errorf("%q, want %q (%s)", got, tt.want, tt.why)
			}
		})
	}
}

func TestContradictions(t *testing.T) {
	for _, tt := range []struct{ name, music, want, why string }{
		{"agrees", "{reh=@D_C#_Bb_|_E_F#_G_A} C#5:4 Bb4:4", "", "as marked"},
		{"does not", "{reh=@D_C#_Bb_|_E_F#_G_A} C5:4 Bb4:4 C6:4", "C♯/C5", "the first such note of a pedal"},
		{"two pedals", "{reh=@D_C#_Bb_|_E_F#_G_A} E5:4 F5:4 C5:4", "F♯/F5 C♯/C5", "in written order"},
		{"other string", "{reh=@Db_C#_Bb_|_E_F#_G_A} C#5:4 Db5:4 A#4:4", "", "A sharp is B flat's string"},
		{"before the mark", "C5:4 {reh=@C#} C#5:4", "", "the note is before it"},
		{"until the next", "{reh=@C#} C#5:4 {reh=@F#} C5:4", "", "a list says nothing of other pedals"},
		{"a tie", "<tie> C5:4 {reh=@C#} </tie> C5:4 C#5:4", "", "a tied note is not plucked again"},
		{"double sharp", "{reh=@C#} C##5:4", "", "no pedal gives it"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := partOf(t, part.Options{}, tt.music)
			var list []string
			for _, against := range part.Contradictions(p.Player.Parts[0], p.Standing) {
				for _, c := range against {
					list = append(list, c.Tuning.String()+"/"+c.Note.Pitch.String())
				}
			}
			if got := strings.Join(list, " "); got != tt.want {
				t.Errorf("%q, want %q (%s)", got, tt.want, tt.why)
			}
		})
	}
}
