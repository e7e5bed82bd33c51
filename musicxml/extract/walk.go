package extract

import (
	"bytes"
	"context"
	"math"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
	"pedalogue/musicxml/internal/xmltext"
)

// A span is a piece of the text: offsets in bytes.
type span struct{ start, end int }

// An entry is a child of the part-list: a part, or an end of a group.
type entry struct {
	span
	part   *musicxml.Part // nil for a group
	number string         // of the group
	stop   bool
}

// A bar is a measure of a part as it stands in the text.
type bar struct {
	content    int           // offset of what the part has in it
	close      int           // and of the end tag around that
	children   []int         // offsets of what stands in it
	attributes int           // offset behind the name in its start tag, where attributes can go; of the measure element
	number     bool          // has a number
	implicit   bool          // says whether it is counted
	farthest   musicxml.Frac // the farthest that its voices reach, from its start
	meter      musicxml.Frac // the time signature that is in force by the part itself; 0 for none

	opens  bool // something stands at its start that is not for the measures before it
	closes bool // something stands at its end that is not for those after it
	alone  bool // it holds what cannot be shown in a rest of several measures
}

// A layout is where the parts of a score stand in its document, and what they say to
// everybody.
type layout struct {
	doc   *musicxml.Document
	score *musicxml.Score

	list     []entry
	pieces   map[*musicxml.Part][]span // its part elements, each from the end of what stands before it
	closings []int                     // of a timewise score: for each measure the offset of its end tag
	rootEnd  map[*musicxml.Part]int    // of a partwise score: offset of the end tag of the part
	bars     map[*musicxml.Part][]bar

	signs    []sign    // directions and sounds, in the order of the document
	barlines []barline // in that order
	fermatas []fermata // over notes and rests, in that order
	times    []timeSign
	clefs    []clefSign
	prints   []printSign
}

// A printSign is a print element: offsets behind the name in its tag and of its content.
type printSign struct {
	part                 *musicxml.Part
	measure              int
	start, name, content int
	names                int            // offset of what stands behind the measure numbers
	empty                bool           // has no content
	numbers              span           // of what it says of measure numbers
	numbering            string         // "" where it says nothing
	element              *etree.Element // of that
}

// A clefSign is a clef.
type clefSign struct {
	part    *musicxml.Part
	measure int
	offset  musicxml.Frac
	staff   int // from 1
	sign    string
	element *etree.Element
}

// A timeSign is a time signature.
type timeSign struct {
	part    *musicxml.Part
	measure int
	offset  musicxml.Frac
	text    string // the element as it is written
}

// A walker reads a document again, for what the reader of scores had no use for.
type walker struct {
	*layout
	scan   *xmltext.Scanner
	byTag  map[int]where // the measures of parts, by the offset of their tags
	byID   map[string]*musicxml.Part
	before int // end of the element before, or of the start tag around it

	part      *musicxml.Part
	measure   int
	note      int // index of the next note
	divisions musicxml.Frac
	cursor    musicxml.Frac
	farthest  musicxml.Frac
	state     map[*musicxml.Part]*inForce
	joined    map[*musicxml.Part]bool // parts that share a player
}

// inForce is what holds from measure to measure in a part.
type inForce struct{ divisions, meter musicxml.Frac }

type where struct {
	part    *musicxml.Part
	measure int
}

// lay reads the layout of a document. Errors are those of the scanner.
func lay(ctx context.Context, doc *musicxml.Document, score *musicxml.Score) (*layout, error) {
	w := &walker{
		layout: &layout{doc: doc, score: score, pieces: map[*musicxml.Part][]span{},
			rootEnd: map[*musicxml.Part]int{}, bars: map[*musicxml.Part][]bar{}},
		scan:  xmltext.NewScanner(ctx, doc.Text, math.MaxInt),
		byTag: map[int]where{}, byID: map[string]*musicxml.Part{}, state: map[*musicxml.Part]*inForce{},
		joined: map[*musicxml.Part]bool{},
	}
	for _, player := range score.Players() {
		for _, p := range player.Parts {
			w.joined[p] = len(player.Parts) > 1
		}
	}
	for _, p := range score.Parts {
		w.byID[p.ID], w.state[p] = p, &inForce{divisions: musicxml.NewFrac(1, 1)}
		w.bars[p] = make([]bar, len(p.Measures))
		for k := range p.Measures {
			if p.Measures[k].Tag >= 0 {
				w.byTag[p.Measures[k].Tag] = where{p, k}
			}
		}
	}
	return w.layout, w.document()
}

// here is the measure that is being read.
func (w *walker) here() *bar { return &w.bars[w.part][w.measure] }

// seen notes that something stands at the cursor, or at another time.
func (w *walker) seen(at musicxml.Frac) {
	if at.Sign() == 0 {
		w.here().opens = true
	} else {
		w.here().alone = true
	}
}

// document reads the children of the root element.
func (w *walker) document() error {
	e, err := w.scan.Root()
	if err != nil {
		return err
	}
	w.before = e.Content
	return w.children(func(e *xmltext.Element) error {
		switch {
		case e.Name == "part-list":
			return w.partList(e)
		case e.Name == "part" && w.score.Root == "score-partwise":
			return w.partwise(e)
		case e.Name == "measure" && w.score.Root == "score-timewise":
			return w.timewise(e)
		}
		return w.scan.Skip(e)
	})
}

// children reads the children of the open element. The visitor reads each to its end.
func (w *walker) children(visit func(*xmltext.Element) error) error {
	for {
		e, err := w.scan.Next()
		if e == nil || err != nil {
			return err
		}
		if err := visit(e); err != nil {
			return err
		}
		w.before = w.scan.Offset()
	}
}

func (w *walker) partList(e *xmltext.Element) error {
	if err := w.scan.Fill(e); err != nil {
		return err
	}
	before := e.Content
	for c := e.First; c != nil; c = c.Next {
		item := entry{span: span{before, c.End}}
		before = c.End
		switch c.Name {
		case "score-part":
			item.part = w.byID[c.Attr("id")]
		case "part-group":
			if item.number = c.Attr("number"); item.number == "" {
				item.number = "1"
			}
			item.stop = c.Attr("type") == "stop"
		default:
			continue
		}
		w.list = append(w.list, item)
	}
	return nil
}

// partwise reads a part element and its measures.
func (w *walker) partwise(e *xmltext.Element) error {
	start, part := w.before, w.byID[e.Attr("id")]
	w.before = e.Content
	err := w.children(func(m *xmltext.Element) error {
		at, known := w.byTag[m.Start]
		if !known {
			return w.scan.Skip(m)
		}
		part = at.part
		return w.measureOf(at, m, m)
	})
	w.pieces[part] = append(w.pieces[part], span{start, w.scan.Offset()})
	w.rootEnd[part] = w.scan.TokenStart()
	return err
}

// timewise reads a measure element and the parts in it.
func (w *walker) timewise(e *xmltext.Element) error {
	measure := *e
	measure.Attrs = append([]xmltext.Attribute(nil), e.Attrs...)
	w.before = e.Content
	err := w.children(func(p *xmltext.Element) error {
		at, known := w.byTag[p.Start]
		if !known {
			return w.scan.Skip(p)
		}
		start := w.before
		err := w.measureOf(at, &measure, p)
		w.pieces[at.part] = append(w.pieces[at.part], span{start, w.scan.Offset()})
		return err
	})
	w.closings = append(w.closings, w.scan.TokenStart())
	return err
}

// measureOf reads what a part has in a measure. m is the measure element, inside the
// one that holds the music.
func (w *walker) measureOf(at where, m, inside *xmltext.Element) error {
	state := w.state[at.part]
	w.part, w.measure, w.divisions = at.part, at.measure, state.divisions
	w.note = at.part.Measures[at.measure].FirstNote
	w.cursor, w.farthest = musicxml.Frac{}, musicxml.Frac{}
	b := &w.bars[at.part][at.measure]
	b.content = inside.Content
	b.attributes = m.Start + 1 + len(xmltext.TagName(string(w.doc.Text[m.Start:m.Content])))
	b.number, b.implicit = strings.TrimSpace(m.Attr("number")) != "", m.Attr("implicit") != ""
	w.before = inside.Content
	err := w.children(w.child)
	b.farthest, b.meter, b.close = w.farthest, state.meter, w.scan.TokenStart()
	state.divisions = w.divisions
	return err
}

// child reads a child of a measure.
func (w *walker) child(e *xmltext.Element) error {
	if w.joined[w.part] {
		w.here().children = append(w.here().children, e.Start)
	}
	if e.Name == "note" {
		err := w.scan.Skip(e)
		w.noteAt(e)
		return err
	}
	switch e.Name {
	case "backup", "forward", "attributes", "direction", "sound", "barline", "print":
		if err := w.scan.Fill(e); err != nil {
			return err
		}
	case "harmony", "figured-bass":
		w.here().alone = true
		return w.scan.Skip(e)
	default:
		return w.scan.Skip(e)
	}
	switch e.Name {
	case "print":
		w.print(e)
	case "backup":
		if w.cursor = w.cursor.Sub(w.duration(e)); w.cursor.Sign() < 0 {
			w.cursor = musicxml.Frac{}
		}
	case "forward":
		w.reach(w.cursor.Add(w.duration(e)))
	case "attributes":
		w.attributes(e)
	case "direction":
		w.direction(e)
	case "sound":
		w.sound(e)
	case "barline":
		w.barline(e)
	}
	return nil
}

// print takes in a print element.
func (w *walker) print(e *xmltext.Element) {
	s := printSign{part: w.part, measure: w.measure, start: e.Start, content: e.Content, empty: e.Close == e.Start,
		name:  e.Start + 1 + len(xmltext.TagName(string(w.doc.Text[e.Start:e.Content]))),
		names: childPlace(e, []string{"part-name-display", "part-abbreviation-display"})}
	if c := e.Child("measure-numbering"); c != nil {
		s.numbers, s.numbering, s.element = span{c.Content, c.Close}, c.Trimmed(), w.canonical(c)
	}
	w.prints = append(w.prints, s)
}

// reach moves the cursor on.
func (w *walker) reach(to musicxml.Frac) {
	w.cursor = to
	if w.farthest.Less(to) {
		w.farthest = to
	}
}

// noteAt moves the cursor past a note, which has been read before.
func (w *walker) noteAt(e *xmltext.Element) {
	i := w.note
	n := &w.part.Notes[i]
	w.note++
	if n.Kind != musicxml.Rest || hasNotations(w.doc.Text[e.Start:e.End]) {
		w.here().alone = true
	}
	if n.Head == i {
		w.reach(n.Ends().Sub(w.score.Measures[w.measure].Start))
	}
	w.fermata(i, w.doc.Text[e.Start:e.End])
}

// hasNotations reports whether something is printed over or under a rest.
func hasNotations(note []byte) bool {
	return bytes.Contains(note, []byte("notations")) || bytes.Contains(note, []byte("lyric"))
}

// duration is the duration of a backup or forward in quarter notes, 0 for none.
func (w *walker) duration(e *xmltext.Element) musicxml.Frac {
	d := e.Child("duration")
	if d == nil {
		return musicxml.Frac{}
	}
	f, _ := musicxml.ParseDecimal(d.Text)
	return f.Div(w.divisions)
}

// attributes takes in divisions and time signatures.
func (w *walker) attributes(e *xmltext.Element) {
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "divisions":
			if f, ok := musicxml.ParseDecimal(c.Text); ok && f.Sign() > 0 {
				w.divisions = f
			}
		case "clef":
			w.seen(w.cursor)
			staff, _ := strconv.Atoi(c.Attr("number"))
			w.clefs = append(w.clefs, clefSign{w.part, w.measure, w.cursor, max(staff, 1), c.ChildText("sign"), w.canonical(c)})
		case "key", "staves", "transpose", "staff-details":
			w.seen(w.cursor)
		case "measure-style":
			w.here().alone = true
		case "time":
			w.seen(w.cursor)
			w.times = append(w.times, timeSign{w.part, w.measure, w.cursor, string(w.doc.Text[c.Start:c.End])})
			w.state[w.part].meter = meterOf(c)
		}
	}
}

// meterOf is the length of a measure by a time signature; 0 where it does not say.
func meterOf(e *xmltext.Element) musicxml.Frac {
	var length, beats musicxml.Frac
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "beats":
			beats = musicxml.Frac{}
			for b := range strings.SplitSeq(c.Text, "+") {
				n, _ := musicxml.ParseDecimal(strings.TrimSpace(b))
				beats = beats.Add(n)
			}
		case "beat-type":
			if unit, ok := musicxml.ParseDecimal(strings.TrimSpace(c.Text)); ok && unit.Sign() > 0 {
				length = length.Add(beats.Mul(musicxml.NewFrac(4, 1)).Div(unit))
			}
		}
	}
	return length
}
