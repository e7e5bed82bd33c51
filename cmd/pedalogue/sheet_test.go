package main

import (
	"bytes"
	"context"
	"errors"
	"html"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// A listed is a change as a sheet has it, in one pass through its measure.
type listed struct {
	measure, foot, sign string
	pass                int
}

// A sheetRow is a line of a sheet: what each foot does, and in which passes.
type sheetRow struct{ measure, beat, left, right, passes string }

// passNumbers are the passes that a row names, of a measure that is played so often; nil
// if it names none that there can be.
func passNumbers(words string, played int) (passes []int) {
	switch {
	case words == "" && played > 1:
		return nil
	case words == "", words == "each time":
		for pass := range played {
			passes = append(passes, pass+1)
		}
		return passes
	}
	if !strings.HasSuffix(words, " time only") {
		return nil
	}
	for _, number := range regexp.MustCompile(`\d+`).FindAllString(words, -1) {
		pass, _ := strconv.Atoi(number)
		passes = append(passes, pass)
	}
	return passes
}

// listedIn counts the changes on a sheet, each in each of its passes; played is how often
// measures are played, by their numbers.
func listedIn(t *testing.T, rows []sheetRow, played map[string]int) map[listed]int {
	t.Helper()
	counts := map[listed]int{}
	for _, r := range rows {
		for foot, cell := range map[string]string{"left": r.left, "right": r.right} {
			for _, sign := range pedalSign.FindAllString(cell, -1) {
				passes := passNumbers(r.passes, played[r.measure])
				if passes == nil {
					t.Errorf("%+v: no passes of a measure that is played %d times", r, played[r.measure])
				}
				for _, pass := range passes {
					counts[listed{r.measure, foot, sign, pass}]++
				}
			}
		}
	}
	return counts
}

var (
	pedalSign = regexp.MustCompile(`[A-G][♭♮♯]`)
	wide      = regexp.MustCompile(` {2,}`)
	tags      = regexp.MustCompile(`<[^>]*>`)
)

// textRows are the rows of a sheet as text, without settings, read by the columns that
// its head has.
func textRows(sheet string) (rows []sheetRow) {
	var left, right int
	for line := range strings.SplitSeq(sheet, "\n") {
		switch before, _, heads := strings.Cut(line, "left foot"); {
		case heads:
			left, right = len([]rune(before)), len([]rune(line[:strings.Index(line, "right foot")]))
			continue
		case right == 0 || strings.Contains(line, "|") || strings.TrimSpace(line) == "":
			continue
		}
		runes := []rune(line + strings.Repeat(" ", right))
		first := wide.Split(strings.TrimSpace(string(runes[:left])), 2)
		row := sheetRow{measure: first[0], left: string(runes[left:right])}
		if len(first) > 1 {
			row.beat = first[1]
		}
		for _, cell := range wide.Split(strings.TrimSpace(string(runes[right:])), -1) {
			if pedalSign.MatchString(cell) {
				row.right = cell
			} else {
				row.passes = cell
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// bare are rows with the signs of their changes alone.
func bare(rows []sheetRow) []sheetRow {
	for i := range rows {
		for _, cell := range []*string{&rows[i].left, &rows[i].right} {
			*cell = strings.Join(pedalSign.FindAllString(*cell, -1), " ")
		}
	}
	return rows
}

// pageRows are the rows of the sheet of a page.
func pageRows(page string) (rows []sheetRow) {
	sheet := page[strings.Index(page, `<section class="sheet"`):strings.Index(page, `<div class="study"`)]
	text := func(cell string) string {
		return strings.TrimSpace(html.UnescapeString(tags.ReplaceAllString(cell, " ")))
	}
	for _, row := range regexp.MustCompile(`<tr><td>.*?</tr>`).FindAllString(sheet, -1) {
		cells := strings.Split(row, "</td>")
		beat, passes, _ := strings.Cut(cells[1], "<small>")
		rows = append(rows, sheetRow{text(cells[0]), text(beat), text(cells[2]), text(cells[3]), text(passes)})
	}
	return rows
}

// The sheet for the stand, as text and as a page, lists every change of the report
// exactly once in each pass, for the foot that makes it. Both have the same lines.
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
			wanted, played := map[listed]int{}, map[string]int{}
			for _, b := range s.Parts[i].Bars {
				played[b.Measure] = max(played[b.Measure], b.Pass)
			}
			for _, c := range s.Parts[i].Changes {
				wanted[listed{c.Marked.Measure, c.Foot.String(), c.Pedal.String() + c.To.Sign(), c.Pass}]++
			}
			var text, page bytes.Buffer
			if err := errors.Join(report.WriteSheet(&text, &one), report.WriteHTML(&page, &one)); err != nil {
				t.Fatal(err)
			}
			rows := textRows(text.String())
			if diff := cmp.Diff(wanted, listedIn(t, rows, played), cmp.AllowUnexported(listed{})); diff != "" {
				t.Errorf("%s %s: in the report (-) and on the sheet (+):\n%s", path, s.Parts[i].ID, diff)
			}
			onPage := pageRows(page.String())
			if diff := cmp.Diff(bare(rows), bare(onPage), cmp.AllowUnexported(sheetRow{})); diff != "" {
				t.Errorf("%s %s: as text (-) and on the page (+):\n%s", path, s.Parts[i].ID, diff)
			}
			sheets++
		}
	}
	if sheets == 0 {
		t.Error("no score has a sheet")
	}
}

// Whoever asks for settings that most programs do not draw is told so, once, by every
// command that writes them.
func TestDiagramsAloneAreAdvisedAgainst(t *testing.T) {
	season(t)
	for _, tt := range []struct {
		args string
		want int
	}{
		{"mark --setting-as diagram", 1}, {"mark --setting-as both", 0}, {"mark --setting-as diagram --quiet", 0},
		{"part --setting-as diagram", 1}, {"part --setting-as diagram --no-marks", 0},
		{"keys --setting-as diagram --choose auto", 1}, {"keys --setting-as diagram", 0},
		{"reduce --setting-as diagram --apply", 1}, {"reduce --setting-as diagram", 0},
	} {
		args := append(strings.Fields(tt.args), "--report", "none", "--out", "o", "in/easy1.musicxml", "in/easy2.musicxml")
		if got := typed(t, args...); strings.Count(got.err, "which most programs do not draw") != tt.want {
			t.Errorf("%s: said %q", tt.args, got.err)
		}
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
