package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/report"
)

var rehearsal = regexp.MustCompile(`<direction-type><rehearsal>@([^<]*)</rehearsal></direction-type>`)

// composeMarks is compose with texts: {reh=@C#} is the text "C#", with "_" for a
// space, "~" for a line end and "+" between texts of one direction.
// {reh=@=D-1,C0} is a harp-pedals element.
func composeMarks(measures ...string) []byte {
	return rehearsal.ReplaceAllFunc(compose(measures...), func(found []byte) []byte {
		text := string(rehearsal.FindSubmatch(found)[1])
		if list, ok := strings.CutPrefix(text, "="); ok {
			var b strings.Builder
			for _, item := range strings.Split(list, ",") {
				fmt.Fprintf(&b, "<pedal-tuning><pedal-step>%s</pedal-step><pedal-alter>%s</pedal-alter></pedal-tuning>", item[:1], item[1:])
			}
			return []byte("<direction-type><harp-pedals>" + b.String() + "</harp-pedals></direction-type>")
		}
		text = strings.NewReplacer("_", " ", "~", "\n", "+", "</words><words>").Replace(text)
		return []byte("<direction-type><words>" + text + "</words></direction-type>")
	})
}

// scoreWith reads a score with marks.
func scoreWith(t *testing.T, measures ...string) *musicxml.Score {
	t.Helper()
	score, err := musicxml.Read(opened(t, "test", composeMarks(measures...)), musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return score
}

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
		{"in order", "C5:4 {reh=@F♯} C5:4 {reh=@=C1} C5:4", "1 F♯, 2 C♯", "by time"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var list []string
			for _, m := range existingMarks(scoreWith(t, tt.music).Parts[0]) {
				text := seeMark(&m).setting
				list = append(list, m.onset.String()+" "+text)
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
			p := scoreWith(t, tt.music).Parts[0]
			var list []string
			for _, against := range contradictions(p, existingMarks(p)) {
				for _, c := range against {
					list = append(list, tuningName(c.tuning)+"/"+c.note.Pitch.String())
				}
			}
			if got := strings.Join(list, " "); got != tt.want {
				t.Errorf("%q, want %q (%s)", got, tt.want, tt.why)
			}
		})
	}
}

// optionsFor are the default settings without the feet.
func optionsFor(existing existingMode, mode pedal.Mode) settings {
	set := defaultSettings()
	set.existing, set.plan.Mode, set.plan.FootTime = existing, mode, -1
	return set
}

func TestExistingModes(t *testing.T) {
	const allFree = "{reh=@D_C_B_|_E_F_G_A} "
	for _, tt := range []struct {
		name     string
		measures []string
		existing existingMode
		changes  string // the changes of the plan
		findings string
		why      string
	}{
		{"keep, agreeing", []string{"C5:16", "{reh=@C♯} C#5:16"}, existingKeep, "C♯ 2", "", "the mark is right"},
		{"keep, ahead", []string{"C5:8 {reh=@C♯} R:8", "C#5:16"}, existingKeep, "C♯ 2", "", "a change is printed ahead of its note"},
		{"keep, wrong", []string{"C5:16", "{reh=@F♯} F5:16"}, existingKeep, "", "mark-differs 2 F♯ (the plan has F♮)", "it contradicts the plan"},
		{"keep, taken back", []string{"{reh=@F♯} C5:8 {reh=@F♮} F5:8"}, existingKeep, "", "", "another mark comes before the note"},
		{"keep, never used", []string{"{reh=@F♯} C5:16"}, existingKeep, "", "", "it does no harm"},
		{"obey, no need", []string{"C5:16", "{reh=@F♯} D5:16", "F5:16"}, existingObey, "F♮ 3", "", "the pedal goes where the mark wants it, and back for the note"},
		{"obey, both met", []string{"F5:16", "{reh=@F♯} D5:16", "F5:16"}, existingObey, "F♯ 2, F♮ 3", "", "there and back"},
		{"obey, other string", []string{"{reh=@C♯} C5:16", "D5:16"}, existingObey, "", "", "C is played as B sharp, so the mark is met"},
		{"obey, impossible", []string{"{reh=@D♯} D5:16"}, existingObey, "", "mark-not-kept 1 D♯ (the plan has D♮)", "D natural has one string only"},
		{"obey, one of two", []string{"{reh=@D♯_F♯} D5:16", "F5:16"}, existingObey, "F♮ 2", "mark-not-kept 1 D♯ (the plan has D♮)", "what would silence a note is given up, and no more"},
		{"obey, cheaper to drop the note", []string{"D#5:16", "{reh=@D♯} D5:16", "D#5:16"}, existingObey, "D♮ 2, D♯ 3", "mark-not-kept 2 D♯ (the plan has D♮)", "no note is silenced to please a mark"},
		{"replace", []string{"F5:16", "{reh=@F♯} D5:16", "F5:16"}, existingReplace, "", "", "the mark says nothing any more"},
		{"keep, full setting", []string{allFree + "F#5:16"}, existingKeep, "", "mark-differs 1 F♮ (the plan has F♯)", "each pedal that is not so"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m, _, err := marking("test", composeMarks(tt.measures...), optionsFor(tt.existing, pedal.Needed))
			if err != nil {
				t.Fatal(err)
			}
			part := m.report.Parts[0]
			var changes, findings []string
			for _, c := range part.Changes {
				changes = append(changes, tuningName(pedal.Tuning{Letter: c.Pedal, Position: c.To})+" "+c.Needed.Measure)
			}
			for _, f := range part.Findings {
				if strings.HasPrefix(f.Kind, "mark-") {
					findings = append(findings, f.Kind+" "+f.Measure+strings.TrimPrefix(f.Text, "a mark that was in the score is not what is played:"))
				}
			}
			if got := strings.Join(changes, ", "); got != tt.changes {
				t.Errorf("changes %q, want %q (%s)", got, tt.changes, tt.why)
			}
			if got := strings.Join(findings, "; "); got != tt.findings {
				t.Errorf("findings %q, want %q (%s)", got, tt.findings, tt.why)
			}
			if given := strings.Contains(tt.findings, "not-kept"); part.Proof.Minimal == given {
				t.Errorf("proved minimal: %v; a choice among marks proves nothing", part.Proof.Minimal)
			}
			if part.Cost.Unsounded != 0 {
				t.Errorf("%d notes are silenced", part.Cost.Unsounded)
			}
		})
	}
}

// A mark in a repeated measure is obeyed in every pass.
func TestObeyInEveryPass(t *testing.T) {
	m, _, err := marking("test", composeMarks("{fwd} {reh=@F♯} C5:16", "F5:16 {back}"), optionsFor(existingObey, pedal.Needed))
	if err != nil {
		t.Fatal(err)
	}
	if got := m.report.Parts[0].Cost.Changes; got != 3 {
		t.Errorf("%d changes, want 3: natural, sharp again, natural", got)
	}
}

// Replaced marks are gone from the copy, the texts beside them stay, and strip
// brings all of it back.
func TestReplaceTakesMarksOut(t *testing.T) {
	data := composeMarks("{reh=@dolce+F♯} {reh=@=C1,F1} C5:16", "{reh=@E_F_G_A} {reh=@D_C_B} D5:16")
	set := optionsFor(existingReplace, pedal.Needed)
	set.style.form = settingForm{letters: true}
	_, copied, err := marking("test", data, set)
	if err != nil {
		t.Fatal(err)
	}
	text := string(copied)
	for gone, want := range map[string]int{"<words>F♯</words>": 0, "<words>dolce</words>": 1, "<harp-pedals>": 0, "<words>E F G A</words>": 0, "<words>D C B</words>": 0} {
		if got := strings.Count(text, gone); got != want {
			t.Errorf("%d times %s, want %d\n%s", got, gone, want, text)
		}
	}
	checkMarkAndStrip(t, "test", data, set)
}

// A glissando sounds the full setting before it, also one in words.
func TestGlissandoAfterWords(t *testing.T) {
	score := scoreWith(t, "{reh=@Mi_Fa♯_Sol_La_Si♭_Do_Ré♭} <gliss> C4:4 </gliss> C6:4")
	b, err := newBridge(score, score.Players()[0], true, tempoChoice{})
	if err != nil {
		t.Fatal(err)
	}
	want := pedal.Setting{pedal.D: pedal.Flat, pedal.B: pedal.Flat, pedal.F: pedal.Sharp}
	if len(b.passage.Glissandi) != 1 || b.passage.Glissandi[0].Setting != want || b.passage.Glissandi[0].Source != pedal.FromSetting {
		t.Errorf("glissandi %+v, want %v from the setting", b.passage.Glissandi, want)
	}
}

// Our own marks are told from those of others, and are not set against the
// notes.
func TestLookTellsWhoseMarks(t *testing.T) {
	data := composeMarks("{reh=@F♯} F5:16", "C#5:16")
	_, copied, err := marking("test", data, optionsFor(existingKeep, pedal.Needed))
	if err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if code := run([]string{"look", "--json"}, bytes.NewReader(copied), &out, &errs); code != exitDone {
		t.Fatal(errs.String())
	}
	var seen sight
	if err := json.Unmarshal(out.Bytes(), &seen); err != nil {
		t.Fatal(err)
	}
	own := 0
	for _, m := range seen.Marks {
		switch {
		case m.Own:
			own++
			if m.Against != nil {
				t.Errorf("our mark is set against notes: %+v", m)
			}
		case len(m.Against) != 1 || m.Against[0].Written != "F5" || m.Against[0].Marked != "F♯":
			t.Errorf("%+v", m)
		}
	}
	if own == 0 || own != len(seen.Marks)-1 {
		t.Errorf("%d of %d marks are ours, want all but one", own, len(seen.Marks))
	}
	out.Reset()
	run([]string{"look"}, bytes.NewReader(copied), &out, &errs)
	for _, want := range []string{
		"pedal marks    0 settings, 1 list of changes\n",
		`measure 1: F♯, from "F♯" in English; against it F5 in measure 1 (marked F♯)`,
		fmt.Sprintf("marks of ours  %d\n", own),
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("look does not say %q:\n%s", want, out.String())
		}
	}
}

// The composer's own settings in a real score, in French words: two settings and
// a list of changes. The score does not print that G and D are sharp in measure
// 180, nor what the pedals do in measures 206 and 207.
func TestBoulangerSettings(t *testing.T) {
	data, err := os.ReadFile(scoresDir + "/hauptstimme/boulanger_d_un_matin_de_printemps.mxl")
	if err != nil {
		t.Skip("the real scores are not here: " + scoresDir)
	}
	doc := opened(t, "b.mxl", data)
	score, err := musicxml.Read(doc, musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range newSight(doc, score).Marks {
		text := m.Measure + " " + m.Language + " " + m.setting
		for _, a := range m.Against {
			text += ", " + a.Written + " in " + a.Measure
		}
		got = append(got, text)
	}
	want := []string{
		"175 fr D C B | E F♯ G A, G#5 in 180, D#6 in 180",
		"180 fr G♮ D♮",
		"199 fr D♯ C B♭ | E F G♭ A, D7 in 206, G4 in 207, B4 in 207",
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestNoteFlags(t *testing.T) {
	for _, args := range [][]string{{"--existing", "drop"}, {"--language", "it"}, {"--respell-notes", "yes"}} {
		var out, errs bytes.Buffer
		if code := run(append([]string{"mark"}, args...), bytes.NewReader(nil), &out, &errs); code != exitUsage || !strings.Contains(errs.String(), args[0]+": ") {
			t.Errorf("%v: exit %d, %s", args, code, errs.String())
		}
	}
}

// The marks are in the language that was asked for.
func TestLanguageOfMarks(t *testing.T) {
	data := compose("Bb4:8 F#5:8", "B4:16")
	for _, tt := range []struct{ language, setting, change string }{
		{"en", ">E\u00a0F♯\u00a0G\u00a0A\nD\u00a0C\u00a0B♭<", ">B♮<"},
		{"fr", ">Mi\u00a0Fa♯\u00a0Sol\u00a0La\nRé\u00a0Do\u00a0Si♭<", ">Si♮<"},
		{"de", ">E\u00a0Fis\u00a0G\u00a0A\nD\u00a0C\u00a0B<", ">H♮<"},
	} {
		var out, errs bytes.Buffer
		run([]string{"mark", "--quiet", "--report", "none", "--language", tt.language}, bytes.NewReader(data), &out, &errs)
		for _, want := range []string{tt.setting, tt.change} {
			if !strings.Contains(out.String(), want) {
				t.Errorf("%s: no %q in\n%s%s", tt.language, want, out.String(), errs.String())
			}
		}
	}
}

// Findings about marks by others are warnings: the score can be played.
func TestMarksDoNotFail(t *testing.T) {
	m, _, err := marking("test", composeMarks("{reh=@F♯} F5:16"), optionsFor(existingKeep, pedal.Needed))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range m.report.Parts[0].Findings {
		if f.Kind == "mark-differs" && (f.Severity != report.SeverityWarning || f.Remedy == "" || f.Staff != 1) {
			t.Errorf("%+v", f)
		}
	}
}
