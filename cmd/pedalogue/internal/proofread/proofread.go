// Package proofread is a score whose pedal marks are checked: what is read, judged and
// told of it.
package proofread

import (
	"cmp"
	"context"
	"slices"

	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/staves"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/proof"
	"pedalogue/report"
)

// Wants are what the user wants of a check.
type Wants struct {
	options.Settings
	NoBest bool // leave the plan out that the marks are compared with
	Fix    bool // write a copy with the marks mended
}

// A score is one score that is checked.
type score struct {
	path  string
	wants Wants
	doc   *musicxml.Document
	read  *musicxml.Score
	ours  *part.Ours // marks of this program; nil for none
	// Of the options that shaped marks of ours; ok tells whether they are known.
	stamped options.Settings
	stampOK bool

	plain   *musicxml.Score // without our marks, read when it is first needed
	left    *part.Ours      // marks of ours that were edited and still stand there
	workers int
}

// Check checks the marks of a score.
func Check(ctx context.Context, s work.Score, w Wants) (*work.Made, error) {
	c := &score{path: s.Path, wants: w, workers: s.Workers}
	if err := c.open(ctx, s.Data); err != nil {
		return nil, err
	}
	r := &Report{report.Check{Head: rows.Head(s.Path, c.read), Warnings: rows.Warnings(c.read.Warnings), Index: s.Index}}
	m := &work.Made{Report: r}
	if w.Fix {
		m.Document = c.doc
	}
	for _, player := range c.read.Players() {
		h, err := c.harp(ctx, player)
		if err != nil {
			return nil, opening.Named(s.Path, err)
		}
		if w.Fix && h.hasMarks() {
			edits, err := c.mend(ctx, h)
			if err != nil {
				return nil, opening.Named(s.Path, err)
			}
			m.Edits = append(m.Edits, edits...)
		}
		row := h.row()
		if s.Page && row.Verdict != report.VerdictNoMarks {
			if err := c.draw(ctx, h, &row); err != nil {
				return nil, opening.Named(s.Path, err)
			}
		}
		r.Parts = append(r.Parts, row)
	}
	r.Parts = append(r.Parts, c.strangers()...)
	if len(r.Parts) == 0 {
		return nil, opening.NoHarp(s.Path, c.read)
	}
	return m, ctx.Err()
}

// open reads the score as it stands, and what is known of marks of ours in it.
func (c *score) open(ctx context.Context, data []byte) error {
	doc, err := musicxml.Open(ctx, c.path, data, c.wants.Read.Limits)
	if err != nil {
		return err
	}
	own, err := doc.Strip(ctx)
	if err != nil {
		return err
	}
	c.doc = doc
	reading := c.wants.Read
	if len(own.Between) > 0 {
		c.ours = &part.Ours{Places: own.Between}
		if own.Options != "" {
			c.stamped, err = options.ParseStamp(own.Options)
			c.stampOK = err == nil
		}
	}
	if c.stampOK {
		c.ours.Language = c.stamped.Wants.Style.Language
		c.stamped.Read.Limits = reading.Limits
		if reading.Part == "" {
			reading = c.stamped.Read
		}
		c.stamped.Read = reading
	}
	c.wants.Read = reading
	c.read, err = opening.Score(ctx, doc, reading)
	return err
}

// A harp is one player's part that is checked.
type harp struct {
	part     *part.Part
	readings []part.Reading
	marks    []part.Mark
	of       []int // the reading of each mark
	task     *proof.Task
	found    *proof.Proof
	intended []part.Mark // those of the plan that made ours; nil if there is none
	best     *pedal.Cost

	alterations []report.Alteration // nil if nothing was to be mended
}

// harp checks the marks of one player.
func (c *score) harp(ctx context.Context, player musicxml.Player) (*harp, error) {
	wants := c.wants.Wants
	if c.stampOK {
		wants = c.stamped.Wants
	}
	wants.Part.Ours = c.ours // as they stand in this document
	if c.stampOK {
		wants.Part.Ours = c.sinceMarked(player, c.ours)
	}
	p, err := part.New(c.read, player, wants.Part)
	if err != nil {
		return nil, err
	}
	h := &harp{part: p, readings: p.Readings(c.ours)}
	h.marks, h.of = p.Following(h.readings)
	task := &proof.Task{Part: p, Marks: h.marks, Readings: h.readings, Options: wants.Plan.Options}
	h.task = task
	if !c.stampOK || !h.hasOurs() {
		h.found = proof.Judge(task)
		if !c.wants.NoBest {
			err = h.compare(ctx, c, wants.Plan)
		}
		return h, err
	}
	return h, c.judgeOurs(ctx, h, task)
}

// hasOurs tells whether any mark is ours.
func (h *harp) hasOurs() bool {
	return slices.ContainsFunc(h.readings, func(r part.Reading) bool { return r.Ours && r.Role != part.NoMark })
}

// hasMarks tells whether any mark stands in the part.
func (h *harp) hasMarks() bool {
	return slices.ContainsFunc(h.readings, func(r part.Reading) bool { return r.Role != part.NoMark })
}

// compare plans the part for what its marks could cost at best.
func (h *harp) compare(ctx context.Context, c *score, w part.Wishes) error {
	w.Only, w.Options.Workers = true, c.workers
	done, err := h.part.Plan(ctx, w)
	if err == nil {
		h.best = &done.Plan.Cost
	}
	return err
}

// judgeOurs checks marks of ours against the plan that made them. Marks by others
// that stood beside them when they were made were told then, where that plan does not
// heed them: a player follows ours. Those that have come since are followed, whoever
// made them: one may be a mark of ours that was moved out of its comments.
func (c *score) judgeOurs(ctx context.Context, h *harp, task *proof.Task) error {
	done, err := c.planAgain(ctx, h.part.Player)
	if err != nil {
		return err
	}
	if !c.wants.NoBest {
		h.best = &done.Plan.Cost
	}
	h.leaveOut(func(r *part.Reading) bool { return !r.Ours && r.IsIn(c.stamped.Beside) })
	task.Marks = h.marks
	if len(done.Part.Passage.Notes) < len(h.part.Passage.Notes) || len(done.Part.Passage.Moments) != len(h.part.Passage.Moments) {
		h.found = proof.Judge(task) // the notes themselves have been edited since: nothing is known to be planned
		return nil
	}
	task.Plan, h.intended = done.Plan, done.Page.Marks
	alone := *task
	alone.Marks, alone.Readings = done.Page.Marks, nil
	task.Planned = proof.Judge(&alone)
	h.found = proof.Judge(task)
	return nil
}

// leaveOut follows marks no longer.
func (h *harp) leaveOut(which func(*part.Reading) bool) {
	var marks []part.Mark
	var of []int
	for i, r := range h.of {
		if !which(&h.readings[r]) {
			marks, of = append(marks, h.marks[i]), append(of, r)
		}
	}
	h.marks, h.of = marks, of
}

// sinceMarked are ours and what others have put in since ours were made: what the plan
// that made ours did not know of.
func (c *score) sinceMarked(player musicxml.Player, ours *part.Ours) *part.Ours {
	all := &part.Ours{Language: ours.Language, Places: slices.Clone(ours.Places)}
	for _, p := range player.Parts {
		for _, m := range part.StandingMarksBeside(p, ours) {
			if m.IsIn(c.stamped.Beside) {
				continue
			}
			for _, h := range m.Holders {
				all.Places = append(all.Places, [2]int{h.Start, h.Start + 1})
			}
		}
	}
	slices.SortFunc(all.Places, func(a, b [2]int) int { return cmp.Compare(a[1], b[1]) })
	return all
}

// planAgain plans a player's part as it was planned when our marks were made.
func (c *score) planAgain(ctx context.Context, player musicxml.Player) (*part.Planned, error) {
	if c.plain == nil {
		doc, err := c.doc.Unmarked(ctx)
		if err != nil {
			return nil, err
		}
		// Marks of ours that were edited still stand there.
		own, err := doc.Strip(ctx)
		if err != nil {
			return nil, err
		}
		c.left = &part.Ours{Places: own.Between, Language: c.ours.Language}
		if c.plain, err = opening.Score(ctx, doc, c.stamped.Read); err != nil {
			return nil, err
		}
	}
	wants := c.stamped.Wants
	for _, p := range c.plain.Players() {
		if p.ID() != player.ID() {
			continue
		}
		wants.Part.Ours = c.sinceMarked(p, c.left)
		again, err := part.New(c.plain, p, wants.Part)
		if err != nil {
			return nil, err
		}
		wants.Plan.Only, wants.Plan.Options.Workers = true, c.workers
		return again.Plan(ctx, wants.Plan)
	}
	return nil, opening.NoHarp(c.path, c.plain)
}

// row is what the report says of a harp.
func (h *harp) row() report.CheckPart {
	p := h.part
	row := report.CheckPart{
		ID: p.Player.ID(), Name: p.Player.Name, Measures: len(p.Score.Measures), Verdict: report.VerdictNoMarks,
		Cost: report.Cost(h.found.Cost), Alters: h.alterations,
	}
	for _, q := range p.Player.Parts {
		row.Staves += q.Staves
	}
	row.Notes, row.Moments = p.Counted()
	if h.best != nil {
		best := report.Cost(*h.best)
		row.Best = &best
	}
	for i := range h.readings {
		r := &h.readings[i]
		row.Marks = append(row.Marks, markRow(p.Score, r, p.StaffOf(&r.Standing)))
		if r.Role != part.NoMark {
			row.Verdict = report.VerdictClean
		}
	}
	if row.Verdict == report.VerdictNoMarks {
		row.Cost = report.Cost{}
		return row // without marks there is nothing to disagree with
	}
	h.chart(&row)
	for i := range h.found.Faults {
		f := h.faultRow(&h.found.Faults[i])
		if f.Severity != report.SeverityNote {
			row.Verdict = report.VerdictFaults
		}
		row.Faults = append(row.Faults, f)
	}
	return row
}

// roleNames are what marks are read as.
var roleNames = map[part.Role]string{
	part.NoMark: "not a pedal mark", part.SettingMark: "setting", part.ChangeMark: "change", part.PreparingMark: "change", part.WarningMark: "warning",
}

func markRow(s *musicxml.Score, r *part.Reading, staff int) report.CheckMark {
	row := report.CheckMark{
		Place: rows.PlaceIn(s, r.Measure, r.Onset),
		Staff: staff, Text: r.Text, As: roleNames[r.Role], Pedals: map[pedal.Letter]pedal.Position{},
	}
	for _, t := range r.Pedals {
		row.Pedals[t.Letter] = t.Position
	}
	return row
}

var severities = map[proof.Severity]report.Severity{
	proof.Note: report.SeverityNote, proof.Warning: report.SeverityWarning, proof.Error: report.SeverityError,
}

// faultRow is a fault as the report tells it.
func (h *harp) faultRow(f *proof.Fault) report.CheckFault {
	p := h.part
	row := report.CheckFault{
		Kind: string(f.Kind), Severity: severities[f.Severity], Place: rows.Place(p, p.Places.Of(f.Moment)), Pass: p.Places.Pass(f.Moment),
		Staff: f.Staff, Text: f.Text, Remedy: f.Remedy, Planned: f.Planned,
	}
	if f.OfPedal {
		row.Pedal, row.Stands, row.Needed = f.Pedal.String(), &f.Stands, &f.Needed
	}
	for _, n := range f.Notes {
		if note := p.Note(n); note != nil && !slices.Contains(row.Concerned, staves.ID(note)) {
			row.Concerned = append(row.Concerned, staves.ID(note))
		}
		if name := p.Passage.Notes[n].Pitch.String(); !slices.Contains(row.Notes, name) {
			row.Notes = append(row.Notes, name)
		}
	}
	if f.Mark >= 0 {
		r := &h.readings[h.of[f.Mark]]
		at := rows.PlaceIn(p.Score, r.Measure, r.Onset)
		row.Mark = &at
	}
	return row
}

// strangers are the parts that play no harp and have pedal marks: a setting or a
// harp-pedals element, or changes at two places at least and no chord symbols that
// they could be.
func (c *score) strangers() []report.CheckPart {
	var rows []report.CheckPart
	for _, p := range c.read.Parts {
		if p.Harp {
			continue
		}
		var marks []part.Reading
		settings := 0
		for _, r := range part.Readings(p, nil) {
			switch {
			case r.Role == part.SettingMark || r.Text == "" && r.Role != part.NoMark:
				settings++
			case r.Role == part.NoMark:
				continue
			}
			marks = append(marks, r)
		}
		if settings == 0 && (len(marks) < 2 || len(p.Harmonies) > 0) {
			continue
		}
		row := report.CheckPart{ID: p.ID, Name: p.Name, Staves: p.Staves, Measures: len(p.Measures), Verdict: report.VerdictFaults}
		for i := range marks {
			row.Marks = append(row.Marks, markRow(c.read, &marks[i], marks[i].Staff))
		}
		first := row.Marks[0]
		row.Faults = []report.CheckFault{{
			Kind: string(proof.NotAHarp), Severity: report.SeverityWarning, Place: first.Place, Pass: 1, Staff: first.Staff, Mark: &first.Place,
			Text:   "Pedal marks stand in " + cmp.Or(p.Name, p.ID) + ", which nothing tells is played on the harp.",
			Remedy: "If it is a harp, say so with --part " + p.ID + "; else take the marks out.",
		}}
		rows = append(rows, row)
	}
	return rows
}
