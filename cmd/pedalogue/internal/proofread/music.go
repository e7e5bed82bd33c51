package proofread

import (
	"context"
	"slices"
	"strings"

	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/staves"
	"pedalogue/pedal/part"
	"pedalogue/report"
)

// most is how many measures apart a mark and the note that it concerns are drawn together.
const most = 2

// draw makes the music ready to be drawn, as far as marks move pedals in it or faults are
// in it, with the marks as they are printed: those that faults are about stand out.
func (c *score) draw(ctx context.Context, h *harp, row *report.CheckPart) error {
	shown := map[int]bool{}
	for _, change := range row.Changes {
		shown[change.Marked.Index] = true
	}
	for i := range row.Faults {
		f := &row.Faults[i]
		shown[f.Index] = true
		if f.Mark == nil || f.Planned {
			continue
		}
		shown[f.Mark.Index] = true
		for k := f.Mark.Index; k < f.Index && f.Index-f.Mark.Index <= most; k++ {
			f.Beside, shown[k] = append(f.Beside, k), true
		}
		for k := f.Index + 1; k <= f.Mark.Index && f.Mark.Index-f.Index <= most; k++ {
			f.Beside, shown[k] = append(f.Beside, k), true
		}
	}
	music, err := staves.Of(ctx, c.doc, c.read, h.part.Player, func(measure int) bool { return shown[measure] })
	if err != nil {
		return err
	}
	wrong := map[int]report.Severity{} // readings
	for i := range h.found.Faults {
		if f := &h.found.Faults[i]; f.Mark >= 0 && !f.Planned {
			r := h.of[f.Mark]
			wrong[r] = slices.MinFunc([]report.Severity{severities[f.Severity], wrong[r]}, graver)
		}
	}
	for i := range h.readings {
		r := &h.readings[i]
		measure := music.Measures[r.Measure]
		if r.Role == part.NoMark || r.Text == "" || measure == nil {
			continue
		}
		offset := r.Onset.Sub(h.part.Score.Measures[r.Measure].Start)
		rows.AsPedals(measure, offset, h.part.StaffOf(&r.Standing), strings.TrimSpace(r.Text), string(wrong[i]))
	}
	row.Music = music
	return nil
}

// graver orders severities, the gravest first and none last.
func graver(a, b report.Severity) int {
	list := []report.Severity{report.SeverityError, report.SeverityWarning, report.SeverityNote, ""}
	return slices.Index(list, a) - slices.Index(list, b)
}
