package engrave

import (
	"cmp"
	"slices"
)

// A bar is a measure in the making.
type bar struct {
	*Measure
	index   int
	chords  []*chord  // as in the measure, without the hidden ones
	columns []*column // by time
	voices  [MostStaves][]int
	lead    lead // what stands before its first note
	tail    tail // and after its last one
	x       int  // of the barline at its left
	body    int  // from there to where the first column may begin
	end     int  // of the barline at its right
}

// A column is all that begins at one time on all staves.
type column struct {
	at      Time
	chords  []*chord
	graces  []*chord // in order
	changes []Change
	x       int // of the left edge of its usual heads
	left    [MostStaves]int
	right   [MostStaves]int
	on      [MostStaves]bool // the staff has something in it
	rolls   []roll
	clefs   [MostStaves]int // from x to a clef or key that changes here; 0 for none
}

// opening returns what is in force on a staff, from 1, when the measure begins.
func (m *Measure) opening(staff int) Opening {
	if staff > len(m.Opens) {
		return Opening{}
	}
	return m.Opens[staff-1]
}

// at returns what is in force on a staff at a time, changes at that time counted in.
func (m *Measure) at(staff int, t Time) Opening {
	o := m.opening(staff)
	for _, c := range m.Changes {
		if c.Staff == staff && c.At.Cmp(t) <= 0 {
			o = o.changed(c)
		}
	}
	return o
}

// closing is what is in force on a staff when the measure ends.
func (m *Measure) closing(staff int) Opening {
	o := m.opening(staff)
	for _, c := range m.Changes {
		if c.Staff == staff {
			o = o.changed(c)
		}
	}
	return o
}

func (o Opening) changed(c Change) Opening {
	if c.Clef != nil {
		o.Clef = *c.Clef
	}
	if c.Key != nil {
		o.Key = *c.Key
	}
	if c.Shift != nil {
		o.Shift = *c.Shift
	}
	return o
}

// newBar makes the bar of a measure, without places.
func (e *engraver) newBar(index int) *bar {
	b := &bar{Measure: &e.music.Measures[index], index: index}
	b.findVoices(e.music.Staves)
	for i := range b.Chords {
		if c := e.newChord(b, i); c != nil {
			b.chords = append(b.chords, c)
		}
	}
	return b
}

// findVoices lists the voices that are seen on each staff, the upper ones first.
func (b *bar) findVoices(staves int) {
	see := func(staff, voice int) {
		if staff >= 1 && staff <= staves && !slices.Contains(b.voices[staff-1], voice) {
			b.voices[staff-1] = append(b.voices[staff-1], voice)
		}
	}
	for i := range b.Chords {
		c := &b.Chords[i]
		if c.Hidden || c.Grace {
			continue
		}
		if len(c.Notes) == 0 {
			see(c.Staff, c.Voice)
		}
		for _, n := range c.Notes {
			see(n.Staff, c.Voice)
		}
	}
	for s := range b.voices {
		slices.Sort(b.voices[s])
	}
}

// makeColumns gathers what begins together.
func (b *bar) makeColumns() {
	at := func(t Time) *column {
		i, found := slices.BinarySearchFunc(b.columns, t, func(c *column, t Time) int { return c.at.Cmp(t) })
		if !found {
			b.columns = slices.Insert(b.columns, i, &column{at: t})
		}
		return b.columns[i]
	}
	for _, c := range b.chords {
		col := at(c.At)
		c.col = col
		if c.Grace {
			col.graces = append(col.graces, c)
			continue
		}
		col.chords = append(col.chords, c)
	}
	for _, c := range b.Changes {
		if c.Clef != nil || c.Key != nil {
			col := at(c.At)
			col.changes = append(col.changes, c)
		}
	}
}

// diatonic numbers the steps of the scale, C0 being 0.
func diatonic(step byte, octave int) int {
	return 7*octave + (int(step-'A')+5)%7
}

// position is where a pitch stands on a staff: steps above the bottom line.
func (o Opening) position(step byte, octave int) int {
	reference, line := o.Clef.reference()
	return diatonic(step, octave) - 7*(o.Shift+o.Clef.Octaves) - reference + 2*(line-1)
}

// reference is the step that a clef puts on a line, and the line, from 1.
func (c Clef) reference() (step, line int) {
	step, line = diatonic('G', 4), 2
	switch c.Sign {
	case 'F':
		step, line = diatonic('F', 3), 4
	case 'C':
		step, line = diatonic('C', 4), 3
	}
	if c.Line != 0 && c.Sign != 'P' {
		line = c.Line
	}
	return step, line
}

// usual gives a clef its sign and line where they are left out, so that equal
// clefs are equal.
func (c Clef) usual() Clef {
	switch c.Sign {
	case 'F', 'C', 'P':
	default:
		c.Sign = 'G'
	}
	_, c.Line = c.reference()
	return c
}

// lowest is the lowest position that a sign of a key signature takes: signs are
// written in the octave that begins there. Common practice.
func (c Clef) lowest(s Sign) int {
	c = c.usual()
	sharp := s == Sharp || s == DoubleSharp
	switch {
	case c.Sign == 'G' && c.Line == 2 && sharp:
		return 3
	case c.Sign == 'G' && c.Line == 2:
		return 1
	case c.Sign == 'F' && c.Line == 4 && sharp:
		return 1
	case c.Sign == 'F' && c.Line == 4:
		return -1
	case c.Sign == 'C' && c.Line == 3 && !sharp:
		return 0
	}
	return 2
}

// keyPosition is where a sign of a key signature stands.
func (c Clef) keyPosition(k KeySign, as Sign) int {
	low := c.lowest(as)
	p := Opening{Clef: c}.position(k.Step, 4)
	return low + ((p-low)%7+7)%7
}

// compareChords orders chords by voice, the upper one first.
func compareChords(a, b *chord) int { return cmp.Compare(a.Voice, b.Voice) }
