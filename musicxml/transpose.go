package musicxml

import (
	"cmp"
	"context"
	"slices"

	"pedalogue/musicxml/internal/xmltext"
)

// A Transposed is what moves music by an interval.
type Transposed struct {
	Edits []Edit // in the order of the document; they are not taken out by [Document.Strip]
	// Respelt are the key signatures that would have had more than seven signs: each is
	// written as the same key spelt otherwise, and so are the notes until the next one.
	Respelt []KeyAt
	// Left is what could not be moved and has stayed, or has moved to where the format
	// does not reach: "transpose-left", each kind once a part.
	Left []Warning
}

// A KeyAt is a key signature of a part, as it is then.
type KeyAt struct {
	Part   *Part // that it stands in
	Key    int   // index into Part.Keys
	Fifths int   // as it is written then: sharps; flats are negative
}

// Transpose moves the written music of parts by an interval: pitches, key
// signatures, accidentals and chord symbols. What is played at a transposing
// instrument's pitch keeps its transposition, so that all sounds move alike.
// Accidentals that become necessary are put in, those that become needless are
// taken out; reminders stay, with their new sign, and so does the want of one that
// was wanting. All else stays byte for byte. Parts are all parts where nil; one that
// has only a percussion clef and no pitches is left alone.
//
// Errors are those of [Document.Splice] where the document is not the one that was
// read, and of a context that has ended.
func (s *Score) Transpose(ctx context.Context, doc *Document, by Interval, parts []*Part) (Transposed, error) {
	if parts == nil {
		parts = s.Parts
	}
	t := transposer{score: s, doc: doc, by: by, left: map[string]bool{}}
	if by == (Interval{}) {
		return t.out, nil
	}
	var places []moved
	for _, p := range parts {
		if !p.onlyPercussion() {
			places = append(places, t.places(p)...)
		}
	}
	slices.SortFunc(places, func(a, b moved) int { return cmp.Compare(a.start, b.start) })
	starts := make([]int, len(places))
	for i := range places {
		starts[i] = places[i].start
	}
	next := 0
	err := xmltext.Each(ctx, doc.Text, starts, func(e *xmltext.Element) {
		for ; next < len(places) && places[next].start == e.Start; next++ {
			t.move(&places[next], e)
		}
	})
	if err != nil {
		return Transposed{}, doc.placed(err)
	}
	if next < len(places) {
		return Transposed{}, placed(doc.Name, fault("", "no element begins at byte %d of the text: the document is not the one that was read", places[next].start))
	}
	return t.out, nil
}

func (p *Part) onlyPercussion() bool {
	for _, sign := range p.Clefs {
		if sign != "percussion" {
			return false
		}
	}
	return len(p.Clefs) > 0 && !slices.ContainsFunc(p.Notes, func(n Note) bool { return n.hasPitch() })
}

// A moved is an element that moves: a note, a key signature or a chord symbol.
type moved struct {
	start int
	part  *Part
	by    Interval
	note  int // index into Part.Notes; -1 for another element
	key   int // index into Part.Keys; -1 for another element
	// Does a note need an accidental, before and after?
	before, after bool
}

// A transposer moves parts of a score.
type transposer struct {
	score *Score
	doc   *Document
	by    Interval
	out   Transposed
	left  map[string]bool // kinds that have been told, by part
}

// places lists what moves in a part, and how.
func (t *transposer) places(p *Part) []moved {
	keys := slices.Clone(p.Keys)
	byKey := make(map[int]Interval, len(keys)) // by the offset of the signature
	var list []moved
	for i := range keys {
		k := &keys[i]
		by := t.by
		if k.Steps == nil {
			by, k.Fifths = t.by.asKey(k.Fifths)
		} else {
			k.Steps = t.by.moveSteps(k.Steps)
		}
		if by != t.by {
			t.out.Respelt = append(t.out.Respelt, KeyAt{p, i, k.Fifths})
		}
		byKey[k.Start] = by
		list = append(list, moved{start: k.Start, part: p, by: by, note: -1, key: i})
	}
	before, after := keysByStaff(p, p.Keys), keysByStaff(p, keys)
	by := make([]Interval, len(p.Notes))
	for i := range p.Notes {
		by[i] = t.by
		if k := before.at(&p.Notes[i]); k >= 0 {
			by[i] = byKey[before[p.Notes[i].Staff][k].Start]
		}
	}
	// What goes on from a tie keeps its name.
	for i := range p.Notes {
		for j := p.Notes[i].TiedTo; !p.Notes[i].Tied && j >= 0; j = p.Notes[j].TiedTo {
			by[j] = by[i]
		}
	}
	for _, h := range p.Harmonies {
		m := moved{start: h.Start, part: p, by: t.by, note: -1, key: -1}
		at := Note{Measure: h.Measure, Onset: h.Onset, Staff: min(h.Staff, p.Staves)}
		if k := before.at(&at); k >= 0 {
			m.by = byKey[before[at.Staff][k].Start]
		}
		if len(list) == 0 || list[len(list)-1].start != m.start {
			list = append(list, m)
		}
	}
	return append(list, t.notes(p, by, before, after)...)
}

// notes lists the notes of a part that move, with the accidentals that they need.
func (t *transposer) notes(p *Part, by []Interval, before, after staffKeys) []moved {
	continued := p.continuations()
	was := func(i int) Pitch { return p.Notes[i].Pitch }
	is := func(i int) Pitch { return by[i].Move(p.Notes[i].Pitch) }
	var list []moved
	for k := range p.Measures {
		for staff := 1; staff <= p.Staves; staff++ {
			notes := p.pitched(measureStaff{k, staff})
			need, now := p.needsSign(notes, was, before, continued), p.needsSign(notes, is, after, continued)
			for _, i := range notes {
				list = append(list, moved{start: p.Notes[i].Start, part: p, by: by[i], note: i, key: -1, before: need[i], after: now[i]})
			}
		}
	}
	return list
}

// moveSteps moves a key signature of single steps.
func (i Interval) moveSteps(steps []KeyStep) []KeyStep {
	list := make([]KeyStep, len(steps))
	for j, k := range steps {
		list[j], _ = i.moveStep(k)
	}
	return list
}

// move makes the edits of one element.
func (t *transposer) move(m *moved, e *xmltext.Element) {
	switch {
	case m.note >= 0:
		t.moveNote(m, e)
	case m.key >= 0:
		t.moveKey(m, e)
	default:
		t.moveHarmony(m, e)
	}
}

// moveKey moves a key signature, and the count of signs that it cancels.
func (t *transposer) moveKey(m *moved, e *xmltext.Element) {
	if fifths := e.Child("fifths"); fifths != nil {
		_, now := t.by.asKey(m.part.Keys[m.key].Fifths)
		t.setText(fifths, itoa(now))
	}
	if c := e.Child("cancel"); c != nil {
		if n, ok := whole(c.Text); ok {
			_, now := t.by.asKey(n)
			t.setText(c, itoa(now))
		}
	}
	var octaves []int // by how many octaves each step has come out of its own
	for c := e.First; c != nil; c = c.Next {
		if c.Name != "key-step" {
			continue
		}
		k := KeyStep{Step: c.Trimmed()[0]}
		alter := c.Next
		for alter != nil && alter.Name != "key-alter" {
			alter = alter.Next
		}
		if alter == nil {
			continue
		}
		k.Alter, _ = ParseDecimal(alter.Text)
		now, octave := m.by.moveStep(k)
		octaves = append(octaves, octave)
		t.setText(c, string(now.Step))
		text, _ := now.Alter.Decimal()
		t.setText(alter, text)
	}
	for c := e.First; c != nil; c = c.Next {
		if n, ok := whole(c.Attr("number")); c.Name == "key-octave" && ok && n >= 1 && n <= len(octaves) {
			if octave, ok := whole(c.Text); ok {
				t.setText(c, itoa(octave+octaves[n-1]))
			}
		}
	}
}

// moveHarmony moves the chords of a harmony element.
func (t *transposer) moveHarmony(m *moved, e *xmltext.Element) {
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "root", "bass":
			t.moveChordStep(m, c, c.Name)
		case "numeral":
			if f := c.Child("numeral-key").Child("numeral-fifths"); f != nil {
				if n, ok := whole(f.Text); ok {
					_, now := t.by.asKey(n)
					t.setText(f, itoa(now))
				}
			}
		case "frame":
			t.leave(m, e, "the frame of a chord, which shows fingers on frets, does not move with the music")
		}
	}
}

// moveChordStep moves the root or bass of a chord.
func (t *transposer) moveChordStep(m *moved, e *xmltext.Element, name string) {
	was := chordStep(e, name)
	if was == nil {
		return
	}
	now, _ := m.by.moveStep(*was)
	step := e.Child(name + "-step")
	if step.Attr("text") != "" {
		t.leave(m, e, "the text that is printed for the root of a chord does not move with the music")
	}
	t.setText(step, string(now.Step))
	t.setAlter(step, e.Child(name+"-alter"), name+"-alter", now.Alter)
}

// leave tells what has not been moved.
func (t *transposer) leave(m *moved, e *xmltext.Element, what string) {
	key := m.part.ID + "\n" + what
	if t.left[key] {
		return
	}
	t.left[key] = true
	w := Warning{Code: "transpose-left", Part: m.part.ID, Index: -1, Line: xmltext.Line(t.doc.Text, e.Start),
		Text: what}
	if m.note >= 0 {
		w.Index = m.part.Notes[m.note].Measure
		w.Measure = t.score.Measures[w.Index].Number
	}
	t.out.Left = append(t.out.Left, w)
}
