package musicxml

import (
	"cmp"
	"fmt"
	"slices"
)

// An anchor is where a mark goes into the text.
type anchor struct {
	at     int    // offset in the text
	offset string // content of the offset element; "" for none
}

// A Placer finds the places of directions, each in a time that does not grow with the
// measure. [NewPlacer] makes one.
type Placer struct {
	score    *Score
	measures map[measureOf]*placedMeasure
}

type measureOf struct {
	part    *Part
	measure int
}

// NewPlacer returns a placer for a score.
func NewPlacer(s *Score) *Placer { return &Placer{s, map[measureOf]*placedMeasure{}} }

// Place returns where a mark goes into the text: the offset in bytes of what it stands
// before, and what its offset element says, "" for none. The errors are those of
// [Score.Edits], without their places.
func (p *Placer) Place(m *Mark) (at int, offset string, err error) {
	a, err := p.anchor(m)
	return a.at, a.offset, err
}

// check refuses marks that name what the score does not have.
func (p *Placer) check(m *Mark) error {
	switch {
	case m.Part == nil || !slices.Contains(p.score.Parts, m.Part):
		return fmt.Errorf("a mark belongs to no part of the score")
	case m.Measure < 0 || m.Measure >= len(m.Part.Measures) || m.Part.Measures[m.Measure].End < 0:
		return fmt.Errorf("the part has no such measure to put a mark into")
	case m.Before >= len(m.Part.Notes) || m.Before >= 0 && m.Part.Notes[m.Before].Measure != m.Measure:
		return fmt.Errorf("the measure has no such note to put a mark before")
	}
	return nil
}

// anchor finds the place of a mark.
func (p *Placer) anchor(m *Mark) (anchor, error) {
	if err := p.check(m); err != nil {
		return anchor{}, err
	}
	if m.Before >= 0 {
		return anchor{at: m.Part.Notes[m.Before].begin()}, nil
	}
	key := measureOf{m.Part, m.Measure}
	in := p.measures[key]
	if in == nil {
		in = newPlacedMeasure(m.Part, m.Measure)
		p.measures[key] = in
	}
	if head := m.Part.Measures[m.Measure].RestHead; head > 0 && m.Offset.Sign() == 0 {
		return anchor{at: head}, nil
	}
	at := m.Part.Measures[m.Measure].Start.Add(m.Offset)
	lastGrace := -1
	if begins := in.begins[at]; begins != nil {
		lastGrace = begins.lastGrace
		if i, ok := begins.byStaff[m.Staff]; ok {
			return anchor{in.notes[i].begin(), in.apart(m, i)}, nil
		}
		if begins.first >= 0 {
			return anchor{in.notes[begins.first].begin(), in.apart(m, begins.first)}, nil
		}
	}
	return in.between(m, at, lastGrace)
}

// apart is the offset of a mark at a note that is to be printed apart; "" where a
// division is more than half of the note, or where something begins then. A part of a
// division would do as well, but there are programs that read whole numbers only.
func (in *placedMeasure) apart(m *Mark, note int) string {
	n := &in.notes[note]
	if !m.Apart || n.Length.Less(n.Division().Add(n.Division())) || in.begins[n.Onset.Add(n.Division())] != nil {
		return ""
	}
	return "1"
}

// A placedMeasure is the notes of a measure of one part, sorted for marks.
type placedMeasure struct {
	notes   []Note
	begins  map[Frac]*beginning
	byStaff map[int][]int // the notes without chord of each staff, the latest first; those of one time in the order of the file
	all     []int         // the same of all staves
}

// A beginning is what begins at one time of a measure: indexes into its notes.
type beginning struct {
	lastGrace int         // the last grace note; -1 if there is none
	first     int         // the first note without chord after it; -1 if there is none
	byStaff   map[int]int // the same of each staff
}

func newPlacedMeasure(p *Part, measure int) *placedMeasure {
	_, notes := p.NotesOf(measure)
	in := &placedMeasure{notes: notes, begins: map[Frac]*beginning{}, byStaff: map[int][]int{}}
	for i := range notes {
		n := &notes[i]
		b := in.begins[n.Onset]
		if b == nil {
			b = &beginning{lastGrace: -1, first: -1, byStaff: map[int]int{}}
			in.begins[n.Onset] = b
		}
		if n.Kind == Grace {
			// What stands before a grace note in the file is not behind it.
			b.lastGrace, b.first = i, -1
			clear(b.byStaff)
		}
		if n.Chord {
			continue
		}
		in.all = append(in.all, i)
		if n.Kind == Grace {
			continue
		}
		if b.first < 0 {
			b.first = i
		}
		if _, known := b.byStaff[n.Staff]; !known {
			b.byStaff[n.Staff] = i
		}
	}
	slices.SortStableFunc(in.all, func(a, b int) int { return notes[b].Onset.Cmp(notes[a].Onset) })
	for _, i := range in.all {
		in.byStaff[notes[i].Staff] = append(in.byStaff[notes[i].Staff], i)
	}
	return in
}

// between finds a place for a mark at a time at which no note begins: the last
// note before it on its staff, else on another, else the start or end of the
// measure, with the distance as a decimal number of divisions. lastGrace is the
// last grace note at that time, behind which the mark stands, -1 if there is none.
func (in *placedMeasure) between(m *Mark, at Frac, lastGrace int) (anchor, error) {
	for _, list := range [][]int{in.byStaff[m.Staff], in.all} {
		if a, ok := in.lastBefore(list, at, lastGrace); ok {
			return a, nil
		}
	}
	pm := &m.Part.Measures[m.Measure]
	if lastGrace < 0 {
		if text, ok := m.Offset.Mul(pm.HeadDivisions).Decimal(); ok {
			return anchor{pm.Head, nonZero(text)}, nil
		}
	}
	if text, ok := m.Offset.Sub(pm.Cursor).Mul(pm.EndDivisions).Decimal(); ok {
		return anchor{pm.End, nonZero(text)}, nil
	}
	return anchor{}, fmt.Errorf("a mark at %v quarter notes cannot be written in this measure's divisions", m.Offset)
}

// mostTried is how many notes are tried as a place to count from. Nearly always
// the first will do; where none of so many does, the distance is a fraction that
// has no decimals in any of the measure's divisions.
const mostTried = 1000

// lastBefore finds the last note of a list before a time from which the distance
// can be written.
func (in *placedMeasure) lastBefore(list []int, at Frac, lastGrace int) (anchor, bool) {
	from, _ := slices.BinarySearchFunc(list, at, func(i int, t Frac) int {
		return cmp.Or(t.Cmp(in.notes[i].Onset), -1) // those at the time itself go before
	})
	for _, i := range list[from:min(len(list), from+mostTried)] {
		n := &in.notes[i]
		if i <= lastGrace {
			continue
		}
		if text, ok := at.Sub(n.Onset).Mul(n.Divisions).Decimal(); ok {
			return anchor{n.begin(), text}, true
		}
	}
	return anchor{}, false
}

func nonZero(text string) string {
	if text == "0" {
		return ""
	}
	return text
}
