package main

import (
	"bytes"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"

	"pedalogue/report"
)

// The curve is part of the report where it is asked for.
func TestCurveOption(t *testing.T) {
	folder(t)
	if err := os.WriteFile("a.musicxml", compose("C4:4 C#4:4 C4:8", "F4:4 F#4:4 F4:8", "C4:16"), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if code := run([]string{"mark", "--json", "--curve", "a.musicxml"}, nil, &out, &errs); code != exitDone {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	var doc report.Score
	if err := json.Unmarshal(out.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	// As D♭ and G♭ two notes save four changes, for a switch each.
	want := []report.Point{{ChangePrice: 24, Respelt: 2, Switches: 2, Proved: true}, {ChangePrice: 1, Changes: 4, Proved: true}}
	if got := doc.Parts[0].Curve; !slices.Equal(got, want) {
		t.Errorf("the curve is %+v, want %+v", got, want)
	}
}

// Pins come from the command line and from files, and the report says what they cost.
func TestPinOptions(t *testing.T) {
	folder(t)
	score := compose("Fb4:4 E4:4 Fb5:8", "C4:16", "Fb4:8 C#4:8")
	if err := os.WriteFile("a.musicxml", score, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("pins.txt", []byte("// what the player says\n3: C♯=D\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	code := run([]string{"mark", "--json", "--respell", "needed", "--foot-time", "0", "--spell", "1: F♭=E; 3: Fb=E", "--spell-file", "pins.txt", "a.musicxml"}, nil, &out, &errs)
	var doc report.Score
	if err := json.Unmarshal(out.Bytes(), &doc); err != nil || code != exitDone {
		t.Fatalf("exit %d, %v: %s", code, err, errs.String())
	}
	p := doc.Parts[0]
	if want := []string{"1: F♭=E", "3: Fb=E", "3: C♯=D"}; !slices.Equal(p.Options.Pins, want) {
		t.Errorf("pins %q, want %q", p.Options.Pins, want)
	}
	// Without pins C goes to sharp; with them nothing moves.
	if want := (report.Cost{Respelt: 4, Switches: 2, Changes: -1, Notches: -1}); p.PinsCost == nil || *p.PinsCost != want {
		t.Errorf("pins cost %+v, want %+v", p.PinsCost, want)
	}
	if !p.Proof.Minimal {
		t.Error("not proved")
	}
	for _, tt := range []struct {
		args string
		code int
		want string
	}{
		{"--spell 9:F♯ a.musicxml", exitFailed, `a.musicxml: part P1: "9:F♯": there is no measure 9`},
		{"--respell written --spell 2:C♯ a.musicxml", exitFailed, "measure 2 beat 1: "},
		{"--spell F♯ a.musicxml", exitUsage, "--spell"},
		{"--spell-file gone.txt a.musicxml", exitUsage, "gone.txt"},
	} {
		var out, errs bytes.Buffer
		if code := run(append([]string{"mark"}, strings.Fields(tt.args)...), nil, &out, &errs); code != tt.code || !strings.Contains(errs.String(), tt.want) {
			t.Errorf("%s: exit %d, %s, want %d, %s", tt.args, code, errs.String(), tt.code, tt.want)
		}
	}
}
