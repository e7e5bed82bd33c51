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
		if !slices.Contains(player, p) {
			for _, s := range pieces {
				drop(s)
			}
		}
	}
	for i := range l.list {
		if e := &l.list[i]; e.isPart() && !slices.Contains(player, e.part) {
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
// the player's parts.
func (l *layout) cutGroup(i int, player []*musicxml.Part, drop func(span)) {
	for j := i + 1; j < len(l.list); j++ {
		e := &l.list[j]
		switch {
		case e.isPart():
			if slices.Contains(player, e.part) {
				return
			}
		case e.number == l.list[i].number:
			if e.stop {
				drop(e.span)
			}
			drop(l.list[i].span)
			return
		}
	}
	drop(l.list[i].span)
}
