package report

import (
	"html/template"
	"io"
	"slices"
	"strings"

	"pedalogue/report/engrave"
	"pedalogue/report/plain"
)

// mostMeasures is how many measures of a reduction are drawn.
const mostMeasures = 3

// A reducePage is what the template shows of a reduced score. All its texts are clean.
type reducePage struct {
	Style      template.CSS
	Drawn      template.HTML // what all music in the page refers to; "" if there is none
	Name, Path string
	Made       string
	Output     string
	Error      string
	Harps      []reduceHarp
	Warnings   []string
}

type reduceHarp struct {
	ID             int // from 1
	Title, Verdict string
	Places         []reducePlace
	Unsolved       []reduceRow
}

// A reducePlace is one reduction.
type reducePlace struct {
	Where, Text, Price string
	Why                []string
	Doubt              string // what is not sure about it; "" for nothing
	Before, After      picture
	More               bool // not all of its measures are drawn
}

type reduceRow struct{ Where, Text string }

// WriteReduceHTML writes the report as one page that needs nothing else: for each harp
// its reductions one after the other, each with what was the matter, what is done, what
// that costs, and the music before and after; then the places without a way. The error
// is that of w or of a page that cannot be made.
func WriteReduceHTML(w io.Writer, r *Reduce) error {
	s := Score{Head: Head{Path: r.Path, Title: r.Title}}
	p := &reducePage{
		Style: style(), Name: s.name(), Path: plain.Line(r.Path), Made: plain.Line(strings.TrimSpace(r.Tool + " " + r.Version)),
		Output: plain.Line(r.Output), Error: plain.Line(r.Error),
	}
	room := mostPictured
	for i := range r.Parts {
		if r.Parts[i].MusicBefore != nil {
			p.Drawn = template.HTML(engrave.Defs())
		}
		p.Harps = append(p.Harps, r.Parts[i].page(i+1, &room))
	}
	for _, x := range r.Warnings {
		p.Warnings = append(p.Warnings, plain.Line(x.sentence()))
	}
	return render(w, "reduce.html", p)
}

// page is a harp as the page shows it.
func (p *ReducePart) page(id int, room *int) reduceHarp {
	h := reduceHarp{ID: id, Title: plain.Line(strings.TrimSpace(p.ID + " " + p.Name)), Verdict: plain.Line(sentenceCase(p.summary()))}
	for i := range p.Reductions {
		r := &p.Reductions[i]
		row := reducePlace{Where: plain.Line(sentenceCase(r.where())), Text: plain.Line(r.Text), Price: plain.Line(sentenceCase(r.Loses.words()) + ".")}
		for _, why := range r.Why {
			row.Why = append(row.Why, plain.Line(why))
		}
		switch {
		case !r.Verified:
			row.Doubt = "It is not solved by this alone: see below."
		case r.Heuristic:
			row.Doubt = "Not everything was tried: something cheaper may exist."
		}
		var measures []int
		if measures, row.More = r.measures(); p.drawable(measures) {
			row.Before = r.picture(p.MusicBefore, measures, r.Before, engrave.Warning, "before", room)
			row.After = r.picture(p.MusicAfter, measures, r.After, engrave.Remark, "after", room)
		}
		h.Places = append(h.Places, row)
	}
	for _, u := range p.Unsolved {
		h.Unsolved = append(h.Unsolved, reduceRow{plain.Line(sentenceCase(Where(u.Place, u.Beat))), plain.Line(u.Text)})
	}
	return h
}

// measures are those in which something is changed, the first of them; more tells whether
// there are others.
func (r *Reduction) measures() (list []int, more bool) {
	list = []int{r.Index}
	for _, op := range r.Ops {
		if op.Index != nil && !slices.Contains(list, *op.Index) {
			list = append(list, *op.Index)
		}
	}
	slices.Sort(list)
	most := min(len(list), mostMeasures)
	return list[:most], most < len(list)
}

// drawable tells whether measures are known, before and after.
func (p *ReducePart) drawable(measures []int) bool {
	for _, m := range []*engrave.Part{p.MusicBefore, p.MusicAfter} {
		if m == nil || m.Staves < 1 || m.Staves > engrave.MostStaves {
			return false
		}
		for _, k := range measures {
			if m.Measures[k] == nil {
				return false
			}
		}
	}
	return true
}

// picture draws measures with a line around notes, if there is room for so many.
func (r *Reduction) picture(m *engrave.Part, measures, notes []int, as engrave.Concern, when string, room *int) picture {
	n := 0
	for _, k := range measures {
		n += notesIn(m.Measures[k])
	}
	if n > *room {
		return picture{TooMuch: true}
	}
	*room -= n
	o := engrave.Options{Concerns: map[int]engrave.Concern{}}
	for _, id := range notes {
		o.Concerns[id] = as
	}
	d, err := engrave.Draw(m.Line(measures...), o)
	if err != nil {
		return picture{}
	}
	svg := d.Inline(pixelsInSpace, when, sentenceCase(plain.Line(r.where()))+", "+when+".") // in which engrave has escaped all texts
	return picture{SVG: template.HTML(svg), width: d.Width * pixelsInSpace / engrave.Space, height: d.Height * pixelsInSpace / engrave.Space, omitted: d.Omitted}
}
