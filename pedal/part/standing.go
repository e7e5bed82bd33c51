package part

import (
	"cmp"
	"slices"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/spelling"
)

// A Standing mark is a pedal mark that stands in a score: a setting or changes, as
// texts or as a harp-pedals element.
type Standing struct {
	spelling.Marks
	Part    *musicxml.Part           // that it stands in
	Measure int                      // index into Score.Measures
	Onset   musicxml.Frac            // quarter notes from the start of the score as it is written
	Staff   int                      // of the part, from 1
	Text    string                   // as printed; "" for a harp-pedals element
	Holders []musicxml.DirectionPart // what holds it, in written order; never empty
}

// StandingMarks lists the pedal marks of a part, in written order.
func StandingMarks(p *musicxml.Part) []Standing {
	list := settingMarks(p)
	texts := textsOf(p)
	for i := 0; i < len(texts); i++ {
		t := texts[i]
		switch mark, ok := t.whole(); {
		case ok:
			list = append(list, mark)
			continue
		case i+1 < len(texts) && texts[i+1].Measure == t.Measure && texts[i+1].Onset == t.Onset:
			// The two lines of a setting may be two directions.
			if mark, ok := t.with(texts[i+1]); ok {
				list = append(list, mark)
				i++
				continue
			}
		}
		list = append(list, t.pieces()...)
	}
	slices.SortStableFunc(list, func(a, b Standing) int {
		return cmp.Or(a.Onset.Cmp(b.Onset), cmp.Compare(a.Holders[0].Start, b.Holders[0].Start))
	})
	return list
}

// settingMarks lists the harp-pedals elements of a part. Pedals that are named
// twice or are not in a notch are left out.
func settingMarks(p *musicxml.Part) []Standing {
	var list []Standing
	nth, start := 0, -1
	for _, h := range p.Settings {
		if nth++; h.Start != start {
			nth, start = 0, h.Start
		}
		mark := Standing{Part: p, Measure: h.Measure, Onset: h.Onset, Staff: h.Staff,
			Holders: []musicxml.DirectionPart{{Start: h.Start, Pedals: true, Nth: nth}}}
		for _, t := range h.Tunings {
			if l, position, ok := positionOf(musicxml.Pitch{Step: t.Step, Alter: t.Alter}); ok {
				mark.Pedals = append(mark.Pedals, spelling.Tuning{Letter: l, Position: position})
			}
		}
		mark.Full = len(mark.Pedals) == pedal.Letters
		if len(mark.Pedals) > 0 {
			list = append(list, mark)
		}
	}
	return list
}

// A printedText is the texts of one direction.
type printedText struct {
	Standing
	words []string
}

// textsOf gathers the texts of each direction of a part.
func textsOf(p *musicxml.Part) []printedText {
	var list []printedText
	for _, d := range p.Directions {
		if n := len(list); n > 0 && list[n-1].Holders[0].Start == d.Start {
			last := &list[n-1]
			last.words = append(last.words, d.Words)
			last.Holders = append(last.Holders, musicxml.DirectionPart{Start: d.Start, Nth: len(last.Holders)})
			continue
		}
		list = append(list, printedText{
			Standing: Standing{Part: p, Measure: d.Measure, Onset: d.Onset, Staff: d.Staff, Holders: []musicxml.DirectionPart{{Start: d.Start}}},
			words:    []string{d.Words},
		})
	}
	return list
}

// whole reads all texts of a direction as one mark: a sign is often a text of
// its own, in another font.
func (t *printedText) whole() (Standing, bool) {
	for _, between := range []string{"", " "} {
		if mark, ok := t.read(strings.Join(t.words, between)); ok {
			return mark, true
		}
	}
	return Standing{}, false
}

// with reads two directions as the two lines of one mark.
func (t *printedText) with(next printedText) (Standing, bool) {
	mark, ok := t.read(strings.Join(t.words, "") + "\n" + strings.Join(next.words, ""))
	mark.Holders = slices.Concat(t.Holders, next.Holders)
	return mark, ok && mark.Full
}

// pieces reads each text of a direction for itself.
func (t *printedText) pieces() []Standing {
	var list []Standing
	for i, word := range t.words {
		if mark, ok := t.read(word); ok {
			mark.Holders = t.Holders[i : i+1]
			list = append(list, mark)
		}
	}
	return list
}

func (t *printedText) read(text string) (Standing, bool) {
	marks, ok := spelling.Parse(text)
	mark := t.Standing
	mark.Text, mark.Marks = strings.TrimSpace(text), marks
	return mark, ok
}

// standingIn lists the marks in a player's parts, in written order.
func standingIn(player musicxml.Player) []Standing {
	var list []Standing
	for _, p := range player.Parts {
		list = append(list, StandingMarks(p)...)
	}
	slices.SortStableFunc(list, func(a, c Standing) int { return a.Onset.Cmp(c.Onset) })
	return list
}

// A Contradiction is a note that an existing mark does not fit.
type Contradiction struct {
	Tuning spelling.Tuning // as the mark has it
	Note   *musicxml.Note  // of the part
}

// Contradictions compares the marks of a part, which are all in written order,
// with the notes that follow each of them until the next: for each pedal that
// the mark names, the first note of its letter that wants another position. A
// note that another pedal of the mark sounds is none.
func Contradictions(p *musicxml.Part, marks []Standing) [][]Contradiction {
	all := make([][]Contradiction, len(marks))
	for i := range p.Notes {
		n := &p.Notes[i]
		if !p.HarpNote(n) || n.Tied {
			continue
		}
		// The last mark at or before the note.
		at, found := slices.BinarySearchFunc(marks, n.Onset, func(m Standing, onset musicxml.Frac) int { return m.Onset.Cmp(onset) })
		for found && at < len(marks) && marks[at].Onset == n.Onset {
			at++
		}
		if at == 0 {
			continue
		}
		at--
		if t, ok := marks[at].contradicts(n.Pitch); ok &&
			!slices.ContainsFunc(all[at], func(c Contradiction) bool { return c.Tuning == t }) {
			all[at] = append(all[at], Contradiction{t, n})
		}
	}
	for _, list := range all {
		slices.SortStableFunc(list, func(a, b Contradiction) int { return a.Note.Onset.Cmp(b.Note.Onset) })
	}
	return all
}

// contradicts reports whether a mark names the pedal of a pitch in another
// position, and none that sounds it.
func (m *Standing) contradicts(pitch musicxml.Pitch) (spelling.Tuning, bool) {
	l, position, ok := positionOf(pitch)
	if !ok {
		return spelling.Tuning{}, false
	}
	height := l.Semitones() + int(position)
	var wrong spelling.Tuning
	against := false
	for _, t := range m.Pedals {
		switch {
		case (t.Letter.Semitones()+int(t.Position)-height)%12 == 0:
			return spelling.Tuning{}, false
		case t.Letter == l:
			wrong, against = t, true
		}
	}
	return wrong, against
}

// Others are the marks that stand in the score as they are followed, in the order
// of Standing: each at its place, or at the next one in its measure where something
// is played or a foot may move, or after them all.
func (p *Part) Others() []Mark {
	list := make([]Mark, len(p.Standing))
	for i := range p.Standing {
		m := &p.Standing[i]
		list[i] = Mark{Place: p.placeOf(m), Full: m.Full, Pedals: make(map[pedal.Letter]pedal.Position, len(m.Pedals))}
		for _, t := range m.Pedals {
			list[i].Pedals[t.Letter] = t.Position
		}
	}
	return list
}

// placeOf is the place of a mark.
func (p *Part) placeOf(m *Standing) Place {
	offset := m.Onset.Sub(p.Score.Measures[m.Measure].Start)
	moments := p.written[m.Measure].moments
	for at, w := range moments {
		if !w.offset.Less(offset) {
			return Place{m.Measure, at}
		}
	}
	return Place{m.Measure, len(moments)}
}

// momentsOf lists the moments, one for each pass, at which a mark must hold.
func (p *Part) momentsOf(m *Standing) []int { return p.Places.Playings(p.placeOf(m)) }

// StaffOf is the staff of a mark, counted over all parts of the player, from 1.
func (p *Part) StaffOf(m *Standing) int {
	staff := m.Staff
	for _, q := range p.Player.Parts {
		if q == m.Part {
			break
		}
		staff += q.Staves
	}
	return staff
}
