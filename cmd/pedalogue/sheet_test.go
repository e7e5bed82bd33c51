package main

import (
	"bytes"
	"context"
	"html"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// A signAt is a change as a sheet has it: "12 F♯".
type signAt string

// listedIn counts the changes on a sheet by measure and sign, from rows of cells: the
// measure, the beat, what each foot does and the passes.
func listedIn(rows [][]string) map[signAt]int {
	listed := map[signAt]int{}
	for _, row := range rows {
		for _, word := range strings.Fields(strings.Join(row[2:], " ")) {
			if strings.HasSuffix(word, "♭") || strings.HasSuffix(word, "♮") || strings.HasSuffix(word, "♯") {
				listed[signAt(row[0]+" "+word)]++
			}
		}
	}
	return listed
}

// textRows are the rows of a sheet as text, without settings.
func textRows(sheet string) (rows [][]string) {
	wide := regexp.MustCompile(` {2,}`)
	for i, line := range strings.Split(sheet, "\n") {
		if cells := wide.Split(line, -1); i > 3 && len(cells) > 2 && !strings.Contains(line, "|") {
			rows = append(rows, cells)
		}
	}
	return rows
}

// pageRows are the rows of the sheet of a page.
func pageRows(page string) (rows [][]string) {
	sheet := page[strings.Index(page, `<section class="sheet"`):strings.Index(page, `<div class="study"`)]
	tags := regexp.MustCompile(`<[^>]*>`)
	for _, row := range regexp.MustCompile(`<tr><td>.*?</tr>`).FindAllString(sheet, -1) {
		var cells []string
		for cell := range strings.SplitSeq(strings.TrimSuffix(row, "</td></tr>"), "</td>") {
			cells = append(cells, html.UnescapeString(tags.ReplaceAllString(cell, " ")))
		}
		cells[0] = strings.TrimSpace(cells[0])
		rows = append(rows, cells)
	}
	return rows
}

// The sheet for the stand, as text and as a page, lists every change of the report
// exactly once.
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
			type printed struct {
				at   report.Place
				sign string
			}
			seen, wanted := map[printed]bool{}, map[signAt]int{}
			for _, c := range s.Parts[i].Changes {
				p := printed{c.Marked, c.Pedal.String() + c.To.Sign()}
				if !seen[p] {
					seen[p] = true
					wanted[signAt(p.at.Measure+" "+p.sign)]++
				}
			}
			for form, write := range map[string]func(io.Writer, *report.Score) error{"text": report.WriteSheet, "page": report.WriteHTML} {
				var out bytes.Buffer
				if err := write(&out, &one); err != nil {
					t.Fatal(err)
				}
				rows := textRows(out.String())
				if form == "page" {
					rows = pageRows(out.String())
				}
				listed := listedIn(rows)
				if diff := cmp.Diff(wanted, listed); diff != "" {
					t.Errorf("%s %s: printed (-) and on the sheet as %s (+):\n%s", path, s.Parts[i].ID, form, diff)
				}
			}
			sheets++
		}
	}
	if sheets == 0 {
		t.Error("no score has a sheet")
	}
}

// The sheets of all scores stand in one page, also those that an earlier run has made.
func TestSheetsOfASeason(t *testing.T) {
	season(t)
	typed(t, "mark", "--quiet", "--report", "sheet", "--out", "o", "--shard", "1/3", "in")
	typed(t, "mark", "--quiet", "--report", "sheet", "--out", "o", "--resume", "in")
	page := tree(t, "o")["o/pedals.sheets.html"]
	for what, want := range map[string]int{`<section class="sheet"`: 13, `<article class="harp"`: 13, "<h2><bdi>Hard</bdi></h2>": 1, "<li>not read": 3} {
		if got := strings.Count(page, what); got != want {
			t.Errorf("%q stands %d times, want %d", what, got, want)
		}
	}
	typed(t, "mark", "--quiet", "--report", "sheet", "--out", "whole", "in")
	if tree(t, "whole")["whole/pedals.sheets.html"] != page {
		t.Error("another page where an earlier run did a share")
	}
	for _, args := range [][]string{{"--report", "sheet"}, {"--report", "sheet", "--from", "1"}, {"--report", "sheet", "--ascii"}} {
		got := typed(t, append(append([]string{"mark"}, args...), "in/easy1.musicxml")...)
		if !strings.HasPrefix(got.out, "Easy 1, Harp (P1)\nsetting at ") || tree(t, "in")["in/easy1.pedals.sheet.txt"] != "" {
			t.Errorf("%v: the only report on one score is not printed, but %q", args, got.out)
		}
	}
	typed(t, "mark", "--report", "sheet", "--from", "99", "in/easy1.musicxml").want(t, exitFailed, "", "no measure has the number")
}

// With music the sheets hold the measure of each change; a later run that wants it keeps
// nothing of one that did not, and one that begins elsewhere neither.
func TestSheetMusicAndResume(t *testing.T) {
	season(t)
	args := func(more ...string) []string {
		return append([]string{"mark", "--quiet", "--report", "html,sheet", "--out", "o", "--resume"}, append(more, "in")...)
	}
	typed(t, args()...)
	bare := tree(t, "o")
	if strings.Contains(bare["o/pedals.sheets.html"], "<tr class=\"measure\">") {
		t.Error("measures are drawn that nobody wants")
	}
	typed(t, args("--sheet-music")...)
	drawn := tree(t, "o")
	for _, name := range []string{"o/pedals.sheets.html", "o/easy1.pedals.html"} {
		page := drawn[name]
		if n := strings.Count(page, `<tr class="measure">`); n == 0 || n != strings.Count(page, `class="music stand"`) {
			t.Errorf("%s: %d rows for measures, %d pictures", name, n, strings.Count(page, `class="music stand"`))
		}
	}
	if a, b := bare["o/easy1.pedals.sheet.txt"], drawn["o/easy1.pedals.sheet.txt"]; a != b || a == "" {
		t.Error("the sheet as text is another")
	}
	typed(t, args()...)
	if diff := cmp.Diff(bare["o/easy1.pedals.html"], tree(t, "o")["o/easy1.pedals.html"]); diff != "" {
		t.Errorf("without music again: %s", diff)
	}
	typed(t, "mark", "--quiet", "--report", "sheet,csv", "--out", "one", "--resume", "in/easy1.musicxml")
	typed(t, "mark", "--quiet", "--report", "sheet,csv", "--out", "one", "--resume", "--from", "1", "in/easy1.musicxml")
	if sheet := tree(t, "one")["one/easy1.pedals.sheet.txt"]; !strings.Contains(sheet, "setting at measure") {
		t.Errorf("--resume keeps a sheet that begins elsewhere:\n%s", sheet)
	}
	typed(t, "mark", "--sheet-music", "--report", "text", "in/easy1.musicxml").want(t, exitDone, "", "--sheet-music draws in pages")
}
