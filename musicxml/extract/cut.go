package extract

import (
	"slices"

	"pedalogue/musicxml"
)

// cut takes the other parts out, and the groups of the part-list in which none is left.
func (l *layout) cut(player []*musicxml.Part) []musicxml.Edit {
	var edits []musicxml.Edit
	drop := func(s span) { edits = append(edits, musicxml.Edit{Start: s.start, End: s.end}) }
	for p, pieces := range l.pieces {
		if p != player[0] {
			for _, s := range pieces {
				drop(s)
			}
		}
	}
	for i := range l.list {
		if e := &l.list[i]; e.isPart() && e.part != player[0] {
			drop(e.span)
		}
	}
	for i := range l.list {
		if !l.list[i].isPart() && !l.list[i].stop {
			l.cutGroup(i, player, drop)
		}
	}
	return edits
}

func (e *entry) isPart() bool { return e.number == "" }

// cutGroup takes out a group that begins with an entry of the part-list and has none of
// the player's parts, or nothing but those that become one.
func (l *layout) cutGroup(i int, player []*musicxml.Part, drop func(span)) {
	own, others := 0, 0
	for j := i + 1; j < len(l.list); j++ {
		e := &l.list[j]
		switch {
		case e.isPart():
			if slices.Contains(player, e.part) {
				if len(player) == 1 {
					return
				}
				own++
			} else {
				others++
			}
		case e.number == l.list[i].number && own > 0 && (own < len(player) || others > 0 || !e.stop):
			return
		case e.number == l.list[i].number:
			if e.stop {
				drop(e.span)
			}
			drop(l.list[i].span)
			return
		}
	}
	if own == 0 {
		drop(l.list[i].span)
	}
}
