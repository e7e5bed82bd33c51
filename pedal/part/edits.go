package part

import (
	"context"
	"maps"
	"slices"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal/spelling"
)

// Marks are the marks of the page as they are written into the score, with the
// texts above respelt notes.
func (done *Planned) Marks(style Style) []musicxml.Mark {
	return done.marks(style, done.rewritten(style))
}

func (done *Planned) marks(style Style, rewritten map[int]musicxml.Respelling) []musicxml.Mark {
	marks := done.Page.directions(style)
	if style.Respelt != Untold {
		tell := func(note int) bool { _, done := rewritten[note]; return !done }
		names := done.Part.respeltTexts(done.Plan, style.Language, tell)
		done.Part.keepApart(names, marks)
		marks = append(marks, names...)
	}
	done.Part.space(marks)
	return marks
}

// space ends the lines of marks with a space where another one of the same staff and
// side follows within half a quarter note: programs that put texts side by side
// wherever they just fit print "G♯C♯", which looks like one mark.
func (p *Part) space(marks []musicxml.Mark) {
	type row struct {
		part      *musicxml.Part
		staff     int
		placement string
	}
	rows := map[row][]*musicxml.Mark{}
	at := func(m *musicxml.Mark) musicxml.Frac { return p.Score.Measures[m.Measure].Start.Add(m.Offset) }
	for i := range marks {
		if m := &marks[i]; m.Words != "" {
			r := row{m.Part, m.Staff, m.Placement}
			rows[r] = append(rows[r], m)
		}
	}
	for _, list := range rows {
		slices.SortStableFunc(list, func(a, b *musicxml.Mark) int { return at(a).Cmp(at(b)) })
		var next musicxml.Frac // where the mark after those at one time stands
		for i := len(list) - 1; i >= 0; i-- {
			here := at(list[i])
			if i+1 < len(list) && here.Less(at(list[i+1])) {
				next = at(list[i+1])
			}
			if here.Less(next) && !tooNear.Less(next.Sub(here)) {
				list[i].Words = strings.ReplaceAll(list[i].Words, "\n", spelling.Between+"\n") + spelling.Between
			}
		}
	}
}

// tooNear is how soon, in quarter notes, a mark follows that may be printed close to
// another.
var tooNear = musicxml.NewFrac(1, 2)

// keepApart has names of strings that stand at one time and on one staff with other
// texts printed apart from them: a program that joins those would write "F♯ = D♭".
func (p *Part) keepApart(names, marks []musicxml.Mark) {
	type spot struct {
		part  *musicxml.Part
		staff int
		onset musicxml.Frac
	}
	texts := map[spot]bool{}
	at := func(m *musicxml.Mark) spot {
		return spot{m.Part, m.Staff, p.Score.Measures[m.Measure].Start.Add(m.Offset)}
	}
	for i := range marks {
		texts[at(&marks[i])] = true
	}
	for _, q := range p.Player.Parts {
		for _, d := range q.Directions {
			texts[spot{q, d.Staff, d.Onset}] = true
		}
	}
	for i := range names {
		names[i].Apart = texts[at(&names[i])]
	}
}

// rewritten are the notes of the passage that the style writes as they are played.
func (done *Planned) rewritten(style Style) map[int]musicxml.Respelling {
	if style.Respelt == Rewrite {
		return done.Part.rewritten(done.Plan)
	}
	return nil
}

// Edits are the changes to the document of the score that put the marks into it.
// The sign changes are the other notes that get or lose an accidental where
// respelt notes are rewritten. An error is that of
// Score.Edits, Score.Remove or Score.Respell, or the context's.
func (done *Planned) Edits(ctx context.Context, doc *musicxml.Document, style Style) ([]musicxml.Edit, []musicxml.SignChange, error) {
	p := done.Part
	rewritten := done.rewritten(style)
	marks := done.marks(style, rewritten)
	edits, err := p.Score.Edits(ctx, doc, marks)
	if err != nil {
		return nil, nil, err
	}
	if style.Replace {
		removed, err := p.Score.Remove(ctx, doc, p.holders())
		if err != nil {
			return nil, nil, err
		}
		edits = append(edits, removed...)
	}
	var respelt []musicxml.Respelling
	for _, i := range slices.Sorted(maps.Keys(rewritten)) {
		respelt = append(respelt, rewritten[i])
	}
	notes, signs, err := p.Score.Respell(ctx, doc, respelt)
	if err != nil {
		return nil, nil, err
	}
	return append(edits, notes...), signs, nil
}

// holders are the parts of directions that hold the marks which stand in the score.
func (p *Part) holders() []musicxml.DirectionPart {
	var list []musicxml.DirectionPart
	for _, m := range p.Standing {
		list = append(list, m.Holders...)
	}
	return list
}
