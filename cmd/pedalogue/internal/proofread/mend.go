package proofread

import (
	"context"
	"maps"
	"slices"

	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/musicxml"
	"pedalogue/pedal/part"
	"pedalogue/pedal/proof"
	"pedalogue/pedal/spelling"
	"pedalogue/report"
)

// mend mends the marks of a harp and returns the edits that write it into the score,
// each alteration as a row. What is left is what the harp is judged by then.
func (c *score) mend(ctx context.Context, h *harp) ([]musicxml.Edit, error) {
	mended := proof.Mend(h.task, h.intended)
	m := mending{score: c, harp: h, style: h.style(c)}
	kept := map[int]bool{}
	for i, of := range mended.Of {
		now := &mended.Marks[i]
		if of < 0 {
			m.add(now)
			continue
		}
		kept[of] = true
		was := &h.task.Marks[of]
		switch {
		case !maps.Equal(was.Pedals, now.Pedals):
			m.replace(of, now, "write")
		case was.Place != now.Place:
			m.replace(of, now, "move")
		}
	}
	for of := range h.task.Marks {
		if !kept[of] {
			m.strike(of)
		}
	}
	slices.SortStableFunc(m.rows, func(a, b report.Alteration) int { return a.Index - b.Index })
	h.alterations = append([]report.Alteration{}, m.rows...)
	added, err := c.read.Edits(ctx, c.doc, m.marks)
	if err != nil {
		return nil, err
	}
	removed, err := c.read.Remove(ctx, c.doc, m.holders)
	return append(added, removed...), err
}

// A mending gathers what mending does to the score.
type mending struct {
	*score
	*harp
	style   part.Style
	marks   []musicxml.Mark
	holders []musicxml.DirectionPart
	rows    []report.Alteration
}

// row is an alteration at a place.
func (m *mending) row(do string, place report.Place, staff int, was, text string) {
	m.rows = append(m.rows, report.Alteration{Place: place, Staff: staff, Do: do, Was: was, Text: text})
}

func (m *mending) add(now *part.Mark) {
	d := m.part.Direction(now, m.style, false)
	m.marks = append(m.marks, d)
	m.row("add", rows.Place(m.part, now.Place), d.Staff, "", shown(now))
}

func (m *mending) replace(of int, now *part.Mark, do string) {
	r := m.reading(of)
	d := m.part.Direction(now, m.style, r.Text == "")
	if !now.Full { // where it stood: above or below is a matter of its staff
		d.Part, d.Staff = r.Part, min(r.Staff, r.Part.Staves)
	}
	m.marks = append(m.marks, d)
	m.holders = append(m.holders, r.Holders...)
	m.row(do, rows.Place(m.part, now.Place), m.part.StaffOf(&r.Standing), shown(&m.task.Marks[of]), shown(now))
}

func (m *mending) strike(of int) {
	r := m.reading(of)
	m.holders = append(m.holders, r.Holders...)
	m.row("strike", rows.Place(m.part, m.task.Marks[of].Place), m.part.StaffOf(&r.Standing), shown(&m.task.Marks[of]), "")
}

// reading is how a mark stands in the score.
func (m *mending) reading(of int) *part.Reading { return &m.readings[m.of[of]] }

// shown writes a mark in one line.
func shown(m *part.Mark) string {
	if m.Full {
		return m.Setting().String()
	}
	var words []byte
	for _, t := range tuningsOf(m) {
		if len(words) > 0 {
			words = append(words, ' ')
		}
		words = append(words, t.String()...)
	}
	return string(words)
}

func tuningsOf(m *part.Mark) (list []spelling.Tuning) {
	for _, l := range slices.Sorted(maps.Keys(m.Pedals)) {
		list = append(list, spelling.Tuning{Letter: l, Position: m.Pedals[l]})
	}
	return list
}

// style is how marks are written into a part: as ours were, else in the language of
// those by others, with signs that can be read in any.
func (h *harp) style(c *score) part.Style {
	if c.stampOK {
		return c.stamped.Wants.Style
	}
	for i := range h.readings {
		if r := &h.readings[i]; r.Role != part.NoMark && r.Text != "" && r.Language == spelling.French {
			return part.Style{Language: spelling.French}
		}
	}
	return part.Style{}
}
