package part

import (
	"context"
	"maps"
	"slices"

	"pedalogue/musicxml"
)

// Marks are the marks of the page as they are written into the score, with the
// texts above respelt notes.
func (done *Planned) Marks(style Style) []musicxml.Mark {
	return done.marks(style, done.rewritten(style))
}

func (done *Planned) marks(style Style, rewritten map[int]musicxml.Respelling) []musicxml.Mark {
	marks := done.Page.directions(style)
	if style.Respelt == Untold {
		return marks
	}
	tell := func(note int) bool { _, done := rewritten[note]; return !done }
	names := done.Part.respeltTexts(done.Plan, style.Language, tell)
	done.Part.keepApart(names, marks)
	return append(marks, names...)
}

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
