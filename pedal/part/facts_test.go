package part_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/pedaltest"
)

var update = flag.Bool("update", false, "find the optima in testdata/optima.tsv anew, by trying every plan; a minute or so")

// The invented scores, and what their cheapest plans cost.
const (
	invented   = "../../testdata/scores"
	optimaFile = "../../testdata/optima.tsv"
)

const optimaHead = `# The least that the scores in scores/ can cost, with what is played but not written out, on a harp of 47 strings.
# Found by trying every plan (Best in pedal/pedaltest), not by the planner: go test ./pedal/part -run Optima -update
# Of modes that do not weigh switches nothing is said of them. With feet: 0.5 s, 0.2 s, 0.1 s; prices 6 and 2.
# score	feet	mode	unsounded	held	rushed	respelt	switches	changes	notches
`

// Plans of the invented scores cost what the cheapest of all plans costs, and all
// of it is proved.
func TestOptima(t *testing.T) {
	list, err := filepath.Glob(filepath.Join(invented, "*.musicxml"))
	if err != nil || len(list) < 10 {
		t.Fatalf("%d scores in %s: %v", len(list), invented, err)
	}
	want, err := os.ReadFile(optimaFile)
	if err != nil && !*update {
		t.Fatal(err)
	}
	var rows []string
	for _, path := range list {
		name := strings.TrimSuffix(filepath.Base(path), ".musicxml")
		p := partOfFile(t, path).Passage
		for _, feet := range []string{"on", "off"} {
			o := pedal.Options{}
			if feet == "off" {
				o.FootTime = -1
			}
			plans, err := pedal.Plans(t.Context(), p, o)
			if err != nil {
				t.Fatal(err)
			}
			for i, mode := range pedal.Modes() {
				o.Mode = mode
				c := pedaltest.CostOf(plans[i].Cost)
				if *update {
					c = pedaltest.Best(p, pedaltest.RulesOf(o)).Cost
				}
				row := optimum(name, feet, mode, c)
				rows = append(rows, row)
				if !*update && !bytes.Contains(want, []byte(row)) {
					t.Errorf("%s is not the optimum", row)
				}
				if !plans[i].Proof.Minimal {
					t.Errorf("%s, feet %s, %v: not proved", name, feet, mode)
				}
				if err := pedaltest.Judge(p, o, plans[i]); err != nil {
					t.Errorf("%s, feet %s, %v: %v", name, feet, mode, err)
				}
			}
		}
	}
	if *update {
		if err := os.WriteFile(optimaFile, []byte(optimaHead+strings.Join(rows, "")), 0o666); err != nil {
			t.Fatal(err)
		}
	} else if n := bytes.Count(want, []byte("\n")) - strings.Count(optimaHead, "\n"); n != len(rows) {
		t.Errorf("%d optima are known, of %d plans", n, len(rows))
	}
}

// optimum is a row of the table.
func optimum(name, feet string, mode pedal.Mode, c pedaltest.Cost) string {
	switches := "-"
	if mode == pedal.Balanced {
		switches = fmt.Sprint(c.Switches)
	}
	return fmt.Sprintf("%s\t%s\t%v\t%d\t%d\t%d\t%d\t%s\t%d\t%d\n", name, feet, mode, c.Unsounded, c.Held, c.Rushed, c.Respelt, switches, c.Changes, c.Notches)
}

// partOfFile reads the only harp of a score.
func partOfFile(t *testing.T, path string) *part.Part {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := musicxml.Open(t.Context(), path, data, musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	score, err := musicxml.Read(t.Context(), doc, musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := part.New(score, score.Players()[0], part.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return p
}
