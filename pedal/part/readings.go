package part

import (
	"cmp"
	"slices"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/spelling"
)

// A Role is what a text in a part says to a player's feet. The zero value is nothing.
type Role uint8

// The roles.
const (
	NoMark        Role = iota
	SettingMark        // all seven pedals
	ChangeMark         // some of them
	WarningMark        // changes that are made elsewhere and told ahead, as those before a repeat
	PreparingMark      // changes that are to be prepared for a need further on
)

// A Reading is a text or harp-pedals element of a part, and how it is read.
type Reading struct {
	Standing
	Role    Role
	Strings []spelling.Tuning // the strings that a text names for notes near it, "= D♭"; nil for none
}

// Readings lists all texts and harp-pedals elements of a part, in written order. What
// is read as one mark is one reading: texts of one direction, or the two lines of a
// setting in two. ours is nil if nothing is known of marks of this program.
func Readings(p *musicxml.Part, ours *Ours) []Reading {
	var list []Reading
	read := map[musicxml.DirectionPart]bool{}
	for _, m := range standingMarks(p, ours) {
		r := Reading{Standing: m, Role: ChangeMark}
		switch {
		case m.Full:
			r.Role = SettingMark
		case m.Prepared:
			r.Role = PreparingMark
		}
		for _, h := range m.Holders {
			h.Keep = ""
			read[h] = true
		}
		list = append(list, r)
	}
	for _, t := range textsOf(p, ours) {
		if read[t.Holders[0]] {
			continue
		}
		r := Reading{Standing: t.as(strings.Join(t.words, ""))}
		if r.Text == "" {
			continue // no text at all
		}
		if m, ok := spelling.ParseAhead(r.Text); ok {
			r.Marks, r.Role = m, WarningMark
		} else if m, ok := spelling.ParsePlayed(r.Text); ok {
			r.Strings, r.Onset = m.Pedals, namedAt(p, &r.Standing)
		}
		list = append(list, r)
	}
	slices.SortStableFunc(list, func(a, b Reading) int {
		return cmp.Or(a.Onset.Cmp(b.Onset), cmp.Compare(a.Holders[0].Start, b.Holders[0].Start))
	})
	return list
}

// namedAt is when the note begins whose string a text names: it may be printed a
// division after that.
func namedAt(p *musicxml.Part, text *Standing) musicxml.Frac {
	at := text.Onset
	_, notes := p.NotesOf(text.Measure)
	for i := range notes {
		switch n := &notes[i]; {
		case n.Onset == text.Onset:
			return n.Onset
		case n.Onset.Less(text.Onset) && text.Onset == n.Onset.Add(n.Division()):
			at = n.Onset
		}
	}
	return at
}

// Readings lists those of all parts of the player, in written order.
func (p *Part) Readings(ours *Ours) []Reading {
	var list []Reading
	for _, q := range p.Player.Parts {
		list = append(list, Readings(q, ours)...)
	}
	slices.SortStableFunc(list, func(a, b Reading) int { return a.Onset.Cmp(b.Onset) })
	return list
}

// Following are marks as they are followed, in the order of the readings, and the
// reading of each by its index: what sets pedals, each at its place. Of what stands at one
// place settings come first: a change beside one is newer.
func (p *Part) Following(list []Reading) (marks []Mark, of []int) {
	for i := range list {
		switch r := &list[i]; r.Role {
		case SettingMark, ChangeMark, PreparingMark:
			marks, of = append(marks, p.markOf(&r.Standing)), append(of, i)
		}
	}
	order := make([]int, len(marks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return marks[a].Compare(marks[b])
	})
	sorted, sortedOf := make([]Mark, len(marks)), make([]int, len(marks))
	for at, i := range order {
		sorted[at], sortedOf[at] = marks[i], of[i]
	}
	return sorted, sortedOf
}

// markOf is a standing mark at its place.
func (p *Part) markOf(m *Standing) Mark {
	mark := Mark{Place: p.placeOf(m), Full: m.Full, Prepared: m.Prepared, Pedals: make(map[pedal.Letter]pedal.Position, len(m.Pedals))}
	for _, t := range m.Pedals {
		mark.Pedals[t.Letter] = t.Position
	}
	return mark
}

// PlaceOf is the place of a mark: where it stands, or the next place in its measure at
// which something is played or a foot may move, or after them all.
func (p *Part) PlaceOf(m *Standing) Place { return p.placeOf(m) }
