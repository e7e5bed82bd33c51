package part

import (
	"slices"

	"pedalogue/pedal/keys"
)

// Moved returns the part moved to another key. Notes, glissandi and the key
// signature move by the interval; pedal marks by others cannot, and are not in it.
// It shares with the original what neither changes, and can be planned, but its
// notes stand in the score where the original's do: it gives no marks. A shift that
// moves nothing returns the part itself.
func (p *Part) Moved(s keys.Shift) *Part {
	if s.Original() {
		return p
	}
	moved := *p
	moved.Passage = s.Passage(p.Passage)
	moved.Passage.Moments = slices.Clone(p.Passage.Moments)
	moved.Standing = nil
	moved.Glissandi = slices.Clone(p.Glissandi)
	for i := range moved.Glissandi {
		moved.Glissandi[i].Setting = s.Setting(moved.Glissandi[i].Setting)
	}
	return &moved
}

// Fifths is the first key signature of the player: sharps, or flats where negative;
// 0 where there is none, or one of single signs.
func (p *Part) Fifths() int {
	for _, q := range p.Player.Parts {
		if len(q.Keys) > 0 {
			return q.Keys[0].Fifths
		}
	}
	return 0
}

// RespeltSections counts the later key signatures of the player that a copy in
// another key has to spell otherwise, since they would have more than seven signs.
func (p *Part) RespeltSections(s keys.Shift) int {
	const most = 7
	count, by := 0, s.Fifths-p.Fifths()
	for _, q := range p.Player.Parts {
		for i, k := range q.Keys {
			if f := k.Fifths + by; i > 0 && k.Steps == nil && (f > most || f < -most) && k.Staff <= 1 {
				count++
			}
		}
		if len(q.Keys) > 0 {
			break
		}
	}
	return count
}
