package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pedalogue/pedal/part/parttest"
	"pedalogue/report"
)

// checked checks scores and returns the JSON documents.
func checked(t *testing.T, args ...string) (docs []report.Check, code int) {
	t.Helper()
	var out, errs bytes.Buffer
	code = run(append([]string{"check", "--json"}, args...), strings.NewReader(""), &out, &errs)
	if code > exitConflict {
		t.Fatalf("%v: exit %d, %s", args, code, errs.String())
	}
	for d := json.NewDecoder(&out); d.More(); {
		var c report.Check
		if err := d.Decode(&c); err != nil {
			t.Fatal(err)
		}
		docs = append(docs, c)
	}
	return docs, code
}

// Marked copies are clean in every mode, form and language, and their marks cost what
// the plan does.
func TestCheckOwnMarks(t *testing.T) {
	scores, err := filepath.Glob("../../testdata/scores/*.musicxml")
	if err != nil || len(scores) == 0 {
		t.Fatal("no scores in testdata", err)
	}
	all := [][]string{
		{"--respell", "written"}, {"--respell", "needed", "--language", "fr", "--setting-as", "letters"},
		{"--respell", "balanced", "--language", "de", "--setting-as", "letters", "--side", "above"},
		{"--respell", "free", "--setting-as", "diagram", "--settings", "start", "--side", "between"},
		{"--respell-notes", "rewrite", "--language", "de"}, {"--respell-notes", "none", "--foot-time", "0"},
		{"--change-price", "2", "--existing", "obey", "--settings", "every=2", "--tempo", "140"},
	}
	for _, options := range all {
		out := t.TempDir()
		var stdout, errs bytes.Buffer
		args := append([]string{"mark", "--quiet", "--report", "none", "--out", out}, options...)
		if code := run(append(args, scores...), strings.NewReader(""), &stdout, &errs); code > exitConflict {
			t.Fatalf("%v: exit %d, %s", options, code, errs.String())
		}
		docs, code := checked(t, out)
		if code != exitDone || len(docs) != len(scores) {
			t.Errorf("%v: exit %d, %d scores", options, code, len(docs))
		}
		for _, d := range docs {
			for _, p := range d.Parts {
				if p.Verdict != report.VerdictClean || p.Best == nil {
					t.Errorf("%v, %s: %s, %+v", options, filepath.Base(d.Path), p.Verdict, p.FirstWrong())
					continue
				}
				if options[0] == "--respell-notes" && options[1] == "rewrite" { // the notes are on their written strings now
					p.Cost.Respelt, p.Cost.Switches = p.Best.Respelt, p.Best.Switches
				}
				if p.Best.Unsounded == 0 && p.Cost != *p.Best {
					t.Errorf("%v, %s: the marks cost %+v, the plan %+v", options, filepath.Base(d.Path), p.Cost, *p.Best)
				}
			}
		}
	}
}

func TestCheckVerdicts(t *testing.T) {
	folder(t)
	const setting = "{reh=@D_C_B_|_E_F_G_A}"
	for name, measures := range map[string][]string{
		"clean.musicxml":  {setting + " C5:8 {reh=@F♯} F#5:8"},
		"wrong.musicxml":  {setting + " C5:16", "F#5:16"},
		"none.musicxml":   {"C5:8 {reh=@A} {reh=@D.C.} F#5:8"},
		"hurry.musicxml":  {setting + " E5+F5:4 {reh=@E♭_F♯} Eb5+F#5:12"},
		"idle.musicxml":   {setting + " C5:8 {reh=@F♮} F5:8"},
		"german.musicxml": {"{reh=@D_C_H_|_E_Fis_G_A} F#5:8 {reh=@B} Bb5:8"},
	} {
		if err := os.WriteFile(name, parttest.ComposeMarks(measures...), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	flute := bytes.Replace(parttest.ComposeMarks(setting+" C5:16"), []byte("<part-name>Harp<"), []byte("<part-name>Flute<"), 1)
	if err := os.WriteFile("flute.musicxml", flute, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		args    string
		code    int
		verdict report.Verdict
		kinds   string
		why     string
	}{
		{"clean.musicxml", exitDone, report.VerdictClean, "", "all agrees"},
		{"wrong.musicxml", exitConflict, report.VerdictFaults, "wrong-pedal error", "F natural stands"},
		{"wrong.musicxml --fail-on never", exitDone, report.VerdictFaults, "wrong-pedal error", "never fail"},
		{"none.musicxml", exitDone, report.VerdictNoMarks, "", "a rehearsal letter and a jump"},
		{"hurry.musicxml", exitConflict, report.VerdictFaults, "one-foot warning", "a warning counts"},
		{"hurry.musicxml --fail-on error", exitDone, report.VerdictFaults, "one-foot warning", "but not here"},
		{"hurry.musicxml --foot-time 0", exitDone, report.VerdictClean, "", "the feet are left out"},
		{"idle.musicxml", exitDone, report.VerdictClean, "idle-mark note", "a note is no fault to send back for"},
		{"german.musicxml", exitDone, report.VerdictClean, "", "B is B flat in German"},
		{"flute.musicxml", exitConflict, report.VerdictFaults, "not-a-harp warning", "nothing tells of a harp"},
		{"flute.musicxml --part P1", exitDone, report.VerdictClean, "", "the user says that it is one"},
	} {
		docs, code := checked(t, append(strings.Fields(tt.args), "--no-best")...)
		p := docs[0].Parts[0]
		var kinds []string
		for _, f := range p.Faults {
			kinds = append(kinds, f.Kind+" "+string(f.Severity))
		}
		if got := strings.Join(kinds, "; "); code != tt.code || p.Verdict != tt.verdict || got != tt.kinds || p.Best != nil {
			t.Errorf("%s: exit %d, %s, %q; want %d, %s, %q (%s)", tt.args, code, p.Verdict, got, tt.code, tt.verdict, tt.kinds, tt.why)
		}
	}
	docs, _ := checked(t, "none.musicxml")
	for _, m := range docs[0].Parts[0].Marks {
		if m.As != "not a pedal mark" {
			t.Errorf("%q is read as %s", m.Text, m.As)
		}
	}
}

// A mended copy checks clean, other words stay, and each alteration is told.
func TestCheckFix(t *testing.T) {
	folder(t)
	const setting = "{reh=@D_C_B_|_E_F_G_A}"
	for _, tt := range []struct {
		name     string
		measures []string
		do       string // what is done
		text     string // that stands in the copy
	}{
		{"added", []string{setting + " C5:16", "F#5:16 F5:16"}, "add F♯; add F♮", ">F♯<"},
		{"late", []string{setting + " C5:8 F#5:8", "{reh=@F♯+dolce} F#5:16"}, "move F♯", ">dolce<"},
		{"early", []string{setting + " {reh=@Fa♯} C5:8 F5:8", "F#5:16"}, "move F♯", ">Fa♯<"},
		{"wrong sign", []string{setting + " C5:8 {reh=@F♭} F#5:8"}, "write F♯", ">F♯<"},
		{"wrong letter", []string{setting + " C5:8 {reh=@G♯} F#5:4 G5:4"}, "write F♯", ">F♯<"},
		{"setting", []string{"{reh=@=D0,C0,B0,E0,F-1,G0,A0} F#5:16"}, "write D C B | E F♯ G A", "<pedal-alter>1<"},
		{"among words", []string{setting + " F#5:8 {reh=@près_de_la_table_–_F♯} C5:8"}, "move F♯", ">près de la table<"},
		{"struck among words", []string{setting + " F5:8 {reh=@sec_&lt;_–_F♯} F5:8"}, "strike", ">sec &lt;<"},
		{"glissando", []string{"{reh=@F♯} F#5:4 <gliss> C4:8 </gliss> C6:4"}, "add D C B | E F♯ G A", "F♯"},
	} {
		path := strings.ReplaceAll(tt.name, " ", "-") + ".musicxml"
		if err := os.WriteFile(path, parttest.ComposeMarks(tt.measures...), 0o600); err != nil {
			t.Fatal(err)
		}
		docs, code := checked(t, "--fix", "--out", "mended", path)
		var done []string
		for _, a := range docs[0].Parts[0].Alters {
			done = append(done, strings.TrimSpace(a.Do+" "+a.Text))
		}
		if got := strings.Join(done, "; "); code != exitConflict || got != tt.do {
			t.Errorf("%s: exit %d, %q; want %q", tt.name, code, got, tt.do)
			continue
		}
		copied, err := os.ReadFile(docs[0].Output)
		if err != nil || !strings.Contains(string(copied), tt.text) {
			t.Errorf("%s: %v, %q does not stand in the copy", tt.name, err, tt.text)
			continue
		}
		again, code := checked(t, docs[0].Output)
		if code != exitDone {
			t.Errorf("%s: mended, it has %+v", tt.name, again[0].Parts[0].Faults)
		}
	}
}

// The page and the tables hold the faults, and the summary names the worst part first,
// with its first wrong measure.
func TestCheckReports(t *testing.T) {
	folder(t)
	const setting = "{reh=@D_C_B_|_E_F_G_A}"
	for name, measures := range map[string][]string{
		"a.musicxml": {setting + " C5:16"},
		"b.musicxml": {setting + " C5:16", "F#5:16"},
		"c.musicxml": {setting + " F#5:16", "C#5:16"},
		"d.musicxml": {"C5:16"},
	} {
		if err := os.WriteFile(name, parttest.ComposeMarks(measures...), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var out, errs bytes.Buffer
	if code := run([]string{"check", "--report", "html,csv", "--out", "o", "a.musicxml", "b.musicxml", "c.musicxml", "d.musicxml"}, strings.NewReader(""), &out, &errs); code != exitConflict {
		t.Fatalf("exit %d, %s", code, errs.String())
	}
	want := `In these parts the pedal marks do not agree with the notes, the worst first:

- Harp of c.musicxml: 2 errors. The first is in measure 1: F♯5 needs F♯, and the
  F pedal stands at F♮ since the setting in measure 1.
- Harp of b.musicxml: 1 error. The first is in measure 2: F♯5 needs F♯, and the
  F pedal stands at F♮ since the setting in measure 1.

4 parts of 4 scores checked: 2 to send back, 1 clean, 1 without pedal marks.
`
	if out.String() != want {
		t.Errorf("the summary is\n%s\nwant\n%s", out.String(), want)
	}
	for name, holds := range map[string][]string{
		// The chart, the fault, its music with the mark and a line around the note, and the way back.
		"o/b.check.html": {`class="lane right"`, "F♯5 needs F♯", `class="ring error"`, `class="words error"`, `href="./check.html"`},
		"o/a.check.html": {": the pedal marks agree", "<bdi>The pedal marks agree"}, "o/d.check.html": {"<bdi>No pedal marks stand in it."},
		"o/c.check.html": {"C♯5 needs C♯"}, "o/b.check.csv": {"wrong-pedal,2,1,1"}, "o/check.csv": {"b.musicxml,yes,1,0"},
		"o/check.html": {`href="./b.check.html"`, "The first is in", "2 to send back"},
	} {
		data, err := os.ReadFile(name)
		for _, text := range holds {
			if err != nil || !strings.Contains(string(data), text) {
				t.Errorf("%s: %v, it lacks %q", name, err, text)
			}
		}
	}
	index, _ := os.ReadFile("o/check.html")
	if c, b := strings.Index(string(index), "c.check.html"), strings.Index(string(index), "b.check.html"); c > b {
		t.Error("the worst is not the first in the page of all")
	}
}

// Marks by others that stood beside ours when ours were made are not followed; one that
// was put in since is, and what it does is told.
func TestCheckMarksPutIn(t *testing.T) {
	const music = "C5:8 F5:8"
	const here = "<measure number=\"2\">"
	for _, tt := range []struct {
		name, before, put, want, fixes, why string
	}{
		{"nothing", "", "", "", "", "as it was made"},
		{"kept", "{reh=@F♭} ", "", "", "", "it was told when ours were made"},
		{"wrong", "", "F♯", "wrong-pedal error", "strike", "it spoils F natural"},
		{"wrong beside a kept one", "{reh=@F♭} ", "F♯", "wrong-pedal error", "strike", "the kept one is still known"},
		{"for nobody", "", "D♯", "idle-mark note", "", "no D is played"},
		{"again", "", "F♮", "idle-mark note", "", "F stands so"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			folder(t)
			writeFile(t, "a.musicxml", string(parttest.ComposeMarks(tt.before+music, music)))
			typed(t, "mark", "-q", "--report", "none", "a.musicxml")
			copied := readFile(t, "a.pedals.musicxml")
			if beside := strings.Contains(copied, " beside="); beside != (tt.before != "") {
				t.Errorf("the copy says what stands beside our marks: %v", beside)
			}
			if tt.put != "" {
				put := `<direction><direction-type><words>` + tt.put + `</words></direction-type></direction>`
				if !strings.Contains(copied, here) {
					t.Fatal("no second measure")
				}
				copied = strings.Replace(copied, here, here+put, 1)
			}
			writeFile(t, "a.pedals.musicxml", copied)
			docs, _ := checked(t, "a.pedals.musicxml")
			var told, done []string
			for _, f := range docs[0].Parts[0].Faults {
				told = append(told, f.Kind+" "+string(f.Severity))
			}
			docs, _ = checked(t, "--fix", "--out", "o", "a.pedals.musicxml")
			for _, a := range docs[0].Parts[0].Alters {
				done = append(done, a.Do)
			}
			if got, fixes := strings.Join(told, "; "), strings.Join(done, "; "); got != tt.want || fixes != tt.fixes {
				t.Errorf("%q, fixed by %q; want %q, %q (%s)", got, fixes, tt.want, tt.fixes, tt.why)
			}
			if tt.fixes == "" {
				return
			}
			docs, code := checked(t, docs[0].Output)
			if code != exitDone {
				t.Errorf("mended, it has %+v", docs[0].Parts[0].Faults)
			}
		})
	}
}

// The same of real scores: every third, each in another of the 36 combinations of mode, form
// and language, so that each comes at least once; with PEDALOGUE_WHOLE set all, and in
// short tests every eighth. A score without a harp is marked in its first part.
func TestCheckOwnMarksOfScores(t *testing.T) {
	modes, forms, languages := []string{"balanced", "written", "needed", "free"}, []string{"both", "letters", "diagram"}, []string{"en", "fr", "de"}
	every := 3
	switch {
	case testing.Short():
		every = 8
	case wholeTrial:
		every = 1
	}
	checkedScores := 0
	for n, path := range sharedScores(t) {
		if n%every != 0 {
			continue
		}
		n /= every
		out := t.TempDir()
		args := []string{"mark", "--quiet", "--report", "none", "--out", out, "--respell", modes[n%4], "--setting-as", forms[n/4%3], "--language", languages[n/12%3]}
		var stdout, errs bytes.Buffer
		code := run(append(args, path), strings.NewReader(""), &stdout, &errs)
		if code > exitConflict {
			code = run(append(args, "--part", "1", path), strings.NewReader(""), &stdout, &errs)
		}
		if code > exitConflict {
			continue // no score
		}
		docs, code := checked(t, "--no-best", out)
		if checkedScores++; code != exitDone {
			t.Errorf("%v: exit %d, %+v", args[5:], code, docs[0].Parts[0].FirstWrong())
		}
		for _, d := range docs {
			for _, p := range d.Parts {
				if p.Verdict != report.VerdictClean {
					t.Errorf("%s, %v: %s", path, args[5:], p.Verdict)
				}
			}
		}
	}
	if checkedScores == 0 {
		t.Error("no score could be marked")
	}
}
