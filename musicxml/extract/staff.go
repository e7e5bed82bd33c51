package extract

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"pedalogue/musicxml"
	"pedalogue/musicxml/internal/xmltext"
)

// A staffWriter makes a part of one staff a staff of another part: what it has stays,
// but says which staff it is on, and its voices and lines get names of their own.
type staffWriter struct {
	*joiner
	other  *musicxml.Part
	staff  int
	voices map[string]string // how a voice is called now
	lifted map[string]int    // how far the numbers of lines go up
	edits  map[int][]musicxml.Edit
	err    error
}

// child changes a child of a measure.
func (s *staffWriter) child(k int, e *xmltext.Element) {
	var list []musicxml.Edit
	switch e.Name {
	case "barline", "print":
		// The barlines of all parts are those of the first one by now.
		list = append(list, cutWith(s.doc.Text, e))
	case "attributes":
		list = s.attributes(k, e)
	case "note":
		list = append(s.place(e), s.lines(e)...)
		if in := e.Child("instrument"); in != nil {
			list = append(list, cutWith(s.doc.Text, in))
		}
	case "direction":
		list = append(s.place(e), s.lines(e)...)
	case "harmony", "figured-bass":
		list = s.place(e)
	case "forward":
		if v := e.Child("voice"); v != nil {
			list = append(list, musicxml.Edit{Start: v.Content, End: v.Close, New: s.voice(v.Trimmed())})
		}
	}
	slices.SortStableFunc(list, func(a, b musicxml.Edit) int { return cmp.Compare(a.Start, b.Start) })
	s.edits[k] = append(s.edits[k], list...)
}

// cutWith takes an element out with the white space before it.
func cutWith(text []byte, e *xmltext.Element) musicxml.Edit {
	start := e.Start
	for start > 0 && (text[start-1] == ' ' || text[start-1] == '\t' || text[start-1] == '\n' || text[start-1] == '\r') {
		start--
	}
	return musicxml.Edit{Start: start, End: e.End}
}

// attributes leaves divisions, clefs and what else is the staff's own. What stands at
// the head of the measure goes to that of the first staff.
func (s *staffWriter) attributes(k int, e *xmltext.Element) []musicxml.Edit {
	var list []musicxml.Edit
	atHead, left := e.End <= s.other.Measures[k].Head, 0
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "clef", "key", "staff-details", "measure-style":
			if c.Name == "key" && !s.keep {
				break
			}
			edits := s.onStaff(c)
			if atHead {
				s.heads[k] = append(s.heads[k], ofStaff{c.Name, edited(s.doc.Text, c.Start, c.End, edits)})
				break
			}
			list = append(list, edits...)
			left++
			continue
		case "divisions":
			if !atHead {
				left++
				continue
			}
		}
		list = append(list, cutWith(s.doc.Text, c))
	}
	if left == 0 {
		return []musicxml.Edit{cutWith(s.doc.Text, e)}
	}
	return list
}

var numberAttribute = onWish(`\snumber\s*=\s*(?:"([^"]*)"|'([^']*)')`)

// onStaff gives an element the number of the staff.
func (s *staffWriter) onStaff(e *xmltext.Element) []musicxml.Edit { return s.number(e, s.staff) }

// number gives an element a number, in the place of the one that it has.
func (s *staffWriter) number(e *xmltext.Element, n int) []musicxml.Edit {
	if list := s.numbered(e, n); list != nil {
		return list
	}
	m := numberAttribute().FindIndex(s.doc.Text[e.Start:e.Content])
	return []musicxml.Edit{{Start: e.Start + m[0], End: e.Start + m[1], New: attribute("number", itoa(n))}}
}

// place says on which staff and in which voice something is.
func (s *staffWriter) place(e *xmltext.Element) []musicxml.Edit {
	var list []musicxml.Edit
	put := func(name, text string, after []string) {
		c := e.Child(name)
		if c != nil {
			list = append(list, musicxml.Edit{Start: c.Content, End: c.Close, New: text})
			return
		}
		at := childPlace(e, after)
		name = s.score.Prefix + name
		list = append(list, musicxml.Edit{Start: at, End: at, New: "<" + name + ">" + text + "</" + name + ">"})
	}
	if e.Name == "note" || e.Has("voice") {
		put("voice", s.voice(e.ChildText("voice")), afterVoice)
	}
	put("staff", itoa(s.staff), afterStaff)
	return list
}

// voice is how a voice is called on its new staff: by a number that no other staff has,
// from 5 on for the second, as is common. What names none is in the first.
func (s *staffWriter) voice(was string) string {
	was = cmp.Or(was, "1")
	if now, known := s.voices[was]; known {
		return now
	}
	for v := 4*(s.staff-1) + 1; ; v++ {
		now := strconv.Itoa(v)
		if !slices.Contains(s.joiner.voices, now) {
			s.voices[was] = now
			s.joiner.voices = append(s.joiner.voices, now)
			return now
		}
	}
}

// lines gives lines numbers that those of the other staves do not have.
func (s *staffWriter) lines(e *xmltext.Element) []musicxml.Edit {
	var list []musicxml.Edit
	e.Walk(func(c *xmltext.Element) {
		up := s.lifted[c.Name]
		if !slices.Contains(lineElements, c.Name) || up == 0 || c.Name == "tied" && c.Attr("number") == "" {
			return
		}
		n := level(c) + up
		if n > highestLevel && s.err == nil {
			s.err = &musicxml.Error{File: s.doc.Name, Part: s.part.ID, Line: xmltext.Line(s.doc.Text, c.Start),
				Err: fmt.Errorf("one part cannot be made of the harp's: there are more than %d lines of the kind <%s>", highestLevel, c.Name)}
		}
		s.levels[c.Name] = max(s.levels[c.Name], n)
		list = append(list, s.number(c, n)...)
	})
	return list
}
