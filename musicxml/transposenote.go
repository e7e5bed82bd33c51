package musicxml

import (
	"bytes"
	"strings"

	"pedalogue/musicxml/internal/insert"
	"pedalogue/musicxml/internal/xmltext"
)

// moveNote moves the pitch of a note, its accidental, and the accidentals of its
// ornaments.
func (t *transposer) moveNote(m *moved, e *xmltext.Element) {
	n := &m.part.Notes[m.note]
	t.release(n)
	now := m.by.Move(n.Pitch)
	pitch := e.Child("pitch")
	t.setText(pitch.Child("step"), string(now.Step))
	t.setAlter(pitch.Child("step"), pitch.Child("alter"), "alter", now.Alter)
	t.setText(pitch.Child("octave"), itoa(now.Octave))
	if now.Octave < 0 || now.Octave > 9 {
		t.leave(m, e, "a note moves beyond the octaves from 0 to 9, which are all that the format has")
	}
	t.moveSign(m, e, n, now)
	for c := e.First; c != nil; c = c.Next {
		if c.Name == "notations" {
			t.moveNotations(m, c, n)
		}
	}
}

// release takes out the comment that holds a note to a string: in another key another
// one may be better.
func (t *transposer) release(n *Note) {
	if n.String == 0 {
		return // most notes, and looking back through the text takes long
	}
	text := t.doc.Text[:n.Start]
	at := bytes.LastIndex(text, []byte(reductionMark+heldTo))
	if at < 0 {
		return
	}
	start := bytes.LastIndex(text[:at], []byte(openMark))
	length := bytes.Index(text[at:], []byte(closeMark))
	if start >= 0 && length >= 0 {
		t.out.Edits = append(t.out.Edits, Edit{Start: start, End: at + length + len(closeMark)})
	}
}

// moveSign gives a note the accidental that it needs after it has been moved.
func (t *transposer) moveSign(m *moved, e *xmltext.Element, n *Note, now Pitch) {
	a := e.Child("accidental")
	sign := accidentalFor(now.Alter)
	switch {
	case a == nil:
		if m.after && !m.before && !n.Hidden && sign != "" {
			t.insertSign(e, sign)
		}
	case m.before && !m.after:
		t.cut(a)
	case sign == "":
		t.leave(m, e, "an accidental does not move with the music: there is no sign for it")
	default:
		t.setText(a, sign)
	}
}

// accidentalFor is the accidental-value of an alteration, quarter tones and threes
// included; "" if there is none.
func accidentalFor(alter Frac) string {
	if name := signName(alter); name != "" {
		return name
	}
	for _, name := range []string{"quarter-flat", "quarter-sharp", "three-quarters-flat", "three-quarters-sharp", "triple-sharp", "triple-flat"} {
		if accidentals[name].Cmp(alter) == 0 {
			return name
		}
	}
	return ""
}

// moveNotations moves the accidentals of ornaments, which are those of the notes
// beside the printed one, and tells of fingers on strings.
func (t *transposer) moveNotations(m *moved, e *xmltext.Element, n *Note) {
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "accidental-mark":
			t.moveMark(m, c, n)
		case "ornaments":
			for o := c.First; o != nil; o = o.Next {
				if o.Name == "accidental-mark" {
					t.moveMark(m, o, n)
				}
			}
		case "technical":
			if c.Has("fret") || c.Has("string") {
				t.leave(m, c, "the string or fret of a note does not move with the music")
			}
		}
	}
}

// moveMark moves the accidental of the note a step above the printed one, or below.
func (t *transposer) moveMark(m *moved, e *xmltext.Element, n *Note) {
	alter, known := accidentals[e.Trimmed()]
	if !known {
		return
	}
	step := 1
	if e.Attr("placement") == "below" {
		step = -1
	}
	beside := Interval{Steps: step}.Move(n.Pitch)
	beside.Alter = alter
	if sign := accidentalFor(m.by.Move(beside).Alter); sign != "" {
		t.setText(e, sign)
	}
}

// setText writes another text into an element, unless that is there already.
func (t *transposer) setText(e *xmltext.Element, text string) {
	if e.Trimmed() != text {
		t.out.Edits = append(t.out.Edits, Edit{Start: e.Content, End: e.Close, New: text})
	}
}

// setAlter gives a step its alteration: it writes the element, puts it in behind the
// step, or takes it out.
func (t *transposer) setAlter(step, alter *xmltext.Element, name string, value Frac) {
	text, _ := value.Decimal()
	switch {
	case alter != nil && value.Sign() == 0:
		if f, ok := ParseDecimal(alter.Text); !ok || f.Sign() != 0 {
			t.cut(alter)
		}
	case alter != nil:
		if f, ok := ParseDecimal(alter.Text); !ok || f.Cmp(value) != 0 {
			t.setText(alter, text)
		}
	case value.Sign() != 0:
		gap := ""
		if step.Next != nil {
			if between := string(t.doc.Text[step.End:step.Next.Start]); xmltext.Blank(between) {
				gap = between
			}
		}
		t.out.Edits = append(t.out.Edits, Edit{Start: step.End, End: step.End, New: gap + t.element(step, name, text)})
	}
}

// element writes an element with the prefix of another.
func (t *transposer) element(like *xmltext.Element, name, text string) string {
	tag := xmltext.TagName(string(t.doc.Text[like.Start:like.Content]))
	name = tag[:strings.IndexByte(tag, ':')+1] + name
	return "<" + name + ">" + text + "</" + name + ">"
}

// cut takes an element out, with the white space before it.
func (t *transposer) cut(e *xmltext.Element) {
	start := e.Start
	for start > 0 && strings.IndexByte(" \t\r\n", t.doc.Text[start-1]) >= 0 {
		start--
	}
	t.out.Edits = append(t.out.Edits, Edit{Start: start, End: e.End})
}

// insertSign puts an accidental where it belongs among the children of a note.
func (t *transposer) insertSign(note *xmltext.Element, sign string) {
	at := signPlace(note)
	indent, own := insert.IndentAt(t.doc.Text, at)
	line := ""
	if own {
		line = "\n" + indent
	}
	t.out.Edits = append(t.out.Edits, Edit{Start: at, End: at, New: t.element(note, "accidental", sign) + line})
}
