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

// The real scores, with exact optima found by an independent program for the parts
// that have neither repeats nor implied notes.
const scoresDir = "../../../shared/scores"

// TestReferenceOptima compares all four modes with reference.tsv, which knows of no
// switches.
func TestReferenceOptima(t *testing.T) {
	eachReference(t, "reference.tsv", func(t *testing.T, row []string) {
		numbers := referenceNumbers(t, row)
		for i, mode := range pedal.Modes() {
			p := markReference(t, row, "--respell", mode.String(), "--change-price", "4", "--switch-price", "0")
			if got := []int{p.Measures, p.Notes, p.Moments}; !slices.Equal(got, numbers[:3]) {
				t.Errorf("measures, notes, moments %v, want %v", got, numbers[:3])
			}
			want := numbers[3+4*i : 7+4*i]
			if got := []int{p.Cost.Unsounded, p.Cost.Held, p.Cost.Respelt, p.Cost.Changes}; !slices.Equal(got, want) {
				t.Errorf("%v: unsounded, held, respelt, changes %v, want %v", mode, got, want)
			}
			if !p.Proof.Minimal {
				t.Errorf("%v: not proved minimal", mode)
			}
		}
	})
}

// TestReferenceSwitches compares the default mode with reference2.tsv.
func TestReferenceSwitches(t *testing.T) {
	eachReference(t, "reference2.tsv", func(t *testing.T, row []string) {
		want, p := referenceNumbers(t, row), markReference(t, row)
		got := []int{p.Measures, p.Notes, p.Moments, p.Cost.Unsounded, p.Cost.Held, p.Cost.Respelt, p.Cost.Switches, p.Cost.Changes}
		if !slices.Equal(got, want) {
			t.Errorf("measures, notes, moments, unsounded, held, respelt, switches, changes %v, want %v", got, want)
		}
		if !p.Proof.Minimal {
			t.Error("not proved minimal")
		}
	})
}

// eachReference runs a test for each row of a table of optima.
func eachReference(t *testing.T, table string, check func(*testing.T, []string)) {
	f, err := os.Open(filepath.Join(scoresDir, table))
	if err != nil {
		t.Skip("the reference optima are not here: " + scoresDir)
	}
	defer f.Close()
	for rows := bufio.NewScanner(f); rows.Scan(); {
		row := strings.Split(rows.Text(), "\t")
		if !strings.HasPrefix(row[0], "#") {
			t.Run(row[0], func(t *testing.T) { check(t, row) })
		}
	}
}

func referenceNumbers(t *testing.T, row []string) (numbers []int) {
	for _, text := range row[2:] {
		n, err := strconv.Atoi(text)
		if err != nil {
			t.Fatal(err)
		}
		numbers = append(numbers, n)
	}
	return numbers
}

// markReference marks the score of a row without what the references leave out.
func markReference(t *testing.T, row []string, options ...string) report.Part {
	args := append([]string{"mark", "--json", "--part", row[1], "--foot-time", "0", "--implied=off", "--strings", "all",
		"--out", t.TempDir(), filepath.Join(scoresDir, row[0])}, options...)
	var out, errs bytes.Buffer
	if code := run(args, nil, &out, &errs); code > exitConflict {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	var score report.Score
	if err := json.Unmarshal(out.Bytes(), &score); err != nil {
		t.Fatal(err)
	}
	return score.Parts[0]
}
