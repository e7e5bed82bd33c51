package musicxml

import (
	"strings"

	"pedalogue/musicxml/internal/insert"
	"pedalogue/musicxml/internal/xmltext"
)

// put puts text in at a place between the children of an element, on a line of its own
// where those stand so.
func (v *reviser) put(at int, text string) {
	line := ""
	if indent, own := insert.IndentAt(v.doc.Text, at); own {
		line = "\n" + indent
	}
	v.edits = append(v.edits, Edit{Start: at, End: at, New: text + line})
}

// cut takes an element out, with the white space before it.
func (v *reviser) cut(e *xmltext.Element) {
	start := e.Start
	for start > 0 && strings.IndexByte(" \t\r\n", v.doc.Text[start-1]) >= 0 {
		start--
	}
	v.edits = append(v.edits, Edit{Start: start, End: e.End})
}

func (v *reviser) setText(e *xmltext.Element, text string) {
	if e.Trimmed() != text && e.Content <= e.Close {
		v.edits = append(v.edits, Edit{Start: e.Content, End: e.Close, New: text})
	}
}

func (v *reviser) tag(name, text string) string {
	name = v.score.Prefix + name
	return "<" + name + ">" + text + "</" + name + ">"
}

func (v *reviser) empty(name, attrs string) string { return "<" + v.score.Prefix + name + attrs + "/>" }

// setPitch writes another pitch.
func (v *reviser) setPitch(e *xmltext.Element, to Pitch) {
	v.edits = append(v.edits, Edit{Start: e.Start, End: e.End, New: v.pitchText(to)})
}

func (v *reviser) pitchText(to Pitch) string {
	text := v.tag("step", string(to.Step))
	if to.Alter.Sign() != 0 {
		alter, _ := to.Alter.Decimal()
		text += v.tag("alter", alter)
	}
	return v.tag("pitch", text+v.tag("octave", itoa(to.Octave)))
}

// sign gives an element the accidental of that name, or takes it away.
func (v *reviser) sign(e *xmltext.Element, name string) {
	is := e.Child("accidental")
	switch {
	case is == nil && name != "":
		v.put(signPlace(e), v.tag("accidental", name))
	case is == nil:
	case name == "":
		v.cut(is)
	case is.Trimmed() != name:
		v.edits = append(v.edits, Edit{Start: is.Start, End: is.End, New: v.tag("accidental", name)})
	}
}

// copySign gives the head of a chord the accidental of the note that comes into its
// place.
func (v *reviser) copySign(e, own *xmltext.Element) {
	text := ""
	if a := own.Child("accidental"); a != nil {
		text = string(v.doc.Text[a.Start:a.End])
	}
	switch is := e.Child("accidental"); {
	case is == nil && text != "":
		v.put(signPlace(e), text)
	case is == nil:
	case text == "":
		v.cut(is)
	default:
		v.edits = append(v.edits, Edit{Start: is.Start, End: is.End, New: text})
	}
}

// ties gives an element the ties of a note, without those that start where they are
// not to.
func (v *reviser) ties(e, own *xmltext.Element, starts bool) {
	wanted := func(t *xmltext.Element) bool { return starts || t.Attr("type") != "start" }
	var ties, tied []string
	for t := own.First; t != nil; t = t.Next {
		if t.Name == "tie" && wanted(t) {
			ties = append(ties, string(v.doc.Text[t.Start:t.End]))
		}
		if t.Name != "notations" {
			continue
		}
		for c := t.First; c != nil; c = c.Next {
			if c.Name == "tied" && wanted(c) {
				tied = append(tied, string(v.doc.Text[c.Start:c.End]))
			}
		}
	}
	var notations *xmltext.Element
	after := 0 // where ties stand
	for t := e.First; t != nil; t = t.Next {
		switch t.Name {
		case "tie":
			v.cut(t)
		case "duration", "pitch", "chord", "grace", "cue":
			after = t.End
		case "notations":
			if notations == nil {
				notations = t
			}
			v.untie(t, len(tied) == 0)
		}
	}
	if len(ties) > 0 {
		v.edits = append(v.edits, Edit{Start: after, End: after, New: strings.Join(ties, "")})
	}
	switch text := strings.Join(tied, ""); {
	case text == "":
	case notations == nil:
		v.put(notationsPlace(e), v.tag("notations", text))
	case notations.Content > notations.Close:
		v.edits = append(v.edits, Edit{Start: notations.Start, End: notations.End, New: v.tag("notations", text)})
	default:
		v.edits = append(v.edits, Edit{Start: notations.Content, End: notations.Content, New: text})
	}
}

// untie takes the ties out of notations, and those themselves if nothing else is in
// them.
func (v *reviser) untie(e *xmltext.Element, whole bool) {
	for c := e.First; c != nil; c = c.Next {
		whole = whole && c.Name == "tied"
	}
	if whole && e.First != nil {
		v.cut(e)
		return
	}
	for c := e.First; c != nil; c = c.Next {
		if c.Name == "tied" {
			v.cut(c)
		}
	}
}

// afterNotations are the children of a note that stand behind its notations.
// Source: MusicXML 4.0, note.
var afterNotations = map[string]bool{"lyric": true, "play": true, "listen": true}

func notationsPlace(note *xmltext.Element) int {
	for c := note.First; c != nil; c = c.Next {
		if afterNotations[c.Name] {
			return c.Start
		}
	}
	return note.Close
}

// roll gives a note an arpeggio sign.
func (v *reviser) roll(e *xmltext.Element) {
	sign := v.empty("arpeggiate", "")
	for c := e.First; c != nil; c = c.Next {
		if c.Name != "notations" {
			continue
		}
		if c.Has("arpeggiate") {
			return
		}
		if c.Close > c.Content {
			v.edits = append(v.edits, Edit{Start: c.Close, End: c.Close, New: sign})
			return
		}
	}
	v.put(notationsPlace(e), v.tag("notations", sign))
}

// onNotesOnly are children of a note that a rest has not.
var onNotesOnly = map[string]bool{"tie": true, "accidental": true, "stem": true, "notehead": true, "notehead-text": true}

// onRestsToo are notations that stay at a rest, as something else belongs to them or
// they are for all that sounds then.
var onRestsToo = map[string]bool{"tuplet": true, "slur": true, "fermata": true, "dynamics": true, "footnote": true, "level": true}

// rest makes a rest of a note.
func (v *reviser) rest(e *xmltext.Element) {
	for c := e.First; c != nil; c = c.Next {
		switch {
		case c.Name == "pitch":
			v.edits = append(v.edits, Edit{Start: c.Start, End: c.End, New: v.empty("rest", "")})
		case onNotesOnly[c.Name]:
			v.cut(c)
		case c.Name == "notations":
			v.restNotations(c)
		}
	}
}

func (v *reviser) restNotations(e *xmltext.Element) {
	some := false
	for c := e.First; c != nil; c = c.Next {
		some = some || onRestsToo[c.Name]
	}
	if !some {
		v.cut(e)
		return
	}
	for c := e.First; c != nil; c = c.Next {
		if !onRestsToo[c.Name] {
			v.cut(c)
		}
	}
}

// grace puts a note as a grace note before the head of its chord.
func (v *reviser) grace(head, i int) {
	n, own := &v.part.Notes[i], v.element(i)
	text := v.empty("grace", ` slash="yes"`) + v.pitchText(v.pitch(i))
	if n.Voice != "" {
		text += v.tag("voice", own.ChildText("voice"))
	}
	text += v.tag("type", "eighth")
	if a := own.Child("accidental"); a != nil {
		text += string(v.doc.Text[a.Start:a.End])
	}
	if own.Has("staff") {
		text += v.tag("staff", itoa(n.Staff))
	}
	v.put(v.part.Notes[head].Start, v.tag("note", text))
}

// unbeam takes the beams from the grace notes around one that goes.
func (v *reviser) unbeam(head int) {
	p := v.part
	same := func(i int) bool {
		return i >= 0 && i < len(p.Notes) && p.Notes[i].Kind == Grace && p.Notes[i].Voice == p.Notes[head].Voice && p.Notes[i].Onset.Cmp(p.Notes[head].Onset) == 0
	}
	if !v.element(head).Has("beam") {
		return
	}
	from, to := head, head
	for same(from - 1) {
		from--
	}
	for same(to + 1) {
		to++
	}
	for i := from; i <= to; i++ {
		if v.out[i] || v.unbeamed[i] {
			continue
		}
		v.unbeamed[i] = true
		for c := v.element(i).First; c != nil; c = c.Next {
			if c.Name == "beam" {
				v.cut(c)
			}
		}
	}
}
