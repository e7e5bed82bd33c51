package report

import (
	"cmp"
	"fmt"
	"io"
	"math/big"
	"slices"
	"strings"

	"pedalogue/pedal"
	"pedalogue/report/plain"
)

// SheetOptions say how sheets for the stand are made. The zero value begins at the
// start and draws nothing.
type SheetOptions struct {
	From  *RehearsalStart // where they begin; nil for the start
	Music bool            // pages draw the measure of each change; it takes Part.Music
}

// A RehearsalStart is where a sheet for the stand begins other than at the start.
type RehearsalStart struct {
	Measure string // its printed number, or "#13" for the 13th measure as written
	Pass    int    // which playing of it, from 1
}

// A standRow is one line of the sheet for the stand: the changes of one place, in
// the passes in which they are made, a setting, or a reminder before a jump back.
type standRow struct {
	Place
	pass    int    // the first of them
	Passes  string // "", "each time", "2nd time only"
	Beat    string
	Changes []Change
	Section string
	Setting *pedal.Setting // nil for changes
	Back    string         // what to think of before a jump back, "for the repeat: see m. 8"
}

// standRows lists the sheet of a part in written order: each printed change once,
// with the passes in which it is made, and the settings that differ from the last
// one printed.
func standRows(p *Part, when *timeline) []standRow {
	return inWrittenOrder(append(append(standChanges(p, when), standSettings(p)...), when.standBacks()...))
}

// standChanges are the changes of the sheet.
func standChanges(p *Part, when *timeline) []standRow {
	type printed struct {
		at Place
		l  pedal.Letter
		to pedal.Position
	}
	type line struct {
		at     Place
		passes string
	}
	passes := map[printed][]int{}
	which := map[printed]int{}
	var order []Change // the first of each, or the first that is rushed: it is told once
	for _, c := range p.Changes {
		k := printed{c.Marked, c.Pedal, c.To}
		if passes[k] == nil {
			which[k] = len(order)
			order = append(order, c)
		} else if first := &order[which[k]]; c.Rushed && !first.Rushed {
			*first = c
		}
		passes[k] = append(passes[k], c.Pass)
	}
	var rows []standRow
	lines := map[line]int{}
	for _, c := range order {
		list := passes[printed{c.Marked, c.Pedal, c.To}]
		words := when.timesWords(c.Marked.Index, list)
		i, known := lines[line{c.Marked, words}]
		if !known {
			i = len(rows)
			lines[line{c.Marked, words}] = i
			rows = append(rows, standRow{Place: c.Marked, pass: list[0], Passes: words, Beat: when.spoken(c.Marked, c.Pass)})
		}
		rows[i].Changes = append(rows[i].Changes, c)
	}
	return inWrittenOrder(rows)
}

// inWrittenOrder sorts rows.
func inWrittenOrder(rows []standRow) []standRow {
	slices.SortStableFunc(rows, func(a, b standRow) int {
		return cmp.Or(cmp.Compare(a.Index, b.Index), compareOffsets(a.Offset, b.Offset), cmp.Compare(len(b.Section), len(a.Section)), cmp.Compare(a.pass, b.pass))
	})
	return rows
}

// standSettings are the settings at sections, each where it differs from the last
// one.
func standSettings(p *Part) []standRow {
	var rows []standRow
	last := p.Start
	for i, b := range p.Bars {
		if b.Section == "" || i == 0 || b.Pass > 1 || b.Setting == last {
			continue
		}
		last = b.Setting
		rows = append(rows, standRow{Place: b.Place, pass: b.Pass, Section: sectionName(b.Section), Setting: &p.Bars[i].Setting})
	}
	return rows
}

// standBacks remind, in the last measure before a jump back, of changes that stand at
// its target: who comes to them there comes too late.
func (t *timeline) standBacks() []standRow {
	var rows []standRow
	told := map[[2]int]bool{}
	for i := 1; i < len(t.bars); i++ {
		last, next := t.bars[i-1], t.bars[i]
		at := func(c Change) bool { return c.Marked.Offset == next.Offset }
		if next.Index > last.Index || !slices.ContainsFunc(t.marked[visit{next.Index, next.Pass}], at) || told[[2]int{last.Index, next.Index}] {
			continue
		}
		told[[2]int{last.Index, next.Index}] = true
		row := standRow{Place: last.Place, pass: last.Pass, Back: "for the repeat: see m. " + shorten(next.label(), longestNumber)}
		row.Offset = cmp.Or(last.Length, last.Offset)
		rows = append(rows, row)
	}
	return rows
}

// compareOffsets orders places within a measure.
func compareOffsets(a, b string) int {
	x, okX := new(big.Rat).SetString(a)
	y, okY := new(big.Rat).SetString(b)
	if !okX || !okY {
		return cmp.Compare(a, b)
	}
	return x.Cmp(y)
}

// spoken names a place in its measure as players do.
func (t *timeline) spoken(p Place, pass int) string {
	unit, length := "1", ""
	if i, ok := t.at[visit{p.Index, max(1, pass)}]; ok && t.beat {
		unit, length = t.bars[i].Beat, t.bars[i].Length
	}
	return spokenBeat(p.Offset, unit, length)
}

// spokenPlace names a place as players do: "m. 12 (2nd time), and of 2".
func (t *timeline) spokenPlace(p Place, passes ...int) string {
	beat := t.spoken(p, passes[0])
	if !strings.Contains(beat, " ") {
		beat = t.unit() + " " + beat
	}
	return "m. " + t.measure(p, passes...) + ", " + beat
}

// timesWords tell in which passes of a measure something is done; "" where it is
// played once.
func (t *timeline) timesWords(index int, passes []int) string {
	switch n := t.played[index]; {
	case n <= 1:
		return ""
	case len(passes) == n:
		return "each time"
	}
	var words []string
	for _, n := range passes {
		words = append(words, ordinal(n))
	}
	return joined(words, "and") + " time only"
}

// WriteSheet writes the sheet for the stand as text: for each harp the first
// setting and then a line a place, with the measure, the beat as players count it,
// and what the left and the right foot move; a rushed change is named so. With
// Sheet.From it begins there, with the setting that stands then, and goes on as the
// music is played. It fails if no part has such a measure, or with w's error.
func WriteSheet(w io.Writer, s *Score) error {
	t := newText(TextOptions{Width: sheetWidth})
	if s.Error != "" {
		t.line(s.Path + ": " + s.Error)
		return t.writeTo(w)
	}
	for i := range s.Parts {
		if i > 0 {
			t.blank()
		}
		if err := t.sheetOf(&s.Parts[i], s); err != nil {
			return err
		}
	}
	return t.writeTo(w)
}

const sheetWidth = 100 // columns

// sheetOf writes the sheet of one harp.
func (t *text) sheetOf(p *Part, s *Score) error {
	when := timelineOf(p)
	t.line(cmp.Or(s.Title, s.Path) + ", " + p.title())
	start, rows := p.Start, standRows(p, when)
	if s.Sheet.From == nil {
		t.line("setting at the start: " + start.String())
	} else {
		i, err := when.find(*s.Sheet.From)
		if err != nil {
			return err
		}
		b := p.Bars[i]
		start, rows = when.startAt(p.Start, i)
		t.line(fmt.Sprintf("setting at measure %s: %s", when.measure(b.Place, b.Pass), start))
	}
	if len(rows) == 0 {
		t.line("no pedal moves")
		return nil
	}
	t.blank()
	table := [][]string{{"measure", when.unit(), "left foot", "right foot", ""}}
	for _, r := range rows {
		table = append(table, r.cells())
	}
	widths := make([]int, len(table[0]))
	both := 0 // of both feet's columns, in which a setting stands
	for i, row := range table {
		for j, cell := range row {
			if i > 0 && rows[i-1].Setting != nil && j == 2 {
				both = max(both, plain.Columns(cell))
				continue
			}
			widths[j] = max(widths[j], plain.Columns(cell))
		}
	}
	widths[3] = max(widths[3], both-widths[2]-2)
	for i, row := range table {
		line := ""
		for j, cell := range row {
			switch setting := i > 0 && rows[i-1].Setting != nil; {
			case setting && j == 2:
				line += plain.Pad(cell, widths[2]+2+widths[3]+2)
			case setting && j == 3:
			default:
				line += plain.Pad(cell, widths[j]+2)
			}
		}
		t.line(strings.TrimRight(line, " "))
	}
	return nil
}

// cells are the columns of a row.
func (r *standRow) cells() []string {
	if r.Setting != nil {
		return []string{r.label(), "", r.Setting.String(), "", r.Section}
	}
	if r.Back != "" {
		return []string{r.label(), "", "", "", r.Back}
	}
	var feet [2][]string
	for _, c := range r.Changes {
		word := c.sign()
		if c.Rushed {
			word += " (rushed)"
		}
		feet[c.Foot] = append(feet[c.Foot], word)
	}
	return []string{r.label(), r.Beat, strings.Join(feet[pedal.Left], " "), strings.Join(feet[pedal.Right], " "), r.Passes}
}

// find is the index among the bars of a rehearsal start.
func (t *timeline) find(from RehearsalStart) (int, error) {
	found := -1
	for i, b := range t.bars {
		if b.Pass != max(1, from.Pass) || b.Measure != from.Measure && "#"+fmt.Sprint(b.Index+1) != from.Measure {
			continue
		}
		if found >= 0 && t.bars[found].Index != b.Index {
			return 0, fmt.Errorf("several measures have the number %q: say which by its place in the score, #%d or #%d", from.Measure, t.bars[found].Index+1, b.Index+1)
		}
		found = i
	}
	if found < 0 {
		if from.Pass > 1 {
			return 0, fmt.Errorf("no measure %q is played %d times", from.Measure, from.Pass)
		}
		return 0, fmt.Errorf("no measure has the number %q", from.Measure)
	}
	return found, nil
}

// startAt is how the pedals stand when somebody begins at a bar, with what is moved at
// its start, and the changes from there on as the music is played. start is the setting
// of the whole music's start.
func (t *timeline) startAt(start pedal.Setting, first int) (pedal.Setting, []standRow) {
	var rows []standRow
	for i, b := range t.bars {
		for _, s := range steps(t.marked[visit{b.Index, b.Pass}]) {
			if i < first || i == first && s.Offset == b.Offset {
				for _, c := range s.Changes {
					start[c.Pedal] = c.To
				}
				continue
			}
			words := ""
			if t.played[b.Index] > 1 {
				words = ordinal(b.Pass) + " time"
			}
			rows = append(rows, standRow{Place: s.Place, pass: s.Pass, Passes: words, Beat: t.spoken(s.Place, s.Pass), Changes: s.Changes})
		}
	}
	return start, rows
}
