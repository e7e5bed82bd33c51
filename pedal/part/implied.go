package part

import (
	"regexp"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/gliss"
)

// addImplied adds what is played without being written out to the passage.
func (b *builder) addImplied() {
	b.extra = map[noteOf][]struck{}
	staff := 0
	for _, p := range b.player.Parts {
		b.addOrnaments(p, staff)
		b.addTremolos(p)
		for _, g := range glissandiOf(p) {
			b.addGlissando(p, staff, g)
		}
		staff += p.Staves
	}
}

// noteImplied notes what is played without being written out, for the report of
// a plan that leaves it out.
func (b *builder) noteImplied() {
	leaveOut := func(at noteOf, by finding.Implication) {
		if by == finding.ByGlissando {
			b.glissandi = append(b.glissandi, at)
		}
		if s, ok := b.byNote[at]; ok {
			b.music.LeftOut = append(b.music.LeftOut, finding.LeftOut{Note: s.note, By: by})
		}
	}
	for _, p := range b.player.Parts {
		for i := range p.Notes {
			if n := &p.Notes[i]; p.HarpNote(n) && n.Signs != nil && len(n.Signs.Ornaments) > 0 {
				leaveOut(noteOf{p, i}, finding.ByOrnament)
			}
		}
		for _, t := range p.Tremolos {
			leaveOut(noteOf{p, t.From}, finding.ByTremolo)
		}
		for _, g := range glissandiOf(p) {
			leaveOut(noteOf{p, g.From}, finding.ByGlissando)
		}
	}
}

// addImpliedNote adds a note that is not written out, but that the written note at
// its place asks for.
func (b *builder) addImpliedNote(at noteOf, pitch pedal.Pitch, staff int, length musicxml.Frac) int {
	s := b.add(at, pitch, staff, length)
	b.passage.Notes[s.note].Implied = true
	if asking, ok := b.byNote[at]; ok {
		b.music.Signs[s.note].Of = asking.note + 1
	}
	b.extra[at] = append(b.extra[at], s)
	return s.note
}

// The neighbours that an ornament uses. Source: the signs as MusicXML 4.0
// describes them; a mordent with a stroke goes below, without one above.
var ornamentNeighbours = map[string]struct{ above, below bool }{
	"trill-mark": {true, false}, "shake": {true, false}, "inverted-mordent": {true, false},
	"mordent": {false, true},
	"turn":    {true, true}, "delayed-turn": {true, true}, "inverted-turn": {true, true}, "delayed-inverted-turn": {true, true},
	"vertical-turn": {true, true}, "inverted-vertical-turn": {true, true}, "haydn": {true, true},
}

// addOrnaments adds the neighbours of trills, turns, mordents and shakes.
func (b *builder) addOrnaments(p *musicxml.Part, staff int) {
	for i := range p.Notes {
		n := &p.Notes[i]
		if !p.HarpNote(n) || n.Signs == nil {
			continue
		}
		at := noteOf{p, i}
		for _, o := range n.Signs.Ornaments {
			use := ornamentNeighbours[o.Name]
			length := soundingLength(p, i)
			if use.above {
				above := b.addImpliedNote(at, PitchOf(neighbour(p, i, 1, o.Above)), staff+n.Staff, length)
				b.music.Signs[above].Ornament = true
			}
			if use.below {
				below := b.addImpliedNote(at, PitchOf(neighbour(p, i, -1, o.Below)), staff+n.Staff, length)
				b.music.Signs[below].Ornament = true
			}
		}
	}
}

const steps = "CDEFGAB"

// neighbour is the pitch a step above (1) or below (-1) a note: its alteration
// is the ornament's own sign, else what is in force.
func neighbour(p *musicxml.Part, i, direction int, own *musicxml.Frac) musicxml.Pitch {
	n := &p.Notes[i]
	place := stepIndex(n.Pitch.Step) + direction
	pitch := musicxml.Pitch{Step: steps[(place+7)%7], Octave: n.Pitch.Octave}
	switch {
	case place < 0:
		pitch.Octave--
	case place >= 7:
		pitch.Octave++
	}
	if own != nil {
		pitch.Alter = *own
		return pitch
	}
	pitch.Alter = inForce(p, n, pitch.Step, pitch.Octave)
	return pitch
}

func stepIndex(step byte) int {
	for i := range len(steps) {
		if steps[i] == step {
			return i
		}
	}
	return 0
}

// inForce is the alteration in force for a letter and octave at a note: that of
// the last such note before it on its staff in the measure, else the key
// signature's.
func inForce(p *musicxml.Part, n *musicxml.Note, step byte, octave int) musicxml.Frac {
	_, notes := p.NotesOf(n.Measure)
	var found *musicxml.Note
	for i := range notes {
		o := &notes[i]
		if o.Kind != musicxml.Sounding && o.Kind != musicxml.Grace || o.Pitch.Step != step || o.Pitch.Octave != octave ||
			o.Staff != n.Staff || n.Onset.Less(o.Onset) {
			continue
		}
		if found == nil || !o.Onset.Less(found.Onset) {
			found = o
		}
	}
	if found != nil {
		return found.Pitch.Alter
	}
	l, _ := pedal.ParseLetter(string(step))
	return musicxml.NewFrac(int64(keyInForce(p, n)[l]), 1)
}

// keyInForce is the setting of the key signature in force at a note.
func keyInForce(p *musicxml.Part, n *musicxml.Note) pedal.Setting {
	var key pedal.Setting
	for _, k := range p.Keys {
		if k.Staff != 0 && k.Staff != n.Staff {
			continue
		}
		if n.Onset.Less(k.Onset) {
			break
		}
		key = keySetting(k)
	}
	return key
}

// addTremolos makes both notes or chords of a two-note tremolo sound from the
// start of the first to the end of the second. Two spellings of one pitch are
// two strings.
func (b *builder) addTremolos(p *musicxml.Part) {
	for _, t := range p.Tremolos {
		length := p.Notes[t.To].Ends().Sub(p.Notes[t.From].Onset)
		firsts, seconds := chord(p, t.From), chord(p, t.To)
		at := noteOf{p, t.From}
		for _, i := range firsts {
			if s, ok := b.byNote[noteOf{p, i}]; ok {
				s.length = length
				b.byNote[noteOf{p, i}] = s
			}
		}
		for _, j := range seconds {
			s, ok := b.byNote[noteOf{p, j}]
			if !ok {
				continue
			}
			b.extra[at] = append(b.extra[at], struck{note: s.note, length: length})
			for _, i := range firsts {
				if first, ok := b.byNote[noteOf{p, i}]; ok && b.isPair(first.note, s.note) {
					b.passage.Notes[first.note].Fixed = true
					b.passage.Notes[s.note].Fixed = true
				}
			}
		}
	}
}

// isPair reports whether two notes are one pitch in two spellings.
func (b *builder) isPair(i, j int) bool {
	p, q := b.passage.Notes[i].Pitch, b.passage.Notes[j].Pitch
	return p.Letter != q.Letter && p.Height() == q.Height()
}

// chord lists the notes of the chord that a note without chord begins.
func chord(p *musicxml.Part, head int) []int {
	notes := []int{head}
	for i := head + 1; i < len(p.Notes) && p.Notes[i].Head == head; i++ {
		notes = append(notes, i)
	}
	return notes
}

var glissandoWord = regexp.MustCompile(`(?i)^\s*(harp )?gliss(\.|ando|andi)?(\s|$)`)

// glissandiOf lists the glissandi of a part: those drawn as lines, and those
// that only a word over a note asks for, up to the next note of its staff.
func glissandiOf(p *musicxml.Part) []musicxml.Glissando {
	var list []musicxml.Glissando
	drawn := map[int]bool{}
	for _, g := range p.Glissandi {
		if p.HarpNote(&p.Notes[g.From]) {
			list = append(list, g)
			drawn[p.Notes[g.From].Head] = true
		}
	}
	for _, d := range p.Directions {
		if !glissandoWord.MatchString(d.Words) {
			continue
		}
		from, to := -1, -1
		for i := range p.Notes {
			n := &p.Notes[i]
			if !p.HarpNote(n) || n.Tied || n.Staff != d.Staff || n.Onset.Less(d.Onset) {
				continue
			}
			if from < 0 || n.Onset.Less(p.Notes[from].Onset) {
				from, to = i, from
			} else if p.Notes[from].Onset.Less(n.Onset) && (to < 0 || n.Onset.Less(p.Notes[to].Onset)) {
				to = i
			}
		}
		if from >= 0 && to >= 0 && p.Notes[from].Onset == d.Onset && p.Notes[from].Onset.Less(p.Notes[to].Onset) && !drawn[p.Notes[from].Head] {
			list = append(list, musicxml.Glissando{From: from, To: to})
			drawn[p.Notes[from].Head] = true
		}
	}
	return list
}

// middleOctave is an octave in which every string of every harp has discs.
const middleOctave = 4

// addGlissando adds the seven strings that a glissando sweeps, from its start
// until its end note.
func (b *builder) addGlissando(p *musicxml.Part, staff int, g musicxml.Glissando) {
	from, to := &p.Notes[g.From], &p.Notes[g.To]
	sweep, chord := glissandoSetting(p, g, b.standing)
	at := noteOf{p, g.From}
	for l := range pedal.Letter(pedal.Letters) {
		pitch := pedal.Pitch{Letter: l, Cents: 100 * int(sweep.Setting[l]), Octave: middleOctave}
		note := b.addImpliedNote(at, pitch, staff+from.Staff, to.Onset.Sub(from.Onset))
		b.passage.Notes[note].Fixed = true
		sweep.Swept = append(sweep.Swept, note)
	}
	b.glissandi = append(b.glissandi, at)
	printed, struck := b.byNote[at]
	sweep.Note, sweep.Held = printed.note, !struck
	b.music.Glissandi = append(b.music.Glissandi, sweep)
	b.chords = append(b.chords, chord)
}

// glissandoSetting is the setting that a glissando sounds, and from where: a full
// setting that stands before it and that no note since has contradicted; else a chord
// or scale that words near it name; else the first octave, where it is written out;
// else the chord symbol where it begins; else the key signature, with the written
// alterations of its first and last note.
func glissandoSetting(p *musicxml.Part, g musicxml.Glissando, marks []Standing) (finding.Glissando, chordNear) {
	from := &p.Notes[g.From]
	key := keyInForce(p, from)
	var ends []pedal.Pitch
	for _, n := range []*musicxml.Note{&p.Notes[g.To], from} {
		if l, position, ok := positionOf(n.Pitch); ok {
			key[l] = position
			ends = append([]pedal.Pitch{PitchOf(n.Pitch)}, ends...)
		}
	}
	if s, ok := settingBefore(p, from, marks); ok {
		return finding.Glissando{Setting: s, Source: finding.FromSetting}, chordNear{key: key, ends: ends}
	}
	named := func(want []gliss.Name, said string, source finding.GlissandoSource) (finding.Glissando, chordNear) {
		c := chordNear{want: want, said: said, key: key, ends: ends}
		s, near := c.setting()
		return finding.Glissando{Setting: s, Source: source, Said: said, Near: near}, c
	}
	if want, said := wordsNear(p, from); want != nil {
		return named(want, said, finding.FromWords)
	}
	if s, ok := firstOctave(p, g.From); ok {
		return finding.Glissando{Setting: s, Source: finding.FromOctave}, chordNear{key: key, ends: ends}
	}
	if want, said := symbolAt(p, from); want != nil {
		return named(want, said, finding.FromSymbol)
	}
	return finding.Glissando{Setting: key, Source: finding.FromKey}, chordNear{key: key, ends: ends}
}

// positionOf is the pedal position of a written pitch; ok is false where its
// alteration is none.
func positionOf(p musicxml.Pitch) (l pedal.Letter, position pedal.Position, ok bool) {
	l, _ = pedal.ParseLetter(string(p.Step))
	n := p.Alter.Num()
	return l, pedal.Position(n), p.Alter.Den() == 1 && n >= -1 && n <= 1
}

// settingBefore is the last full setting among marks at or before a note, if
// no note in between, the note itself included, contradicts it.
func settingBefore(p *musicxml.Part, n *musicxml.Note, marks []Standing) (s pedal.Setting, ok bool) {
	var at musicxml.Frac
	for _, m := range marks {
		if m.Part == p && m.Full && !n.Onset.Less(m.Onset) {
			s, at, ok = m.Setting(), m.Onset, true
		}
	}
	if !ok {
		return s, false
	}
	for i := range p.Notes {
		o := &p.Notes[i]
		if !p.HarpNote(o) || o.Onset.Less(at) || n.Onset.Less(o.Onset) {
			continue
		}
		if l, position, plain := positionOf(o.Pitch); plain && s[l] != position {
			return s, false
		}
	}
	return s, true
}

// firstOctave is the setting that the notes up to and with the start of a
// glissando spell out: seven neighbouring letters in one direction.
func firstOctave(p *musicxml.Part, start int) (s pedal.Setting, ok bool) {
	var seen [pedal.Letters]bool
	count, direction := 0, 0
	last := -1
	for i := start; i >= 0 && count < pedal.Letters; i-- {
		n := &p.Notes[i]
		if n.Chord || n.Staff != p.Notes[start].Staff || n.Voice != p.Notes[start].Voice {
			continue
		}
		l, position, plain := positionOf(n.Pitch)
		if !p.HarpNote(n) || !plain || seen[l] {
			return s, false
		}
		place := 7*n.Pitch.Octave + stepIndex(n.Pitch.Step)
		if last >= 0 {
			if step := last - place; direction == 0 && (step == 1 || step == -1) {
				direction = step
			} else if step != direction {
				return s, false
			}
		}
		last = place
		seen[l], s[l] = true, position
		count++
	}
	return s, count == pedal.Letters
}
