// Package engrave draws music on staves as SVG. It knows no files and no score
// format: what is to be drawn comes as plain data, and what comes out is a
// picture that needs no script, no font and no other file.
//
//	m := &engrave.Music{Staves: 1, Measures: []engrave.Measure{{
//		Number: "1", Length: engrave.Time{Num: 1},
//		Chords: []engrave.Chord{{Value: engrave.Quarter, Staff: 1, Notes: []engrave.Note{{Staff: 1, Step: 'C', Octave: 5}}}},
//	}}}
//	d, err := engrave.Draw(m, engrave.Options{})
//	svg := d.Standalone(8, "Measure 1: C5.")
//
// # What is drawn
//
// One to four staves with clefs, key and time signatures and their changes; heads
// by value, stems, flags and beams as they are given; accidentals as they are
// given; rests, dots, ties, ledger lines, octave lines, grace notes, chords with
// seconds on either side of the stem, two or more voices on a staff, tuplets,
// tremolos, arpeggio signs, glissandi, harmonics, barlines, endings, measure
// numbers, and marks: words, metronome and rehearsal marks and pedal diagrams, clear of the notes.
//
// What is not: slurs, lyrics, dynamics but as words, hairpins, articulations, ornaments,
// fermatas, fingerings, and what a Drawing names in Omitted.
//
// # How
//
// Times are exact fractions; what begins together stands together. Everything else
// is whole units, 40 to a staff space, so that a drawing is the same on every
// machine. From left to right, music takes room by how long it lasts, and more
// where accidentals and the like need it (space.go, column.go). From top to bottom
// a drawing is made twice: the first time shows how far the staves have to stand
// apart, the second one is kept (engrave.go, canvas.go). The proportions are those
// of SMuFL 1.4 (glyphs.go); where a rule says "common practice", engravers agree.
//
// # Reading a drawing
//
// Each measure is a group with data-measure, its index in the Music. Heads and
// accidentals carry data-note, the note's ID, unless Options leave it out. The
// heights of staff lines are in Drawing.Staves; a step of the scale is 20 units.
package engrave
