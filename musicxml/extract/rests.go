package extract

import (
	"context"
	"sort"
	"strings"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
	"pedalogue/musicxml/internal/insert"
	"pedalogue/musicxml/internal/xmltext"
)

// Rests are the runs of measures in which a part does not play, as multi-measure
// rests.
type Rests struct {
	Edits []musicxml.Edit // in the order of the document
	Count int
}

// Rests puts together the measures in which the part does not play and in which
// nothing else stands. A run ends where a player has to see something: at signs of
// every kind, rehearsal marks, changes of tempo, key, time and clef, double bars,
// repeats and endings, measures of another length or that are not counted, and at the
// marks, edits of the part's document that are still to be made, and to be put before these
// where both are at one place. The measures stay in the document, as the format wants it.
func (p *Part) Rests(ctx context.Context, marks []musicxml.Edit) (Rests, error) {
	l, err := lay(ctx, p.Document, p.Score)
	if err != nil {
		return Rests{}, err
	}
	part := p.Score.Parts[0]
	held := markedMeasures(part, marks)
	var r Rests
	for k := 0; k < len(part.Measures); {
		to := l.restFrom(part, k, held)
		if to-k >= leastRest {
			r.Count++
			r.Edits = append(r.Edits, l.multipleRest(part, k, to-k))
		}
		k = max(to, k+1)
	}
	return r, nil
}

// leastRest is how many measures a multi-measure rest has at least.
const leastRest = 2

// marked says where marks stand that are still to be made: a measure that has them before
// all its notes begins a rest, one that has another is in none.
type marked map[int]bool // true where one stands at another time

// markedMeasures finds the measures of a part in which edits lie.
func markedMeasures(part *musicxml.Part, edits []musicxml.Edit) marked {
	m := marked{}
	for _, e := range edits {
		k := sort.Search(len(part.Measures), func(k int) bool { return part.Measures[k].Tag > e.Start }) - 1
		m[k] = m[k] || !atStart(part, k, e)
	}
	return m
}

// atStart reports whether an edit puts something at the start of a measure: before all
// its notes, and not offset from it.
func atStart(part *musicxml.Part, k int, e musicxml.Edit) bool {
	if k < 0 || e.End > e.Start || strings.Contains(e.New, "offset>") {
		return false
	}
	_, notes := part.NotesOf(k)
	return len(notes) > 0 && e.Start <= notes[0].Start
}

// restFrom is the measure after the run of empty ones that begins with measure k; k
// itself where that is not empty.
func (l *layout) restFrom(part *musicxml.Part, k int, marks marked) int {
	first := k
	for ; k < len(part.Measures); k++ {
		b, m := &l.bars[part][k], &l.score.Measures[k]
		inside, has := marks[k]
		switch {
		case b.alone || inside || m.Implicit || part.Measures[k].Tag < 0:
			return k
		case k > first && (has || b.opens || l.bars[part][k-1].closes || m.Length.Cmp(l.score.Measures[k-1].Length) != 0):
			return k
		}
	}
	return k
}

// multipleRest says at the head of a measure how many measures of rest begin there.
func (l *layout) multipleRest(part *musicxml.Part, k, count int) musicxml.Edit {
	p := putter{layout: l, part: part}
	e := p.element("attributes")
	p.child(p.child(e, "measure-style", ""), "multiple-rest", itoa(count))
	m := &part.Measures[k]
	if p.hasRoom(k) {
		// Behind what stands at the start: some programs draw no direction behind the sign.
		if _, notes := part.NotesOf(k); len(notes) > 0 {
			p.before(notes[0].Start, k, e)
			return p.edits[0]
		}
		p.after(m.Head, k, e)
		return p.edits[0]
	}
	line := ""
	if indent, own := insert.IndentAt(l.doc.Text, m.Tag); own {
		line = "\n" + indent
	}
	tag := strings.TrimSuffix(string(l.doc.Text[m.Tag:m.Head]), "/>")
	insert.Tree(e, line+"  ", "  ")
	text := insert.String(e)
	if line != "" {
		text = line + "  " + text + line
	}
	return musicxml.Edit{Start: m.Tag, End: m.Head, New: tag + ">" + text + "</" + xmltext.TagName(tag) + ">"}
}

// after puts an element behind what ends at an offset in a measure.
func (p *putter) after(at, measure int, elements ...*etree.Element) {
	tag := p.part.Measures[measure].Tag
	line, unit := "", "  "
	indent, own := insert.IndentAt(p.doc.Text, tag)
	inner, lines := insert.IndentAt(p.doc.Text, nextTag(p.doc.Text, at))
	switch {
	case !own || !lines:
	case len(inner) > len(indent):
		line, unit = "\n"+inner, insert.Unit(p.doc.Text, tag, inner)
	default: // the end tag comes next
		line = "\n" + indent + unit
	}
	for _, e := range elements {
		insert.Tree(e, line, unit)
		p.insert(at, line+insert.String(e))
	}
}

// nextTag is where the next tag begins from an offset on.
func nextTag(text []byte, at int) int {
	for at < len(text) && text[at] != '<' {
		at++
	}
	return at
}
