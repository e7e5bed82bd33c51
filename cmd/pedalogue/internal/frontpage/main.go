// Frontpage draws the picture on the README's first screen: a line of the demo's
// music with its marks, and below it the sheet for the stand, each as the program
// makes it. In the root of the repository:
//
//	go run ./cmd/pedalogue/internal/frontpage cmd/pedalogue/demo.musicxml > testdata/demo.svg
package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"html"
	"io"
	"os"
	"strings"

	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/report"
	"pedalogue/report/engrave"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: frontpage SCORE")
		os.Exit(2)
	}
	data, err := os.ReadFile(os.Args[1])
	if err == nil {
		err = draw(os.Stdout, data)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "frontpage:", err)
		os.Exit(1)
	}
}

// The measures that are drawn, by their index, and how large.
var measures = []int{4, 5, 6, 7, 8}

const (
	pixels   = 9  // to a staff space
	fontSize = 84 // of the sheet, in units
	lineFeed = 112
	margin   = 80
)

// draw marks a score and draws the picture.
func draw(w io.Writer, score []byte) error {
	set, err := options.ParseStamp("1") // all by default
	if err != nil {
		return err
	}
	made, err := planned.Mark(context.Background(), work.Score{Path: "demo.musicxml", Data: score, Workers: 1, Page: true}, set)
	if err != nil {
		return err
	}
	r, ok := made.Report.(*planned.Report)
	if !ok || len(r.Parts) == 0 || r.Parts[0].Music == nil {
		return errors.New("there is no music")
	}
	line, err := engrave.Draw(r.Parts[0].Music.Line(measures...), engrave.Options{Anonymous: true})
	if err != nil {
		return err
	}
	var sheet bytes.Buffer
	if err := report.WriteSheet(&sheet, &r.Score); err != nil {
		return err
	}
	_, err = io.WriteString(w, picture(line, strings.Split(strings.TrimRight(sheet.String(), "\n"), "\n")))
	return err
}

// picture puts a line of music over lines of text.
func picture(line *engrave.Drawing, sheet []string) string {
	d := *line
	d.Left -= margin / 2
	d.Width += margin
	var b strings.Builder
	y := d.Top + d.Height + margin
	fmt.Fprintf(&b, `<path class="thin" d="M%d %dH%d" stroke="#999"/><g class="sheet">`, d.Left, y, d.Left+d.Width)
	for _, text := range sheet {
		y += lineFeed
		if text != "" {
			fmt.Fprintf(&b, `<text x="%d" y="%d">%s</text>`, d.Left+margin, y, html.EscapeString(text))
		}
	}
	b.WriteString("</g>")
	d.Body += b.String()
	d.Height = y + margin - d.Top
	const label = "Five measures of the demo with their pedal marks, and the sheet for the stand, which lists the settings and changes of the whole piece."
	svg := d.Standalone(pixels, label)
	style := fmt.Sprintf(`.music .sheet text{font:%dpx "DejaVu Sans Mono",Menlo,Consolas,monospace;white-space:pre}</style>`, fontSize)
	return strings.Replace(svg, "</style>", style, 1)
}
