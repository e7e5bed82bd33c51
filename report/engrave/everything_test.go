package engrave

import "testing"

// note is a note in short: step, octave, accidental.
func note(staff int, pitch string, sign Sign) Note {
	return Note{Staff: staff, Step: pitch[0], Octave: int(pitch[1] - '0'), Sign: sign}
}

// chordOf is a chord of naturals without accidentals.
func chordOf(at Time, staff, voice int, v Value, pitches ...string) Chord {
	c := Chord{At: at, Staff: staff, Voice: voice, Value: v}
	for _, p := range pitches {
		c.Notes = append(c.Notes, note(staff, p, NoSign))
	}
	return c
}

func with(c Chord, f func(*Chord)) Chord {
	f(&c)
	return c
}

func beamed(b ...Beam) func(*Chord) { return func(c *Chord) { c.Beams = b } }

// everything has each thing that can be drawn at least once. The music is
// invented, and means nothing.
func everything() *Music {
	flats := Key{{'B', Flat}, {'E', Flat}, {'A', Flat}}
	bass, treble := Clef{Sign: 'F'}, Clef{}
	eight, none := 1, 0
	first := Measure{
		Number: "1", Length: Time{4, 1}, Meter: Meter{Beats: "3+1", Unit: "4"}, Left: Barline{Style: HeavyLight, Repeat: true},
		Opens:   []Opening{{Key: flats}, {Clef: bass, Key: flats}},
		Changes: []Change{{At: Time{2, 1}, Staff: 2, Clef: &treble}, {At: Time{2, 1}, Staff: 1, Shift: &eight}, {At: Time{3, 1}, Staff: 1, Shift: &none}},
		Chords: []Chord{
			with(chordOf(Time{}, 1, 1, Eighth, "C5", "D5", "G5"), func(c *Chord) {
				c.Grace, c.Slash = true, true
			}),
			with(chordOf(Time{}, 1, 1, Quarter, "C5", "D5", "G5"), func(c *Chord) {
				c.Roll = Roll{Kind: Rolled, Group: 1}
				c.Notes[0].Sign, c.Notes[1].Sign, c.Notes[2].Sign = Sharp, Natural, DoubleFlat
				c.Notes[0].ID, c.Notes[2].ID = 11, 12
			}),
			with(chordOf(Time{1, 1}, 1, 1, Eighth, "A5"), beamed(Begin)),
			with(chordOf(Time{3, 2}, 1, 1, N16th, "F5"), beamed(Continue, Begin)),
			with(chordOf(Time{7, 4}, 1, 1, N16th, "G5"), beamed(End, End)),
			with(chordOf(Time{2, 1}, 1, 1, Quarter, "E6"), func(c *Chord) { c.Dots, c.Circle = 1, true }),
			with(chordOf(Time{7, 2}, 1, 1, N32nd, "B4"), func(c *Chord) { c.Notes[0].Round, c.Notes[0].Sign = true, Flat }),
			with(chordOf(Time{}, 1, 2, Half, "F4"), func(c *Chord) { c.Notes[0].ID, c.Notes[0].TiedTo = 1, 2 }),
			with(chordOf(Time{2, 1}, 1, 2, Half, "F4"), func(c *Chord) { c.Notes[0].ID, c.Notes[0].Ringing = 2, true }),
			with(chordOf(Time{}, 2, 5, Quarter, "C3", "C4"), func(c *Chord) { c.Roll = Roll{Kind: Rolled, Group: 1} }),
			with(chordOf(Time{1, 1}, 2, 5, Eighth, "E3"), func(c *Chord) { c.Beams, c.Stem = []Beam{Begin}, Up }),
			with(chordOf(Time{3, 2}, 1, 5, Eighth, "E4"), func(c *Chord) { c.Beams, c.Stem = []Beam{End}, Down }),
			{At: Time{2, 1}, Staff: 2, Voice: 5, Value: N16th},
			{At: Time{9, 4}, Staff: 2, Voice: 5, Value: Eighth, Dots: 1},
			with(chordOf(Time{3, 1}, 2, 5, Quarter, "E4", "G4"), func(c *Chord) { c.Strokes = 2 }),
		},
		Marks: []Mark{
			{Staff: 1, Above: true, Class: "setting", Diagram: []int{0, 0, -1, -1, 0, 0, -1}},
			{Staff: 1, Above: true, Class: "pedals", Rows: [][]Word{{{Text: "E", Sign: Flat, Class: "right"}, {Text: "F", Class: "right"}}, {{Text: "D", Class: "left"}, {Text: "B", Sign: Flat, Class: "left"}}}},
			{At: Time{1, 1}, Staff: 2, Class: "pedals", Rows: [][]Word{{{Text: "F", Sign: Sharp, Class: "right"}}, {{Text: "C", Sign: Natural, Class: "left"}}}},
			{At: Time{2, 1}, Staff: 1, Italic: true, Rows: [][]Word{{{Text: "(D", Sign: Flat, After: ")"}}}},
		},
		Ending: Ending{Over: true, Text: "1.", Starts: true, Stops: true},
		Right:  Barline{Style: Final, Repeat: true},
	}
	second := Measure{
		Number: "2", Length: Time{4, 1}, Meter: Meter{Symbol: 'C'}, Opens: []Opening{{}, {Clef: bass}}, Right: Barline{Style: Double},
		Chords: []Chord{
			with(chordOf(Time{}, 1, 1, Eighth, "C5"), beamed(Begin)), with(chordOf(Time{1, 3}, 1, 1, Eighth, "E5"), beamed(Continue)),
			with(chordOf(Time{2, 3}, 1, 1, Eighth, "G5"), beamed(End)),
			with(chordOf(Time{1, 1}, 1, 1, Quarter, "A4"), func(c *Chord) { c.Notes[0].ID, c.Small = 3, true }),
			with(chordOf(Time{2, 1}, 1, 1, Half, "A5", "B5"), func(c *Chord) {
				c.Notes[0].ID, c.Roll, c.Dots = 4, Roll{Kind: Together}, 1
				c.Notes[1].ID = 13
			}),
			{Staff: 2, Voice: 5, Whole: true},
		},
		Marks: []Mark{
			{Staff: 1, Above: true, Class: "rehearsal", Boxed: true, Rows: [][]Word{{{Text: "B2"}}}},
			{Staff: 1, Above: true, Italic: true, Rows: [][]Word{{{Text: "Lento"}, {Note: Quarter, Dots: 1, Text: "= 60", Class: "tempo"}}}},
			{At: Time{2, 1}, Staff: 2, Boxed: true, Class: "rehearsal", Rows: [][]Word{{{Text: "below"}}}},
			{At: Time{2, 1}, Staff: 1, Above: true, Rows: [][]Word{{{Note: N16th, Text: "=", Class: "tempo"}, {Note: Half, Text: "(", Class: "tempo"}, {Note: Whole, Class: "tempo"}}}},
			{At: Time{3, 1}, Staff: 1, Above: true, Rows: [][]Word{{{Note: Eighth, Class: "tempo"}, {Note: Eighth, Text: "=", Class: "tempo"},
				{Note: Quarter, Class: "tempo", Over: "3"}, {Note: Eighth, Class: "tempo", Ends: true}}}},
			{At: Time{}, Staff: 2, Rows: [][]Word{{{Note: Half, Class: "tempo", Tied: true}, {Note: Eighth, Dots: 1, Text: "= 40", Class: "tempo"}}}},
		},
		Tuplets: []Tuplet{{First: 0, Last: 2, Text: "3"}, {First: 3, Last: 4, Text: "5", Bracket: true, Below: true}},
	}
	third := Measure{
		Number: "3", Length: Time{4, 1}, Meter: Meter{Symbol: '|'}, Opens: []Opening{{Clef: Clef{Sign: 'C', Line: 4}}, {Clef: Clef{Sign: 'F', Octaves: -1}}},
		Ending: Ending{Over: true, Text: "2.", Starts: true}, Right: Barline{Style: Final},
		Chords: []Chord{
			with(chordOf(Time{}, 1, 1, Half, "C4"), func(c *Chord) { c.Strokes, c.Between = 3, true }),
			chordOf(Time{2, 1}, 1, 1, Half, "E4"),
			with(chordOf(Time{}, 2, 5, Breve, "C2", "G2"), func(c *Chord) { c.Roll = Roll{Kind: RollUp} }),
			with(chordOf(Time{2, 1}, 2, 5, Whole, "D2"), func(c *Chord) { c.Notes[0].Head, c.Notes[0].TiedTo = Diamond, -1 }),
			with(chordOf(Time{3, 1}, 1, 2, Quarter, "A3"), func(c *Chord) { c.Notes[0].Head, c.Roll = Cross, Roll{Kind: RollDown} }),
		},
	}
	return &Music{Staves: 2, Measures: []Measure{first, second, third}, Glides: []Glide{{From: 3, To: 4, Text: "gliss.", Wavy: true}}}
}

// Grace notes of one voice stand one after the other, on whatever staves: they are
// played so.
func TestGraceNotesAcrossStaves(t *testing.T) {
	m := Measure{Length: Time{Num: 1}, Opens: []Opening{{}, {Clef: Clef{Sign: 'F'}}}}
	for i, n := range []struct {
		staff int
		pitch string
	}{{2, "G3"}, {2, "A3"}, {1, "C5"}, {1, "E5"}, {2, "D3"}, {1, "G5"}} {
		c := with(chordOf(Time{}, n.staff, 1, N32nd, n.pitch), func(c *Chord) { c.Grace = i < 5 })
		c.Notes[0].ID = 1 + i
		m.Chords = append(m.Chords, c)
	}
	_, p := draw(t, &Music{Staves: 2, Measures: []Measure{m}})
	last := -1
	for id := 1; id <= 6; id++ {
		for _, g := range p.uses {
			if g.head() && g.note == id {
				if g.x <= last {
					t.Errorf("note %d stands at %d, the one before at %d", id, g.x, last)
				}
				last = g.x
			}
		}
	}
}
