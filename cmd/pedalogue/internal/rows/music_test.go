package rows

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"pedalogue/cmd/pedalogue/internal/staves"
	"pedalogue/musicxml"
	"pedalogue/pedal/part"
	"pedalogue/pedal/part/parttest"
	"pedalogue/pedal/spelling"
	"pedalogue/report/engrave"
)

// drawnMarks plans a score and returns the pedal marks that are drawn, and those
// that the marked copy has, read from the copy: each as "measure offset text".
func drawnMarks(t *testing.T, data []byte, w Wants) (drawn, copied []string) {
	t.Helper()
	doc, score := parttest.Read(t, data)
	p, err := part.New(score, score.Players()[0], w.Part)
	if err != nil {
		t.Fatal(err)
	}
	done, err := p.Plan(t.Context(), w.Plan)
	if err != nil {
		t.Fatal(err)
	}
	edits, signs, err := done.Edits(t.Context(), doc, w.Style)
	if err != nil {
		t.Fatal(err)
	}
	row, err := Part(t.Context(), done, signs, &w)
	if err != nil {
		t.Fatal(err)
	}
	if err := Music(t.Context(), doc, done, &w, &row); err != nil {
		t.Fatal(err)
	}
	for i, m := range row.Music.Measures {
		for _, mark := range m.Marks {
			if mark.Boxed {
				continue // a rehearsal mark of the score
			}
			text := textOf(mark.Rows)
			if mark.Diagram != nil {
				text = fmt.Sprint(mark.Diagram)
			}
			drawn = append(drawn, fmt.Sprintf("%d %v %s", i, musicxml.NewFrac(mark.At.Num, max(1, mark.At.Den)), text))
		}
	}
	marked, err := doc.Splice(t.Context(), edits)
	if err != nil {
		t.Fatal(err)
	}
	_, again := parttest.Read(t, marked)
	for _, p := range again.Parts {
		for _, d := range p.Directions {
			text := strings.ReplaceAll(d.Words, spelling.Between, " ")
			if strings.HasPrefix(text, "= ") { // it is printed a division behind its note, apart from other texts
				d.Onset = lastOnset(p, d)
			}
			offset := d.Onset.Sub(again.Measures[d.Measure].Start)
			copied = append(copied, fmt.Sprintf("%d %v %s", d.Measure, offset, text))
		}
		for _, h := range p.Settings {
			offset := h.Onset.Sub(again.Measures[h.Measure].Start)
			copied = append(copied, fmt.Sprintf("%d %v %v", h.Measure, offset, staves.Diagram(h.Tunings)))
		}
	}
	slices.Sort(drawn)
	slices.Sort(copied)
	return drawn, copied
}

// lastOnset is when the last note before a direction begins, or with it.
func lastOnset(p *musicxml.Part, d musicxml.Direction) musicxml.Frac {
	var last musicxml.Frac
	_, notes := p.NotesOf(d.Measure)
	for i := range notes {
		if on := notes[i].Onset; !d.Onset.Less(on) && last.Less(on) {
			last = on
		}
	}
	return last
}

func textOf(rows [][]engrave.Word) string {
	var lines []string
	for _, row := range rows {
		var words []string
		for _, w := range row {
			words = append(words, w.Text+map[engrave.Sign]string{engrave.Flat: "♭", engrave.Natural: "♮", engrave.Sharp: "♯"}[w.Sign]+w.After)
		}
		lines = append(lines, strings.Join(words, " "))
	}
	return strings.Join(lines, "\n")
}

// The pictures show the marks that the copy has, at their places: settings,
// changes, what a repeat needs and the strings of respelt notes.
func TestDrawnMarksAreThoseOfTheCopy(t *testing.T) {
	marks := 0
	for seed := range uint64(40) {
		w := Wants{}
		w.Style.Language = spelling.Language(seed % 3)
		w.Style.Side = part.Side(seed % 2)
		w.Style.Form = part.Form(seed % 3)
		drawn, copied := drawnMarks(t, parttest.Compose(parttest.Random(seed)...), w)
		if !slices.Equal(drawn, copied) {
			t.Errorf("seed %d (-copy +drawn): %s", seed, cmp.Diff(copied, drawn))
		}
		marks += len(drawn)
	}
	if marks < 200 {
		t.Errorf("only %d marks were compared", marks)
	}
}

// A finding marks the notes in the drawing that it names.
func TestConcernedNotesAreDrawn(t *testing.T) {
	w := Wants{}
	doc, score := parttest.Read(t, parttest.Compose("C5:4 C#4+C4+D4+B3:4 R:8"))
	p, err := part.New(score, score.Players()[0], w.Part)
	if err != nil {
		t.Fatal(err)
	}
	done, err := p.Plan(t.Context(), w.Plan)
	if err != nil {
		t.Fatal(err)
	}
	row, err := Part(t.Context(), done, nil, &w)
	if err != nil {
		t.Fatal(err)
	}
	if err := Music(t.Context(), doc, done, &w, &row); err != nil {
		t.Fatal(err)
	}
	ids := map[int]string{}
	for _, c := range row.Music.Measures[0].Chords {
		for _, n := range c.Notes {
			ids[n.ID] = fmt.Sprintf("%c%d", n.Step, n.Octave)
		}
	}
	for _, f := range row.Findings {
		if len(f.Notes) == 0 {
			continue
		}
		var named []string
		for _, name := range f.Notes {
			named = append(named, strings.NewReplacer("♯", "", "♭", "").Replace(name))
		}
		var got []string
		for _, id := range f.Concerned {
			got = append(got, ids[id])
		}
		if !slices.Equal(got, named) {
			t.Errorf("%s names %v and marks %v", f.Kind, f.Notes, got)
		}
	}
	if len(row.Findings) == 0 {
		t.Error("there is no finding")
	}
}
