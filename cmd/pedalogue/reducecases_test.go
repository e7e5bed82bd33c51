package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pedalogue/pedal/part/parttest"
)

// What harpists have done to piano music that is published with the reasons, as facts, on
// invented music of the same shape. Source: The Harp Legacy Project,
// theharplegacyproject.com, notes on the harp part of Messiaen's Liturgie: in measure 8
// a doubled low D is left out, in measure 7 a leap of an octave in the left hand becomes a
// tenth in the right, in measure 6 a tie and its note are dropped.
func TestPublishedReductions(t *testing.T) {
	for _, tt := range []struct {
		why, measures string
		text          string // of the reduction; "" where nothing has to be changed
		loses         map[string]int
		sign          string // of a hand, with its note
		lower         string // staff 2 of the final copy
	}{
		{
			why:      "a low D that its octave doubles is left out where two hands do not reach all", // between beats: it is no bass note
			measures: "{tempo=60} C5:2 G3+E4+A4+C5:2 R:4 R:8 | C3:2 D2+D3:2 R:4 R:8",
			text:     "Leave out D2.", loses: map[string]int{"notes": 1, "doubled": 1}, sign: "m.g. G3", lower: "C3 D3",
		},
		{
			why:      "what the left hand would leap for is taken by the right, which has a tenth then",
			measures: "{tempo=150} C5:1 B4:1 R:2 R:4 R:8 | D2:1 G3:1 R:2 R:4 R:8",
			sign:     "m.d. G3", lower: "D2 G3",
		},
		{
			why:      "a tied note that is in the way of its pedal ends before the tie",
			measures: "{tempo=60} R:8 R:8; R:8 D#5+E5+F5:8 | <tie> D3:16; </tie> D3:16",
			text:     "End D3 sooner, after 4 quarter notes.", loses: map[string]int{}, lower: "D3",
		},
	} {
		score := filepath.Join(t.TempDir(), "case.musicxml")
		var measures []string
		upper, lower, _ := strings.Cut(tt.measures, "|")
		below := strings.Split(lower, ";")
		for k, m := range strings.Split(upper, ";") {
			measures = append(measures, m+" | "+below[k])
		}
		if err := os.WriteFile(score, parttest.Compose(measures...), 0o644); err != nil {
			t.Fatal(err)
		}
		out := filepath.Join(filepath.Dir(score), "out")
		var stdout, stderr bytes.Buffer
		if code := run([]string{"reduce", "--json", "--report", "none", "--apply=final", "--hands", "--out", out, score}, nil, &stdout, &stderr); code != exitDone {
			t.Fatalf("%s: exit %d: %s", tt.why, code, stderr.String())
		}
		var doc struct {
			Parts []struct {
				After      struct{ Error, Warning int }
				Reductions []struct {
					Text     string
					Loses    map[string]int
					Verified bool
				}
				Signs []struct {
					Sign  string
					Notes []string
				} `json:"hand_signs"`
			}
		}
		if err := json.Unmarshal(stdout.Bytes(), &doc); err != nil {
			t.Fatal(err)
		}
		p := &doc.Parts[0]
		if p.After.Error+p.After.Warning > 0 {
			t.Errorf("%s: %+v is left", tt.why, p.After)
		}
		switch {
		case tt.text == "":
			if len(p.Reductions) > 0 {
				t.Errorf("%s: %q", tt.why, p.Reductions[0].Text)
			}
		case len(p.Reductions) != 1 || p.Reductions[0].Text != tt.text || !p.Reductions[0].Verified:
			t.Errorf("%s: %+v", tt.why, p.Reductions)
		default:
			for key, n := range p.Reductions[0].Loses {
				if n != tt.loses[key] {
					t.Errorf("%s: loses %d %s, want %d", tt.why, n, key, tt.loses[key])
				}
			}
		}
		sign := ""
		for _, s := range p.Signs {
			sign += s.Sign + " " + strings.Join(s.Notes, "+")
		}
		if sign != tt.sign {
			t.Errorf("%s: signs of hands %q, want %q", tt.why, sign, tt.sign)
		}
		copied, err := os.ReadFile(filepath.Join(out, "case.reduced.musicxml"))
		if err != nil {
			t.Fatal(err)
		}
		notes, _ := plainScore(t, copied, "P1")
		var names []string
		for _, n := range notes {
			if n.staff == 2 && n.pitch != "" {
				names = append(names, n.pitch)
			}
		}
		if got := strings.Join(names, " "); got != tt.lower {
			t.Errorf("%s: the lower staff has %s, want %s", tt.why, got, tt.lower)
		}
		if strings.Count(string(copied), "m.d.") != strings.Count(tt.sign, "m.d.") {
			t.Errorf("%s: the sign of the hand is not in the copy", tt.why)
		}
	}
}
