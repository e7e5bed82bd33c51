package report

import (
	"bytes"
	"cmp"
	"fmt"
	"html/template"
	"io"
	"strings"

	"github.com/klauspost/compress/flate"

	"pedalogue/report/engrave"
	"pedalogue/report/plain"
)

// Sheets are the sheets of one score for the page of all, packed, so that many fit
// into memory: a kilobyte or two each, with music some more. The zero value is none.
type Sheets struct {
	Packed []byte `json:"packed"` // DEFLATE of HTML
	Harps  int    `json:"harps"`
	Pages  int    `json:"pages"`           // they print on at most
	Drawn  bool   `json:"drawn,omitempty"` // there is music in them

	Running []string `json:"running,omitempty"` // what stands over their pages, one a harp
}

// SheetsOf makes the sheets of a score, as Score.Sheet says. It fails
// if no measure is such.
func SheetsOf(s *Score) (Sheets, error) {
	if s.Error != "" {
		return Sheets{}, nil
	}
	var made Sheets
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, flate.DefaultCompression)
	if err != nil {
		return Sheets{}, err
	}
	for i := range s.Parts {
		p := &s.Parts[i]
		when := timelineOf(p)
		sheet, err := sheetOf(p, s.name(), when, s.Sheet)
		if err != nil {
			return Sheets{}, err
		}
		h := harp{Title: plain.Line(p.title()), Score: s.name(), Unit: when.unit(), Sheet: sheet, Changes: p.changeCount()}
		if err := render(w, "sheet", &h); err != nil {
			return Sheets{}, err
		}
		made.Harps++
		made.Running = append(made.Running, h.Running())
		made.Pages += sheet.Pages
		made.Drawn = made.Drawn || sheet.Drawn
	}
	err = w.Close()
	made.Packed = b.Bytes()
	return made, err
}

// html unpacks the sheets, which are of this package's own making.
func (s Sheets) html() (template.HTML, error) {
	text, err := io.ReadAll(flate.NewReader(bytes.NewReader(s.Packed)))
	if err != nil {
		return "", fmt.Errorf("the sheets kept of an earlier run cannot be unpacked: %w", err)
	}
	return template.HTML(text), nil
}

// A seasonPage is what the template shows of all sheets.
type seasonPage struct {
	Style   template.CSS
	Drawn   template.HTML // what all music in the page refers to; "" if there is none
	Made    string
	Count   string
	Pages   int
	NotRead []string
	Scores  []seasonScore
}

type seasonScore struct {
	Number int // from 1
	Name   string
	sheets Sheets
}

// A running is what stands over the pages of a sheet, which is the score's so manieth.
type running struct {
	Number int // from 1
	Text   string
}

// Running is what stands over the pages of its sheets.
func (s seasonScore) Running() []running {
	var list []running
	for i, text := range s.sheets.Running {
		list = append(list, running{i + 1, plain.Line(text)})
	}
	return list
}

// Sheets unpacks them as the page comes to them.
func (s seasonScore) Sheets() (template.HTML, error) { return s.sheets.html() }

// WriteSheetsHTML writes one page with the sheets for the stand of all scores whose
// Entry has them, to print: each sheet begins on a page of its own, in the order of
// the batch. Like all pages it needs nothing else.
func WriteSheetsHTML(w io.Writer, b Batch) error {
	p := seasonPage{Style: style()}
	harps := 0
	for i, e := range b {
		p.Made = cmp.Or(p.Made, plain.Line(e.Made))
		if e.Error != "" {
			p.NotRead = append(p.NotRead, plain.Line(e.Path))
		}
		if e.Sheets == nil || e.Sheets.Harps == 0 {
			continue
		}
		name := cmp.Or(strings.TrimSpace(plain.Line(e.Title)), plain.Line(e.Path))
		p.Scores = append(p.Scores, seasonScore{Number: i + 1, Name: name, sheets: *e.Sheets})
		harps += e.Sheets.Harps
		p.Pages += e.Sheets.Pages
		if e.Sheets.Drawn {
			p.Drawn = template.HTML(engrave.Defs())
		}
	}
	p.Count = sentenceCase(count(harps, "sheet"))
	return render(w, "sheets.html", &p)
}
