package report

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

// seasonOf is the page of the sheets of scores, some of them as a later run finds them.
func seasonOf(t *testing.T, scores ...*Score) string {
	t.Helper()
	var batch Batch
	for i, s := range scores {
		e := EntryOf(s, "")
		e.Sheets = sheetsOf(t, s)
		if i%2 == 1 {
			text, err := json.Marshal(e)
			if err != nil {
				t.Fatal(err)
			}
			e = Entry{}
			if err := json.Unmarshal(text, &e); err != nil {
				t.Fatal(err)
			}
		}
		batch = append(batch, e)
	}
	var b bytes.Buffer
	if err := WriteSheetsHTML(&b, batch); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The page of all sheets holds those of the scores' own pages, each once, and as many
// pages as they promise together.
func TestSeasonHoldsTheSheets(t *testing.T) {
	two := demo()
	two.Title = "Two harps"
	two.Parts = append(two.Parts, long(3).Parts...)
	page := seasonOf(t, demo(), two, unread())
	if n := strings.Count(page, `class="sheet"`); n != 3 {
		t.Errorf("%d sheets, want 3", n)
	}
	own := htmlOf(t, demo())
	own = own[strings.Index(own, `<div class="first">`):strings.Index(own, "\n<div class=\"study\">")]
	if n := strings.Count(page, own); n != 2 {
		t.Errorf("the sheet of the demo stands %d times as on its own page, want twice: it is the first harp's of both", n)
	}
	for _, want := range []string{`content="3"`, "3 sheets", "not read: <bdi>torn.mxl</bdi>", `href="#score-2"`,
		`@page stand-2-2 { @top-right { content: "Two harps, `, "#score-2 .sheet:nth-of-type(2) { page: stand-2-2 }"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q", want)
		}
	}
	bad := Batch{{Path: "a.xml", Sheets: &Sheets{Packed: []byte("torn"), Harps: 1}}}
	if err := WriteSheetsHTML(&bytes.Buffer{}, bad); err == nil {
		t.Error("torn sheets are no error")
	}
}
