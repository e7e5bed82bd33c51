package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Each page of a batch leads back to the index, wherever it lies; the page of one
// score alone leads nowhere.
func TestPagesLeadBackToTheIndex(t *testing.T) {
	season(t)
	typed(t, "mark", "--quiet", "--report", "html", "--out", "o", "in")
	links := regexp.MustCompile(`<p class="back"><a href="([^"]*)">All scores</a></p>`)
	pages := 0
	for path, page := range tree(t, "o") {
		if !strings.HasSuffix(path, ".pedals.html") {
			continue
		}
		pages++
		m := links.FindStringSubmatch(page)
		if m == nil {
			t.Errorf("%s leads nowhere", path)
			continue
		}
		index := filepath.Join(filepath.Dir(path), m[1])
		if _, err := os.Stat(index); err != nil || filepath.Base(index) != "pedals.html" {
			t.Errorf("%s leads to %s: %v", path, m[1], err)
		}
	}
	if pages < 2 {
		t.Fatalf("%d pages", pages)
	}
	typed(t, "demo", "--out", "d")
	typed(t, "mark", "--quiet", "--report", "html", "--out", "one", "d/demo.musicxml")
	page, err := os.ReadFile("one/demo.pedals.html")
	if err != nil || links.Match(page) {
		t.Errorf("the page of one score: %v, leads to %q", err, links.FindSubmatch(page))
	}
}

// The demo says first which page to open, which is there, and ends as mark does.
func TestDemo(t *testing.T) {
	t.Chdir(t.TempDir())
	r := typed(t, "demo")
	first, rest, _ := strings.Cut(r.out, "\n")
	page, opens := strings.CutPrefix(first, "next: open ")
	if data, err := os.ReadFile(page); !opens || err != nil || !strings.Contains(string(data), "The Evening Ferry") {
		t.Errorf("begins with %q: %v", first, err)
	}
	if want := typed(t, "mark", "--report", "text", "--out", "o", "pedalogue-demo/demo.musicxml"); r.code != want.code || r.code != exitConflict {
		t.Errorf("exit %d, mark %d, want %d", r.code, want.code, exitConflict)
	}
	if !strings.Contains(rest, "first setting") {
		t.Errorf("the report is not printed: %s", rest)
	}
	writeFile(t, "taken", "a file")
	typed(t, "demo", "--out", "taken").want(t, exitFailed, "", "taken")
	again := typed(t, "demo")
	again.want(t, exitConflict, first, "")
}

// The page shows the demo's music: every measure with a change, and a picture with
// each finding.
func TestPageOfTheDemo(t *testing.T) {
	t.Chdir(t.TempDir())
	typed(t, "demo", "--out", "d")
	typed(t, "mark", "--quiet", "--report", "html", "--out", "o", "d/demo.musicxml")
	data, err := os.ReadFile("o/demo.pedals.html")
	if err != nil {
		t.Fatal(err)
	}
	page := string(data)
	findings := strings.Count(page, `<li class="finding `) - strings.Count(page, `<li class="finding more`)
	pictures := strings.Count(page, `<div class="picture">`)
	if findings == 0 || pictures < findings {
		t.Errorf("%d pictures for %d findings", pictures, findings)
	}
	systems := regexp.MustCompile(`(?s)<svg class="system".*?</svg>`).FindAllString(page, -1)
	for _, s := range systems {
		if strings.Contains(s, `class="moves`) && !strings.Contains(s, `href="#gn`) {
			t.Errorf("a change without music: %.300s", s)
		}
	}
	if len(systems) == 0 {
		t.Error("there is no chart")
	}
}

// The page of look shows the harp's music as it was read, and is made only where it
// is asked for.
func TestPageOfLook(t *testing.T) {
	t.Chdir(t.TempDir())
	typed(t, "demo", "--out", "d")
	if r := typed(t, "look", "--report", "text,html", "--out", "o", "d/demo.musicxml"); r.code != 0 || !strings.Contains(r.out, "The Evening Ferry") {
		t.Fatalf("exit %d: %s%s", r.code, r.out, r.err)
	}
	data, err := os.ReadFile("o/demo.look.html")
	if err != nil {
		t.Fatal(err)
	}
	page := string(data)
	for _, want := range []string{`id="m1-1"`, `id="m1-13"`, "2 staves, by instrument-sound pluck.harp", `href="#gc-g"`, "Tranquillo"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %s", want)
		}
	}
	if strings.Contains(page, `id="m1-14"`) {
		t.Error("there are more measures than the piece has")
	}
	typed(t, "look", "--json", "--out", "p", "d/demo.musicxml")
	if _, err := os.Stat("p/demo.look.html"); err == nil {
		t.Error("a page that nobody has asked for")
	}
}
