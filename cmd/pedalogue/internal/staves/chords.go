package staves

import (
	"cmp"
	"slices"

	"pedalogue/musicxml"
	"pedalogue/report/engrave"
)

// chords adds the notes of a measure, those of a chord together.
func (r *reader) chords(printed *musicxml.PrintedMeasure, m *musicxml.Measure) {
	first, notes := r.part.NotesOf(printed.Index)
	at := map[int]int{} // indexes into Chords by that of the chord's first note
	for i := range min(len(notes), len(printed.Notes)) {
		n, p := &notes[i], &printed.Notes[i]
		if n.Head == first+i {
			at[n.Head] = len(r.now.Chords)
			r.now.Chords = append(r.now.Chords, r.chord(n, p, m))
		}
		k, known := at[n.Head]
		if !known {
			continue // the chord began in the measure before
		}
		c := &r.now.Chords[k]
		if !n.Hidden {
			c.Hidden = false
			r.addNote(c, n, p)
		}
	}
	r.tuplets(printed, notes, at)
}

// chord begins a chord or rest with its first note; it is hidden until a note of
// it is not.
func (r *reader) chord(n *musicxml.Note, p *musicxml.PrintedNote, m *musicxml.Measure) engrave.Chord {
	c := engrave.Chord{
		At: timeOf(n.Onset.Sub(m.Start)), Staff: r.above + n.Staff, Voice: r.voice(n.Voice), Dots: p.Dots,
		Hidden: true, Grace: n.Kind == musicxml.Grace, Slash: p.Slash, Small: p.Small || n.Kind == musicxml.Cue,
		Stem: stems[p.Stem],
	}
	c.Value, c.Dots = value(p, n.Length)
	for _, b := range p.Beams {
		c.Beams = append(c.Beams, beams[b])
	}
	if n.Kind == musicxml.Rest {
		c.Whole = p.WholeMeasure || p.Type == "" && n.Length.Cmp(m.Length) == 0
		c.Rest = engrave.RestPlace{Step: p.DisplayStep, Octave: p.DisplayOctave}
		if c.Whole && c.Value < engrave.Whole {
			c.Value = engrave.Whole
		}
	}
	if s := n.Signs; s != nil {
		c.Circle = s.Harmonic
		switch s.Tremolo {
		case "single":
			c.Strokes = s.TremoloMarks
		case "start":
			c.Strokes, c.Between = s.TremoloMarks, true
		}
	}
	return c
}

// addNote adds a note to its chord.
func (r *reader) addNote(c *engrave.Chord, n *musicxml.Note, p *musicxml.PrintedNote) {
	if k := rolls[p.Roll]; k != engrave.NoRoll && c.Roll.Kind == engrave.NoRoll {
		c.Roll.Kind = k
		if p.RollNumber != "" {
			c.Roll.Group = 1 + r.voice(p.RollNumber)
		}
	}
	if n.Kind == musicxml.Rest {
		return
	}
	e := engrave.Note{
		ID: ID(n), Staff: r.above + n.Staff, Step: n.Pitch.Step, Octave: n.Pitch.Octave,
		Round: p.Parentheses, Head: head(p.Head), TiedIn: n.Tied, Ringing: p.LetRing,
	}
	if n.Kind == musicxml.Unpitched {
		e.Step, e.Octave = p.DisplayStep, p.DisplayOctave
		if e.Step == 0 {
			e.Step, e.Octave = 'B', 4 // the middle line of a treble clef
		}
	}
	if n.TiedTo >= 0 {
		e.TiedTo = ID(&r.part.Notes[n.TiedTo])
	}
	if p.Accidental != "" {
		e.Sign = sign(p.Accidental)
	}
	c.Notes = append(c.Notes, e)
}

var stems = map[string]engrave.Stem{"up": engrave.Up, "down": engrave.Down, "double": engrave.Up, "none": engrave.NoStem}

var beams = map[string]engrave.Beam{
	"begin": engrave.Begin, "continue": engrave.Continue, "end": engrave.End,
	"forward hook": engrave.Forward, "backward hook": engrave.Backward,
}

var rolls = map[string]engrave.RollKind{
	"arpeggiate": engrave.Rolled, "up": engrave.RollUp, "down": engrave.RollDown, "non-arpeggiate": engrave.Together,
}

func head(shape string) engrave.Head {
	switch shape {
	case "", "normal":
		return engrave.Round
	case "x", "cross":
		return engrave.Cross
	case "diamond":
		return engrave.Diamond
	case "none":
		return engrave.NoHead
	}
	return engrave.OtherHead
}

func sign(accidental string) engrave.Sign {
	switch accidental {
	case "natural":
		return engrave.Natural
	case "sharp":
		return engrave.Sharp
	case "flat":
		return engrave.Flat
	case "double-sharp":
		return engrave.DoubleSharp
	case "flat-flat":
		return engrave.DoubleFlat
	case "natural-sharp":
		return engrave.NaturalSharp
	case "natural-flat":
		return engrave.NaturalFlat
	}
	return engrave.OtherSign
}

var values = map[string]engrave.Value{
	"maxima": engrave.Maxima, "long": engrave.Long, "breve": engrave.Breve, "whole": engrave.Whole, "half": engrave.Half,
	"quarter": engrave.Quarter, "eighth": engrave.Eighth, "16th": engrave.N16th, "32nd": engrave.N32nd, "64th": engrave.N64th,
	"128th": engrave.N128th, "256th": engrave.N256th, "512th": engrave.N512th, "1024th": engrave.N1024th,
}

// value is how a note is written: as the file says or, where it says nothing, as
// its length can be written with three dots at most.
func value(p *musicxml.PrintedNote, length musicxml.Frac) (engrave.Value, int) {
	if v, ok := values[p.Type]; ok {
		return v, p.Dots
	}
	plain := musicxml.NewFrac(32, 1)
	for v := engrave.Maxima; v <= engrave.N1024th; v++ {
		dotted, more := plain, plain
		for dots := range 4 {
			if dotted.Cmp(length) == 0 {
				return v, dots
			}
			more = more.Mul(musicxml.NewFrac(1, 2))
			dotted = dotted.Add(more)
		}
		plain = plain.Mul(musicxml.NewFrac(1, 2))
	}
	return engrave.Unknown, p.Dots
}

// tuplets adds the tuplets that begin and end in the measure.
func (r *reader) tuplets(printed *musicxml.PrintedMeasure, notes []musicxml.Note, at map[int]int) {
	type key struct{ voice, number string }
	open := map[key]engrave.Tuplet{}
	for i := range min(len(notes), len(printed.Notes)) {
		ends := slices.Clone(printed.Notes[i].Tuplets)
		slices.SortStableFunc(ends, func(a, b musicxml.PrintedTuplet) int { return -cmp.Compare(truth(a.Start), truth(b.Start)) })
		for _, t := range ends {
			k := key{notes[i].Voice, t.Number}
			chord, known := at[notes[i].Head]
			if !known {
				continue
			}
			if t.Start {
				open[k] = engrave.Tuplet{First: chord, Text: t.Text, Bracket: t.Bracket, Below: t.Below}
				continue
			}
			if o, ok := open[k]; ok {
				o.Last = chord
				r.now.Tuplets = append(r.now.Tuplets, o)
				delete(open, k)
			}
		}
	}
}

func truth(b bool) int {
	if b {
		return 1
	}
	return 0
}
