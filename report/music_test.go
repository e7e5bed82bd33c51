package report

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pedalogue/report/engrave"
)

// musicOf makes up music for all measures of a part that is in four quarters: in
// the upper staff as many chords of three notes a quarter as are wanted, in the
// lower one a whole note. The notes of measure i have the IDs from 1000·i on.
func musicOf(p *Part, perQuarter int) *engrave.Part {
	m := &engrave.Part{Staves: 2, Measures: map[int]*engrave.Measure{}}
	for _, b := range p.Bars {
		if m.Measures[b.Index] != nil {
			continue
		}
		length, _ := new(big.Rat).SetString(b.Length)
		e := &engrave.Measure{Number: b.label(), Length: engrave.Time{Num: length.Num().Int64(), Den: length.Denom().Int64()},
			Opens: []engrave.Opening{{}, {Clef: engrave.Clef{Sign: 'F'}}}}
		id := 1000 * b.Index
		note := func(staff int, step string, octave int) engrave.Note {
			id++
			return engrave.Note{ID: id, Staff: staff, Step: step[0], Octave: octave, Sign: engrave.Sign(id % 4)}
		}
		for i := range int64(4 * perQuarter) {
			at := engrave.Time{Num: i, Den: int64(perQuarter)}
			if at.Cmp(e.Length) >= 0 {
				break
			}
			e.Chords = append(e.Chords, engrave.Chord{At: at, Staff: 1, Voice: 1, Value: engrave.Quarter + engrave.Value(perQuarter/2),
				Notes: []engrave.Note{note(1, "C", 5), note(1, "E", 5), note(1, "GAB"[i%3:i%3+1], 5)}})
		}
		e.Chords = append(e.Chords, engrave.Chord{Staff: 2, Voice: 5, Value: engrave.Whole, Notes: []engrave.Note{note(2, "C", 3)}})
		m.Measures[b.Index] = e
	}
	return m
}

// withMusic is a report with its music, in which each finding is about the first notes
// of its measure.
func withMusic(s *Score, perQuarter int) *Score {
	for i := range s.Parts {
		p := &s.Parts[i]
		p.Music = musicOf(p, perQuarter)
		for j := range p.Findings {
			p.Findings[j].Concerned = []int{1000*p.Findings[j].Index + 1, 1000*p.Findings[j].Index + 2}
		}
	}
	return s
}

// hostileMusic is the hostile report with music that is one too.
func hostileMusic() *Score {
	s := withMusic(hostile(), 2)
	p := &s.Parts[0]
	for _, m := range p.Music.Measures {
		m.Number, m.Ending = attack, engrave.Ending{Over: true, Starts: true, Text: attack}
		m.Meter = engrave.Meter{Beats: attack, Unit: attack}
		m.Marks = []engrave.Mark{{Staff: 1, Class: attack, Rows: [][]engrave.Word{{{Text: attack, Sign: engrave.Flat, After: attack, Class: attack}}}}}
		m.Tuplets = []engrave.Tuplet{{First: 0, Last: 1, Text: attack, Bracket: true}}
	}
	p.Music.Glides = []engrave.Glide{{From: 1, To: 5, Text: attack}}
	return s
}

// TestChangesStandUnderTheirNotes compares where a change is drawn on its lane with
// where the notes of its time are drawn above it.
func TestChangesStandUnderTheirNotes(t *testing.T) {
	s := withMusic(demo(), 4)
	p := &s.Parts[0]
	rows, left := axes(p, timelineOf(p))
	if left {
		t.Error("a short piece has too much music")
	}
	when := timelineOf(p)
	compared := 0
	for _, row := range rows {
		for _, c := range row {
			for _, change := range when.marked[visit{c.bar.Index, c.bar.Pass}] {
				if c.drawing == nil {
					t.Fatalf("measure %s has a change and no music", c.bar.Measure)
				}
				o, _ := new(big.Rat).SetString(change.Marked.Offset)
				if new(big.Rat).Mul(o, big.NewRat(4, 1)).IsInt() {
					heads := headsAt(t, c.drawing.Body, c.index)
					if want := c.at(change.Marked.Offset); !slices.Contains(heads, want-c.shift-23) { // half a head's width
						t.Errorf("measure %s, offset %s: the change stands at %d, heads begin at %v", c.bar.Measure, change.Marked.Offset, want-c.shift, heads)
					}
					compared++
				}
				if x := c.at(change.Marked.Offset); x < c.left || x > c.right {
					t.Errorf("measure %s: the change stands outside its barlines", c.bar.Measure)
				}
			}
		}
	}
	if compared < 6 {
		t.Errorf("only %d changes were compared", compared)
	}
}

// headsAt lists the left edges of the heads of a measure in a drawing.
func headsAt(t *testing.T, body string, measure int) []int {
	t.Helper()
	group := regexp.MustCompile(`<g data-measure="` + strconv.Itoa(measure) + `">.*?</g>`).FindString(body)
	var list []int
	for _, m := range regexp.MustCompile(`href="#gn4" x="(\d+)"`).FindAllStringSubmatch(group, -1) {
		list = append(list, atoi(m[1]))
	}
	if len(list) == 0 {
		t.Fatalf("no heads in measure %d of %.300s", measure, body)
	}
	return list
}

// TestMusicWhereSomethingHappens checks which measures are drawn: those with a
// change, a setting or a finding, in the pass in which there is one.
func TestMusicWhereSomethingHappens(t *testing.T) {
	s := withMusic(long(40), 1)
	p := &s.Parts[0]
	p.Changes = slices.DeleteFunc(p.Changes, func(c Change) bool { return c.Marked.Index%8 != 0 })
	when := timelineOf(p)
	rows, _ := axes(p, when)
	seen := 0
	for _, row := range rows {
		if end := row[len(row)-1].right; end > chartWidth && len(row) > 1 {
			t.Errorf("a system of %d measures is %d units wide", len(row), end)
		}
		for i, c := range row {
			seen++
			if c.bar.Index != seen-1 {
				t.Errorf("measure index %d stands where %d should", c.bar.Index, seen-1)
			}
			if i > 0 && c.left != row[i-1].right {
				t.Errorf("measure %s begins at %d, the one before it ends at %d", c.bar.Measure, c.left, row[i-1].right)
			}
			if (c.drawing != nil) != when.tells(c.bar) {
				t.Errorf("measure %s: drawn %v, something happens %v", c.bar.Measure, c.drawing != nil, when.tells(c.bar))
			}
		}
	}
	if seen != 40 {
		t.Errorf("%d of 40 measures are in the chart", seen)
	}
}

// TestPicturesOfFindings checks that each finding shows its measure with its notes
// in colour and form, that repetitions show one picture for all of them, and that
// findings, chart and list lead to each other.
func TestPicturesOfFindings(t *testing.T) {
	s := withMusic(long(60), 2)
	page := htmlOf(t, s)
	h := harpRows(t, &s.Parts[0])
	if len(h.Findings) != 1 || len(h.Findings[0].Shown) != 5 || len(h.Findings[0].Folded) != 10 {
		t.Fatalf("%d groups of findings", len(h.Findings))
	}
	g := h.Findings[0]
	if g.Picture.SVG == "" || strings.Count(page, `<svg class="music warning"`) != 6 {
		t.Errorf("%d pictures for 5 findings and one group", strings.Count(page, `<svg class="music warning"`))
	}
	for _, f := range g.Shown {
		if got := strings.Count(string(f.Picture.SVG), `class="ring warning"`); got != 2 {
			t.Errorf("%s: %d notes have a line around them", f.Place, got)
		}
		if got := strings.Count(string(f.Picture.SVG), `" class="warning"/>`); got < 2 {
			t.Errorf("%s: %d heads have the colour", f.Place, got)
		}
	}
	for _, f := range append(slices.Clone(g.Shown), g.Folded...) {
		for _, want := range []string{`id="` + f.ID + `"`, `href="#` + f.Chart + `"`, `id="` + f.Chart + `"`, `href="#` + f.Row + `"`, `<tr id="` + f.Row + `"`, `<a href="#` + f.ID + `" aria-label`} {
			if !strings.Contains(page, want) {
				t.Errorf("%s: the page has no %s", f.Place, want)
			}
		}
	}
}

// TestLabelsSayAllChanges checks that who does not see the chart is told each of
// its changes, with place, pedal, position and foot.
func TestLabelsSayAllChanges(t *testing.T) {
	s := demo()
	h := harpRows(t, &s.Parts[0])
	var labels strings.Builder
	for _, y := range h.Systems {
		labels.WriteString(y.Label + " ")
	}
	when := timelineOf(&s.Parts[0])
	for _, c := range s.Parts[0].Changes {
		want := fmt.Sprintf("%s: %v %s, %v foot", when.sentencePlace(c.Marked, c.Pass), c.Pedal, positionWord(c.To), c.Foot)
		if !strings.Contains(labels.String(), want) {
			t.Errorf("no label says %q in %s", want, labels.String())
		}
	}
	if n := strings.Count(labels.String(), "rushed"); n != 2 {
		t.Errorf("%d changes are said to be rushed, want 2", n)
	}
}

// TestDiamondsStayApart checks that the diamonds of rushed changes on neighbouring
// levels do not touch.
func TestDiamondsStayApart(t *testing.T) {
	if gap := laneHeight - 2*levelHeight; gap <= 2*diamond {
		t.Errorf("a sharp and the flat below it are %d units apart, diamonds are %d high", gap, 2*diamond)
	}
}

// TestLongMusicIsDrawnAtPoints: past 500 measures heads stand at the points of paths, as many
// as there are elements for each in a shorter page of the same music.
func TestLongMusicIsDrawnAtPoints(t *testing.T) {
	path := regexp.MustCompile(`marker-end="url\(#at-gn4\)" d="M([^"]*)"`)
	heads := func(page string) (elements, points int) {
		for _, m := range path.FindAllStringSubmatch(page, -1) {
			points += len(strings.Fields(m[1])) / 2
		}
		return strings.Count(page, `<use href="#gn4" x=`), points
	}
	short, long500 := htmlOf(t, withMusic(long(250), 2)), htmlOf(t, withMusic(long(501), 2))
	elements, none := heads(short)
	few, points := heads(long500)
	if elements < 1000 || none > 0 || strings.Contains(short, "<marker") {
		t.Errorf("250 measures: %d elements and %d points", elements, none)
	}
	if each := elements / 250; points < 500*each-few || points > 501*each {
		t.Errorf("501 measures: %d points and %d elements, and %d elements in 250", points, few, elements)
	}
}

// TestDensePageIsSmall bounds a page of 2,000 measures with much music in all of
// them.
func TestDensePageIsSmall(t *testing.T) {
	if testing.Short() {
		t.Skip("it draws 2,000 measures")
	}
	const most = 8_000_000
	for _, perQuarter := range []int{2, 4} {
		s := withMusic(long(2000), perQuarter)
		n := len(htmlOf(t, s))
		if n > most {
			t.Errorf("2,000 measures with %d chords a quarter make %d bytes, more than %d", perQuarter, n, most)
		}
		t.Logf("%d chords a quarter: %d bytes", perQuarter, n)
	}
}

// TestTooMuchInPictures checks that findings in a huge measure do not draw it again
// and again, and that the page says so; the others are drawn.
func TestTooMuchInPictures(t *testing.T) {
	s := withMusic(long(8), 2)
	p := &s.Parts[0]
	many := p.Music.Measures[3]
	for notesIn(many) <= mostPictured/2 {
		many.Chords = append(many.Chords, engrave.Chord{Staff: 2, Voice: 5, Notes: []engrave.Note{{Staff: 2, Step: 'C', Octave: 3}}})
	}
	p.Findings = nil
	for i, index := range []int{3, 3, 2, 3} {
		f := Finding{Severity: SeverityError, Kind: "kind" + strconv.Itoa(i), Text: "x"}
		f.Index, f.Measure, f.Pass = index, strconv.Itoa(index+1), 1
		p.Findings = append(p.Findings, f)
	}
	page := htmlOf(t, s)
	if drawn, told := strings.Count(page, `<div class="picture">`), strings.Count(page, "too much music in the measures of the findings"); drawn != 2 || told != 2 {
		t.Errorf("%d are drawn and %d said to be left out, of 4", drawn, told)
	}
}

// TestTooMuchMusicIsSaid checks that the page says where it leaves music out.
func TestTooMuchMusicIsSaid(t *testing.T) {
	s := withMusic(long(8), 2)
	p := &s.Parts[0]
	many := p.Music.Measures[3]
	for len(many.Chords) < mostDrawn {
		many.Chords = append(many.Chords, engrave.Chord{Staff: 2, Voice: 5, Notes: []engrave.Note{{Staff: 2, Step: 'C', Octave: 3}}})
	}
	rows, left := axes(p, timelineOf(p))
	if !left {
		t.Error("nothing is said to be left out")
	}
	for _, row := range rows {
		for _, c := range row {
			if (c.drawing == nil) != (c.bar.Index == 3) {
				t.Errorf("measure index %d: drawn %v", c.bar.Index, c.drawing != nil)
			}
		}
	}
}
