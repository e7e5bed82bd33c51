package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/look"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/spelling"
	"pedalogue/report"
)

// What a mark that is obeyed says of several pedals stands in one place, where the mark
// stands: otherwise it would say one thing twice, at several places.
func TestObeyedMarkStaysTogether(t *testing.T) {
	measures := []string{"C5:4 F5:4 B4:4 R:4", "D5:4 {reh=@C♯_F♯_B♭} D5:4 C#5:4 F#5:4", "Bb4:16"}
	for existing, want := range map[string]string{"keep": "C♯ 2+1, F♯ 2+2, B♭ 2+3", "obey": "C♯ 2+1, B♭ 2+1, F♯ 2+1"} {
		m, _, err := marking("test", composeMarks(measures...), optionsFor(existing, pedal.Needed))
		if err != nil {
			t.Fatal(err)
		}
		var changes []string
		for _, c := range m.report.Parts[0].Changes {
			changes = append(changes, spelling.Tuning{Letter: c.Pedal, Position: c.To}.String()+" "+c.Marked.Measure+"+"+c.Marked.Offset)
		}
		if got := strings.Join(changes, ", "); got != want {
			t.Errorf("%s: %s, want %s", existing, got, want)
		}
	}
}

// optionsFor are the default settings without the feet.
func optionsFor(existing string, mode pedal.Mode) options.Settings {
	set := defaultSettings()
	o := &set.Wants.Plan.Options
	o.Mode, o.FootTime = mode, -1
	set.Wants.Plan.Obey, set.Wants.Style.Replace = existing == "obey", existing == "replace"
	return set
}

var signedName = regexp.MustCompile(`[A-G][♭♮♯]`)

func TestExistingModes(t *testing.T) {
	const allFree = "{reh=@D_C_B_|_E_F_G_A} "
	for _, tt := range []struct {
		name     string
		measures []string
		existing string
		changes  string // the changes of the plan
		findings string
		why      string
	}{
		{"keep, agreeing", []string{"C5:16", "{reh=@C♯} C#5:16"}, "keep", "C♯ 2", "", "the mark is right"},
		{"keep, ahead", []string{"C5:8 {reh=@C♯} R:8", "C#5:16"}, "keep", "C♯ 2", "", "a change is printed ahead of its note"},
		{"keep, wrong", []string{"C5:16", "{reh=@F♯} F5:16"}, "keep", "", "mark-differs 2 F♯ F♮", "it contradicts the plan"},
		{"keep, taken back", []string{"{reh=@F♯} C5:8 {reh=@F♮} F5:8"}, "keep", "", "mark-beside 1 F♯ F♮", "another mark comes before the note, but the first setting says otherwise"},
		{"keep, never used", []string{"C5:4 {reh=@F♯} C5:12"}, "keep", "", "", "it does no harm"},
		{"obey, no need", []string{"C5:16", "{reh=@F♯} D5:16", "F5:16"}, "obey", "F♮ 3", "", "the pedal goes where the mark wants it, and back for the note"},
		{"obey, both met", []string{"F5:16", "{reh=@F♯} D5:16", "F5:16"}, "obey", "F♯ 2, F♮ 3", "", "there and back"},
		{"obey, other string", []string{"{reh=@C♯} C5:16", "D5:16"}, "obey", "", "", "C is played as B sharp, so the mark is met"},
		{"obey, impossible", []string{"{reh=@D♯} D5:16"}, "obey", "", "mark-not-kept 1 D♯ D♮", "D natural has one string only"},
		{"obey, one of two", []string{"{reh=@D♯_F♯} D5:16", "F5:16"}, "obey", "F♮ 2", "mark-not-kept 1 D♯ D♮", "what would silence a note is given up, and no more"},
		{"obey, cheaper to drop the note", []string{"D#5:16", "{reh=@D♯} D5:16", "D#5:16"}, "obey", "D♮ 2, D♯ 3", "mark-not-kept 2 D♯ D♮", "no note is silenced to please a mark"},
		{"replace", []string{"F5:16", "{reh=@F♯} D5:16", "F5:16"}, "replace", "", "", "the mark says nothing any more"},
		{"keep, beside a setting", []string{"{reh=@B♭} C5:16"}, "keep", "", "mark-beside 1 B♭ B♮", "no note tells which is meant"},
		{"replace, beside a setting", []string{"{reh=@B♭} C5:16"}, "replace", "", "", "it is not there any more"},
		{"keep, full setting", []string{allFree + "F#5:16"}, "keep", "", "mark-differs 1 F♮ F♯", "each pedal that is not so"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m, _, err := marking("test", composeMarks(tt.measures...), optionsFor(tt.existing, pedal.Needed))
			if err != nil {
				t.Fatal(err)
			}
			harp := m.report.Parts[0]
			var changes, findings []string
			for _, c := range harp.Changes {
				changes = append(changes, spelling.Tuning{Letter: c.Pedal, Position: c.To}.String()+" "+c.Needed.Measure)
			}
			for _, f := range harp.Findings {
				if strings.HasPrefix(f.Kind, "mark-") {
					findings = append(findings, f.Kind+" "+f.Measure+" "+strings.Join(signedName.FindAllString(f.Text, -1), " "))
					if !strings.Contains(f.Text, "?") || f.Remedy == "" || strings.Contains(f.Remedy, "strike") {
						t.Errorf("%s: %s %s: a composer's mark is asked about, not struck out", f.Kind, f.Text, f.Remedy)
					}
				}
			}
			if got := strings.Join(changes, ", "); got != tt.changes {
				t.Errorf("changes %q, want %q (%s)", got, tt.changes, tt.why)
			}
			if got := strings.Join(findings, "; "); got != tt.findings {
				t.Errorf("findings %q, want %q (%s)", got, tt.findings, tt.why)
			}
			if given := strings.Contains(tt.findings, "not-kept"); harp.Proof.Minimal == given {
				t.Errorf("proved minimal: %v; a choice among marks proves nothing", harp.Proof.Minimal)
			}
			if harp.Cost.Unsounded != 0 {
				t.Errorf("%d notes are silenced", harp.Cost.Unsounded)
			}
		})
	}
}

// A mark in a repeated measure is obeyed in every pass.
func TestObeyInEveryPass(t *testing.T) {
	m, _, err := marking("test", composeMarks("{fwd} {reh=@F♯} C5:16", "F5:16 {back}"), optionsFor("obey", pedal.Needed))
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
	set := optionsFor("replace", pedal.Needed)
	set.Wants.Style.Form = part.Letters
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

// Our own marks are told from those of others, and are not set against the
// notes.
func TestLookTellsWhoseMarks(t *testing.T) {
	data := composeMarks("{reh=@F♯} F5:16", "C#5:16")
	_, copied, err := marking("test", data, optionsFor("keep", pedal.Needed))
	if err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if code := run([]string{"look", "--json"}, bytes.NewReader(copied), &out, &errs); code != exitDone {
		t.Fatal(errs.String())
	}
	var seen look.Sight
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
		run([]string{"mark", "--quiet", "--respell", "written", "--report", "none", "--language", tt.language}, bytes.NewReader(data), &out, &errs)
		for _, want := range []string{tt.setting, tt.change} {
			if !strings.Contains(out.String(), want) {
				t.Errorf("%s: no %q in\n%s%s", tt.language, want, out.String(), errs.String())
			}
		}
	}
}

// Findings about marks by others are warnings: the score can be played.
func TestMarksDoNotFail(t *testing.T) {
	m, _, err := marking("test", composeMarks("{reh=@F♯} F5:16"), optionsFor("keep", pedal.Needed))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range m.report.Parts[0].Findings {
		if f.Kind == "mark-differs" && (f.Severity != report.SeverityWarning || f.Remedy == "" || f.Staff != 1) {
			t.Errorf("%+v", f)
		}
	}
}

// Of a text with a mark and other words the words stay where the mark is replaced, and
// the whole text comes back when the copy is stripped.
func TestReplacedAmongWords(t *testing.T) {
	folder(t)
	original := string(composeMarks("F5:16", "{reh=@près_de_la_table_–_F♯} D5:16", "{reh=@sec+B♭} D5:16"))
	writeFile(t, "a.musicxml", original)
	typed(t, "mark", "-q", "--report", "none", "--existing", "replace", "a.musicxml").want(t, 0, "", "")
	copied := readFile(t, "a.pedals.musicxml")
	if !strings.Contains(copied, ">près de la table<") || !strings.Contains(copied, ">sec<") || strings.Contains(copied, "– F♯<") {
		t.Errorf("the words have gone, or the mark has not:\n%s", copied)
	}
	typed(t, "strip", "--write", "-q", "a.pedals.musicxml").want(t, 0, "", "")
	if readFile(t, "a.pedals.musicxml") != original {
		t.Error("stripped, it is another score")
	}
}
