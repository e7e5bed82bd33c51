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

// A NoteAt is a note of a part.
type NoteAt struct {
	Part *Part
	Note int // index into Part.Notes
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

// reductions are the notes of a document that are left out, by their offsets, with those
// of the comments before them.
func (d *Document) reductions(ctx context.Context) (map[int]int, error) {
	if !bytes.Contains(d.Text, []byte(openMark)) || !bytes.Contains(d.Text, []byte(reductionMark)) {
		return nil, nil
	}
	notes := map[int]int{}
	type comment struct {
		start     int
		reduction bool
	}
	var open []comment
	for t, err := range xmltext.Tokens(ctx, d.Text) {
		if err != nil {
			return nil, d.placed(err)
		}
		switch t.Kind {
		case xmltext.Comment:
			text := string(d.Text[t.Start+len("<!--") : t.End-len("-->")])
			if rest, begins := strings.CutPrefix(text, beginComment); begins {
				o, ok := parseOpening(rest)
				open = append(open, comment{t.Start, ok && o.reduction})
			} else if text == endComment && len(open) > 0 {
				open = open[:len(open)-1]
			}
		case xmltext.StartTag:
			if _, name := xmltext.SplitName(t.Name); name == "note" && len(open) > 0 && open[len(open)-1].reduction {
				notes[t.Start] = open[len(open)-1].start
			}
		}
	}
	return notes, nil
}
