package musicxml

import (
	"bytes"
	"context"
	"strings"

	"pedalogue/musicxml/internal/insert"
	"pedalogue/musicxml/internal/xmltext"
)

// reductionMark is what tells comments around reductions from others.
const reductionMark = ` of="reduction"`

// heldTo begins the letter in the comment before a note that is held to a string.
const heldTo = ` string="`

// A NoteAt is a note of a part.
type NoteAt struct {
	Part *Part
	Note int // index into Part.Notes
}

// A Hold is a note and the letter of the string on which it is to be played, 'A' to 'G'.
type Hold struct {
	NoteAt
	String byte
}

// Hold returns the insertions that hold notes to strings: a comment of ours before
// each, that is read as Note.String. Like notes that are left out they stay when marks
// are made anew; [Document.Strip] takes them out.
func (s *Score) Hold(list []Hold) []Edit {
	var edits []Edit
	for _, h := range list {
		at := h.Part.Notes[h.Note].begin()
		edits = append(edits, Edit{Start: at, End: at, New: holding(h.String)})
	}
	return edits
}

// holding is the comment before a note that is held to a string.
func holding(letter byte) string {
	return openMark + reductionMark + heldTo + string(letter) + `" sum="` + textSum("") + `"-->` + closeMark
}

// LeaveOut returns the edits that mark notes, and what goes on from them by ties, as
// left out: each stands in parentheses and small between comments of ours, and is read
// as silent from then on. [Document.Strip] brings the notes back. A note that the
// document does not hold where it was read is an error, as is a context that has ended.
func (s *Score) LeaveOut(ctx context.Context, doc *Document, notes []NoteAt) ([]Edit, error) {
	out := map[int]bool{}
	var starts []int
	for _, at := range notes {
		for i := at.Note; i >= 0 && !out[at.Part.Notes[i].Start]; i = at.Part.Notes[i].TiedTo {
			start := at.Part.Notes[i].Start
			out[start] = true
			starts = append(starts, start)
		}
	}
	elements, err := doc.elements(ctx, starts)
	if err != nil {
		return nil, err
	}
	var edits []Edit
	for _, start := range starts {
		e := elements[start]
		edits = append(edits, doc.Replacing(e.Start, e.End, s.inParentheses(doc, e)))
	}
	return ofReduction(edits), nil
}

// ReductionTexts returns the insertions of marks that tell what is done to notes. Like
// notes that are left out they stay when marks are made anew. Errors are those of
// [Score.Edits].
func (s *Score) ReductionTexts(ctx context.Context, doc *Document, marks []Mark) ([]Edit, error) {
	edits, err := s.Edits(ctx, doc, marks)
	return ofReduction(edits), err
}

func ofReduction(edits []Edit) []Edit {
	for i := range edits {
		edits[i].New = strings.Replace(edits[i].New, openMark+" ", openMark+reductionMark+" ", 1)
	}
	return edits
}

// beforeNotehead are the children of a note that stand before its notehead.
// Source: MusicXML 4.0, note.
var beforeNotehead = map[string]bool{"accidental": true, "time-modification": true, "stem": true}

// inParentheses is a note with a small head in parentheses.
func (s *Score) inParentheses(doc *Document, note *xmltext.Element) string {
	var edits []Edit
	head := s.Prefix + "notehead"
	at := note.Close
	for c := note.First; c != nil; c = c.Next {
		switch {
		case c.Name == "type" && c.Attr("size") == "":
			edits = append(edits, Edit{Start: c.Content - 1, End: c.Content - 1, New: ` size="cue"`})
		case c.Name == "notehead":
			text := c.Trimmed()
			if text == "" {
				text = "normal"
			}
			edits = append(edits, Edit{Start: c.Start, End: c.End, New: "<" + head + ` parentheses="yes">` + text + "</" + head + ">"})
			at = -1
		case at == note.Close && !beforeSign[c.Name] && !beforeNotehead[c.Name] && c.Name != "":
			at = c.Start
		}
	}
	if at >= 0 {
		line := ""
		if indent, own := insert.IndentAt(doc.Text, at); own {
			line = "\n" + indent
		}
		edits = append(edits, Edit{Start: at, End: at, New: "<" + head + ` parentheses="yes">normal</` + head + ">" + line})
	}
	var b strings.Builder
	from := note.Start
	for _, e := range edits {
		b.Write(doc.Text[from:e.Start])
		b.WriteString(e.New)
		from = e.End
	}
	b.Write(doc.Text[from:note.End])
	return b.String()
}

// reductions are what comments of ours say of notes, by the offsets of those.
type reductions struct {
	leftOut map[int]int  // the offset of the comment before one that is left out
	held    map[int]byte // the letter of the string
}

// reductions finds the notes of a document that are left out or held to a string.
func (d *Document) reductions(ctx context.Context) (found reductions, err error) {
	if !bytes.Contains(d.Text, []byte(openMark)) || !bytes.Contains(d.Text, []byte(reductionMark)) {
		return found, nil
	}
	found = reductions{map[int]int{}, map[int]byte{}}
	type comment struct {
		start     int
		reduction bool
	}
	var open []comment
	var letter byte // for the next note
	for t, err := range xmltext.Tokens(ctx, d.Text) {
		if err != nil {
			return found, d.placed(err)
		}
		switch t.Kind {
		case xmltext.Comment:
			text := string(d.Text[t.Start+len("<!--") : t.End-len("-->")])
			if rest, begins := strings.CutPrefix(text, beginComment); begins {
				o, ok := parseOpening(rest)
				open = append(open, comment{t.Start, ok && o.reduction})
				if ok && o.reduction && o.letter != 0 {
					letter = o.letter
				}
			} else if text == endComment && len(open) > 0 {
				open = open[:len(open)-1]
			}
		case xmltext.StartTag:
			_, name := xmltext.SplitName(t.Name)
			if name != "note" {
				continue
			}
			if len(open) > 0 && open[len(open)-1].reduction {
				found.leftOut[t.Start] = open[len(open)-1].start
			}
			if letter != 0 {
				found.held[t.Start] = letter
			}
			letter = 0
		case xmltext.EndTag:
			if _, name := xmltext.SplitName(t.Name); name == "measure" {
				letter = 0 // its note is gone
			}
		}
	}
	return found, nil
}
