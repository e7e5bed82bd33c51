// Package parts is a score from which each player's part is made: cut out, marked,
// with what the others say to everybody.
package parts

import (
	"context"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/musicxml/extract"
	"pedalogue/report"
)

// CopyMark stands before the extension of a part, NAME.harp.EXT; where there are
// several players, with a number: NAME.harp-1.EXT.
const CopyMark = ".harp"

// Wants are what the user wants of parts.
type Wants struct {
	options.Settings
	Unmarked bool // write no pedals
	Turns    bool // put page ends where a page can be turned
	Extract  extract.Options
}

var partName = regexp.MustCompile(`(?i)\.harp(-[0-9]+)?$`)

// IsResult tells whether a file is a part, or another copy that an earlier run has
// made.
func IsResult(path string) bool {
	return partName.MatchString(strings.TrimSuffix(path, filepath.Ext(path))) || planned.IsResult(path)
}

// Of makes the parts of all players of a score.
func Of(ctx context.Context, s work.Score, w Wants) (*work.Made, error) {
	doc, score, err := opening.Music(ctx, s.Path, s.Data, w.Read)
	if err != nil {
		return nil, err
	}
	x, err := extract.New(ctx, doc, score)
	if err != nil {
		return nil, opening.Named(s.Path, err)
	}
	r := &Report{PartFiles: report.PartFiles{Head: rows.Head(s.Path, score), Warnings: rows.Warnings(score.Warnings)}}
	m := &work.Made{Document: doc, Report: r}
	players := score.Players()
	for i, player := range players {
		mark := CopyMark
		if len(players) > 1 {
			mark = fmt.Sprintf("%s-%d", CopyMark, i+1)
		}
		copied, file, err := one(ctx, s, x, player, w)
		if err != nil {
			return nil, opening.Named(s.Path, err)
		}
		m.Copies = append(m.Copies, work.Copy{Mark: mark, Data: copied})
		r.Files, r.marks = append(r.Files, *file), append(r.marks, mark)
	}
	return m, nil
}

// one makes the part of one player: cut out, planned as it then stands, with rests
// put together where no mark stands.
func one(ctx context.Context, s work.Score, x *extract.Extractor, player musicxml.Player, w Wants) ([]byte, *report.PartFile, error) {
	p, err := x.Part(ctx, player, w.Read, w.Extract)
	if err != nil {
		return nil, nil, err
	}
	if w.Turns {
		if p, err = p.WithTurns(ctx); err != nil {
			return nil, nil, err
		}
	}
	file := &report.PartFile{PageTurns: p.Turns, Player: player.Name, Measures: len(p.Score.Measures), Cues: p.Cues}
	for _, part := range player.Parts {
		file.Parts = append(file.Parts, part.ID)
	}
	var marks []musicxml.Edit
	if !w.Unmarked {
		set := w.Settings
		if set.Read.Part != "" {
			set.Read.Part = p.Score.Parts[0].ID
		}
		made, err := planned.Of(ctx, s, p.Document, p.Score, set)
		if err != nil {
			return nil, nil, err
		}
		marks = made.Edits
		file.Findings = counts(made.Report.(*planned.Report))
	}
	rests, err := p.Rests(ctx, marks)
	if err != nil {
		return nil, nil, err
	}
	file.MultipleRests = rests.Count
	copied, err := p.Document.Splice(ctx, slices.Concat(marks, rests.Edits))
	return copied, file, err
}

// counts counts the findings of a plan.
func counts(r *planned.Report) *report.KeyCounts {
	var n report.KeyCounts
	for _, p := range r.Parts {
		for _, f := range p.Findings {
			switch f.Severity {
			case report.SeverityError:
				n.Error++
			case report.SeverityWarning:
				n.Warning++
			default:
				n.Note++
			}
		}
	}
	return &n
}
