package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pedalogue/pedal/finding"
	"pedalogue/report"
)

func TestHelpFindings(t *testing.T) {
	var out, complaints bytes.Buffer
	if code := run([]string{"mark", "--help-findings"}, nil, &out, &complaints); code != exitDone || complaints.Len() > 0 {
		t.Fatalf("exit %d, %s", code, complaints.String())
	}
	for _, r := range finding.Rules() {
		if !strings.Contains(out.String(), "\n"+string(r.Kind)+": "+r.Severity.String()) || !strings.Contains(out.String(), r.Means) {
			t.Errorf("%s is not in the list", r.Kind)
		}
	}
}

// The composer of this harp part printed her own pedals at mm. 175, 180 and 199:
// a player can play it, so no finding may say otherwise. Source: the score.
func TestHarpPartHasNoErrors(t *testing.T) {
	const name = "hauptstimme/boulanger_d_un_matin_de_printemps.mxl"
	data, err := os.ReadFile(filepath.Join(scoresDir, name))
	if err != nil {
		t.Skip("the real scores are not here: " + scoresDir)
	}
	m, err := markBytes(context.Background(), name, data, defaultSettings())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range m.report.Parts[0].Findings {
		if f.Severity == report.SeverityError {
			t.Errorf("m. %s: %s", f.Measure, f.Text)
		}
	}
}
