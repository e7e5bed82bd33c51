package inkeys

import (
	"context"
	"fmt"
	"strings"

	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/keys"
	"pedalogue/pedal/part"
	"pedalogue/report"
)

// A copier writes a score in another key.
type copier struct {
	doc    *musicxml.Document
	score  *musicxml.Score
	harps  []*part.Part
	set    options.Settings
	want   Wishes
	to     keys.Shift
	chosen report.ChosenKey
}

// write makes the copy: what moves, and in the moved score the marks.
func (c *copier) write(ctx context.Context, s work.Score, m *work.Made) error {
	c.chosen = report.ChosenKey{Name: c.to.Name, Semitones: c.to.Semitones, Steps: c.to.Steps, Marked: !c.want.NoMarks, OnlyHarp: c.want.OnlyHarp}
	moved, err := c.move(ctx)
	if err != nil {
		return err
	}
	m.Document, m.Edits, m.Suffix = c.doc, moved, "."+c.to.Name
	if c.want.NoMarks {
		return nil
	}
	doc, score, err := opening.Edited(ctx, c.doc, moved, c.set.Read)
	if err != nil {
		return err
	}
	set := c.set
	set.Wants.Plan.Only = true // of its report nothing is used
	s.Page = false
	marked, err := planned.Of(ctx, s, doc, score, set)
	if err != nil {
		return err
	}
	m.Edits = c.doc.Compose(moved, marked.Edits)
	return nil
}

// move returns the edits that move the score, without the marks that cannot.
func (c *copier) move(ctx context.Context) ([]musicxml.Edit, error) {
	if c.to.Original() {
		return nil, nil
	}
	var parts []*musicxml.Part
	var holders []musicxml.DirectionPart
	for _, harp := range c.harps {
		if c.want.OnlyHarp {
			parts = append(parts, harp.Player.Parts...)
		}
		for i := range harp.Standing {
			holders = append(holders, harp.Standing[i].Holders...)
			c.chosen.Struck = append(c.chosen.Struck, c.struck(&harp.Standing[i]))
		}
	}
	moved, err := c.score.Transpose(ctx, c.doc, musicxml.Interval{Semitones: c.to.Semitones, Steps: c.to.Steps}, parts)
	if err != nil {
		return nil, err
	}
	struck, err := c.score.Strike(ctx, c.doc, holders)
	if err != nil {
		return nil, err
	}
	for _, k := range moved.Respelt {
		key := &k.Part.Keys[k.Key]
		measure := &c.score.Measures[key.Measure]
		c.chosen.Respelt = append(c.chosen.Respelt, report.RespeltKey{Part: k.Part.ID, Measure: measure.Number, Index: key.Measure, Fifths: k.Fifths})
	}
	for _, w := range moved.Left {
		c.chosen.Left = append(c.chosen.Left, report.Warning(w))
	}
	for _, harp := range c.harps {
		c.leaveWords(harp)
	}
	return append(moved.Edits, struck...), nil
}

// leaveWords tells of words that name the chord of a glissando: they stay as they are.
func (c *copier) leaveWords(harp *part.Part) {
	for _, g := range harp.Glissandi {
		n := harp.Note(g.Note)
		if g.Source != finding.FromWords || g.Held || n == nil {
			continue
		}
		c.chosen.Left = append(c.chosen.Left, report.Warning{
			Code: "transpose-left", Part: harp.Player.ID(), Index: n.Measure, Measure: c.score.Measures[n.Measure].Number,
			Text: fmt.Sprintf("the words “%s” name the chord of a glissando, and do not move with the music", g.Said),
		})
	}
}

// struck is a mark that does not move, as the report tells it.
func (c *copier) struck(m *part.Standing) report.StruckMark {
	text := strings.ReplaceAll(m.Text, "\n", " / ")
	if text == "" {
		var words []string
		for _, t := range m.Pedals {
			words = append(words, t.String())
		}
		text = strings.Join(words, " ")
	}
	return report.StruckMark{Part: m.Part.ID, Staff: m.Staff, Text: text, Place: rows.PlaceIn(c.score, m.Measure, m.Onset)}
}
