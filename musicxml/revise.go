package musicxml

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"

	"pedalogue/musicxml/internal/xmltext"
)

// A Revision changes the music at a note, and at all that goes on from it by ties.
type Revision struct {
	Part   *Part
	Note   int // index into Part.Notes, of a note with a pitch that is attacked
	Do     RevisionKind
	Pitch  Pitch // of Repitch: what it is instead
	Staff  int   // of Restaff: on which staff of the part it is written, from 1
	Length Frac  // of CutShort: how long it is then, one of those of Part.Shorter
	Hold   bool  // of Repitch: it is held to the string of its new letter, as Score.Hold does
}

// A RevisionKind is what a revision does. The zero value takes the note out.
type RevisionKind uint8

// The kinds of revisions.
const (
	TakeOut  RevisionKind = iota // of its chord; where it stands alone, a rest takes its place
	Repitch                      // it is written at another pitch
	Restaff                      // it is written on another staff
	RollIt                       // it gets an arpeggio sign
	CutShort                     // it ends sooner
	AsGrace                      // it is taken out, and stands as a grace note before what it was struck with
)

// Revise returns the edits that change the music itself: [Document.Strip] does not undo
// them. Every voice stays as long as it was, beams and tuplets stay with their chords,
// and accidentals that become necessary later in the measure are put in, those that
// become needless taken out. A note that goes out of the head of a chord leaves beams,
// slurs and what else stands there to the next one.
//
// A note that is not there, has no pitch or cannot be changed so is an error, as is a
// document that is not the one that was read, and a context that has ended.
func (s *Score) Revise(ctx context.Context, doc *Document, list []Revision) ([]Edit, error) {
	var edits []Edit
	for _, p := range s.Parts {
		v := newReviser(s, doc, p)
		for _, l := range list {
			if l.Part != p {
				continue
			}
			if err := v.take(&l); err != nil {
				return nil, &Error{File: doc.Name, Part: p.ID, Err: err}
			}
		}
		if len(v.touched) == 0 {
			continue
		}
		if err := v.readAgain(ctx); err != nil {
			return nil, err
		}
		v.write()
		edits = append(edits, v.edits...)
	}
	slices.SortStableFunc(edits, func(a, b Edit) int { return cmp.Compare(a.Start, b.Start) })
	return edits, nil
}

// Shorter lists the lengths, longest first, to which a note can be cut: those at which
// something is tied to it. It is nil for a note that nothing is tied to.
func (p *Part) Shorter(note int) []Frac {
	var list []Frac
	n := &p.Notes[note]
	for i := note; p.Notes[i].TiedTo >= 0; i = p.Notes[i].TiedTo {
		list = append(list, p.Notes[i].Ends().Sub(n.Onset))
	}
	slices.Reverse(list)
	return list
}

// A reviser revises notes of one part.
type reviser struct {
	score    *Score
	doc      *Document
	part     *Part
	out      map[int]bool
	pitches  map[int]Pitch
	staves   map[int]int
	held     map[int]bool // to the strings of their letters
	rolled   map[int]bool
	untied   map[int]bool // nothing is tied to them any more
	unbeamed map[int]bool // grace notes whose beams are taken off
	early    map[int]bool // notes that become grace notes
	touched  map[int]bool // by the first note of their chord
	chords   map[int][]int
	elements map[int]*xmltext.Element
	edits    []Edit
	signs    map[int]string // accidentals as they are to be, by note; missing where they stay
}

func newReviser(s *Score, doc *Document, p *Part) *reviser {
	return &reviser{score: s, doc: doc, part: p, out: map[int]bool{}, pitches: map[int]Pitch{}, staves: map[int]int{}, held: map[int]bool{}, rolled: map[int]bool{},
		untied: map[int]bool{}, unbeamed: map[int]bool{}, early: map[int]bool{}, touched: map[int]bool{}, chords: map[int][]int{}, signs: map[int]string{}}
}

// chain is a note and all that goes on from it.
func (v *reviser) chain(note int) []int {
	var list []int
	for i := note; i >= 0 && len(list) <= len(v.part.Notes); i = v.part.Notes[i].TiedTo {
		list = append(list, i)
	}
	return list
}

// take takes a revision in.
func (v *reviser) take(l *Revision) error {
	if l.Note < 0 || l.Note >= len(v.part.Notes) || !v.part.Notes[l.Note].hasPitch() {
		return fmt.Errorf("there is no note %d with a pitch to be changed", l.Note)
	}
	chain := v.chain(l.Note)
	switch l.Do {
	case TakeOut, AsGrace:
		if l.Do == AsGrace {
			if v.part.Notes[l.Note].Kind == Grace {
				return fmt.Errorf("note %d is a grace note already", l.Note)
			}
			v.early[l.Note] = true
		}
		v.outAll(chain)
	case Repitch:
		v.held[l.Note] = v.held[l.Note] || l.Hold
		for _, i := range chain {
			v.pitches[i] = l.Pitch
		}
	case Restaff:
		if l.Staff < 1 || l.Staff > v.part.Staves {
			return fmt.Errorf("the part has no staff %d", l.Staff)
		}
		for _, i := range chain {
			v.staves[i] = l.Staff
		}
	case RollIt:
		v.rolled[l.Note] = true
		chain = chain[:1]
	case CutShort:
		k := slices.IndexFunc(chain, func(i int) bool { return v.part.Notes[i].Ends().Sub(v.part.Notes[l.Note].Onset).Cmp(l.Length) == 0 })
		if k < 0 || k+1 == len(chain) {
			return fmt.Errorf("note %d cannot be cut to %v quarter notes", l.Note, l.Length)
		}
		v.untied[chain[k]] = true
		v.outAll(chain[k+1:])
		chain = chain[k:]
	default:
		return fmt.Errorf("there is no revision %d", l.Do)
	}
	for _, i := range chain {
		v.touched[v.part.Notes[i].Head] = true
	}
	return nil
}

func (v *reviser) outAll(notes []int) {
	for _, i := range notes {
		v.out[i] = true
	}
}

// readAgain reads the notes of the touched measures from the document, and sorts them
// by chords.
func (v *reviser) readAgain(ctx context.Context) (err error) {
	measures := map[int]bool{}
	for head := range v.touched {
		measures[v.part.Notes[head].Measure] = true
	}
	var starts []int
	for m := range measures {
		first, notes := v.part.NotesOf(m)
		for i := range notes {
			starts = append(starts, notes[i].Start)
			v.chords[notes[i].Head] = append(v.chords[notes[i].Head], first+i)
		}
	}
	slices.Sort(starts)
	if v.elements, err = v.doc.elements(ctx, starts); err != nil {
		return err
	}
	now := v.restaffed()
	keys, continued := keysByStaff(v.part, v.part.Keys), v.part.continuations()
	for m := range measures {
		v.resign(m, now, keys, continued)
	}
	return nil
}

// restaffed is the part with the notes on the staves on which they are then.
func (v *reviser) restaffed() *Part {
	now := *v.part
	if len(v.staves) > 0 {
		now.Notes = slices.Clone(v.part.Notes)
		for i, staff := range v.staves {
			now.Notes[i].Staff = staff
		}
	}
	return &now
}

func (v *reviser) element(i int) *xmltext.Element { return v.elements[v.part.Notes[i].Start] }

func (v *reviser) pitch(i int) Pitch {
	if p, ok := v.pitches[i]; ok {
		return p
	}
	return v.part.Notes[i].Pitch
}

// resign finds out which notes of a measure get another accidental, or none. now is
// the part with its notes on their new staves.
func (v *reviser) resign(measure int, now *Part, keys staffKeys, continued map[int]bool) {
	before, after := map[int]bool{}, map[int]bool{}
	for staff := 1; staff <= v.part.Staves; staff++ {
		at := measureStaff{measure, staff}
		for i, needs := range v.part.needsSign(v.part.pitched(at), func(i int) Pitch { return v.part.Notes[i].Pitch }, keys, continued) {
			before[i] = needs
		}
		stays := slices.DeleteFunc(now.pitched(at), func(i int) bool { return v.out[i] && !v.early[i] })
		for i, needs := range now.needsSign(stays, v.pitch, keys, continued) {
			after[i] = needs
		}
	}
	for i, needs := range after {
		_, moved := v.pitches[i]
		_, given := v.staves[i]
		name := signName(v.pitch(i).Alter)
		switch has := v.part.Notes[i].Accidental; {
		case moved || given:
			v.signs[i] = ""
			if needs {
				v.signs[i] = name
			}
		case needs == before[i]:
		case needs && has == "" && name != "":
			v.signs[i] = name
		case !needs && has != "":
			v.signs[i] = ""
		}
	}
}

// write makes the edits.
func (v *reviser) write() {
	done := map[int]bool{}
	for _, head := range slices.Sorted(maps.Keys(v.touched)) {
		for _, i := range v.chords[head] {
			done[i] = true
		}
		v.chord(v.chords[head])
	}
	for _, i := range slices.Sorted(maps.Keys(v.signs)) {
		if !done[i] {
			v.sign(v.element(i), v.signs[i])
		}
	}
}

// chord revises the notes of one chord, the first of them its head.
func (v *reviser) chord(notes []int) {
	for _, i := range notes {
		if v.early[i] {
			v.grace(notes[0], i)
		}
	}
	kept := slices.DeleteFunc(slices.Clone(notes), func(i int) bool { return v.out[i] })
	head := notes[0]
	switch {
	case len(kept) == 0 && v.part.Notes[head].Kind == Grace:
		v.unbeam(head)
		for _, i := range notes {
			v.cut(v.element(i))
		}
		return
	case len(kept) == 0:
		v.rest(v.element(head))
		for _, i := range notes[1:] {
			v.cut(v.element(i))
		}
		return
	case kept[0] == head:
		v.note(head, v.element(head), false)
	default:
		v.note(kept[0], v.element(head), true)
		v.cut(v.element(kept[0]))
	}
	for _, i := range notes[1:] {
		switch {
		case v.out[i]:
			v.cut(v.element(i))
		case i != kept[0]:
			v.note(i, v.element(i), false)
		}
	}
}

// note writes a note as it is to be into an element: its own, or, where another note
// stands there, that of the head of its chord.
func (v *reviser) note(i int, e *xmltext.Element, other bool) {
	own := v.element(i)
	pitch, moved := v.pitches[i]
	if moved || other {
		if !moved {
			pitch = v.part.Notes[i].Pitch
		}
		v.setPitch(e.Child("pitch"), pitch)
	}
	sign, changed := v.signs[i]
	switch {
	case changed:
		v.sign(e, sign)
	case other:
		v.copySign(e, own)
	}
	if other || v.untied[i] {
		v.ties(e, own, !v.untied[i])
	}
	if staff, given := v.staves[i]; given && e.Has("staff") {
		v.setText(e.Child("staff"), itoa(staff))
	} else if other && own.Has("staff") && e.Has("staff") {
		v.setText(e.Child("staff"), own.ChildText("staff"))
	}
	if v.rolled[i] {
		v.roll(e)
	}
	if v.held[i] {
		v.edits = append(v.edits, Edit{Start: e.Start, End: e.Start, New: holding(pitch.Step)})
	}
}
