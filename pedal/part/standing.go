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
	Ours    bool                     // between the comments of this program, edited or not
	Part    *musicxml.Part           // that it stands in
	Measure int                      // index into Score.Measures
	Onset   musicxml.Frac            // quarter notes from the start of the score as it is written
	Staff   int                      // of the part, from 1
	Text    string                   // as printed; "" for a harp-pedals element
	Rest    string                   // the other words of Text, which are no mark; "" for none
	Holders []musicxml.DirectionPart // what holds it, in written order; never empty
}

// StandingMarks lists the pedal marks of a part, in written order.
func StandingMarks(p *musicxml.Part) []Standing { return standingMarks(p, nil) }

// standingMarks is StandingMarks where some marks are known to be ours; ours is nil if
// nothing is known.
func standingMarks(p *musicxml.Part, ours *Ours) []Standing {
	list := settingMarks(p, ours)
	texts := textsOf(p, ours)
	german, beside := isGerman(texts), ours != nil && ours.Language == spelling.German
	for i := range texts {
		// Beside German marks of ours a lone B may still be a letter for rehearsals.
		if t := &texts[i]; !t.Ours && (german || beside && strings.TrimSpace(strings.Join(t.words, "")) != "B") {
			t.in = spelling.German
		}
	}
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
		if pieces := t.pieces(); len(pieces) > 0 {
			list = append(list, pieces...)
		} else if mark, ok := t.within(); ok {
			list = append(list, mark)
		}
	}
	slices.SortStableFunc(list, func(a, b Standing) int {
		return cmp.Or(a.Onset.Cmp(b.Onset), cmp.Compare(a.Holders[0].Start, b.Holders[0].Start))
	})
	return list
}

// Ours says which directions of a document stand between comments of this program, and
// in which language those are.
type Ours struct {
	Places   [][2]int // offsets of start and end in the text, in its order
	Language spelling.Language
}

// has tells whether a direction stands in one of the places.
func (o *Ours) has(start int) bool {
	if o == nil {
		return false
	}
	i, _ := slices.BinarySearchFunc(o.Places, start, func(p [2]int, at int) int { return cmp.Compare(p[1], at+1) })
	return i < len(o.Places) && o.Places[i][0] <= start
}

// isGerman tells whether the marks by others in a part are German: some can only be
// so, none only be in another language, and no other letter stands alone, as letters
// for rehearsals do. Then a bare B is B flat, and a name alone a change. A name that is
// also a word, such as "Es", is enough where it stands alone.
func isGerman(texts []printedText) bool {
	german := false
	for i := range texts {
		t := &texts[i]
		if t.Ours {
			continue
		}
		whole := strings.TrimSpace(strings.Join(t.words, ""))
		m, ok := spelling.Parse(whole)
		switch {
		case ok && m.Language == spelling.German, !ok && slices.Contains(loneNames, whole):
			german = true
		case ok && (m.Language != spelling.English || strings.Contains(strings.ToLower(whole), "flat") || strings.Contains(strings.ToLower(whole), "sharp")),
			slices.Contains([]string{"A", "C", "D", "E", "F", "G"}, whole):
			return false
		}
	}
	return german
}

// loneNames are the German names that are words too, but not where nothing stands
// beside them.
var loneNames = []string{"Es", "As", "Des", "Ces", "Dis", "Eis", "His"}

// settingMarks lists the harp-pedals elements of a part. Pedals that are named
// twice or are not in a notch are left out.
func settingMarks(p *musicxml.Part, ours *Ours) []Standing {
	var list []Standing
	nth, start := 0, -1
	for _, h := range p.Settings {
		if nth++; h.Start != start {
			nth, start = 0, h.Start
		}
		mark := Standing{Part: p, Measure: h.Measure, Onset: h.Onset, Staff: h.Staff, Ours: ours.has(h.Start),
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
	in    spelling.Language // that it is known to be in; English for none
}

// textsOf gathers the texts of each direction of a part.
func textsOf(p *musicxml.Part, ours *Ours) []printedText {
	var list []printedText
	for _, d := range p.Directions {
		if n := len(list); n > 0 && list[n-1].Holders[0].Start == d.Start {
			last := &list[n-1]
			last.words = append(last.words, d.Words)
			last.Holders = append(last.Holders, musicxml.DirectionPart{Start: d.Start, Nth: len(last.Holders)})
			continue
		}
		t := printedText{
			Standing: Standing{Part: p, Measure: d.Measure, Onset: d.Onset, Staff: d.Staff, Holders: []musicxml.DirectionPart{{Start: d.Start}}},
			words:    []string{d.Words},
		}
		if t.Ours = ours.has(d.Start); t.Ours {
			t.in = ours.Language
		}
		list = append(list, t)
	}
	return list
}

// whole reads all texts of a direction as one mark: a sign is often a text of
// its own, in another font.
func (t *printedText) whole() (Standing, bool) {
	for _, between := range []string{"", " "} {
		text := strings.Join(t.words, between)
		mark := t.as(text)
		var ok bool
		if mark.Marks, ok = spelling.ParseIn(text, t.in); ok {
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

// within reads a mark that stands among other words, which stay where it goes.
func (t *printedText) within() (Standing, bool) {
	for i, word := range t.words {
		if mark, ok := t.withinWords(word, t.Holders[i:i+1]); ok {
			return mark, true
		}
	}
	return t.withinWords(strings.Join(t.words, ""), t.Holders)
}

func (t *printedText) withinWords(text string, holders []musicxml.DirectionPart) (mark Standing, ok bool) {
	mark = t.as(text)
	if mark.Marks, mark.Rest, ok = spelling.ParseWithin(text, t.in); !ok {
		return Standing{}, false
	}
	mark.Holders = slices.Clone(holders)
	mark.Holders[0].Keep = mark.Rest
	return mark, true
}

func (t *printedText) read(text string) (mark Standing, ok bool) {
	mark = t.as(text)
	mark.Marks, ok = spelling.Parse(text)
	return mark, ok
}

// as is the text as one that says something else.
func (t *printedText) as(text string) Standing {
	mark := t.Standing
	mark.Text = strings.TrimSpace(text)
	return mark
}

// StandingMarksBeside lists those that are not ours; ours is nil for none.
func StandingMarksBeside(p *musicxml.Part, ours *Ours) []Standing {
	return slices.DeleteFunc(standingMarks(p, ours), func(m Standing) bool { return m.Ours })
}

// standingIn lists the marks in a player's parts that are not ours, in written order.
func standingIn(player musicxml.Player, ours *Ours) []Standing {
	var list []Standing
	for _, p := range player.Parts {
		list = append(list, StandingMarksBeside(p, ours)...)
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
		list[i] = p.markOf(&p.Standing[i])
	}
	return list
}

// placeOf is the place of a mark. Against grace notes at its time the order of the
// file decides.
func (p *Part) placeOf(m *Standing) Place {
	offset := m.Onset.Sub(p.Score.Measures[m.Measure].Start)
	moments := p.written[m.Measure].moments
	for at, w := range moments {
		switch {
		case w.offset.Less(offset):
		case w.offset == offset && w.grace.part != nil && (w.grace.part != m.Part || w.grace.note().Start < m.Holders[0].Start):
		default:
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
