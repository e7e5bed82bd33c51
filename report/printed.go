package report

import (
	"math"

	"pedalogue/report/plain"
)

// Sizes on paper, in millimetres.
const (
	paperWidth   = 186.0       // of what is printed on A4, the narrower of the two
	paperHeight  = 255.0 * 0.8 // of a page of Letter, the lower one, less what is lost at the foot of pages
	systemWidth  = 91.0        // of a system of the chart at most: two stand side by side
	millimetres  = 25.4 / 96   // in a pixel
	findingRows  = 11.0        // of a finding without its texts and picture
	textLine     = 4.7
	summaryLines = 8.0 // of something that is folded away
)

// onPaper is how high something of so many pixels is in print, at most so wide.
func onPaper(width, height int, most float64) float64 {
	w, h := float64(width)*millimetres, float64(height)*millimetres
	if w > most {
		h *= most / w
	}
	return h
}

// printedPages is an upper bound for the pages of A4 or Letter that the page
// prints on with nothing unfolded: for each harp those for the stand and the rest,
// estimated generously.
func (p *page) printedPages() int {
	pages := 0
	for i := range p.Harps {
		pages += p.Harps[i].Sheet.Pages + int(math.Ceil(p.Harps[i].printedHeight()/paperHeight))
	}
	height := 60.0
	for _, w := range p.Warnings {
		height += 6 * float64(linesOf(plain.Columns(w), 90))
	}
	return pages + int(math.Ceil(height/paperHeight))
}

// printedHeight is how high a harp's part of the page is, without the sheet.
func (h *harp) printedHeight() float64 {
	height := 90.0 // headings, legend, proof
	row := 0.0
	for i, s := range h.Systems {
		row = max(row, onPaper(s.Width, s.Height, systemWidth)+4)
		if i%2 == 1 || i == len(h.Systems)-1 {
			height += row
			row = 0
		}
	}
	for _, g := range h.Findings {
		for _, f := range g.Shown {
			height += findingRows + textLine*float64(linesOf(plain.Columns(f.Text), 80)+linesOf(plain.Columns(f.Remedy), 80)) +
				onPaper(f.Picture.width, f.Picture.height, paperWidth-6)
		}
		if g.More != "" {
			height += summaryLines
		}
	}
	for _, r := range h.Steps {
		height += float64(len(r.Changes)) * 6
	}
	rows := len(h.Choices) + 6
	if !h.Fold {
		rows += len(h.Respelt)
	}
	return height + float64(rows)*7 + 3*summaryLines
}
