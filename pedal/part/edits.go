package part

import (
	"context"
	"maps"
	"slices"

	"pedalogue/musicxml"
)

// Edits are the changes to the document of the score that put the marks into it.
// The sign changes are the other notes that get or lose an accidental where
// respelt notes are rewritten. An error is that of
// Score.Edits, Score.Remove or Score.Respell, or the context's.
func (done *Planned) Edits(ctx context.Context, doc *musicxml.Document, style Style) ([]musicxml.Edit, []musicxml.SignChange, error) {
	p := done.Part
	marks := done.Page.directions(style)
	rewritten := map[int]musicxml.Respelling{}
	if style.Respelt == Rewrite {
		rewritten = p.rewritten(done.Plan)
	}
	if style.Respelt != Untold {
		tell := func(note int) bool { _, done := rewritten[note]; return !done }
		marks = append(marks, p.respeltTexts(done.Plan, style.Language, tell)...)
	}
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
