// Package reduced is a score reduced for the harp: what is done about what cannot be
// played.
package reduced

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/staves"
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
	RollPrice int   // as of reduce.Options
	Apply     Apply // what the copy is
	Keep      []part.Keep
	Hands     bool // write at notes which hand takes them, where it is not that of their staff
}

// Apply says what is written. The zero value writes no copy.
type Apply uint8

// What a copy can be.
const (
	NoCopy Apply = iota
	Marked       // the notes stay, those that are left out marked and silent
	Final        // the music is changed
)

// A harp is one part as it is reduced.
type harp struct {
	part   *part.Part
	result *reduce.Result
	row    *report.ReducePart
	before []report.Finding

	first, final *part.Planned // the score as it was, and its final copy
}

// A job is one score in hand.
type job struct {
	score work.Score
	set   options.Settings // those of its plans
	want  Wishes
	doc   *musicxml.Document
	music *musicxml.Score
	harps []*harp
}

// Of reduces all harps of a score, and makes the copy.
func Of(ctx context.Context, s work.Score, set options.Settings, want Wishes) (*work.Made, error) {
	doc, score, err := opening.Music(ctx, s.Path, s.Data, set.Read)
	if err != nil {
		return nil, err
	}
	r := &Report{Reduce: report.Reduce{Head: rows.Head(s.Path, score), Warnings: rows.Warnings(score.Warnings)}}
	set.Wants.Plan.Only, set.Wants.Untried = true, true // findings are but counted
	j := &job{score: s, set: set, want: want, doc: doc, music: score}
	m := &work.Made{Report: r}
	if err := j.run(ctx, m); err != nil {
		return nil, opening.Named(s.Path, err)
	}
	for _, h := range j.harps {
		r.Parts = append(r.Parts, *h.row)
	}
	return m, nil
}

// run reduces the harps, looks at them in the final copy, and makes that which is
// wanted.
func (j *job) run(ctx context.Context, m *work.Made) error {
	for _, player := range j.music.Players() {
		h, err := j.reduce(ctx, player)
		if err != nil {
			return err
		}
		j.harps = append(j.harps, h)
	}
	edits, err := j.final(ctx)
	if err != nil {
		return err
	}
	doc, score, err := j.reread(ctx, edits)
	if err != nil {
		return err
	}
	if err := j.after(ctx, score); err != nil {
		return err
	}
	if j.score.Page {
		if err := j.draw(ctx, doc, score); err != nil {
			return err
		}
	}
	switch j.want.Apply {
	case NoCopy:
		return nil
	case Marked:
		if edits, err = j.told(ctx); err != nil {
			return err
		}
		if doc, score, err = j.reread(ctx, edits); err != nil {
			return err
		}
	}
	if j.want.Hands {
		if edits, doc, score, err = j.withHands(ctx, edits, doc, score); err != nil {
			return err
		}
	}
	m.Document = j.doc
	m.Edits, err = j.marked(ctx, edits, doc, score)
	return err
}

// reduce reduces one harp.
func (j *job) reduce(ctx context.Context, player musicxml.Player) (*harp, error) {
	done, before, err := j.plan(ctx, j.music, player)
	if err != nil {
		return nil, err
	}
	h := &harp{part: done.Part, first: done, before: before.Findings, row: &report.ReducePart{
		ID: player.ID(), Name: player.Name, Options: before.Options, Before: grave(before.Findings), CostBefore: before.Cost,
	}}
	o := reduce.Options{Judge: j.set.Wants.Judge(), RollPrice: j.want.RollPrice, First: done.Plan, Shorter: h.shorter}
	if err := h.keep(j.want.Keep, &o); err != nil {
		return nil, err
	}
	h.result, err = reduce.Music(ctx, &h.part.Music, o)
	if err != nil {
		return nil, err
	}
	h.addReductions()
	return h, nil
}

// plan plans one harp as a score has it, and judges the plan.
func (j *job) plan(ctx context.Context, score *musicxml.Score, player musicxml.Player) (*part.Planned, report.Part, error) {
	p, err := part.New(score, player, j.set.Wants.Part)
	if err != nil {
		return nil, report.Part{}, err
	}
	done, err := p.Plan(ctx, j.set.Wants.Plan)
	if err != nil {
		return nil, report.Part{}, err
	}
	row, err := rows.Part(ctx, done, nil, &j.set.Wants)
	return done, row, err
}

// final are the edits that change the music.
func (j *job) final(ctx context.Context) ([]musicxml.Edit, error) {
	var list []musicxml.Revision
	for _, h := range j.harps {
		list = append(list, h.revisions()...)
	}
	return j.music.Revise(ctx, j.doc, list)
}

// told are the edits that mark the notes which are left out, and tell of what else is
// done.
func (j *job) told(ctx context.Context) ([]musicxml.Edit, error) {
	var out []musicxml.NoteAt
	var texts []musicxml.Mark
	var holds []musicxml.Hold
	for _, h := range j.harps {
		for _, op := range h.result.Ops {
			if q, i := h.part.At(op.Note); op.Do == revise.LeaveOut {
				out = append(out, musicxml.NoteAt{Part: q, Note: i})
			}
		}
		texts = append(texts, h.texts()...)
		holds = append(holds, h.holds()...)
	}
	edits, err := j.music.LeaveOut(ctx, j.doc, out)
	if err != nil {
		return nil, err
	}
	more, err := j.music.ReductionTexts(ctx, j.doc, texts)
	return slices.Concat(more, j.music.Hold(holds), edits), err
}

// reread reads the document with edits made; without any it is the one in hand.
func (j *job) reread(ctx context.Context, edits []musicxml.Edit) (*musicxml.Document, *musicxml.Score, error) {
	if len(edits) == 0 {
		return j.doc, j.music, nil
	}
	return opening.Edited(ctx, j.doc, edits, j.set.Read)
}

// after plans and judges the final copy.
func (j *job) after(ctx context.Context, score *musicxml.Score) error {
	players := score.Players()
	if len(players) != len(j.harps) {
		return fmt.Errorf("internal error: the reduced score has %d harps, and the original %d", len(players), len(j.harps))
	}
	for i, h := range j.harps {
		if score == j.music { // nothing is changed
			h.row.After, h.row.CostAfter = h.row.Before, h.row.CostBefore
			h.prove(h.before)
			h.final = h.first
			continue
		}
		done, row, err := j.plan(ctx, score, players[i])
		if err != nil {
			return err
		}
		h.row.After, h.row.CostAfter = grave(row.Findings), row.Cost
		h.prove(row.Findings)
		h.final = done
	}
	return nil
}

// marked are the edits of the copy with its pedals: edits, and in what comes of them
// the marks.
func (j *job) marked(ctx context.Context, edits []musicxml.Edit, doc *musicxml.Document, score *musicxml.Score) ([]musicxml.Edit, error) {
	s := j.score
	s.Page = false
	made, err := planned.Of(ctx, s, doc, score, j.set)
	if err != nil {
		return nil, err
	}
	return j.doc.Compose(edits, made.Edits), nil
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
		row := report.Reduction{Place: h.place(red.Moment), Beat: h.beat(red.Moment), For: kinds(red.For), Loses: losesOf(red.Loss), Why: red.Why,
			Heuristic: red.Heuristic, Text: h.sentence(red)}
		for _, op := range red.Ops {
			row.Before = append(row.Before, staves.ID(h.part.Note(op.Note)))
			row.Ops = append(row.Ops, h.op(op, row.Place))
		}
		h.row.Reductions = append(h.row.Reductions, row)
	}
	for _, u := range h.result.Unsolved {
		row := report.Unsolved{Place: h.place(u.Moment), Beat: h.beat(u.Moment), For: kinds(u.For), Text: u.Text}
		if !slices.ContainsFunc(h.row.Unsolved, func(o report.Unsolved) bool { return o.Place == row.Place && slices.Equal(o.For, row.For) }) {
			h.row.Unsolved = append(h.row.Unsolved, row) // once, however often it is played
		}
	}
}

// mostPlaces is up to how many places a sentence tells what is done at each.
const mostPlaces = 4

// sentence says what a reduction does, with the place of what is not at its own: "Leave out
// C5; measure 3, beat 2: leave out D5."
func (h *harp) sentence(red *reduce.Reduction) string {
	byPlace := map[report.Place][]revise.Op{}
	beats := map[report.Place]string{}
	var order []report.Place
	for _, op := range red.Ops {
		at := h.placeOf(op)
		if byPlace[at] == nil {
			order = append(order, at)
		}
		byPlace[at], beats[at] = append(byPlace[at], op), part.CountedBeat(h.part.Score.Measures[at.Index].Beat).String()
	}
	if len(order) < 2 || len(order) > mostPlaces {
		return h.words(red.Ops)
	}
	slices.SortFunc(order, comparePlaces)
	var parts []string
	for i, at := range order {
		text := strings.TrimSuffix(h.words(byPlace[at]), ".")
		if i > 0 {
			text = report.Where(at, beats[at]) + ": " + strings.ToLower(text[:1]) + text[1:]
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "; ") + "."
}

// placeOf is the place of an operation's note as it is written.
func (h *harp) placeOf(op revise.Op) report.Place {
	n := h.part.Note(op.Note)
	m := h.part.Score.Measures[n.Measure]
	return report.Place{Measure: m.Number, Index: n.Measure, Offset: n.Onset.Sub(m.Start).String()}
}

// place is the place of a moment as reports write it.
func (h *harp) place(moment int) report.Place {
	return rows.Place(h.part, h.part.Places.Of(moment))
}

// beat is what is counted at a moment, in quarter notes.
func (h *harp) beat(moment int) string {
	return part.CountedBeat(h.part.Score.Measures[h.part.Places.Of(moment).Measure].Beat).String()
}

// op writes down one operation of a reduction at a place.
func (h *harp) op(op revise.Op, at report.Place) report.ReduceOp {
	n, note := h.part.Passage.Notes[op.Note], h.part.Note(op.Note)
	row := report.ReduceOp{Op: op.Do.String(), Staff: n.Staff, Note: n.Pitch.String(), Grace: note.Kind == musicxml.Grace}
	if own := h.placeOf(op); own.Index != at.Index || own.Offset != at.Offset {
		row.Index, row.Offset = &own.Index, own.Offset
	}
	switch op.Do {
	case revise.Octave:
		to := n.Pitch
		to.Octave += op.Octaves
		row.To = to.String()
	case revise.OtherString:
		to, _ := n.Pitch.As(op.Letter)
		row.To = to.String()
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
