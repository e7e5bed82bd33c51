package main

import (
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/build"
	"pedalogue/cmd/pedalogue/internal/runs"
)

// --fail-on says what the exit code tells.
func TestFailOn(t *testing.T) {
	const asIs, warned = "string-clash=error", "all=warning"
	for _, tt := range []struct {
		score, findings, failOn string
		want                    int
	}{
		{easyScore("Easy"), asIs, "warning", 0}, {easyScore("Easy"), asIs, "error", 0},
		{hardScore("Hard"), warned, "warning", 1}, {hardScore("Hard"), warned, "error", 0}, {hardScore("Hard"), warned, "never", 0},
		{hardScore("Hard"), asIs, "warning", 1}, {hardScore("Hard"), asIs, "error", 1}, {hardScore("Hard"), asIs, "never", 0},
	} {
		folder(t)
		writeFile(t, "a.musicxml", tt.score)
		args := []string{"mark", "-q", "--fail-on", tt.failOn, "--findings", tt.findings, "a.musicxml"}
		if r := typed(t, args...); r.code != tt.want {
			t.Errorf("%s, %s, %s: exit %d, want %d", scoreTitle(tt.score), tt.findings, tt.failOn, r.code, tt.want)
		}
		if r := typed(t, append(args, "--resume")...); r.code != tt.want {
			t.Errorf("%s, %s, %s: done before, it exits %d, want %d", scoreTitle(tt.score), tt.findings, tt.failOn, r.code, tt.want)
		}
	}
}

func scoreTitle(score string) string {
	_, rest, _ := strings.Cut(score, "<work-title>")
	title, _, _ := strings.Cut(rest, "<")
	return title
}

// A run over many scores prints the summary, and the report on each only where that
// is asked for.
func TestTextOfMany(t *testing.T) {
	folder(t)
	writeFile(t, "a.musicxml", easyScore("A"))
	writeFile(t, "b.musicxml", easyScore("B"))
	const each = "a.musicxml: 3 changes"
	for _, tt := range []struct {
		args        string
		each, total bool
	}{
		{"mark a.musicxml", true, false},
		{"mark a.musicxml b.musicxml", false, true},
		{"mark --report text a.musicxml b.musicxml", true, true},
		{"mark --report json a.musicxml b.musicxml", false, true},
		{"mark --quiet --report text a.musicxml b.musicxml", false, false},
	} {
		r := typed(t, strings.Fields(tt.args)...)
		if strings.Contains(r.out, each) != tt.each || strings.Contains(r.out, "2 scores and") != tt.total {
			t.Errorf("%s prints\n%s", tt.args, r.out)
		}
	}
}

// What is printed with --ascii is ASCII, and JSON says the same in it.
func TestASCII(t *testing.T) {
	folder(t)
	name := "Dvořák 🎵.musicxml"
	writeFile(t, name, strings.ReplaceAll(easyScore("Měsíčku 🎵"), "Harp", "Harfe für Zwei"))
	writeFile(t, "hard.musicxml", hardScore("Étude"))
	for _, args := range [][]string{
		{"mark", name}, {"mark", "--diff", name}, {"mark", "--json", name}, {"mark", "--report", "text", name, "hard.musicxml"},
		{"look", name}, {"look", "--json", name}, {"keys", "--within", "0", name}, {"mark", "žádný.musicxml"}, {"mark", "--log", "json", "žádný.musicxml"},
		{"gliss", "--from", "D♭ C B E F G A", "C", "E♭", "G"},
	} {
		r := typed(t, append(slices.Clone(args), "--ascii")...)
		if text := r.out + r.err; text == "" || strings.ContainsFunc(text, func(c rune) bool { return c > '~' }) {
			t.Errorf("%q prints %q", args, text)
		}
		if !slices.Contains(args, "--json") {
			continue
		}
		var got, want any
		if err := json.Unmarshal([]byte(r.out), &got); err != nil {
			t.Fatal(err)
		}
		json.Unmarshal([]byte(typed(t, args...).out), &want)
		a, _ := json.Marshal(got)
		if b, _ := json.Marshal(want); string(a) != string(b) {
			t.Errorf("%q says something else in ASCII", args)
		}
	}
	if got := string(runs.ASCIIJSON([]byte(`"🎵é"`))); got != `"\ud83c\udfb5\u00e9"` {
		t.Errorf("escaped %s", got)
	}
}

// Colours are there when they are wanted, and then only.
func TestColour(t *testing.T) {
	folder(t)
	writeFile(t, "a.musicxml", hardScore("A"))
	for when, want := range map[string]bool{"auto": false, "always": true, "never": false} {
		if r := typed(t, "mark", "--color", when, "a.musicxml"); strings.Contains(r.out, "\x1b[") != want {
			t.Errorf("--color %s: colours %v, want %v", when, !want, want)
		}
	}
}

// A run that puts another plan in the place of an earlier one says how it differs.
func TestChangedPlanIsTold(t *testing.T) {
	for _, reports := range []string{"text,json", "text,html", "text"} {
		folder(t)
		writeFile(t, "a.musicxml", easyScore("A"))
		writeFile(t, "same.musicxml", easyScore("Same"))
		mark := func(args ...string) ran {
			return typed(t, append([]string{"mark", "--respell", "written", "--report", reports}, args...)...)
		}
		if r := mark("a.musicxml", "same.musicxml"); strings.Contains(r.out, "unlike before") {
			t.Errorf("%s: the first run says %s", reports, r.out)
		}
		if r := mark("--side", "above", "a.musicxml"); strings.Contains(r.out, "unlike before") {
			t.Errorf("%s: the same plan is told as another: %s", reports, r.out)
		}
		writeFile(t, "a.musicxml", strings.Replace(easyScore("A"), "<alter>1</alter>", "<alter>0</alter>", 1)) // no F sharp in the first measure
		r := mark("--manifest", "list.jsonl", "a.musicxml", "same.musicxml")
		if !strings.Contains(r.out, "unlike before:\n  a.musicxml: ") || strings.Contains(r.out, "  same.musicxml: ") {
			t.Errorf("%s: says %s", reports, r.out)
		}
		if list := manifestOf(t, "list.jsonl"); list[0].Changed == nil || list[0].Changed.Gone == 0 || list[1].Changed != nil {
			t.Errorf("%s: the manifest says %+v", reports, list)
		}
	}
}

type manifestLine struct {
	Score, State, Output, Error string
	Outputs                     []string
	Exit                        int
	Changed                     *struct{ Added, Gone, Moved int }
}

func manifestOf(t *testing.T, path string) []manifestLine {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var list []manifestLine
	for line := range strings.Lines(string(data)) {
		var m manifestLine
		if err := json.Unmarshal([]byte(line), &m); err != nil {
			t.Fatal(err)
		}
		list = append(list, m)
	}
	return list
}

func TestManifest(t *testing.T) {
	folder(t)
	writeFile(t, "easy.musicxml", easyScore("Easy"))
	writeFile(t, "hard.musicxml", hardScore("Hard"))
	writeFile(t, "cut.musicxml", easyScore("Cut")[:600])
	args := []string{"mark", "-q", "--out", "o", "--manifest", "list.jsonl", "easy.musicxml", "cut.musicxml", "hard.musicxml"}
	typed(t, args...).want(t, exitFailed, "", "")
	states := func() string {
		var words []string
		for _, m := range manifestOf(t, "list.jsonl") {
			words = append(words, m.Score+" "+m.State)
		}
		return strings.Join(words, ", ")
	}
	first := "easy.musicxml done, cut.musicxml failed, hard.musicxml done"
	if got := states(); got != first {
		t.Errorf("it says %s, want %s", got, first)
	}
	list := manifestOf(t, "list.jsonl")
	if list[0].Output != "o/easy.musicxml" || list[0].Exit != 0 || list[1].Error == "" || list[1].Exit != exitFailed || list[2].Exit != exitConflict {
		t.Errorf("it says %+v", list)
	}
	typed(t, append(args, "--resume")...).want(t, exitFailed, "", "")
	if got, want := states(), first+", easy.musicxml skipped, cut.musicxml failed, hard.musicxml skipped"; got != want {
		t.Errorf("then it says %s, want %s", got, want)
	}
	for _, text := range []string{"my notes\n", "{}\n", `{"state":""}`} {
		writeFile(t, "list.jsonl", text)
		typed(t, args...).want(t, exitFailed, "", "list.jsonl: is there already, and is no manifest")
		if got := tree(t, ".")["list.jsonl"]; got != text {
			t.Errorf("%q was overwritten", text)
		}
	}
}

// Two builds that call themselves the same are not the same to --resume.
func TestOtherBuild(t *testing.T) {
	folder(t)
	writeFile(t, "a.musicxml", easyScore("A"))
	args := []string{"mark", "--report", "json", "--resume", "--log", "json", "a.musicxml"}
	done := func(as string, want bool) {
		t.Helper()
		was := build.ID
		defer func() { build.ID = was }()
		build.ID = func() string { return as }
		if r := typed(t, args...); strings.Contains(r.err, `"kept":true`) != want {
			t.Errorf("build %s: done before %v, want %v", as, !want, want)
		}
	}
	done("one", false)
	done("one", true)
	done("other", false)
	if b := build.ID(); build.Version() == "(devel)" && len(b) < 64 {
		t.Errorf("this build tells itself by %q alone", b)
	}
}
