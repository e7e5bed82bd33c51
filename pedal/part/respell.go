package part

import (
	"cmp"
	"slices"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/spelling"
)

// isRespelt reports whether a written note of the passage is played on another
// letter's string.
func (b *Part) isRespelt(plan *pedal.Plan, note int) bool {
	n, s := b.Passage.Notes[note], plan.Strings[note]
	return !n.Implied && s.OK && s.Letter != n.Pitch.Letter
}

// A noteName is a note as a player reads it on a staff, "C♯", in whatever octave: a
// pedal moves the strings of all of them.
type noteName struct {
	part  *musicxml.Part
	staff int
	step  byte
	alter musicxml.Frac
}

// A lastPlayed is how notes of a name were played last.
type lastPlayed struct {
	letter  pedal.Letter
	measure int
	told    int // the measure in which its string was named last; -1 for none
}

// againAfter is how many measures a named string is remembered.
const againAfter = 8

// tellsAgain reports whether the string of a note is to be named in a measure: it
// was played otherwise in between, has not come for a measure, was named so many
// measures ago that it is forgotten, or stands on another system by now.
func (b *Part) tellsAgain(before lastPlayed, letter pedal.Letter, measure int) bool {
	if before.letter != letter || before.told < 0 || measure-before.measure > 1 || measure-before.told >= againAfter {
		return true
	}
	return slices.ContainsFunc(b.Score.Measures[before.told+1:max(measure+1, before.told+1)], func(m musicxml.Measure) bool { return m.NewSystem || m.NewPage })
}

// respeltTexts are the texts above the notes that are played on another string,
// where tell says so of a note of the passage. They are in italics and with an equals
// sign, so that nobody takes them for a change of pedals. A text stands once for a
// run, in whatever octaves it goes on; see tellsAgain.
//
// Common practice; a player reads one spelling and plays another only with
// effort [HLP-BERG].
func (b *Part) respeltTexts(plan *pedal.Plan, language spelling.Language, tell func(note int) bool) []musicxml.Mark {
	var list []musicxml.Mark
	last := map[noteName]lastPlayed{}
	shown := map[chordAt][]int{}
	var order []chordAt
	for _, i := range b.inWrittenOrder() {
		at, n := b.notes[i], b.notes[i].note()
		s := plan.Strings[i]
		if !s.OK {
			continue
		}
		name := noteName{at.part, n.Staff, n.Pitch.Step, n.Pitch.Alter}
		before, known := last[name]
		now := lastPlayed{s.Letter, n.Measure, -1}
		switch {
		case !b.isRespelt(plan, i) || !tell(i):
			last[name] = now
			continue
		case known && !b.tellsAgain(before, s.Letter, n.Measure):
			now.told = before.told
			last[name] = now
			continue
		}
		now.told = n.Measure
		last[name] = now
		c := chordAt{part: at.part, measure: n.Measure, onset: n.Onset, staff: n.Staff, grace: -1}
		if n.Kind == musicxml.Grace {
			c.grace = n.Head
		}
		if shown[c] == nil {
			order = append(order, c)
		}
		shown[c] = append(shown[c], i)
	}
	for _, c := range order {
		list = append(list, musicxml.Mark{
			Part: c.part, Measure: c.measure, Offset: c.onset.Sub(b.Score.Measures[c.measure].Start), Before: c.grace,
			Staff: c.staff, Placement: "above", Words: language.Played(b.strings(plan, shown[c])), Small: true, Italic: true,
		})
	}
	return list
}

// A chordAt is the notes of one staff that begin together.
type chordAt struct {
	part           *musicxml.Part
	measure, staff int
	onset          musicxml.Frac
	grace          int // the grace note that begins them; -1 if they are none
}

// strings lists the strings that play notes, from the lowest up.
func (b *Part) strings(plan *pedal.Plan, notes []int) []pedal.String {
	slices.SortStableFunc(notes, func(i, j int) int {
		return cmp.Compare(b.Passage.Notes[i].Pitch.Height(), b.Passage.Notes[j].Pitch.Height())
	})
	list := make([]pedal.String, len(notes))
	for j, i := range notes {
		list[j] = plan.Strings[i]
	}
	return list
}

// inWrittenOrder lists the written notes of the passage by their place in the
// score.
func (b *Part) inWrittenOrder() []int {
	var list []int
	for i, n := range b.Passage.Notes {
		if !n.Implied {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(i, j int) int { return b.notes[i].note().Onset.Cmp(b.notes[j].note().Onset) })
	return list
}

// rewritten lists the respelt notes that can be rewritten in the score, by their
// index in the passage.
func (b *Part) rewritten(plan *pedal.Plan) map[int]musicxml.Respelling {
	list := map[int]musicxml.Respelling{}
	for i := range b.Passage.Notes {
		if b.isRespelt(plan, i) {
			at, s := b.notes[i], plan.Strings[i]
			list[i] = musicxml.Respelling{Part: at.part, Note: at.index, Pitch: musicxml.Pitch{
				Step: s.Letter.String()[0], Alter: musicxml.NewFrac(int64(s.Position), 1), Octave: s.Octave,
			}}
		}
	}
	kept, lines := b.ornamented()
	for first := true; first || len(kept) > 0; first = false {
		// A name that stays somewhere stays in its whole measure: it would flicker.
		more := map[nameIn]bool{}
		for i, to := range list {
			names := b.namesOf(i)
			if slices.ContainsFunc(names, func(n nameIn) bool { return kept[n] || lines[n.line()] || lines[n.as(to.Pitch).line()] }) {
				delete(list, i)
				for _, n := range names {
					more[n] = true
				}
			}
		}
		kept = more
	}
	return list
}

// A nameIn is a line or space of a staff, with its sign, in one measure.
type nameIn struct {
	part           *musicxml.Part
	measure, staff int
	pitch          musicxml.Pitch
}

func nameAt(p *musicxml.Part, n *musicxml.Note) nameIn {
	return nameIn{p, n.Measure, n.Staff, n.Pitch}
}

// line is the line or space alone.
func (n nameIn) line() nameIn {
	n.pitch.Alter = musicxml.Frac{}
	return n
}

func (n nameIn) as(pitch musicxml.Pitch) nameIn {
	n.pitch = pitch
	return n
}

// namesOf are the names of a note of the passage where it is printed: in each measure
// into which it is tied.
func (b *Part) namesOf(note int) []nameIn {
	var list []nameIn
	at := b.notes[note]
	for j := at.index; j >= 0; j = at.part.Notes[j].TiedTo {
		list = append(list, nameAt(at.part, &at.part.Notes[j]))
	}
	return list
}

// ornamented lists what is left as it is for the sake of an ornament: the names of the
// notes that have it, whose neighbours lie on the next letters, and the lines of the
// neighbours, whose accidental in force is theirs.
func (b *Part) ornamented() (names, lines map[nameIn]bool) {
	names, lines = map[nameIn]bool{}, map[nameIn]bool{}
	for _, p := range b.Player.Parts {
		for i := range p.Notes {
			n := &p.Notes[i]
			if n.Signs == nil {
				continue
			}
			for _, o := range n.Signs.Ornaments {
				use, at := ornamentNeighbours[o.Name], nameAt(p, n)
				if !use.above && !use.below {
					continue
				}
				names[at] = true
				if use.above && o.Above == nil {
					lines[at.as(neighbour(p, i, 1, nil)).line()] = true
				}
				if use.below && o.Below == nil {
					lines[at.as(neighbour(p, i, -1, nil)).line()] = true
				}
			}
		}
	}
	return names, lines
}
