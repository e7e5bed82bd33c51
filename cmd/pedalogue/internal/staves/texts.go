package staves

import (
	"slices"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/report/engrave"
)

// texts adds words, dynamics as plain text, metronome marks and rehearsal marks. One
// direction on one line is one mark: "Lento" with its metronome mark, "mf dolce". A
// rehearsal mark that only other parts have stands at the measure's start.
func (r *reader) texts(printed *musicxml.PrintedMeasure, rehearsal string) {
	last := -1 // the direction of the last mark
	for i := range printed.Texts {
		t := &printed.Texts[i]
		if t.Kind == "rehearsal" {
			r.rehearsal(engrave.Mark{At: timeOf(t.Onset), Staff: r.above + t.Staff, Above: t.Above}, t.Text)
			rehearsal, last = "", -1
			continue
		}
		mark := engrave.Mark{At: timeOf(t.Onset), Staff: r.above + t.Staff, Above: t.Above, Class: "text", Italic: true, Rows: rowsOf(t)}
		if n := len(r.now.Marks); t.Start == last && len(mark.Rows) == 1 && len(r.now.Marks[n-1].Rows) == 1 {
			before := &r.now.Marks[n-1]
			before.Rows[0] = append(before.Rows[0], mark.Rows[0]...)
			before.Above = before.Above || t.Above
			continue
		}
		r.now.Marks = append(r.now.Marks, mark)
		last = t.Start
	}
	if rehearsal != "" && r.above == 0 {
		r.rehearsal(engrave.Mark{Staff: 1, Above: true}, rehearsal)
	}
}

// rehearsal adds a rehearsal mark, unless another part of the player has it.
func (r *reader) rehearsal(m engrave.Mark, text string) {
	m.Class, m.Boxed, m.Rows = "rehearsal", true, [][]engrave.Word{{{Text: text}}}
	if !slices.ContainsFunc(r.now.Marks, func(o engrave.Mark) bool { return o.Boxed && o.Rows[0][0].Text == text }) {
		r.now.Marks = append(r.now.Marks, m)
	}
}

// rowsOf parts a text into lines, and gives a metronome mark its notes.
func rowsOf(t *musicxml.PrintedText) (rows [][]engrave.Word) {
	if t.Kind == "metronome" {
		return [][]engrave.Word{beats(t)}
	}
	for line := range strings.SplitSeq(t.Text, "\n") {
		if line = strings.TrimSpace(line); line != "" {
			rows = append(rows, []engrave.Word{{Text: line}})
		}
	}
	return rows
}

// beats writes a metronome mark: a note and a number, or notes that are as long as others.
func beats(t *musicxml.PrintedText) (words []engrave.Word) {
	for i, b := range t.Beats {
		w := engrave.Word{Note: values[b.Type], Dots: b.Dots, Tied: b.Tied, Over: b.Tuplet, Ends: b.Ends, Class: "tempo"}
		switch {
		case b.Equal:
			w.Text = "="
		case i+1 == len(t.Beats) && t.Text != "":
			w.Text = "= " + t.Text
		}
		words = append(words, w)
	}
	if t.Round {
		words = append([]engrave.Word{{Text: "(", Class: "tempo"}}, words...)
		words[len(words)-1].Text += ")"
	}
	return words
}
