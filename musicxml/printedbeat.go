package musicxml

import "pedalogue/musicxml/internal/xmltext"

// beats are the notes of a metronome mark: a beat, which may be of several notes tied
// together, before its number; two of them; or two groups of notes.
func beats(e *xmltext.Element) (list []PrintedBeat) {
	for c := e.First; c != nil; c = c.Next {
		var last *PrintedBeat
		if n := len(list); n > 0 {
			last = &list[n-1]
		}
		switch c.Name {
		case "beat-unit":
			if last != nil {
				last.Equal = true
			}
			list = append(list, PrintedBeat{Type: c.Trimmed()})
		case "beat-unit-dot":
			if last != nil {
				last.Dots++
			}
		case "beat-unit-tied":
			if last != nil {
				last.Tied = true
			}
			list = append(list, beats(c)...)
		case "metronome-note":
			list = append(list, beatOfGroup(c))
		case "metronome-relation":
			if last != nil {
				last.Equal = true
			}
		}
	}
	return list
}

// beatOfGroup reads a note of a group.
func beatOfGroup(e *xmltext.Element) (b PrintedBeat) {
	b.Type = e.ChildText("metronome-type")
	for c := e.First; c != nil; c = c.Next {
		starts := c.Attr("type") == "start"
		switch c.Name {
		case "metronome-dot":
			b.Dots++
		case "metronome-tied":
			b.Tied = b.Tied || starts
		case "metronome-tuplet":
			if b.Ends = b.Ends || !starts; starts {
				b.Tuplet = shownNumber(c)
			}
		}
	}
	return b
}

// shownNumber is what stands over the notes of a tuplet: the number of them, which stands
// here even where it should not, since without it the mark would say something else.
func shownNumber(e *xmltext.Element) string {
	if e.Attr("show-number") == "both" {
		return e.ChildText("actual-notes") + ":" + e.ChildText("normal-notes")
	}
	return e.ChildText("actual-notes")
}
