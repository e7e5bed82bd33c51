package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// The sheet for the stand lists every change of the report exactly once.
func TestSheetHoldsEveryChange(t *testing.T) {
	sheets := 0
	for _, path := range sharedScores(t) {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		made, err := planned.Mark(context.Background(), work.Score{Path: path, Data: data, Workers: 1}, options.Settings{})
		if err != nil {
			made, err = planned.Mark(context.Background(), work.Score{Path: path, Data: data, Workers: 1}, options.Settings{Read: musicxml.Options{Part: "Piano"}})
		}
		if err != nil {
			continue
		}
		s := &made.Report.(*planned.Report).Score
		for i := range s.Parts {
			one := *s
			one.Parts = s.Parts[i : i+1]
			var out bytes.Buffer
			if err := report.WriteSheet(&out, &one); err != nil {
				t.Fatal(err)
			}
			type printed struct {
				at   report.Place
				sign string
			}
			wanted, listed := map[printed]bool{}, map[string]int{}
			for _, c := range s.Parts[i].Changes {
				wanted[printed{c.Marked, c.Pedal.String() + c.To.Sign()}] = true
			}
			lines := strings.Split(out.String(), "\n")
			for _, line := range lines[min(4, len(lines)):] {
				if strings.Contains(line, "|") {
					continue // a setting
				}
				for _, word := range strings.Fields(line) {
					if strings.HasSuffix(word, "♭") || strings.HasSuffix(word, "♮") || strings.HasSuffix(word, "♯") {
						listed[word]++
					}
				}
			}
			count := map[string]int{}
			for k := range wanted {
				count[k.sign]++
			}
			for _, sign := range keysOfBoth(count, listed) {
				if count[sign] != listed[sign] {
					t.Errorf("%s %s: %s stands %d times on the sheet, and is printed %d times", path, s.Parts[i].ID, sign, listed[sign], count[sign])
				}
			}
			sheets++
		}
	}
	if sheets == 0 {
		t.Error("no score has a sheet")
	}
}

// keysOfBoth are the keys of maps, each once, in no order.
func keysOfBoth(maps ...map[string]int) []string {
	var list []string
	seen := map[string]bool{}
	for _, m := range maps {
		for k := range m {
			if !seen[k] {
				seen[k] = true
				list = append(list, k)
			}
		}
	}
	return list
}
