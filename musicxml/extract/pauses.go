package extract

import (
	"context"
	"slices"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
	"pedalogue/musicxml/internal/insert"
	"pedalogue/musicxml/internal/xmltext"
)

// overRests puts the fermatas of others over the rests of the part at their time,
// where it does not play: each once.
func (p *putter) overRests(ctx context.Context) error {
	var rests []int
	seen := map[int]bool{}
	marks := map[int]*etree.Element{} // by the offset of the rest
	for _, f := range p.fermatas {
		if f.part == p.part {
			seen[f.note] = true
		}
	}
	for _, f := range p.fermatas {
		n := &f.part.Notes[f.note]
		i, _ := p.restAt(n.Measure, n.Onset)
		if f.part == p.part || i < 0 || seen[i] {
			continue
		}
		seen[i] = true
		start := p.part.Notes[i].Start
		rests = append(rests, start)
		marks[start] = f.element
	}
	return xmltext.Each(ctx, p.doc.Text, rests, func(e *xmltext.Element) { p.overRest(e, marks[e.Start].Copy()) })
}

// restAt is the note of the part that is a rest at a time of the score, the first in
// the measure; -1 where there is none to be seen, or it plays there.
func (p *putter) restAt(measure int, at musicxml.Frac) (rest int, plays bool) {
	first, notes := p.part.NotesOf(measure)
	rest = -1
	for i := range notes {
		n := &notes[i]
		if at.Less(n.Onset) || !at.Less(n.Ends()) {
			continue
		}
		if n.Kind != musicxml.Rest {
			return -1, true
		}
		if rest < 0 && !n.Hidden {
			rest = first + i
		}
	}
	return rest, false
}

// barPauses are the fermatas of others at times when the part neither plays nor shows a
// rest. Those that last to the end of their measure go over its last barline, in a
// measure without content over the rest that it gets; others are left out, for there is
// nothing to put them over.
func (p *putter) barPauses(own map[barKey]*barline, bars []barline) []barline {
	p.pauses = map[int]*etree.Element{}
	for _, f := range p.fermatas {
		n := &f.part.Notes[f.note]
		k := n.Measure
		rest, plays := p.restAt(k, n.Onset)
		switch end := p.score.Measures[k].Start.Add(p.score.Measures[k].Length); {
		case f.part == p.part || rest >= 0 || plays || p.pauses[k] != nil:
		case !p.hasRoom(k):
			p.pauses[k] = f.element
		case !n.Ends().Less(end):
			p.pauses[k] = f.element
			bars = withPause(own, bars, k, f.element)
		}
	}
	return bars
}

// withPause adds a fermata to what the last barline of a measure lacks, unless it has
// one or gets one.
func withPause(own map[barKey]*barline, bars []barline, k int, pause *etree.Element) []barline {
	key := barKey{k, "right"}
	if b := own[key]; b != nil && b.has("fermata") {
		return bars
	}
	t := thing{name: "fermata", role: "fermata", element: pause}
	i := slices.IndexFunc(bars, func(b barline) bool { return b.measure == k && b.location == "right" })
	switch {
	case i < 0:
		return append(bars, barline{measure: k, location: "right", things: []thing{t}})
	case !bars[i].has("fermata"):
		bars[i].things = append(bars[i].things, t)
	}
	return bars
}

// afterNotations are the children of a note that stand behind its notations. Source:
// MusicXML 4.0.
var afterNotations = map[string]bool{"lyric": true, "play": true, "listen": true}

// overRest puts a fermata into the element of a rest.
func (p *putter) overRest(e *xmltext.Element, mark *etree.Element) {
	if n := e.Child("notations"); n != nil && n.Close > n.Start {
		p.insert(n.Close, insert.String(mark))
		return
	}
	at, last := e.Close, e.Content
	for c := e.First; c != nil; c = c.Next {
		if afterNotations[c.Name] {
			break
		}
		last = c.End
	}
	wrap := p.element("notations")
	wrap.AddChild(mark)
	text := insert.String(wrap)
	if indent, own := insert.IndentAt(p.doc.Text, e.First.Start); own {
		text = "\n" + indent + text
	}
	if last > e.Content {
		at = last
	}
	p.insert(at, text)
}
