package report

import (
	"fmt"
	"html/template"
	"io"
	"path"
	"slices"
	"strconv"
	"strings"

	"pedalogue/report/engrave"
	"pedalogue/report/plain"
)

// A Reading is what was read in a score, before anything is planned.
type Reading struct {
	Tool, Version string
	Path          string // as given
	Title         string // "" if the score has none
	Facts         []Fact
	Harps         []ReadHarp
	Warnings      []Warning
}

// A Fact is something that was read, in words.
type Fact struct {
	Name, Value string   // no value where the items say it
	Items       []string // one a line
}

// A ReadHarp is the music of one harp as it was read.
type ReadHarp struct {
	ID       string   // of its part, "P1+P2" for one harp in two parts
	Name     string   // "" if it has none
	Measures []string // the printed numbers of all measures, by their index
	Music    *engrave.Part
}

// The measures of a reading, in units.
const (
	readingWidth = 700 * unitsInPixel // of a line at most
	signs        = 26 * unitsInPixel  // room above a line for the signs of warnings
)

// A readingPage is what the template shows of a reading. All its texts are clean.
type readingPage struct {
	Style    template.CSS
	Drawn    template.HTML
	Made     string
	Name     string
	Path     string
	Facts    []Fact
	Harps    []readHarp
	Warnings []readWarning
}

type readHarp struct {
	ID       int // from 1
	Title    string
	Lines    []readLine
	NotDrawn []string
	Left     string // the number of the measure from which on too much music is left out; "" if none is
	Why      string // why nothing is drawn; "" if something is
}

// A readLine is one line of music.
type readLine struct {
	ViewBox       string
	Width, Height int // in pixels
	Label         string
	Music         template.HTML
	Spots         []spot
	Marks         []chartMark
}

type readWarning struct {
	ID, Text string
	Measure  string // the ID of the measure; "" for none
}

// WriteReadingHTML writes what was read as one page that needs nothing else: the
// parts, what could be meant in another way, and the music of each harp as it was
// read, drawn, with the marks that stand in it. The error is that of w or of a page
// that cannot be made.
func WriteReadingHTML(w io.Writer, r *Reading) error {
	most := 0
	for i := range r.Harps {
		most = max(most, len(r.Harps[i].Measures))
	}
	p := readingPage{
		Style: style(), Drawn: defs(most), Made: plain.Line(strings.TrimSpace(r.Tool + " " + r.Version)),
		Name: strings.TrimSpace(plain.Line(r.Title)), Path: plain.Line(r.Path),
	}
	if p.Name == "" {
		p.Name = plain.Line(path.Base(strings.ReplaceAll(r.Path, `\`, "/")))
	}
	for _, f := range r.Facts {
		c := Fact{Name: plain.Line(f.Name), Value: plain.Line(f.Value)}
		for _, item := range f.Items {
			c.Items = append(c.Items, plain.Line(strings.Join(strings.Fields(item), " ")))
		}
		p.Facts = append(p.Facts, c)
	}
	for i := range r.Harps {
		h, err := r.harp(i)
		if err != nil {
			return err
		}
		p.Harps = append(p.Harps, h)
	}
	for i := range r.Warnings {
		p.Warnings = append(p.Warnings, r.warning(i))
	}
	return render(w, "reading.html", &p)
}

// warning leads to its measure, where that is drawn.
func (r *Reading) warning(i int) readWarning {
	w := r.Warnings[i]
	row := readWarning{ID: warningID(i), Text: plain.Line(w.sentence())}
	for j, h := range r.Harps {
		if h.has(w) {
			row.Measure = visit{w.Index, 1}.id("m", j+1)
			break
		}
	}
	return row
}

func warningID(i int) string { return "w" + strconv.Itoa(i+1) }

// has reports whether a warning is about a measure of the harp that can be drawn.
func (h *ReadHarp) has(w Warning) bool {
	return w.Index >= 0 && h.Music != nil && h.Music.Measures[w.Index] != nil && slices.Contains(strings.Split(h.ID, "+"), w.Part)
}

// harp draws the music of one harp, line by line.
func (r *Reading) harp(i int) (readHarp, error) {
	h := &r.Harps[i]
	out := readHarp{ID: i + 1, Title: plain.Line((&Part{ID: h.ID, Name: h.Name}).title())}
	switch {
	case h.Music == nil || len(h.Music.Measures) == 0:
		out.Why = "There is nothing to draw."
		return out, nil
	case h.Music.Staves > engrave.MostStaves:
		out.Why = fmt.Sprintf("The part has %d staves; music is drawn on %d at most.", h.Music.Staves, engrave.MostStaves)
		return out, nil
	}
	var indexes []int
	drawn := 0
	for k := range h.Measures {
		m := h.Music.Measures[k]
		if m == nil {
			continue
		}
		if drawn += notesIn(m); drawn > mostDrawn {
			out.Left = h.label(k)
			break
		}
		indexes = append(indexes, k)
	}
	if len(indexes) == 0 {
		return out, nil
	}
	starts, err := engrave.Break(h.Music.Line(indexes...), readingWidth)
	if err != nil {
		return out, err
	}
	for n, from := range starts {
		to := len(indexes)
		if n+1 < len(starts) {
			to = starts[n+1]
		}
		line, err := r.line(h, out.ID, indexes[from:to], &out)
		if err != nil {
			return out, err
		}
		out.Lines = append(out.Lines, line)
	}
	return out, nil
}

// label names a measure.
func (h *ReadHarp) label(index int) string {
	return Place{Measure: h.Measures[index], Index: index}.label()
}

// line draws measures, with a sign at those that a warning is about.
func (r *Reading) line(h *ReadHarp, harp int, indexes []int, out *readHarp) (readLine, error) {
	d, err := engrave.Draw(h.Music.Line(indexes...), engrave.Options{Anonymous: true, Points: tooLongForElements(len(h.Measures))})
	if err != nil {
		return readLine{}, err
	}
	for _, what := range d.Omitted {
		if !slices.Contains(out.NotDrawn, what) {
			out.NotDrawn = append(out.NotDrawn, what)
		}
	}
	l := readLine{
		Label: "The music of measures " + h.label(indexes[0]) + " to " + h.label(indexes[len(indexes)-1]) + ".",
		Music: template.HTML(d.Body), // engrave has escaped all texts
	}
	top := d.Top
	for k, index := range indexes {
		left, right := d.Bounds(k)
		l.Spots = append(l.Spots, spot{visit{index, 1}.id("m", harp), band{left, d.Top, right - left, d.Height}})
		for i, w := range r.Warnings {
			if w.Index == index && h.has(w) {
				l.Marks = append(l.Marks, chartMark{(left + right) / 2, d.Top - signs/2, SeverityWarning, warningID(i), "warning about reading measure " + h.label(index)})
				top = d.Top - signs
				break
			}
		}
	}
	height := d.Top + d.Height - top
	l.ViewBox = fmt.Sprintf("%d %d %d %d", d.Left, top, d.Width, height)
	l.Width, l.Height = d.Width/unitsInPixel, height/unitsInPixel
	return l, nil
}
