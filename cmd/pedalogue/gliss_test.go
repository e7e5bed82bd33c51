package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/runs"
)

// The answer as the contract has it: the diminished seventh of the MusicXML 4.0
// documentation, in its other inversion.
func TestGlissJSON(t *testing.T) {
	var out, errs strings.Builder
	code := run([]string{"gliss", "--json", "C D♯ F♯ A"}, strings.NewReader(""), &out, &errs)
	const want = `"want":["C","D♯","F♯","A"],"from":"D C B | E F G A","exact":[{"setting":"D♯ C B♯ | E♭ F♯ G♭ A","moved":5,"rounds":3,"sharps":3,"doubled":["C","D♯","F♯"]}],"nearest":[]`
	if code != runs.ExitDone || !strings.Contains(out.String(), want) {
		t.Errorf("exit %d, %s%s", code, out.String(), errs.String())
	}
}

// In a score the pedals stand as they are planned, and come back afterwards.
func TestGlissInScore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ferry.musicxml")
	if err := os.WriteFile(path, demoScore, 0o600); err != nil {
		t.Fatal(err)
	}
	var out, errs strings.Builder
	code := run([]string{"gliss", "--json", "C9", "--in", path, "--at", "2:1"}, strings.NewReader(""), &out, &errs)
	var answer struct {
		At   struct{ Measure string }
		Back []struct{ Pedal string }
	}
	if err := json.Unmarshal([]byte(out.String()), &answer); code != runs.ExitDone || err != nil || answer.At.Measure != "2" || len(answer.Back) == 0 {
		t.Errorf("exit %d, %v: %s%s", code, err, out.String(), errs.String())
	}
	out.Reset()
	code = run([]string{"gliss", "C9", "--in", path, "--at", "2:3"}, strings.NewReader(""), &out, &errs)
	for _, want := range []string{"ferry.musicxml, measure 2, beat 3", " for measure 5, beat 2,"} {
		if text := strings.Join(strings.Fields(out.String()), " "); code != runs.ExitDone || !strings.Contains(text, want) {
			t.Errorf("exit %d, %q is not in %s%s", code, want, text, errs.String())
		}
	}
}

func TestGlissText(t *testing.T) {
	for _, tt := range []struct {
		why  string
		args []string
		code int
		want string
	}{
		{"settings drawn and in letters", []string{"G9"}, runs.ExitDone, "─ ▔ ─ │ ▁ ─ ─ ─"},
		{"without signs", []string{"G9", "--ascii"}, runs.ExitDone, "- ^ - | _ - - -"},
		{"several arguments are one request", []string{"whole", "tone", "on", "D♭"}, runs.ExitDone, "4 settings sound exactly these"},
		{"a triad cannot be set", []string{"C major"}, runs.ExitDone, "No setting sounds exactly these"},
		{"a request that is not understood shows the forms", []string{"Cfoo"}, runs.ExitUsage, "a scale"},
		{"no request", nil, runs.ExitUsage, "nothing is asked for"},
		{"a place without a score", []string{"C9", "--at", "3"}, runs.ExitUsage, "go together"},
		{"no such score", []string{"C9", "--in", "nowhere.xml", "--at", "3"}, runs.ExitFailed, "nowhere.xml"},
	} {
		var out, errs strings.Builder
		if code := run(append([]string{"gliss"}, tt.args...), strings.NewReader(""), &out, &errs); code != tt.code || !strings.Contains(out.String()+errs.String(), tt.want) {
			t.Errorf("%s: exit %d\n%s%s", tt.why, code, out.String(), errs.String())
		}
	}
}
