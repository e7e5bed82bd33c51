package extract

import (
	"context"
	"slices"

	"pedalogue/musicxml"
)

// How much music a page holds, in units of the width of a note: about six systems of
// two staves. A measure takes two units and one for each time at which a note begins, a
// rest of several measures takes five. It is an estimate: a program for printing parts
// breaks lines and pages by itself, and a page that ends where we say so is never
// longer than one that it would fill.
const (
	pageUnits    = 190
	measureUnits = 2
	restUnits    = 5
)

// turnSeconds is how long a player takes to turn a page. Common practice: two seconds.
const turnSeconds = 2

// usualTempo is the speed, in quarter notes a minute, where the score says none.
const usualTempo = 100

// WithTurns returns the part with page ends where a player can turn: in a rest of two
// seconds or more if one is near the end of a page, else where a hand is free, and
// never where both hands play before and after. The part's own breaks of lines and
// pages are taken out, with the numbers of the pages. Turns says how many page ends were put in. Errors are those of
// [Extractor.Part].
func (p *Part) WithTurns(ctx context.Context) (*Part, error) {
	l, err := lay(ctx, p.Document, p.Score)
	if err != nil {
		return nil, err
	}
	t := turner{layout: l, part: p.Score.Parts[0]}
	turns := t.turns()
	edits := t.edits(turns)
	if len(edits) == 0 {
		return p, nil
	}
	raw, err := p.Document.Splice(ctx, edits)
	if err != nil {
		return nil, err
	}
	turned, err := reopened(ctx, p.Document.Name, raw, p.read)
	if err != nil {
		return nil, err
	}
	turned.Cues, turned.Turns = p.Cues, len(turns)
	return turned, nil
}

// A turner finds places for the ends of pages.
type turner struct {
	*layout
	part *musicxml.Part
}

// turns lists the measures with which pages are to begin, in their order.
func (t *turner) turns() []int {
	var list []int
	count := len(t.part.Measures)
	widths, within := t.widths()
	for from := 0; from < count; {
		used, k := 0, from
		best, class := -1, cannot
		for ; k < count; k++ {
			if used > pageUnits/2 && k > from && !within[k] && !(t.cued(k-1) && t.cued(k)) {
				if c := t.classOf(k); c >= class && c > cannot {
					best, class = k, c
				}
			}
			if used += widths[k]; used > pageUnits {
				break
			}
		}
		switch {
		case k == count:
			return list // the last page
		case best > 0:
			list = append(list, best)
			from = best
		default:
			from = max(k, from+1)
		}
	}
	return list
}

// widths are those of the measures; within says which of them stand inside a rest of
// several, which is not parted.
func (t *turner) widths() (widths []int, within []bool) {
	widths, within = make([]int, len(t.part.Measures)), make([]bool, len(t.part.Measures))
	for k := 0; k < len(widths); {
		to := t.restFrom(t.part, k, nil)
		if to-k < leastRest {
			widths[k] = measureUnits + t.moments(k)
			k++
			continue
		}
		widths[k] = restUnits
		for i := k + 1; i < to; i++ {
			within[i] = true
		}
		k = to
	}
	return widths, within
}

// cued reports whether a measure has cues, which stay together.
func (t *turner) cued(k int) bool {
	_, notes := t.part.NotesOf(k)
	return slices.ContainsFunc(notes, func(n musicxml.Note) bool { return n.Kind == musicxml.Cue })
}

// moments counts the times at which notes of a measure begin.
func (t *turner) moments(k int) int {
	seen := map[musicxml.Frac]bool{}
	_, notes := t.part.NotesOf(k)
	for i := range notes {
		if notes[i].Kind != musicxml.Rest {
			seen[notes[i].Onset] = true
		}
	}
	return max(1, len(seen))
}

// A turnClass says how well a page can be turned at a place.
type turnClass uint8

const (
	cannot   turnClass = iota // both hands play before and after
	oneHand                   // a hand is free
	inRest                    // there is time enough
	amidRest                  // and some of it on either side: a player who turns sees what comes
)

// classOf tells how well a page can be turned before a measure.
func (t *turner) classOf(k int) turnClass {
	before, after := t.restAround(k)
	need := musicxml.NewFrac(turnSeconds, 60).Mul(t.tempoAt(k))
	half := need.Mul(musicxml.NewFrac(1, 2))
	switch {
	case !before.Less(half) && !after.Less(half):
		return amidRest
	case !before.Add(after).Less(need):
		return inRest
	}
	if t.handFree(k-1) || t.handFree(k) {
		return oneHand
	}
	return cannot
}

// restAround is how long nothing sounds before the start of a measure and from there
// on, in quarter notes.
func (t *turner) restAround(k int) (before, after musicxml.Frac) {
	at := t.score.Measures[k].Start
	last := t.score.Measures[len(t.score.Measures)-1]
	var ended musicxml.Frac // where the last note before ends
	begins := last.Start.Add(last.Length)
	for i := range t.part.Notes {
		n := &t.part.Notes[i]
		switch {
		case n.Kind == musicxml.Rest || n.Kind == musicxml.Cue:
		case !n.Onset.Less(at):
			if n.Onset.Less(begins) {
				begins = n.Onset
			}
		case ended.Less(n.Ends()):
			ended = n.Ends()
		}
	}
	if at.Less(ended) {
		return musicxml.Frac{}, musicxml.Frac{}
	}
	return at.Sub(ended), begins.Sub(at)
}

// tempoAt is the speed at the start of a measure, in quarter notes a minute.
func (t *turner) tempoAt(k int) musicxml.Frac {
	tempo := musicxml.NewFrac(usualTempo, 1)
	for _, s := range t.score.Tempos {
		if !t.score.Measures[k].Start.Less(s.Onset) {
			tempo = s.Quarter
		}
	}
	return tempo
}

// handFree reports whether one of the staves, or the only one, has nothing to play in a
// measure.
func (t *turner) handFree(k int) bool {
	busy := map[int]bool{}
	_, notes := t.part.NotesOf(k)
	for i := range notes {
		if n := &notes[i]; n.Kind != musicxml.Rest && n.Kind != musicxml.Cue {
			busy[n.Staff] = true
		}
	}
	return len(busy) < min(t.part.Staves, 2)
}

var breakAttribute = onWish(`\s+(new-page|new-system|page-number)\s*=\s*("[^"]*"|'[^']*')`)

// edits takes the part's own breaks out and puts page ends in.
func (t *turner) edits(turns []int) []musicxml.Edit {
	p := putter{layout: t.layout, part: t.part}
	at := map[int]int{} // by measure, where the attribute of a print that is there can go
	for _, s := range t.prints {
		at[s.measure] = s.name
		for _, m := range breakAttribute().FindAllIndex(t.doc.Text[s.name:s.content], -1) {
			p.edits = append(p.edits, musicxml.Edit{Start: s.name + m[0], End: s.name + m[1]})
		}
	}
	for _, k := range turns {
		if name, there := at[k]; there {
			p.insert(name, attribute("new-page", "yes"))
			continue
		}
		if !p.hasRoom(k) {
			continue
		}
		e := p.element("print")
		e.CreateAttr("new-page", "yes")
		p.after(t.bars[t.part][k].content, k, e)
	}
	return p.edits
}
