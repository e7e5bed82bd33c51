// Package reduced is a score reduced for the harp: what is done about what cannot be
// played.
package reduced

import (
	"context"
	"strconv"

	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/part"
	"pedalogue/pedal/reduce"
	"pedalogue/pedal/revise"
	"pedalogue/report"
)

// Wishes are what is wanted beside how pedals are planned and judged.
type Wishes struct {
	RollPrice int // as of reduce.Options
}

// A harp is one part as it is reduced.
type harp struct {
	part   *part.Part
	result *reduce.Result
	row    *report.ReducePart
}

// Of reduces all harps of a score.
func Of(ctx context.Context, s work.Score, set options.Settings, want Wishes) (*work.Made, error) {
	_, score, err := opening.Music(ctx, s.Path, s.Data, set.Read)
	if err != nil {
		return nil, err
	}
	head := planned.New(s.Path, score)
	r := &Report{Reduce: report.Reduce{Format: head.Format, Tool: head.Tool, Version: head.Version, Path: head.Path, Title: head.Title,
		PlayingOrder: head.PlayingOrder, Warnings: head.Warnings}}
	set.Wants.Plan.Only, set.Wants.Untried = true, true // findings are but counted
	for _, player := range score.Players() {
		h, err := reduceHarp(ctx, score, player, &set.Wants, want)
		if err != nil {
			return nil, opening.Named(s.Path, err)
		}
		r.Parts = append(r.Parts, *h.row)
	}
	return &work.Made{Report: r}, nil
}

// reduceHarp reduces one harp.
func reduceHarp(ctx context.Context, score *musicxml.Score, player musicxml.Player, wants *rows.Wants, want Wishes) (*harp, error) {
	p, err := part.New(score, player, wants.Part)
	if err != nil {
		return nil, err
	}
	done, err := p.Plan(ctx, wants.Plan)
	if err != nil {
		return nil, err
	}
	before, err := rows.Part(ctx, done, nil, wants)
	if err != nil {
		return nil, err
	}
	h := &harp{part: done.Part, row: &report.ReducePart{
		ID: player.ID(), Name: player.Name, Options: before.Options, Before: grave(before.Findings), CostBefore: before.Cost,
	}}
	if h.result, err = reduce.Music(ctx, &h.part.Music, reduce.Options{Judge: wants.Judge(), RollPrice: want.RollPrice, First: done.Plan}); err != nil {
		return nil, err
	}
	h.row.After, err = h.after(wants)
	h.row.CostAfter = report.Cost(h.result.Plan.Cost)
	h.addReductions()
	return h, err
}

// after counts what is found in the reduced music.
func (h *harp) after(wants *rows.Wants) (c report.GraveCounts, err error) {
	found, err := finding.All(h.result.Revised.Music, h.result.Plan, wants.Judge())
	for _, f := range found {
		switch f.Severity {
		case finding.Error:
			c.Error++
		case finding.Warning:
			c.Warning++
		}
	}
	return c, err
}

func grave(list []report.Finding) (c report.GraveCounts) {
	for _, f := range list {
		switch f.Severity {
		case report.SeverityError:
			c.Error++
		case report.SeverityWarning:
			c.Warning++
		}
	}
	return c
}

// addReductions writes down what was done, and what could not be.
func (h *harp) addReductions() {
	for i := range h.result.Reductions {
		red := &h.result.Reductions[i]
		row := report.Reduction{Place: h.place(red.Moment), For: kinds(red.For), Loses: losesOf(red.Loss), Verified: red.Verified,
			Heuristic: red.Heuristic, Text: red.Sentence(&h.part.Music)}
		for _, op := range red.Ops {
			row.Ops = append(row.Ops, h.op(op, row.Place))
		}
		h.row.Reductions = append(h.row.Reductions, row)
	}
	for _, u := range h.result.Unsolved {
		h.row.Unsolved = append(h.row.Unsolved, report.Unsolved{Place: h.place(u.Moment), For: kinds(u.For), Text: u.Text})
	}
}

// place is the place of a moment as reports write it.
func (h *harp) place(moment int) report.Place {
	at := h.part.Places.Of(moment)
	return report.Place{Measure: h.part.Score.Measures[at.Measure].Number, Index: at.Measure, Offset: h.part.Offset(at).String()}
}

// op writes down one operation of a reduction at a place.
func (h *harp) op(op revise.Op, at report.Place) report.ReduceOp {
	n, note := h.part.Passage.Notes[op.Note], h.part.Note(op.Note)
	row := report.ReduceOp{Op: op.Do.String(), Staff: n.Staff, Note: n.Pitch.String(), Grace: note.Kind == musicxml.Grace}
	offset := note.Onset.Sub(h.part.Score.Measures[note.Measure].Start).String()
	if note.Measure != at.Index || offset != at.Offset {
		row.Index, row.Offset = &note.Measure, offset
	}
	switch op.Do {
	case revise.Octave:
		to := n.Pitch
		to.Octave += op.Octaves
		row.To = to.String()
	case revise.OtherString:
		row.To = stringFor(n.Pitch, op.Letter).String()
	case revise.OtherHand:
		row.To = strconv.Itoa(op.Staff)
	case revise.Shorten:
		row.To = h.length(op).String()
	}
	return row
}

func kinds(list []finding.Kind) []string {
	out := make([]string, len(list))
	for i, k := range list {
		out[i] = string(k)
	}
	return out
}

func losesOf(l revise.Loss) report.Loses {
	return report.Loses{Melody: l.Melody, Bass: l.Bass, PitchClasses: l.PitchClasses, Notes: l.Notes, Moved: l.Moved, Doubled: l.Doubled,
		Rolled: l.Rolled, Hands: l.Hands}
}
