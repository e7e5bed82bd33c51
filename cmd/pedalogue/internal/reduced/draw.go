package reduced

import (
	"context"

	"pedalogue/cmd/pedalogue/internal/staves"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// draw adds the music of the reductions to the rows, as it was and as the final copy
// has it.
func (j *job) draw(ctx context.Context, doc *musicxml.Document, score *musicxml.Score) (err error) {
	players := score.Players()
	for i, h := range j.harps {
		shown := map[int]bool{}
		for k := range h.row.Reductions {
			red := &h.row.Reductions[k]
			shown[red.Index] = true
			for _, op := range red.Ops {
				if op.Index != nil {
					shown[*op.Index] = true
				}
			}
			red.After = changed(players[i], score, red)
		}
		want := func(measure int) bool { return shown[measure] }
		if h.row.MusicBefore, err = staves.Of(ctx, j.doc, j.music, h.part.Player, want); err != nil {
			return err
		}
		if h.row.MusicAfter, err = staves.Of(ctx, doc, score, players[i], want); err != nil {
			return err
		}
	}
	return nil
}

// changed are the notes of the copy that are what operations have made of others, by
// their IDs.
func changed(player musicxml.Player, score *musicxml.Score, red *report.Reduction) (ids []int) {
	for _, op := range red.Ops {
		pitch, measure, offset := op.Note, red.Index, red.Offset
		if op.Index != nil {
			measure, offset = *op.Index, op.Offset
		}
		switch op.Op {
		case "leave-out":
			continue
		case "octave", "other-string":
			pitch = op.To
		}
		for _, p := range player.Parts {
			_, notes := p.NotesOf(measure)
			for k := range notes {
				n := &notes[k]
				if n.Onset.Sub(score.Measures[measure].Start).String() == offset && pitchText(n) == pitch && (n.Kind == musicxml.Grace) == (op.Grace || op.Op == "grace") {
					ids = append(ids, staves.ID(n))
				}
			}
		}
	}
	return ids
}
