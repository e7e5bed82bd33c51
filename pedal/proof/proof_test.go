package proof_test

import (
	"fmt"
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/part/parttest"
	"pedalogue/pedal/proof"
)

// judged judges the marks of a composed score.
func judged(t *testing.T, o pedal.Options, measures ...string) (*proof.Proof, *part.Part, []part.Mark) {
	t.Helper()
	_, score := parttest.Read(t, parttest.ComposeMarks(measures...))
	p, err := part.New(score, score.Players()[0], part.Options{})
	if err != nil {
		t.Fatal(err)
	}
	readings := p.Readings(nil)
	marks, _ := p.Following(readings)
	return proof.Judge(&proof.Task{Part: p, Marks: marks, Readings: readings, Options: o}), p, marks
}

var severities = map[proof.Severity]string{proof.Note: "note", proof.Warning: "warning", proof.Error: "error"}

// told writes faults: "wrong-pedal error 2+1/2 F♮>F♯ @1": kind, severity, measure and
// offset, pass if it is not the first, pedal as it stands and as it is needed, the measure
// of the mark.
func told(found *proof.Proof, p *part.Part, marks []part.Mark) string {
	var list []string
	for _, f := range found.Faults {
		at := p.Places.Of(f.Moment)
		text := fmt.Sprintf("%s %s %d+%v", f.Kind, severities[f.Severity], at.Measure+1, p.Offset(at))
		if pass := p.Places.Pass(f.Moment); pass > 1 {
			text += fmt.Sprintf(":%d", pass)
		}
		if f.OfPedal {
			text += fmt.Sprintf(" %v%s>%s", f.Pedal, f.Stands.Sign(), f.Needed.Sign())
		}
		if f.Mark >= 0 {
			text += fmt.Sprintf(" @%d", marks[f.Mark].Measure+1)
		}
		list = append(list, text)
	}
	return strings.Join(list, "; ")
}

// naturals is a setting at the start of a measure.
const naturals = "{reh=@D_C_B_|_E_F_G_A}"

func TestFaults(t *testing.T) {
	for _, tt := range []struct {
		name, want, why string
		measures        []string
	}{
		{"clean", "", "each note has its string", []string{naturals + " C5:8 {reh=@F♯} F#5:8"}},
		{"no mark", "never-set error 1+2 F♮>♯", "nothing was said of F", []string{"C5:8 F#5:8"}},
		{"key signature", "", "pedals that no mark has set stand by it", []string{"C5:8 F5:8"}},
		{"wrong letter", "wrong-pedal error 1+2 F♮>♯ @1; wrong-pedal error 1+3 G♯>♮ @1", "F was to be set",
			[]string{naturals + " C5:8 {reh=@G♯} F#5:4 G5:4"}},
		{"run", "wrong-pedal error 1+0 F♮>♯ @1", "notes of one pedal are told once", []string{naturals + " F#5:4 F#4:4 C5:4 F#5:4"}},
		{"run ends at a mark", "wrong-pedal error 1+0 F♮>♯ @1; wrong-pedal error 1+2 F♭>♯ @1", "a mark of the pedal comes",
			[]string{naturals + " F#5:8 {reh=@F♭} F#4:8"}},
		{"run ends at a need", "wrong-pedal error 1+0 F♮>♯ @1; wrong-pedal error 1+3 F♮>♯ @1", "F natural is right in between",
			[]string{naturals + " F#5:8 F5:4 F#5:4"}},
		{"each pedal its own", "wrong-pedal error 1+0 F♮>♯ @1; wrong-pedal error 1+1 C♮>♯ @1", "two pedals, two faults",
			[]string{naturals + " F#5:4 C#5:4 F#5:4 C#5:4"}},
		{"late", "late-mark error 1+2 F♮>♯ @2", "a beat too late", []string{naturals + " C5:8 F#5:8", "{reh=@F♯} F#5:16"}},
		{"late, but needed otherwise", "wrong-pedal error 1+0 F♮>♯ @1", "F natural comes before the mark, so it is not for this note",
			[]string{naturals + " F#5:8 F5:8", "{reh=@F♯} F#5:16"}},
		{"far behind", "wrong-pedal error 1+0 F♮>♯ @1", "three measures later it is for something else",
			[]string{naturals + " F#5:16", "C5:16", "C5:16", "{reh=@F♯} F#5:16"}},
		{"early", "early-mark error 1+2 F♯>♮ @1", "F natural comes after the mark", []string{naturals + " {reh=@F♯} C5:8 F5:8", "F#5:16"}},
		{"early under a held note", "early-mark warning 1+2 F♯>♮ @1", "the half note is held for a beat more",
			[]string{naturals + " F5:12 F#5:4 | R:8 {reh=@F♯} C4:8"}},
		{"idle", "idle-mark note 1+2 F♮>♮ @1", "F stands so", []string{naturals + " C5:8 {reh=@F♮} F5:8"}},
		{"changes what nobody hears", "idle-mark note 1+2 F♯>♮ @1", "F is marked again before it sounds", []string{naturals + " C5:8 {reh=@F♯} C5:4 {reh=@F♮} F5:4"}},
		{"changes what nobody hears after it", "idle-mark note 1+2 F♯>♮ @1", "no F comes", []string{naturals + " F5:8 {reh=@F♯} C5:8"}},
		{"heard after it is said again", "", "the setting says it too", []string{naturals + " C5:8 {reh=@F♯} R:8", "{reh=@D_C_B_|_E_F♯_G_A} F#5:16"}},
		{"heard on another string", "", "G flat sounds it", []string{naturals + " C5:8 {reh=@F♯} {reh=@(F♯)} Gb5:8"}},
		{"heard in a glissando", "", "it sweeps all strings", []string{naturals + " C5:4 {reh=@F♯} <gliss> C4:8 </gliss> C6:4"}},
		{"undoes what is missing", "wrong-pedal error 1+0 F♮>♯ @1; idle-mark note 1+2 F♮>♮ @1", "F♯ was to be set before", []string{naturals + " F#5:8 {reh=@F♮} F5:8"}},
		{"marked twice", "idle-mark note 1+2 F♯>♯ @1", "each staff has it", []string{naturals + " F5:8 {reh=@F♯} {reh=@F♯_C♯} F#5+C#5:8"}},
		{"marked both ways", "idle-mark note 1+2 F♭>♯ @1", "the second one is followed", []string{naturals + " F5:8 {reh=@F♭} {reh=@F♯} F#5:8"}},
		{"not idle once", "", "in the first pass it does something", []string{"{reh=@D_C_B_|_E_F#_G_A} C5:16", "{fwd} {reh=@F♮} F5:16 {back}"}},
		{"first word on a pedal", "", "it says what nobody has said", []string{"C5:8 {reh=@F♮} F5:8"}},
		{"repeat", "repeat-start error 1+0:2 F♯>♮", "F sharp comes from the end", []string{"{fwd} F5:16", "{reh=@F♯} F#5:16 {back}"}},
		{"repeat that is told", "", "the setting is read again", []string{"{fwd} " + naturals + " F5:16", "{reh=@F♯} F#5:16 {back}"}},
		{"first ending", "repeat-start error 1+0:2 B♭>♮", "by way of the first ending",
			[]string{"{fwd} " + "B5:16", "{1} {reh=@B♭} Bb5:8 R:8 {/1}", "{2} {reh=@B♮} B5:16 {/2}"}},
		{"other string", "other-string note 1+0 C♮>♯", "D flat stands ready", []string{"{reh=@Db_C_B_|_E_F_G_A} C#5:16"}},
		{"other string told", "", "a text says it", []string{"{reh=@Db_C_B_|_E_F_G_A} {reh=@(D♭)} C#5:8 C#5:8"}},
		{"string that differs", "string-name-differs note 1+0 D♮>♭", "C sharp stands ready, and D flat does not",
			[]string{"{reh=@D_C#_B_|_E_F_G_A} {reh=@(D♭)} C#5:16"}},
		{"string that differs, by a note beyond them", "string-name-differs note 1+0 D♮>♭", "the text is for the note that has a string",
			[]string{"{reh=@D_C#_B_|_E_F_G_A} {reh=@(D♭)} C#0+C#5:16"}},
		{"setting contradicts, change right", "wrong-pedal error 1+3 F♮>♯ @1; setting-contradicts warning 1+3 F♮>♯ @1", "the notes go on with F sharp",
			[]string{naturals + " {reh=@F♯} F#5:8 {reh=@D_C_B_|_E_F_G_A} C5:4 F#5:4"}},
		{"setting resets", "", "the change has been used, and the notes agree", []string{naturals + " {reh=@F♯} F#5:8 {reh=@D_C_B_|_E_F_G_A} C5:4 F5:4"}},
		{"setting contradicts, unused change", "setting-contradicts warning 1+2 F♮>♮ @1", "the change was for nothing",
			[]string{naturals + " C5:4 {reh=@F♯} C5:4 {reh=@D_C_B_|_E_F_G_A} C5:4 F5:4"}},
		{"setting contradicts for nothing", "setting-contradicts note 1+2 F♮>♮ @1", "no note depends on it",
			[]string{naturals + " {reh=@F♯} F#5:8 {reh=@D_C_B_|_E_F_G_A} C5:8"}},
		{"two settings", "setting-contradicts warning 1+0 F♯>♮ @1", "a diagram and letters that differ", []string{"{reh=@=D0,C0,B0,E0,F1,G0,A0} " + naturals + " F5:16"}},
		{"unison", "", "two names of one pitch on one string", []string{"{reh=@Db_C_B_|_E_F_G_A} {reh=@(D♭)} C#5+Db5:16"}},
		{"clash", "wrong-pedal error 1+0 G♮>♯ @1", "one letter in two positions, and no other string stands ready", []string{naturals + " G5+G#4:16"}},
		{"no string at all", "", "a low note that no harp has is no fault of the marks", []string{naturals + " C0:16"}},
		{"double sharp", "", "G natural sounds it", []string{naturals + " F##5:16"}},
		{"double sharp wrong", "wrong-pedal error 1+0 G♭>♮ @1", "the G pedal would give it", []string{"{reh=@D_C_B_|_E_F_Gb_A} F##5:16"}},
		{"glissando", "glissando-without-setting warning 1+0", "nothing says how the pedals stand", []string{"<gliss> C4:8 </gliss> C6:8"}},
		{"glissando with setting", "", "the setting stands before it", []string{naturals + " <gliss> C4:8 </gliss> C6:8"}},
		{"glissando long after", "glissando-without-setting warning 4+0", "a pedal has moved since",
			[]string{naturals + " C5:16", "{reh=@F♯} F#5:16", "C5:16", "<gliss> C4:8 </gliss> C6:8"}},
		{"trill", "wrong-pedal error 1+0 D♭>♮ @1", "its upper note needs its string", []string{"{reh=@Db_C_B_|_E_F_G_A} <trill> C5:16"}},
		{"told ahead", "", "what is told before the repeat is done after it", []string{"{fwd} " + naturals + " F5:16", "{reh=@F♯} F#5:8 {reh=@for_the_repeat:_F♮} F#5:8 {back}"}},
		{"prepared", "", "it is set ahead of the need", []string{naturals + " {reh=@prepare_F♯} C5:8 C5:8", "F#5:16"}},
		{"prepared, not yet", "", "F natural is played first", []string{naturals + " {reh=@prepare_F♯} F5:8 C5:8", "F#5:16"}},
		{"prepared under a held note", "", "it is let go before", []string{naturals + " F5:12 F#5:4 | R:8 {reh=@préparez_F♯} C4:8"}},
		{"prepared for nothing", "wrong-pedal error 1+0 F♯>♮ @1", "no note needs it, and one is spoilt", []string{naturals + " {reh=@préparez_F♯} F5:8 C5:8"}},
		{"prepared, then marked again", "late-mark error 1+0 F♯>♮ @1; wrong-pedal error 1+2 F♮>♯ @1", "the need comes only after the next mark",
			[]string{naturals + " {reh=@prepare_F♯} F5:4 {reh=@F♮} F5:4 F#5:8"}},
		{"prepared setting", "", "it says what is to come, and contradicts nothing",
			[]string{naturals + " {reh=@F♯} F#5:8 {reh=@préparez_D♭_C_B_E_F_G_A} F#5:4 R:4", "F5:8 Db5:8"}},
		{"French", "", "Fa is F", []string{"{reh=@mi_♮_fa_♮_sol_♭_la_♮_si_♭_do_♮_ré_♯} Gb5:4 Bb4:4 D#5:8"}},
		{"German", "", "a part in German", []string{"{reh=@D_C_H_|_E_Fis_G_A} F#5:4 {reh=@B} Bb4:12"}},
		{"grace note before the mark", "", "the order of the file decides", []string{naturals + " C5:8 g.F5 {reh=@F♯} F#5:8"}},
		{"grace note behind the mark", "early-mark error 1+2 F♯>♮ @1", "the order of the file decides", []string{naturals + " C5:8 {reh=@F♯} g.F5 F#5:8"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			found, p, marks := judged(t, pedal.Options{FootTime: -1}, tt.measures...)
			if got := told(found, p, marks); got != tt.want {
				t.Errorf("%s; want %s (%s)", got, tt.want, tt.why)
			}
		})
	}
}

func TestFeet(t *testing.T) {
	for _, tt := range []struct {
		name, want, why string
		measures        []string
	}{
		{"time enough", "", "a quarter note at 96 is 0.625 s", []string{naturals + " F5:4 {reh=@F♯} F#5:12"}},
		{"none", "rushed-foot error 1+1/4 F♮>♯ @1", "at 240 a sixteenth is 0.06 s", []string{naturals + " {tempo=240} F5:1 {reh=@F♯} F#5:15"}},
		{"two feet", "", "one pedal each", []string{naturals + " F5+C5:4 {reh=@F♯_C♯} F#5+C#5:12"}},
		{"one foot", "one-foot warning 1+1 F♮>♯ @1", "two pedals of the right foot in 0.6 s", []string{naturals + " F5+E5:4 {reh=@E♭_F♯} F#5+Eb5:12"}},
		{"one foot that cannot", "one-foot error 1+1/2 F♮>♯ @1", "two moves of 0.2 s in 0.3 s", []string{naturals + " F5+E5:2 {reh=@E♭_F♯} F#5+Eb5:14"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			found, p, marks := judged(t, pedal.Options{}, tt.measures...)
			if got := told(found, p, marks); got != tt.want {
				t.Errorf("%s; want %s (%s)", got, tt.want, tt.why)
			}
		})
	}
}

// The marks of a plan cost what the plan does, and show no fault that is not planned,
// on music of all kinds.
func TestPlansAreClean(t *testing.T) {
	for seed := range uint64(60) {
		_, score := parttest.Read(t, parttest.Compose(parttest.Random(seed)...))
		p, err := part.New(score, score.Players()[0], part.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, mode := range pedal.Modes() {
			o := pedal.Options{Mode: mode}
			done, err := p.Plan(t.Context(), part.Wishes{Options: o, Only: true})
			if err != nil {
				t.Fatal(err)
			}
			task := proof.Task{Part: p, Marks: done.Page.Marks, Options: o, Plan: done.Plan}
			alone := proof.Judge(&task)
			task.Planned = alone
			again := proof.Judge(&task)
			if worst, _ := again.Worst(); worst != proof.Note {
				t.Errorf("seed %d, %v: %s", seed, mode, told(again, p, task.Marks))
			}
			got, want := again.Cost, done.Plan.Cost
			if want.Unsounded > 0 {
				// What the plan leaves out may be ready on another string all the same.
				got = pedal.Cost{Unsounded: want.Unsounded, Held: want.Held, Rushed: want.Rushed, Respelt: want.Respelt,
					Switches: want.Switches, Changes: got.Changes, Notches: got.Notches}
			}
			if got != want {
				t.Errorf("seed %d, %v: the marks cost %+v, the plan %+v", seed, mode, again.Cost, done.Plan.Cost)
			}
			for _, f := range alone.Faults {
				if f.Severity == proof.Error && done.Plan.Cost.Unsounded == 0 && f.Kind != proof.RushedFoot && f.Kind != proof.OneFoot {
					t.Errorf("seed %d, %v: all notes sound, and there is %s", seed, mode, f.Text)
				}
			}
		}
	}
}

// Every form in which marks are printed is followed: a note that needs the change or the
// setting sounds, and without it does not.
func TestForms(t *testing.T) {
	const note, flat = " F#5:8", " Bb4:8"
	for _, tt := range []struct{ mark, notes, why string }{
		{"{reh=@F#}", note, "English"}, {"{reh=@F♯}", note, "English"}, {"{reh=@F_sharp}", note, "English"}, {"{reh=@[F♯]}", note, "in a box"},
		{"{reh=@Bb}", flat, "English"}, {"{reh=@B_flat}", flat, "English"}, {"{reh=@F+♯}", note, "split over two words"},
		{"{reh=@Fa♯}", note, "French"}, {"{reh=@fa_dièse}", note, "French"}, {"{reh=@si_bémol}", flat, "French"}, {"{reh=@préparez_Fa♯}", note, "prepared"},
		{"{reh=@Fis}", note, "German"}, {"{reh=@Fis_vorbereiten}", note, "prepared"}, {"{reh=@Fis_B}", flat, "B as B flat"},
		{"{reh=@Fa_diesis}", note, "Italian"}, {"{reh=@Si_bemolle}", flat, "Italian"}, {"{reh=@preparare_Fa_diesis}", note, "prepared"},
		{"{reh=@F\ue262}", note, "a glyph for the sign"}, {"{reh=@B\ue260}", flat, "a glyph for the sign"}, {"{reh=@F+\ue262}", note, "a glyph apart"},
		{"{reh=@gliss._avec_Fa♯}", note, "among words"}, {"{reh=@F♯~B♭}", note, "two lines"},
		{"{reh=@D_C_Bb_E_F#_G_A}", note + flat, "a setting on one line"}, {"{reh=@E_F#_G_A~D_C_Bb}", note + flat, "on two"},
		{"{reh=@D_C_Bb_|_E_F#_G_A}", note + flat, "with a stroke"}, {"{reh=@E_F#_G_A} {reh=@D_C_Bb}", note + flat, "in two directions at one place"},
		{"{reh=@Mi_Fa♯_Sol_La_Si♭_Do_Ré}", note + flat, "a French one"}, {"{reh=@D_C_B_E_Fis_G_A}", note + flat, "a German one"},
		{"{reh=@\ue681\ue681\ue680\ue683\ue681\ue682\ue681\ue681}", note + flat, "glyphs of a diagram"},
		{"{reh=@=D0,C0,B-1,E0,F1,G0,A0}", note + flat, "a diagram"}, {"{reh=@=A0,F1,B-1,G0,D0,E0,C0}", note + flat, "in another order"},
		{"{reh=@=F1}", note, "a part of one"}, {"{reh=@=F1,B-1,C0.5}", note + flat, "beside a pedal in no notch"}, {"{reh=@=F1,C0,C1}", note, "beside one named twice"},
	} {
		for _, mark := range []string{tt.mark, ""} {
			found, p, marks := judged(t, pedal.Options{FootTime: -1}, naturals+" C5:8", mark+tt.notes)
			worst, _ := found.Worst()
			if clean := worst != proof.Error; clean != (mark != "") {
				t.Errorf("%s: %q (%s)", tt.mark, told(found, p, marks), tt.why)
			}
		}
	}
}
