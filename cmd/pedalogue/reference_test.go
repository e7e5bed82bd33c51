package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/report"
)

// The real scores, with reference.tsv: exact optima found by an independent
// program for the parts that have neither repeats nor implied notes.
const scoresDir = "../../../shared/scores"

func TestReferenceOptima(t *testing.T) {
	f, err := os.Open(scoresDir + "/reference.tsv")
	if err != nil {
		t.Skip("the reference optima are not here: " + scoresDir)
	}
	defer f.Close()
	for rows := bufio.NewScanner(f); rows.Scan(); {
		row := strings.Split(rows.Text(), "\t")
		if strings.HasPrefix(row[0], "#") {
			continue
		}
		t.Run(row[0], func(t *testing.T) { checkReference(t, row) })
	}
}

// Where the reference is not followed, and why.
var (
	// In measures 27 and 28 two voices tie one unison each. The reference lets one
	// tie of a pitch go on at a time and counts the other as plucked again; by
	// rule 9 of the reading cases both go on.
	referenceNotes = map[string]int{"openscore_lieder/bridge_dweller_in_my_deathless_dreams.mxl": 1248}
	// Our plan makes 468 changes where the reference has 470, with as many notes
	// unsounded, held and respelt: it is not the optimum. The marks of this plan,
	// followed by ../shared/tools/replay.py, make 468 changes too.
	referenceWrittenChanges = map[string]int{"openscore_lieder/debussy_le_balcon.mxl": 468}
)

// checkReference marks the score of a row in all four modes and compares
// unsounded, held, respelt and changes.
func checkReference(t *testing.T, row []string) {
	var numbers []int
	for _, text := range row[2:] {
		n, err := strconv.Atoi(text)
		if err != nil {
			t.Fatal(err)
		}
		numbers = append(numbers, n)
	}
	if n, other := referenceNotes[row[0]]; other {
		numbers[1] = n
	}
	if n, better := referenceWrittenChanges[row[0]]; better {
		numbers[6] = n
	}
	for i, mode := range pedal.Modes() {
		want := numbers[3+4*i : 7+4*i]
		var out, errs bytes.Buffer
		code := run([]string{"mark", "--json", "--part", row[1], "--respell", mode.String(), "--foot-time", "0", "--implied=off",
			"--strings", "all", "--out", t.TempDir(), filepath.Join(scoresDir, row[0])}, nil, &out, &errs)
		if code > exitConflict {
			t.Fatalf("exit %d: %s", code, errs.String())
		}
		var score report.Score
		if err := json.Unmarshal(out.Bytes(), &score); err != nil {
			t.Fatal(err)
		}
		p := score.Parts[0]
		if got := []int{p.Measures, p.Notes, p.Moments}; !slices.Equal(got, numbers[:3]) {
			t.Errorf("measures, notes, moments %v, want %v", got, numbers[:3])
		}
		if got := []int{p.Cost.Unsounded, p.Cost.Held, p.Cost.Respelt, p.Cost.Changes}; !slices.Equal(got, want) {
			t.Errorf("%v: unsounded, held, respelt, changes %v, want %v", mode, got, want)
		}
		if !p.Proof.Minimal {
			t.Errorf("%v: not proved minimal", mode)
		}
	}
}
