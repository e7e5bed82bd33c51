package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/report/plain"
)

func TestHTMLGolden(t *testing.T) { golden(t, "demo.html", htmlOf(t, demo())) }

func indexOf(t *testing.T, b Batch) string {
	t.Helper()
	var w bytes.Buffer
	if err := WriteIndexHTML(&w, b); err != nil {
		t.Fatal(err)
	}
	return w.String()
}

// TestPagesAreWellFormed reads each page as XML, with HTML's void elements, so
// that a tag left open or a text let loose shows.
func TestPagesAreWellFormed(t *testing.T) {
	for name, page := range allPages(t) {
		d := xml.NewDecoder(strings.NewReader(page))
		d.Strict = false // HTML's attributes without a value
		var open []string
		ids := make(map[string]bool)
		for {
			token, err := d.RawToken() // which leaves the matching of tags to us
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			switch e := token.(type) {
			case xml.StartElement:
				if e.Name.Local != "meta" && e.Name.Local != "input" {
					open = append(open, e.Name.Local)
				}
				for _, a := range e.Attr {
					if a.Name.Local == "id" {
						if ids[a.Value] {
							t.Errorf("%s: the id %s stands twice", name, a.Value)
						}
						ids[a.Value] = true
					}
				}
			case xml.EndElement:
				if len(open) == 0 || open[len(open)-1] != e.Name.Local {
					t.Fatalf("%s: </%s> with open %v", name, e.Name.Local, open)
				}
				open = open[:len(open)-1]
			}
		}
		if len(open) > 0 {
			t.Errorf("%s: left open: %v", name, open)
		}
		for _, m := range regexp.MustCompile(`href="#([^"]+)"`).FindAllStringSubmatch(page, -1) {
			if !ids[m[1]] {
				t.Errorf("%s: a link goes to #%s, which is not there", name, m[1])
			}
		}
	}
}

func allPages(t *testing.T) map[string]string {
	two := demo()
	two.Parts = append(two.Parts, long(3).Parts...)
	bare := &Score{Head: Head{Path: "bare.xml"}, Parts: []Part{{}}}
	return map[string]string{
		"demo": htmlOf(t, demo()), "hostile": htmlOf(t, hostile()), "unread": htmlOf(t, unread()),
		"two harps": htmlOf(t, two), "bare": htmlOf(t, bare), "music": htmlOf(t, withMusic(demo(), 2)), "hostile music": htmlOf(t, hostileMusic()),
		"long music": htmlOf(t, withMusic(long(501), 1)), "long reading": readingHTML(t, readingOf(withMusic(long(501), 1))),
		"reading": readingHTML(t, readingOf(withMusic(demo(), 2))), "hostile reading": readingHTML(t, hostileReading()),
		"index": indexOf(t, Batch{EntryOf(demo(), "demo.html"), EntryOf(hostile(), attack), EntryOf(unread(), "")}), "empty index": indexOf(t, nil),
		"sheets": seasonOf(t, demo(), two, unread()), "hostile sheets": seasonOf(t, hostile()), "no sheets": seasonOf(t),
	}
}

// TestPagesNeedNothingElse looks for anything that a page could fetch or run.
func TestPagesNeedNothingElse(t *testing.T) {
	forbidden := regexp.MustCompile(`(?i)<script|<img|<iframe|<link|<object|<base|@import|url\(| on[a-z]+=["']|src=["']|https?:|javascript:|ZgotmplZ`)
	for name, page := range allPages(t) {
		page = strings.ReplaceAll(page, "&#", "&amp;#")
		for _, m := range regexp.MustCompile(`<marker id="(at-[a-z0-9-]+)"`).FindAllStringSubmatch(page, -1) {
			page = strings.ReplaceAll(page, `"url(#`+m[1]+`)"`, `""`) // which is in the page
		}
		for _, tag := range regexp.MustCompile(`<[^>]*>`).FindAllString(page, -1) {
			if m := forbidden.FindString(tag); m != "" {
				t.Errorf("%s: %s in %s", name, m, tag)
			}
		}
		if css := page[strings.Index(page, "<style>"):strings.Index(page, "</style>")]; forbidden.MatchString(css) {
			t.Errorf("%s: %s in its style", name, forbidden.FindString(css))
		}
		if !strings.Contains(page, `content="default-src 'none'; style-src 'unsafe-inline'"`) {
			t.Errorf("%s: no policy against fetching", name)
		}
	}
}

func TestHostileTextStaysText(t *testing.T) {
	for _, page := range []string{htmlOf(t, hostile()), htmlOf(t, hostileMusic()), readingHTML(t, hostileReading()), indexOf(t, Batch{EntryOf(hostile(), attack)}), seasonOf(t, hostile())} {
		if strings.Contains(page, "<script") || strings.Contains(page, "<img") {
			t.Error("markup broke out of a text")
		}
		if !strings.Contains(page, "&lt;script&gt;alert(1)&lt;/script&gt;") {
			t.Error("the text is not shown as it is")
		}
		if i := strings.IndexFunc(strings.ReplaceAll(page, "\n", ""), plain.Steers); i >= 0 {
			t.Errorf("a control character stands in the page, byte %d", i)
		}
	}
}

// TestLink checks that a page is found whatever its name.
func TestLink(t *testing.T) {
	for _, tt := range []struct{ name, page, want string }{
		{"plain", "a/b.html", "./a/b.html"},
		{"space and sign", "My Score #2?.html", "./My%20Score%20%232%3F.html"},
		{"looks like a scheme", "javascript:alert(1)", "./javascript:alert%281%29"},
		{"percent", "100%.html", "./100%25.html"},
		{"none", "", ""},
	} {
		if got := string(link(tt.page)); got != tt.want {
			t.Errorf("%s: link(%q) = %q, want %q", tt.name, tt.page, got, tt.want)
		}
	}
	page := indexOf(t, Batch{EntryOf(demo(), "My Score #2?.html")})
	if !strings.Contains(page, `href="./My%20Score%20%232%3F.html"`) {
		t.Error("the index does not link so")
	}
}

func TestLongPageIsSmall(t *testing.T) {
	const most = 5 << 19 // bytes
	if n := len(htmlOf(t, long(2000))); n > most {
		t.Errorf("2000 measures make %d bytes, more than %d", n, most)
	}
}

// TestPageSaysAllChanges counts the changes in the list by measure and those in
// the chart.
func TestPageSaysAllChanges(t *testing.T) {
	for _, tt := range []struct {
		name, reason string
		edit         func(*Part)
	}{
		{"demo", "measures are known", func(*Part) {}},
		{"no measures", "changes are listed without them", func(p *Part) { p.Bars = nil }},
		{"a change elsewhere", "a change in no known measure is listed all the same", func(p *Part) { p.Changes[3].Marked.Index = 99 }},
	} {
		s := demo()
		tt.edit(&s.Parts[0])
		h := harpRows(t, &s.Parts[0])
		inRows, inSteps, inChart := 0, 0, 0
		for _, r := range h.Rows {
			inRows += len(r.Changes)
		}
		for _, r := range h.Steps {
			inSteps += len(r.Changes)
		}
		for _, y := range h.Systems {
			for _, l := range y.Lanes {
				inChart += strings.Count(l.Moves, "M")
			}
		}
		n := len(s.Parts[0].Changes)
		if inSteps != n && inRows != n {
			t.Errorf("%s (%s): %d changes by measure and %d in a list, of %d", tt.name, tt.reason, inRows, inSteps, n)
		}
		if inChart != inRows {
			t.Errorf("%s: %d changes in the chart, %d by measure", tt.name, inChart, inRows)
		}
	}
}

func TestDiagram(t *testing.T) {
	d := diagramOf(setting("D♭ C B♯ | E F♯ G A♭"))
	want := "Pedal diagram. Left foot: D flat, C natural, B sharp. Right foot: E natural, F sharp, G natural, A flat."
	if d.Label != want {
		t.Errorf("label %q, want %q", d.Label, want)
	}
	strokes := regexp.MustCompile(`M(\d+) (\d+)v(\d+)`).FindAllStringSubmatch(d.Strokes, -1)
	if len(strokes) != pedal.Letters {
		t.Fatalf("%d strokes", len(strokes))
	}
	divider := regexp.MustCompile(`M(\d+)`).FindStringSubmatch(d.Divider)
	last := 0
	for i, s := range strokes {
		x, top, length := atoi(s[1]), atoi(s[2]), atoi(s[3])
		position := [pedal.Letters]pedal.Position{-1, 0, 1, 0, 1, 0, -1}[i]
		above, below := top+length < diagramMiddle, top > diagramMiddle
		if above != (position == pedal.Flat) || below != (position == pedal.Sharp) {
			t.Errorf("the stroke of %v stands wrong for %s", pedal.Letter(i), positionWord(position))
		}
		if x <= last {
			t.Errorf("the stroke of %v is not right of the one before", pedal.Letter(i))
		}
		if left := x < atoi(divider[1]); left != (pedal.Letter(i).Foot() == pedal.Left) {
			t.Errorf("the stroke of %v is on the wrong side of the divider", pedal.Letter(i))
		}
		last = x
	}
}

func atoi(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		panic(err)
	}
	return n
}

// TestChartFollowsThePedals walks the lane of each pedal in the chart and
// compares where it ends with the plan.
func TestChartFollowsThePedals(t *testing.T) {
	for _, s := range []*Score{demo(), long(4), long(60)} {
		p := &s.Parts[0]
		systems := harpRows(t, p).Systems
		now := p.Start
		for _, c := range p.Changes {
			now[c.Pedal] = c.To
		}
		level := regexp.MustCompile(`(?:V|M\d+ )(\d+)`)
		var ends [pedal.Letters]int
		for i, y := range systems {
			for l, lane := range y.Lanes {
				levels := level.FindAllStringSubmatch(lane.Path, -1)
				if first := atoi(levels[0][1]); i > 0 && first != ends[l] {
					t.Errorf("%s: the lane of %s leaps between systems %d and %d", s.Title, lane.Letter, i-1, i)
				}
				ends[l] = atoi(levels[len(levels)-1][1])
			}
		}
		for l := range pedal.Letter(pedal.Letters) {
			if want := laneY(l) + int(now[l])*levelHeight; ends[l] != want {
				t.Errorf("%s: the lane of %v ends at %d, want %d", s.Title, l, ends[l], want)
			}
		}
	}
}

func harpRows(t *testing.T, p *Part) harp {
	t.Helper()
	h, err := harpOf(p, 1, "", SheetOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// TestSheetHoldsAllChanges counts the changes on sheets, and their pages, which are
// more for more changes.
func TestSheetHoldsAllChanges(t *testing.T) {
	pages := 0
	for _, n := range []int{1, 5, 20, 40, 60, 400, 2000} {
		s := long(n)
		p := &s.Parts[0]
		sheet, err := sheetOf(p, s.Title, timelineOf(p), SheetOptions{})
		if err != nil {
			t.Fatal(err)
		}
		changes := 0
		for _, c := range sheet.Cards {
			for _, r := range c.Rows {
				changes += len(r.Left) + len(r.Right)
			}
		}
		if changes != len(p.Changes) {
			t.Errorf("%d measures: %d changes on the sheet, of %d", n, changes, len(p.Changes))
		}
		if sheet.Pages < pages || sheet.Pages > 2+changes/20 {
			t.Errorf("%d measures: %d pages for %d changes, after %d pages for fewer", n, sheet.Pages, changes, pages)
		}
		pages = sheet.Pages
	}
}

// TestContrast computes the contrast of all text colours on their grounds.
//
// Source: WCAG 2.2, 1.4.3 (text, 4.5 to 1) and 1.4.11 (graphics, 3 to 1), with
// its definitions of relative luminance and contrast ratio.
func TestContrast(t *testing.T) {
	css, err := pageFiles.ReadFile("style.css")
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile(`:root \{([^}]*)\}`).FindAllStringSubmatch(string(css), -1)
	if len(blocks) != 3 {
		t.Fatalf("%d palettes, want light, dark and print", len(blocks))
	}
	for i, b := range blocks {
		palette := make(map[string]float64)
		for _, m := range regexp.MustCompile(`--([a-z]+): #([0-9a-f]{6})`).FindAllStringSubmatch(b[1], -1) {
			palette[m[1]] = luminance(m[2])
		}
		for _, ground := range []string{"paper", "sheet", "faint"} {
			for _, ink := range []string{"ink", "soft", "left", "right", "error", "warning", "note", "link"} {
				if c := contrast(palette[ink], palette[ground]); c < 4.5 {
					t.Errorf("palette %d: %s on %s has a contrast of %.2f", i, ink, ground, c)
				}
			}
		}
		for _, ink := range []string{"left", "right", "error", "ink"} {
			if c := contrast(palette[ink], palette["again"]); c < 3 {
				t.Errorf("palette %d: %s over the shade has a contrast of %.2f", i, ink, c)
			}
		}
	}
}

func luminance(colour string) float64 {
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(colour[2*i:2*i+2], 16, 8)
		if err != nil {
			panic(err)
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

func contrast(a, b float64) float64 { return (max(a, b) + 0.05) / (min(a, b) + 0.05) }

// TestFiltersMatchFindings checks that each finding is ruled by a filter of its
// kind and one of its severity.
func TestFiltersMatchFindings(t *testing.T) {
	s := demo()
	page := htmlOf(t, s)
	h := harpRows(t, &s.Parts[0])
	for _, f := range h.Findings {
		rule := fmt.Sprintf(".findings:has(.filters .k%d:not(:checked)) .finding.k%d { display: none }", f.Kind, f.Kind)
		box := fmt.Sprintf(`class="k%d" checked`, f.Kind)
		if !strings.Contains(page, rule) || !strings.Contains(page, box) {
			t.Errorf("no filter for kind %d", f.Kind)
		}
		if box := fmt.Sprintf(`class="s%d" checked`, f.Severity.rank()); !strings.Contains(page, box) {
			t.Errorf("no filter for %s", f.Severity)
		}
	}
}

func TestEmptyMeasuresAreOneRow(t *testing.T) {
	s := long(30)
	p := &s.Parts[0]
	for i := 10; i < 20; i++ {
		p.Bars[i].Sounds, p.Bars[i].Setting = nil, p.Bars[10].Setting
	}
	p.Changes = slices.DeleteFunc(p.Changes, func(c Change) bool { return c.Marked.Index >= 10 && c.Marked.Index < 20 })
	p.Findings = slices.DeleteFunc(p.Findings, func(f Finding) bool { return f.Index >= 10 && f.Index < 20 && f.Index != 13 })
	var got []string
	for _, r := range harpRows(t, p).Rows[10:14] {
		got = append(got, r.Measure)
	}
	if want := []string{"11–13", "14", "15–20", "21"}; !slices.Equal(got, want) { // a finding stands in measure 14
		t.Errorf("rows %v, want %v", got, want)
	}
}

func TestVerdict(t *testing.T) {
	for _, tt := range []struct {
		name, want string
		score      *Score
	}{
		{"unread", "This score could not be read.", unread()},
		{"no harp", "No harp was planned.", &Score{}},
		{"fine", "Every note can be played as planned.", scoreWith("", Cost{Changes: 3}, true, SeverityNote)},
		{"unplayable without a finding", "1 note cannot be played as planned; 1 rushed change.", scoreWith("", Cost{Unsounded: 1, Rushed: 1}, true)},
		{"an error", "1 place cannot be played as planned.", scoreWith("", Cost{}, true, SeverityError)},
		{"held", "Every note can be played; 2 changes under a note still held; 1 place to look at.", scoreWith("", Cost{Held: 2}, true, SeverityWarning)},
	} {
		if got := tallyOf(tt.score).verdict(tt.score.Error != ""); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}
