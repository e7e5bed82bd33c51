package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/report"
)

// The figures of the original are those of mark with the same options, and every key
// is proved.
func TestKeysAgreeWithMark(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ferry.musicxml")
	if err := os.WriteFile(path, demoScore, 0o600); err != nil {
		t.Fatal(err)
	}
	ask := func(into any, args ...string) {
		var out, errs strings.Builder
		code := run(append(args, "--json", path), strings.NewReader(""), &out, &errs)
		if code > runs.ExitConflict {
			t.Fatalf("%v: exit %d, %s", args, code, errs.String())
		}
		if err := json.Unmarshal([]byte(out.String()), into); err != nil {
			t.Fatal(err)
		}
	}
	for _, mode := range []string{"written", "balanced", "free"} {
		var marked report.Score
		var all report.Keys
		ask(&marked, "mark", "--respell", mode)
		ask(&all, "keys", "--respell", mode)
		originals := 0
		for _, k := range all.Parts[0].Keys {
			if !k.Proof.Minimal {
				t.Errorf("%s, %s: not proved", mode, k.Name)
			}
			if !k.Original {
				continue
			}
			originals++
			var errors int
			for _, f := range marked.Parts[0].Findings {
				if f.Severity == report.SeverityError {
					errors++
				}
			}
			if k.Cost != marked.Parts[0].Cost || k.Findings.Error != errors {
				t.Errorf("%s: %+v and %d errors, mark has %+v and %d", mode, k.Cost, k.Findings.Error, marked.Parts[0].Cost, errors)
			}
		}
		if originals != 1 {
			t.Errorf("%s: %d rows are the original", mode, originals)
		}
	}
}

func TestKeysText(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ferry.musicxml")
	if err := os.WriteFile(path, demoScore, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		why  string
		args []string
		code int
		want string
	}{
		{"the original is marked", []string{"--within", "1", path}, runs.ExitDone, "as written"},
		{"a limit", []string{"--within", "13", path}, runs.ExitUsage, "not from 0 to 12"},
		{"no such file", []string{"nowhere.xml"}, runs.ExitFailed, "nowhere.xml"},
	} {
		var out, errs strings.Builder
		if code := run(append([]string{"keys"}, tt.args...), strings.NewReader(""), &out, &errs); code != tt.code || !strings.Contains(out.String()+errs.String(), tt.want) {
			t.Errorf("%s: exit %d\n%s%s", tt.why, code, out.String(), errs.String())
		}
	}
}
