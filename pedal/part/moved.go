package part

import (
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/gliss"
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
		p.moveGlissando(i, s, &moved)
	}
	return &moved
}

// moveGlissando sets a glissando of the moved part: as its chord is set there, or if
// it was set otherwise, as the setting moves; where a pedal has no such position, as
// near to that as can be.
func (p *Part) moveGlissando(i int, s keys.Shift, moved *Part) {
	g := &moved.Glissandi[i]
	chord := p.chords[i].moved(s)
	if chord.want == nil {
		g.Setting = s.Setting(g.Setting)
		settable := true
		for _, note := range g.Swept {
			cents := moved.Passage.Notes[note].Pitch.Cents
			settable = settable && cents >= -100 && cents <= 100
		}
		if settable {
			return
		}
		var sounds []gliss.Name
		for l, position := range p.Glissandi[i].Setting {
			sounds = append(sounds, gliss.Name{Letter: pedal.Letter(l), Alter: int(position)})
		}
		chord.want = movedNames(sounds, s)
	}
	g.Setting, g.Near = chord.setting()
	for l, note := range g.Swept {
		moved.Passage.Notes[note].Pitch = pedal.Pitch{Letter: pedal.Letter(l), Cents: 100 * int(g.Setting[l]), Octave: middleOctave}
	}
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
