// Package inkeys is a score in other keys: how its harps lie there, and a copy in one
// of them.
package inkeys

import (
	"context"
	"fmt"

	"golang.org/x/sync/errgroup"

	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/pedal/keys"
	"pedalogue/pedal/part"
	"pedalogue/report"
)

// Wishes are what is wanted beside how pedals are planned.
type Wishes struct {
	Within   int          // the most semitones to move the music
	Choose   *keys.Choice // the key of the copy; nil for none
	OnlyHarp bool         // the other parts stay in their key
	NoMarks  bool         // the copy is not marked
}

// Of plans all harps of a score in all keys, and makes the copy.
func Of(ctx context.Context, s work.Score, set options.Settings, want Wishes) (*work.Made, error) {
	doc, score, err := opening.Music(ctx, s.Path, s.Data, set.Read)
	if err != nil {
		return nil, err
	}
	r := &Report{Keys: report.Keys{Head: rows.Head(s.Path, score), Warnings: rows.Warnings(score.Warnings)}}
	wants := set.Wants
	wants.Plan.Only = true
	wants.Untried = true // findings are but counted
	var harps []*part.Part
	plans := 0
	for _, player := range score.Players() {
		harp, err := part.New(score, player, wants.Part)
		if err != nil {
			return nil, opening.Named(s.Path, err)
		}
		harps = append(harps, harp)
		plans += len(keys.Shifts(harp.Fifths(), want.Within))
	}
	s.Progress.Begin("keys", plans)
	var all [][]keys.Row
	for _, harp := range harps {
		row, list, err := inAll(ctx, harp, &wants, want.Within, s)
		if err != nil {
			return nil, opening.Named(s.Path, err)
		}
		r.Parts = append(r.Parts, *row)
		all = append(all, list)
	}
	m := &work.Made{Report: r}
	if want.Choose == nil {
		return m, nil
	}
	to, err := want.Choose.Of(keys.Together(all, wants.Plan.Options))
	if err != nil {
		return nil, opening.Named(s.Path, fmt.Errorf("--choose: %w", err))
	}
	c := copier{doc: doc, score: score, harps: harps, set: set, want: want, to: to.Shift}
	if err := c.write(ctx, s, m); err != nil {
		return nil, opening.Named(s.Path, err)
	}
	r.Chosen = &c.chosen
	return m, nil
}

// inAll plans one harp in all keys, several at once.
func inAll(ctx context.Context, harp *part.Part, wants *rows.Wants, within int, s work.Score) (*report.KeysPart, []keys.Row, error) {
	shifts := keys.Shifts(harp.Fifths(), within)
	planned := make([]report.Part, len(shifts))
	list := make([]keys.Row, len(shifts))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(max(1, s.Workers))
	for i := range shifts {
		group.Go(func() (err error) {
			planned[i], list[i], err = inOne(ctx, harp, wants, shifts[i])
			s.Progress.Step()
			return err
		})
	}
	if err := group.Wait(); err != nil {
		return nil, nil, err
	}
	out := &report.KeysPart{ID: harp.Player.ID(), Name: harp.Player.Name, Options: planned[0].Options}
	byShift := map[keys.Shift]*report.Part{}
	for i := range list {
		byShift[list[i].Shift] = &planned[i]
	}
	keys.Sort(list, wants.Plan.Options)
	for _, k := range list {
		out.Keys = append(out.Keys, report.Key{
			Name: k.Name, Semitones: k.Semitones, Steps: k.Steps, Fifths: k.Fifths, Original: k.Original(),
			Cost: byShift[k.Shift].Cost, Proof: byShift[k.Shift].Proof, Outside: k.Outside,
			Findings: report.KeyCounts{Error: k.Errors, Warning: k.Warnings, Note: k.Notes}, Sections: harp.RespeltSections(k.Shift),
		})
	}
	return out, list, nil
}

// inOne plans one harp in one key.
func inOne(ctx context.Context, harp *part.Part, wants *rows.Wants, shift keys.Shift) (report.Part, keys.Row, error) {
	in := harp.Moved(shift)
	done, err := in.Plan(ctx, wants.Plan)
	if err != nil {
		return report.Part{}, keys.Row{}, err
	}
	planned, err := rows.Part(ctx, done, nil, wants)
	row := keys.Row{Shift: shift, Cost: done.Plan.Cost, Outside: keys.Outside(in.Passage, done.Plan, wants.Plan.Options.Instrument)}
	for _, f := range planned.Findings {
		switch f.Severity {
		case report.SeverityError:
			row.Errors++
		case report.SeverityWarning:
			row.Warnings++
		default:
			row.Notes++
		}
	}
	return planned, row, err
}
