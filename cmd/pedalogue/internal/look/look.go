// Package look tells what is read in a score, as the command look does.
package look

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"

	"pedalogue/musicxml"
)

// Format is the version of the JSON layout.
const Format = 1

// A Sight is what the reader sees in a file, as `look --json` prints it.
type Sight struct {
	Format    int             `json:"format"`
	Score     string          `json:"score"`
	Error     string          `json:"error,omitempty"`
	Root      string          `json:"root,omitempty"`
	Title     string          `json:"title,omitempty"`
	Encoding  *seenEncoding   `json:"encoding,omitempty"`
	Container *seenContainer  `json:"container"`
	Parts     []seenPart      `json:"parts,omitempty"`
	Players   []seenPlayer    `json:"players,omitempty"`
	Measures  []seenMeasure   `json:"measures,omitempty"`
	Events    []seenEvent     `json:"events"`
	Keys      []seenKey       `json:"keys"`
	Transpose []seenTranspose `json:"transpose"`
	Pedals    []seenPedals    `json:"harp_pedals"`
	Marks     []seenMark      `json:"marks"`
	Tremolos  []seenTremolo   `json:"tremolo_pairs"`
	Glissandi []seenGlissando `json:"glissandi"`
	Texts     []seenText      `json:"directions"`
	Playback  []string        `json:"playback"`
	Order     []int           `json:"playback_index"`
	Literal   []string        `json:"playback_literal,omitempty"`
	LiteralIx []int           `json:"playback_literal_index,omitempty"`
	Warnings  []seenWarning   `json:"warnings"`
}

type seenEncoding struct {
	Name     string  `json:"name"`
	BOM      bool    `json:"bom"`
	Declared *string `json:"declared"` // null without a declaration
	Newline  string  `json:"newline"`
}

type seenContainer struct {
	Rootfile    string   `json:"rootfile"`
	Entries     []string `json:"entries"`
	Stored      []string `json:"stored"`
	Descriptors bool     `json:"descriptors"`
}

type seenPart struct {
	ID       string `json:"id"`
	Name     string `json:"name"`
	Harp     bool   `json:"harp"`
	Clue     string `json:"clue"`
	Measures int    `json:"measures"`
	Staves   int    `json:"staves"`
}

type seenPlayer struct {
	Name  string   `json:"name"`
	Parts []string `json:"parts"`
}

type seenMeasure struct {
	Index    int    `json:"index"`
	Number   string `json:"number"`
	Start    string `json:"start"`
	Length   string `json:"length"`
	Implicit bool   `json:"implicit"`
}

// A seenPlace is a position in the terms of the reading cases.
type seenPlace struct {
	Part    string `json:"part"`
	Measure string `json:"measure"`
	Index   int    `json:"index"`
	Onset   string `json:"onset"`
}

type seenEvent struct {
	seenPlace
	Kind       string              `json:"kind"`
	Pitches    []string            `json:"pitches"`
	GraceOrder int                 `json:"grace_order,omitempty"`
	Tied       []string            `json:"tied,omitempty"`
	Hidden     []string            `json:"hidden,omitempty"`
	Ends       map[string]string   `json:"ends,omitempty"`
	Staves     map[string][]string `json:"staves,omitempty"`
	Count      int                 `json:"count,omitempty"`
	Instrument string              `json:"instrument,omitempty"`
}

type seenKey struct {
	seenPlace
	Staff  *int              `json:"staff"` // null for all staves
	Fifths *int              `json:"fifths,omitempty"`
	Steps  map[string]string `json:"steps,omitempty"`
}

type seenTranspose struct {
	seenPlace
	Staff     *int `json:"staff"`
	Diatonic  int  `json:"diatonic"`
	Chromatic int  `json:"chromatic"`
	Octave    int  `json:"octave"`
}

type seenPedals struct {
	seenPlace
	Staff      int               `json:"staff"`
	Tunings    map[string]string `json:"tunings"`
	Complete   bool              `json:"complete"`
	Duplicates []string          `json:"duplicates,omitempty"`
}

type seenTremolo struct {
	seenPlace
	End     string   `json:"end"`
	Pitches []string `json:"pitches"`
}

type seenGlissando struct {
	seenPlace
	End  string `json:"end"`
	From string `json:"from"`
	To   string `json:"to"`
}

type seenText struct {
	seenPlace
	Staff int    `json:"staff"`
	Words string `json:"words"`
}

type seenWarning struct {
	Code    string `json:"code"`
	Part    string `json:"part,omitempty"`
	Measure string `json:"measure,omitempty"`
	Index   *int   `json:"index,omitempty"`
	Line    int    `json:"line,omitempty"`
	Text    string `json:"text"`
}

// Unread is the sight of a score that could not be read.
func Unread(path string, err error) *Sight {
	return &Sight{
		Format: Format, Score: path, Error: err.Error(), Order: []int{}, Playback: []string{},
		Events: []seenEvent{}, Keys: []seenKey{}, Transpose: []seenTranspose{}, Pedals: []seenPedals{}, Marks: []seenMark{},
		Tremolos: []seenTremolo{}, Glissandi: []seenGlissando{}, Texts: []seenText{}, Warnings: []seenWarning{},
	}
}

// See tells what the reader sees in a score.
func See(ctx context.Context, doc *musicxml.Document, score *musicxml.Score) *Sight {
	s := &Sight{
		Format: Format, Score: doc.Name, Root: score.Root, Title: score.Title,
		Encoding: &seenEncoding{Name: doc.Encoding.Name, BOM: doc.Encoding.BOM, Newline: doc.Encoding.Newline},
		Order:    score.Order, LiteralIx: score.Literal,
		Events: []seenEvent{}, Keys: []seenKey{}, Transpose: []seenTranspose{}, Pedals: []seenPedals{}, Marks: []seenMark{},
		Tremolos: []seenTremolo{}, Glissandi: []seenGlissando{}, Texts: []seenText{}, Warnings: []seenWarning{},
	}
	if doc.Encoding.Declared != "" {
		s.Encoding.Declared = &doc.Encoding.Declared
	}
	if c := doc.Container; c != nil {
		s.Container = &seenContainer{c.Rootfile, c.Entries, append([]string{}, c.Stored...), c.Descriptors}
	}
	for i, m := range score.Measures {
		s.Measures = append(s.Measures, seenMeasure{i, m.Number, m.Start.String(), m.Length.String(), m.Implicit})
	}
	s.Playback = numbersOf(score, score.Order)
	s.Literal = numbersOf(score, score.Literal)
	for _, pl := range score.Players() {
		p := seenPlayer{Name: pl.Name}
		for _, part := range pl.Parts {
			p.Parts = append(p.Parts, part.ID)
		}
		s.Players = append(s.Players, p)
	}
	own, err := doc.Strip(ctx)
	if err != nil {
		own = musicxml.Strip{} // damaged comments are nobody's
	}
	for _, p := range score.Parts {
		s.Parts = append(s.Parts, seenPart{p.ID, p.Name, p.Harp, p.Clue, len(p.Measures), p.Staves})
		if p.Harp {
			s.addHarp(p)
			s.addMarks(p, own.Places)
		}
	}
	for _, w := range slices.Concat(score.Warnings, own.Kept) {
		seen := seenWarning{Code: w.Code, Part: w.Part, Measure: w.Measure, Line: w.Line, Text: w.Text}
		if w.Index >= 0 {
			seen.Index = &w.Index
		}
		s.Warnings = append(s.Warnings, seen)
	}
	return s
}

func numbersOf(score *musicxml.Score, order []int) []string {
	var numbers []string
	for _, k := range order {
		numbers = append(numbers, score.Measures[k].Number)
	}
	return numbers
}

func placeIn(p *musicxml.Part, measure int, onset musicxml.Frac) seenPlace {
	return seenPlace{p.ID, p.Measures[measure].Number, measure, onset.String()}
}

// staffOrNull is nil for all staves.
func staffOrNull(staff int) *int {
	if staff == 0 {
		return nil
	}
	return &staff
}

func decimalText(f musicxml.Frac) string {
	text, _ := f.Decimal()
	return text
}

// addHarp adds what a harp part holds.
func (s *Sight) addHarp(p *musicxml.Part) {
	s.Events = append(s.Events, eventsOf(p)...)
	for _, k := range p.Keys {
		seen := seenKey{seenPlace: placeIn(p, k.Measure, k.Onset), Staff: staffOrNull(k.Staff)}
		if k.Steps == nil {
			seen.Fifths = &k.Fifths
		} else {
			seen.Steps = map[string]string{}
			for _, step := range k.Steps {
				seen.Steps[string(step.Step)] = decimalText(step.Alter)
			}
		}
		s.Keys = append(s.Keys, seen)
	}
	for _, t := range p.Transposes {
		s.Transpose = append(s.Transpose, seenTranspose{placeIn(p, t.Measure, t.Onset), staffOrNull(t.Staff), t.Diatonic, t.Chromatic, t.Octave})
	}
	for _, h := range p.Settings {
		seen := seenPedals{seenPlace: placeIn(p, h.Measure, h.Onset), Staff: h.Staff, Tunings: map[string]string{}, Complete: h.Complete()}
		for _, t := range h.Tunings {
			seen.Tunings[string(t.Step)] = decimalText(t.Alter)
		}
		for _, d := range h.Duplicates {
			seen.Duplicates = append(seen.Duplicates, string(d))
		}
		s.Pedals = append(s.Pedals, seen)
	}
	for _, t := range p.Tremolos {
		from, to := &p.Notes[t.From], &p.Notes[t.To]
		s.Tremolos = append(s.Tremolos, seenTremolo{placeIn(p, from.Measure, from.Onset), to.Ends().String(),
			append(chordOf(p, t.From), chordOf(p, t.To)...)})
	}
	for _, g := range p.Glissandi {
		from, to := &p.Notes[g.From], &p.Notes[g.To]
		s.Glissandi = append(s.Glissandi, seenGlissando{placeIn(p, from.Measure, from.Onset), to.Onset.String(), from.Pitch.String(), to.Pitch.String()})
	}
	for _, d := range p.Directions {
		s.Texts = append(s.Texts, seenText{placeIn(p, d.Measure, d.Onset), d.Staff, d.Words})
	}
}

// chordOf lists the pitches of the chord that a note without chord begins.
func chordOf(p *musicxml.Part, head int) []string {
	pitches := []string{p.Notes[head].Pitch.String()}
	for i := head + 1; i < len(p.Notes) && p.Notes[i].Head == head; i++ {
		pitches = append(pitches, p.Notes[i].Pitch.String())
	}
	return pitches
}

var kindNames = map[musicxml.Kind]string{
	musicxml.Sounding: "note", musicxml.Grace: "grace", musicxml.Cue: "cue", musicxml.Unpitched: "unpitched",
}

// An eventKey is what the notes of one event share.
type eventKey struct {
	measure    int
	onset      musicxml.Frac
	kind       musicxml.Kind
	grace      int // index of the grace note that begins the grace chord
	instrument int
}

// eventsOf groups the notes of a part: one event for all that begin together
// and are of one kind.
func eventsOf(p *musicxml.Part) []seenEvent {
	byKey := map[eventKey][]int{}
	var keys []eventKey
	for i := range p.Notes {
		n := &p.Notes[i]
		if n.Kind == musicxml.Rest {
			continue
		}
		k := eventKey{measure: n.Measure, onset: n.Onset, kind: n.Kind}
		if n.Kind == musicxml.Grace {
			k.grace = n.Head
		}
		if len(p.Instruments) > 1 {
			k.instrument = n.Instrument
		}
		if byKey[k] == nil {
			keys = append(keys, k)
		}
		byKey[k] = append(byKey[k], i)
	}
	slices.SortStableFunc(keys, func(a, b eventKey) int {
		return cmp.Or(cmp.Compare(a.measure, b.measure), a.onset.Cmp(b.onset), -compareGrace(a, b))
	})
	events := make([]seenEvent, 0, len(keys))
	graces := map[string]int{}
	for _, k := range keys {
		e := eventOf(p, k, byKey[k])
		if k.kind == musicxml.Grace {
			at := fmt.Sprint(k.measure, k.onset)
			graces[at]++
			e.GraceOrder = graces[at]
		}
		events = append(events, e)
	}
	return events
}

// compareGrace is 1 if a is a grace note and b is not, -1 the other way round.
func compareGrace(a, b eventKey) int {
	isGrace := func(k eventKey) int {
		if k.kind == musicxml.Grace {
			return 1
		}
		return 0
	}
	return cmp.Compare(isGrace(a), isGrace(b))
}

func eventOf(p *musicxml.Part, k eventKey, notes []int) seenEvent {
	e := seenEvent{seenPlace: placeIn(p, k.measure, k.onset), Kind: kindNames[k.kind], Pitches: []string{}}
	if len(p.Instruments) > 1 && k.instrument >= 0 {
		e.Instrument = p.Instruments[k.instrument].Sound
	}
	if k.kind == musicxml.Unpitched {
		e.Count = len(notes)
		return e
	}
	e.Ends, e.Staves = map[string]string{}, map[string][]string{}
	ends := map[string]musicxml.Frac{}
	plucked, shown := map[string]bool{}, map[string]bool{}
	for _, i := range notes {
		n := &p.Notes[i]
		pitch := n.Pitch.String()
		if !slices.Contains(e.Pitches, pitch) {
			e.Pitches = append(e.Pitches, pitch)
		}
		if ends[pitch].Less(n.Ends()) || ends[pitch] == (musicxml.Frac{}) {
			ends[pitch] = n.Ends()
			e.Ends[pitch] = n.Ends().String()
		}
		staff := strconv.Itoa(n.Staff)
		if !slices.Contains(e.Staves[staff], pitch) {
			e.Staves[staff] = append(e.Staves[staff], pitch)
		}
		plucked[pitch] = plucked[pitch] || !n.Tied
		shown[pitch] = shown[pitch] || !n.Hidden
	}
	for _, pitch := range e.Pitches {
		if !plucked[pitch] {
			e.Tied = append(e.Tied, pitch)
		}
		if !shown[pitch] {
			e.Hidden = append(e.Hidden, pitch)
		}
	}
	return e
}
