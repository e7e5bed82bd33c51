package reduced

import (
	"context"
	"slices"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/part"
	"pedalogue/report"
)

// withHands adds to the edits of a copy the signs of the hands at notes that another
// hand takes than that of their staff, and reads the copy again.
func (j *job) withHands(ctx context.Context, edits []musicxml.Edit, doc *musicxml.Document, score *musicxml.Score) ([]musicxml.Edit, *musicxml.Document, *musicxml.Score, error) {
	var marks []musicxml.Mark
	for i, h := range j.harps {
		p, plan := h.final.Part, h.final.Plan
		if j.want.Apply == Marked { // of which no plan is made yet
			var err error
			if p, err = part.New(score, score.Players()[i], j.set.Wants.Part); err != nil {
				return nil, nil, nil, err
			}
			if plan, err = pedal.Solve(ctx, p.Passage, j.set.Wants.Plan.Options); err != nil {
				return nil, nil, nil, err
			}
		}
		list, err := finding.SharedNotes(&p.Music, plan, j.set.Wants.Judge())
		if err != nil {
			return nil, nil, nil, err
		}
		marks = append(marks, h.handSigns(p, list)...)
	}
	more, err := score.ReductionTexts(ctx, doc, marks)
	if err != nil {
		return nil, nil, nil, err
	}
	edits = j.doc.Compose(edits, more)
	doc, score, err = j.reread(ctx, edits)
	return edits, doc, score, err
}

// The signs of the hands, main droite and main gauche.
const (
	rightHand = "m.d."
	leftHand  = "m.g."
)

// handSigns are the signs at notes, each written moment once; the row lists them.
func (h *harp) handSigns(p *part.Part, list []finding.Shared) (marks []musicxml.Mark) {
	for _, s := range list {
		for _, hand := range []struct {
			notes []int
			sign  string
			side  string
		}{{s.Right, rightHand, "above"}, {s.Left, leftHand, "below"}} {
			if len(hand.notes) == 0 {
				continue
			}
			q, i := p.At(hand.notes[0])
			n := &q.Notes[i]
			m := musicxml.Mark{
				Part: q, Measure: n.Measure, Offset: n.Onset.Sub(p.Score.Measures[n.Measure].Start), Before: -1, Staff: n.Staff,
				Placement: hand.side, Words: hand.sign, Small: true, Italic: true,
			}
			if slices.ContainsFunc(marks, func(o musicxml.Mark) bool {
				return o.Part == m.Part && o.Measure == m.Measure && o.Offset == m.Offset && o.Words == m.Words
			}) {
				continue // it is played again
			}
			marks = append(marks, m)
			row := report.HandSign{Place: report.Place{Measure: p.Score.Measures[n.Measure].Number, Index: n.Measure, Offset: m.Offset.String()}, Sign: hand.sign}
			for _, k := range hand.notes {
				row.Notes = append(row.Notes, p.Passage.Notes[k].Pitch.String())
			}
			h.row.Hands = append(h.row.Hands, row)
		}
	}
	return marks
}
