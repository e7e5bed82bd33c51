// Package staves turns what a score says into what package engrave draws: it is
// the only one that knows both.
package staves

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/report/engrave"
)

// Of reads how a player's measures are printed, those that are wanted, by their
// index. The document must be the one that the score was read from. Each note has
// the ID that ID gives it.
func Of(ctx context.Context, doc *musicxml.Document, score *musicxml.Score, player musicxml.Player, want func(measure int) bool) (*engrave.Part, error) {
	m := &engrave.Part{Measures: map[int]*engrave.Measure{}}
	for i, p := range player.Parts {
		printed, err := score.Printed(ctx, doc, p, want)
		if err != nil {
			return nil, err
		}
		r := reader{score: score, part: p, music: m, above: m.Staves, voices: 1000 * i, names: map[string]int{}}
		for j := range printed {
			r.measure(&printed[j])
		}
		m.Staves += p.Staves
		r.glides()
	}
	return m, nil
}

// ID names a note in a drawing: the place of its element in the document.
func ID(n *musicxml.Note) int { return n.Start + 1 }

// A reader turns the measures of one part.
type reader struct {
	score  *musicxml.Score
	part   *musicxml.Part
	music  *engrave.Part
	above  int            // staves of the parts before it
	voices int            // added to the numbers of its voices
	names  map[string]int // of voices whose names are no numbers

	now *engrave.Measure
}

// measure adds a printed measure to those of the music.
func (r *reader) measure(printed *musicxml.PrintedMeasure) {
	m := &r.score.Measures[printed.Index]
	now := r.music.Measures[printed.Index]
	if now == nil {
		now = &engrave.Measure{
			Number: r.part.Measures[printed.Index].Number, Length: timeOf(m.Length), Meter: meter(printed.Time),
			Left: left(printed.Left), Right: right(printed.Right),
			Ending: engrave.Ending(printed.Ending),
		}
		r.music.Measures[printed.Index] = now
	}
	r.now = now
	for len(now.Opens) < r.above {
		now.Opens = append(now.Opens, engrave.Opening{}) // a part without this measure
	}
	for _, s := range printed.Staves {
		now.Opens = append(now.Opens, engrave.Opening{Clef: clef(s.Clef), Key: key(s.Key), Shift: s.Shift, New: s.New})
	}
	for _, c := range printed.Changes {
		change := engrave.Change{At: timeOf(c.Onset), Staff: r.above + c.Staff, Shift: c.Shift}
		if c.Clef != nil {
			clef := clef(*c.Clef)
			change.Clef = &clef
		}
		if c.Key != nil {
			key := key(*c.Key)
			change.Key = &key
		}
		now.Changes = append(now.Changes, change)
	}
	slices.SortStableFunc(now.Changes, func(a, b engrave.Change) int { return a.At.Cmp(b.At) })
	r.chords(printed, m)
	r.texts(printed, m.Rehearsal)
	r.settings(printed.Index, m)
}

func timeOf(f musicxml.Frac) engrave.Time { return engrave.Time{Num: f.Num(), Den: f.Den()} }

func clef(c musicxml.Clef) engrave.Clef {
	e := engrave.Clef{Line: c.Line, Octaves: c.Octaves}
	switch c.Sign {
	case "G", "F", "C":
		e.Sign = c.Sign[0]
	case "percussion":
		e.Sign = 'P'
	case "", "none":
	default:
		e.Sign = '?'
	}
	if e.Line < 0 || e.Line > 9 {
		e.Line = 0
	}
	return e
}

// key writes a key signature sign by sign.
func key(k musicxml.Key) engrave.Key {
	var list engrave.Key
	for _, s := range k.Steps {
		list = append(list, engrave.KeySign{Step: s.Step, Sign: keySign(s.Alter)})
	}
	const most = 14 // seven double sharps or flats
	for i := range min(k.Fifths, most) {
		list = append(list, engrave.KeySign{Step: "FCGDAEB"[i%7], Sign: engrave.Sharp})
	}
	for i := range min(-k.Fifths, most) {
		list = append(list, engrave.KeySign{Step: "BEADGCF"[i%7], Sign: engrave.Flat})
	}
	return list
}

func keySign(alter musicxml.Frac) engrave.Sign {
	if alter.Den() != 1 {
		return engrave.OtherSign
	}
	switch alter.Num() {
	case 0:
		return engrave.Natural
	case 1:
		return engrave.Sharp
	case 2:
		return engrave.DoubleSharp
	case -1:
		return engrave.Flat
	case -2:
		return engrave.DoubleFlat
	}
	return engrave.OtherSign
}

// meter is a time signature of one pair of numbers, or of several over one unit;
// other ones are not drawn.
func meter(t musicxml.TimeSignature) engrave.Meter {
	if len(t.Beats) == 0 || len(t.Beats) != len(t.Units) {
		return engrave.Meter{}
	}
	for _, u := range t.Units {
		if u != t.Units[0] {
			return engrave.Meter{}
		}
	}
	m := engrave.Meter{Beats: strings.Join(t.Beats, "+"), Unit: t.Units[0]}
	switch t.Symbol {
	case "common":
		m.Symbol = 'C'
	case "cut":
		m.Symbol = '|'
	}
	return m
}

var barStyles = map[string]engrave.BarStyle{
	"light-light": engrave.Double, "light-heavy": engrave.Final, "heavy-light": engrave.HeavyLight,
	"heavy": engrave.Heavy, "heavy-heavy": engrave.HeavyHeavy, "dashed": engrave.Dashed, "dotted": engrave.Dotted, "none": engrave.NoBarline,
}

func right(b musicxml.PrintedBarline) engrave.Barline {
	return engrave.Barline{Style: barStyles[b.Style], Repeat: b.Repeat == "backward"}
}

// left is a barline at the start of a measure, where it is more than the line that
// stands there anyhow.
func left(b musicxml.PrintedBarline) engrave.Barline {
	if b.Repeat != "forward" && b.Style != "heavy-light" {
		return engrave.Barline{}
	}
	return engrave.Barline{Style: engrave.HeavyLight, Repeat: b.Repeat == "forward"}
}

// settings adds the pedal settings that stand in the measure. One of fewer pedals is drawn
// as letters with their signs: in a diagram with gaps it is hard to tell whose strokes
// are there.
func (r *reader) settings(index int, m *musicxml.Measure) {
	for i := range r.part.Settings {
		h := &r.part.Settings[i]
		if h.Measure != index {
			continue
		}
		mark := engrave.Mark{At: timeOf(h.Onset.Sub(m.Start)), Staff: r.above + h.Staff, Above: true}
		rows, all := letters(h.Tunings)
		switch {
		case all:
			mark.Class, mark.Diagram = "setting", Diagram(h.Tunings)
		case rows != nil:
			mark.Class, mark.Rows = "pedals", rows
		default:
			continue
		}
		r.now.Marks = append(r.now.Marks, mark)
	}
}

// letters writes pedals with their signs, the right foot over the left; those that are in
// no notch are left out. all tells that it has seven.
func letters(tunings []musicxml.KeyStep) (rows [][]engrave.Word, all bool) {
	signs := map[musicxml.Frac]engrave.Sign{
		musicxml.NewFrac(-1, 1): engrave.Flat, {}: engrave.Natural, musicxml.NewFrac(1, 1): engrave.Sharp,
	}
	n := 0
	for _, foot := range [...]struct{ class, letters string }{{"right", feet[3:]}, {"left", feet[:3]}} {
		var row []engrave.Word
		for _, letter := range []byte(foot.letters) {
			i := slices.IndexFunc(tunings, func(t musicxml.KeyStep) bool { return t.Step == letter })
			if i < 0 {
				continue
			}
			if sign, notch := signs[tunings[i].Alter]; notch {
				row = append(row, engrave.Word{Text: string(letter), Sign: sign, Class: foot.class})
			}
		}
		if n += len(row); row != nil {
			rows = append(rows, row)
		}
	}
	return rows, n == len(feet)
}

// feet are the letters of the pedals from the left.
const feet = "DCBEFGA"

// Diagram puts the positions of seven pedals in the order of the feet.
func Diagram(tunings []musicxml.KeyStep) []int {
	diagram := make([]int, len(feet))
	for _, t := range tunings {
		if i := strings.IndexByte(feet, t.Step); i >= 0 {
			diagram[i] = t.Alter.Sign()
		}
	}
	return diagram
}

// glides adds the glissandi that begin in a measure that is drawn.
func (r *reader) glides() {
	for _, g := range r.part.Glissandi {
		from := &r.part.Notes[g.From]
		if r.music.Measures[from.Measure] != nil {
			r.music.Glides = append(r.music.Glides, engrave.Glide{From: ID(from), To: ID(&r.part.Notes[g.To]), Text: "gliss."})
		}
	}
}

// voice is the number of a voice.
func (r *reader) voice(name string) int {
	if n, err := strconv.Atoi(name); err == nil && n >= 0 && n < 500 {
		return r.voices + n
	}
	n, known := r.names[name]
	if !known {
		n = 500 + len(r.names)
		r.names[name] = n
	}
	return r.voices + n
}
