package planned

import (
	"context"
	"slices"

	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/pedal/part"
	"pedalogue/report"
)

// Mark takes a score from its bytes to its marks and report.
func Mark(ctx context.Context, s work.Score, set options.Settings) (*work.Made, error) {
	doc, score, err := opening.Music(ctx, s.Path, s.Data, set.Read)
	if err != nil {
		return nil, err
	}
	return Of(ctx, s, doc, score, set)
}

// Of takes a score that has been read to its marks and report. The first comment
// around the marks says with which options they were made.
func Of(ctx context.Context, s work.Score, doc *musicxml.Document, score *musicxml.Score, set options.Settings) (*work.Made, error) {
	set.Wants.Plan.Options.Workers = s.Workers
	r := &Report{Score: report.Score{Head: rows.Head(s.Path, score), Warnings: rows.Warnings(score.Warnings), Sheet: set.Sheet, Index: s.Index}}
	m := &work.Made{Document: doc, Report: r}
	others, sheet := "", slices.Contains(s.Formats, "sheet")
	for _, player := range score.Players() {
		row, edits, beside, err := markPlayer(ctx, doc, score, player, set.Wants, s.Page || sheet && set.Sheet.Music)
		if err != nil {
			return nil, opening.Named(s.Path, err)
		}
		others += beside
		r.Parts = append(r.Parts, row)
		m.Edits = append(m.Edits, edits...)
	}
	stamped := set.Taken(score)
	stamped.Beside = others
	m.Edits = musicxml.WithOptions(m.Edits, stamped.Stamp())
	if sheet {
		sheets, err := report.SheetsOf(&r.Score)
		if err != nil {
			return nil, opening.Named(s.Path, err)
		}
		r.sheets = &sheets
	}
	return m, nil
}

// markPlayer plans the pedals of one harp and lays the marks out; drawn, its
// music is ready to be drawn. beside are the prints of marks by others that stay.
func markPlayer(ctx context.Context, doc *musicxml.Document, score *musicxml.Score, player musicxml.Player, wants rows.Wants, drawn bool) (row report.Part, edits []musicxml.Edit, beside string, err error) {
	harp, err := part.New(score, player, wants.Part)
	if err != nil {
		return row, nil, "", err
	}
	done, err := harp.Plan(ctx, wants.Plan)
	if err != nil {
		return row, nil, "", err
	}
	edits, signs, err := done.Edits(ctx, doc, wants.Style)
	if err != nil {
		return row, nil, "", err
	}
	row, err = rows.Part(ctx, done, signs, &wants)
	if err == nil && drawn {
		err = rows.Music(ctx, doc, done, &wants, &row)
	}
	if !wants.Style.Replace {
		beside = part.Prints(harp.Standing)
	}
	return row, edits, beside, err
}
