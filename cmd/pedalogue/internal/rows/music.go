package rows

import (
	"context"
	"slices"
	"strings"

	"pedalogue/cmd/pedalogue/internal/staves"
	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/spelling"
	"pedalogue/report"
	"pedalogue/report/engrave"
)

// Music adds to a row what is drawn of its music: the measures in which pedals are
// marked or notes respelt, and those that a finding is about, with our marks in
// them. The document must be that of the score.
func Music(ctx context.Context, doc *musicxml.Document, done *part.Planned, w *Wants, row *report.Part) error {
	style := w.Style
	if style.Respelt == part.Rewrite {
		style.Respelt = part.Text // the notes are drawn as they were
	}
	marks := done.Marks(style)
	shown := map[int]bool{}
	for _, m := range marks {
		shown[m.Measure] = true
	}
	for _, c := range row.Changes {
		shown[c.Needed.Index] = true
	}
	for _, f := range row.Findings {
		shown[f.Index] = true
	}
	music, err := staves.Of(ctx, doc, done.Part.Score, done.Part.Player, func(measure int) bool { return shown[measure] })
	if err != nil {
		return err
	}
	for i := range marks {
		addMark(music, done.Part.Player, &marks[i])
	}
	row.Music = music
	return nil
}

// addMark draws a mark of ours.
func addMark(music *engrave.Part, player musicxml.Player, m *musicxml.Mark) {
	measure := music.Measures[m.Measure]
	if measure == nil {
		return
	}
	mark := engrave.Mark{At: engrave.Time{Num: m.Offset.Num(), Den: m.Offset.Den()}, Staff: m.Staff, Above: m.Placement == "above", Class: "pedals"}
	for _, p := range player.Parts {
		if p == m.Part {
			break
		}
		mark.Staff += p.Staves
	}
	switch {
	case m.Pedals != nil:
		mark.Class, mark.Diagram = "setting", staves.Diagram(m.Pedals)
	case m.Small:
		mark.Class = "played"
		fallthrough
	default:
		mark.Rows = rowsOf(m.Words)
	}
	measure.Marks = append(measure.Marks, mark)
}

// AsPedals draws a text that stands in a measure as the pedal mark that it is, not as
// words. class tells one that stands out: it is that of its words, "" for that of the feet.
func AsPedals(measure *engrave.Measure, offset musicxml.Frac, staff int, text, class string) {
	at := engrave.Time{Num: offset.Num(), Den: offset.Den()}
	for i := range measure.Marks {
		m := &measure.Marks[i]
		if m.Class != "text" || m.Staff != staff || m.At.Cmp(at) != 0 || plainText(m.Rows) != strings.Join(strings.Fields(text), "") {
			continue
		}
		m.Class, m.Italic, m.Rows = "pedals", false, broken(rowsOf(signsClose.Replace(text)))
		for _, row := range m.Rows {
			for k := range row {
				if class != "" {
					row[k].Class = class
				}
			}
		}
		return
	}
}

// mostInRow is how many words of a mark stand side by side where it has many.
const mostInRow = 4

// broken breaks long rows, such as that of a setting on one line, into several.
func broken(rows [][]engrave.Word) (list [][]engrave.Word) {
	for _, row := range rows {
		list = slices.AppendSeq(list, slices.Chunk(row, mostInRow))
	}
	return list
}

// signsClose puts signs that stand apart to their letters.
var signsClose = strings.NewReplacer(" ♭", "♭", " ♮", "♮", " ♯", "♯", "\u00a0♭", "♭", "\u00a0♮", "♮", "\u00a0♯", "♯")

// plainText is the text of rows without spaces.
func plainText(rows [][]engrave.Word) string {
	var b strings.Builder
	for _, row := range rows {
		for _, w := range row {
			b.WriteString(strings.Join(strings.Fields(w.Text), ""))
		}
	}
	return b.String()
}

// rowsOf parts the text of a mark into lines and words. Where it names pedals, each
// word has the foot that moves them.
func rowsOf(text string) [][]engrave.Word {
	var rows [][]engrave.Word
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		foot := ""
		if len(lines) == 2 { // the right foot stands over the left
			foot = [...]string{pedal.Right.String(), pedal.Left.String()}[i]
		} else if m, ok := spelling.Parse(line); ok {
			foot = m.Pedals[0].Letter.Foot().String()
			for _, t := range m.Pedals {
				if t.Letter.Foot() != m.Pedals[0].Letter.Foot() {
					foot = "" // of both feet
				}
			}
		}
		rows = append(rows, words(line, foot))
	}
	return rows
}

// words parts a text at its spaces, and each word at its accidental.
func words(text, class string) []engrave.Word {
	var list []engrave.Word
	for _, word := range strings.Fields(text) {
		w := engrave.Word{Text: word, Class: class}
		for i, c := range word {
			sign, ok := map[rune]engrave.Sign{'♭': engrave.Flat, '♮': engrave.Natural, '♯': engrave.Sharp}[c]
			if ok {
				w.Text, w.Sign, w.After = word[:i], sign, word[i+len(string(c)):]
				break
			}
		}
		list = append(list, w)
	}
	return list
}

// concerned names the notes of the score that a finding is about.
func (r *rower) concerned(notes []int) []int {
	var ids []int
	for _, i := range notes {
		if n := r.part.Note(i); n != nil && !slices.Contains(ids, staves.ID(n)) {
			ids = append(ids, staves.ID(n))
		}
	}
	return ids
}
