package musicxml

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pedalogue/musicxml/internal/xmltext"
)

// Options say how a score is read. The zero value reads with the default limits
// and finds the harp by itself.
type Options struct {
	Limits Limits // the zero value stands for the defaults
	// Part names the part to take as the harp, by id, name or number from 1;
	// parts that one player plays are joined by "+". Default: the parts that the
	// score says are harps.
	Part string
	Cues Cues // what becomes of cue notes; default CuesAuto
}

// Read reads the score document. Every error is an [*Error]; where the context has
// ended before the score was read, it holds that.
func Read(ctx context.Context, doc *Document, options Options) (*Score, error) {
	r := &reader{
		doc:     doc,
		options: options,
		score:   &Score{},
		byID:    map[string]*partReader{},
		at:      place{index: -1},
	}
	r.options.Limits = options.Limits.WithDefaults()
	var err error
	if r.reduced, err = doc.reductions(ctx); err != nil {
		return nil, err
	}
	r.scan = xmltext.NewScanner(ctx, doc.Text, r.options.Limits.Depth)
	if err := r.document(); err != nil {
		return nil, r.place(err)
	}
	if err := r.finish(); err != nil {
		return nil, r.place(err)
	}
	return r.score, nil
}

// A reader takes a score document in, one child of a measure at a time.
type reader struct {
	doc     *Document
	scan    *xmltext.Scanner
	options Options
	score   *Score
	parts   []*partReader // in the order of the part-list
	byID    map[string]*partReader
	groups  groupReader

	farthest []Frac // the farthest cursor of each measure, over all parts
	times    []meter
	road     []signpost // the repeats, endings and jumps of each measure, over all parts
	beyond   signpost   // of the measure after the last one read so far
	tempos   []tempoMark
	leftOut  int    // measures that a timewise score does not give its parts
	notes    []Note // room for the notes of a part

	reduced reductions

	at       place
	warnings []pending
}

// A place is where the reader stands, for its messages.
type place struct {
	part, measure string
	index         int // of the measure; -1 outside
}

// A pending warning waits for its line.
type pending struct {
	Warning
	offset int // -1 where it has no place in the document
}

// warn notes something at an offset of the text.
func (r *reader) warn(code string, offset int, format string, args ...any) {
	r.warnAt(r.at, code, offset, format, args...)
}

func (r *reader) warnAt(at place, code string, offset int, format string, args ...any) {
	r.warnings = append(r.warnings, pending{Warning{
		Code: code, Part: at.part, Measure: at.measure, Index: at.index,
		Text: fmt.Sprintf(format, xmltext.Shortened(args)...),
	}, offset})
}

// place gives an error its file, line, part and measure.
func (r *reader) place(err error) error {
	placed := &Error{File: r.doc.Name, Part: r.at.part, Measure: r.at.measure, Err: err}
	var fault *xmltext.Error
	if errors.As(err, &fault) {
		if fault.Offset >= 0 {
			placed.Line = xmltext.Line(r.doc.Text, fault.Offset)
		}
		placed.Err = fault.Err
	}
	var known *Error
	var deep *xmltext.DepthError
	switch {
	case errors.As(err, &known):
		placed.Err, placed.Hint, placed.Limit = known.Err, known.Hint, known.Limit
	case errors.As(err, &deep):
		placed.Limit = "Depth"
	}
	return placed
}

// faultAt is an error at an element.
func faultAt(e *xmltext.Element, format string, args ...any) error {
	return xmltext.Errorf(e.Start, format, args...)
}

// A sentence is a text that is a message already.
type sentence string

// document reads the whole document, measure by measure, into the parts.
func (r *reader) document() error {
	root, err := r.scan.Root()
	if err != nil {
		return err
	}
	r.score.Root = root.Name
	tag := r.scan.TagName()
	r.score.Prefix = tag[:strings.IndexByte(tag, ':')+1]
	switch root.Name {
	case "score-partwise", "score-timewise":
	case "opus":
		return faultAt(root, "this is an opus, a list of scores, not a score: name the scores themselves")
	default:
		return faultAt(root, "the root element is <%s>: this is not a MusicXML score", cmp.Or(root.Name, tag))
	}
	for {
		e, err := r.scan.Next()
		if err != nil {
			return err
		}
		if e == nil {
			return r.finishDocument()
		}
		if err := r.topLevel(e); err != nil {
			return err
		}
		r.at = place{index: -1}
	}
}

// finishDocument reads what follows the root element, and tells what XML forbids
// and was read all the same.
func (r *reader) finishDocument() error {
	if err := r.scan.Finish(); err != nil {
		return err
	}
	for _, odd := range r.scan.Oddities() {
		more := ""
		if odd.Count > 1 {
			more = fmt.Sprintf(", in %d places", odd.Count)
		}
		r.warn("not-well-formed", odd.Offset, "this is not well-formed XML, but it is read: %s%s", odd.Text, more)
	}
	return nil
}

func (r *reader) topLevel(e *xmltext.Element) error {
	switch {
	case e.Name == "part-list":
		if err := r.scan.Fill(e); err != nil {
			return err
		}
		return r.partList(e)
	case e.Name == "work", e.Name == "movement-title":
		if err := r.scan.Fill(e); err != nil {
			return err
		}
		r.title(e)
		return nil
	case e.Name == "part" && r.score.Root == "score-partwise":
		return r.partwise(e)
	case e.Name == "measure" && r.score.Root == "score-timewise":
		return r.timewise(e)
	}
	return r.scan.Skip(e)
}

// title takes the title of the movement, else of the work.
func (r *reader) title(e *xmltext.Element) {
	text := e.Text
	if e.Name == "work" {
		text = e.ChildText("work-title")
		if r.score.Title != "" {
			return
		}
	}
	if t := fold(text); t != "" {
		r.score.Title = t
	}
}

// fold makes each run of white space one space.
func fold(text string) string { return strings.Join(strings.Fields(text), " ") }

// partwise reads a part and its measures.
func (r *reader) partwise(e *xmltext.Element) error {
	p, err := r.openPart(e)
	if err != nil {
		return err
	}
	p.part.Notes = r.notes[:0] // room for one part after the other
	for {
		m, err := r.scan.Next()
		if err != nil {
			return err
		}
		if m == nil {
			r.notes = p.part.Notes
			p.part.Notes = slices.Clone(r.notes)
			return nil
		}
		if m.Name != "measure" {
			if err := r.scan.Skip(m); err != nil {
				return err
			}
			continue
		}
		if err := r.measure(p, m, m); err != nil {
			return err
		}
	}
}

// mostLeftOut is how many measures that a timewise score does not give its
// parts are made up: enough for any music, and too few to fill the memory.
const mostLeftOut = 1 << 20

// timewise reads a measure and the parts in it.
func (r *reader) timewise(m *xmltext.Element) error {
	measure := *m
	measure.Attrs = slices.Clone(m.Attrs)
	index := len(r.farthest)
	for {
		e, err := r.scan.Next()
		if err != nil {
			return err
		}
		if e == nil {
			// A measure without parts is one all the same.
			r.openMeasure(index, &measure, -1)
			return nil
		}
		if e.Name != "part" {
			if err := r.scan.Skip(e); err != nil {
				return err
			}
			continue
		}
		p, err := r.openPart(e)
		if err != nil {
			return err
		}
		if len(p.part.Measures) > index {
			return faultAt(e, "part %q stands in the measure twice", p.part.ID)
		}
		if r.leftOut += index - len(p.part.Measures); r.leftOut > mostLeftOut {
			return faultAt(e, "parts are left out of measures more than %d times", mostLeftOut)
		}
		for len(p.part.Measures) < index {
			// The part was left out of an earlier measure.
			p.emptyMeasure(r.score.Measures[len(p.part.Measures)].Number)
		}
		if err := r.measure(p, &measure, e); err != nil {
			return err
		}
	}
}

// openPart finds the part of the part-list that a part element belongs to.
func (r *reader) openPart(e *xmltext.Element) (*partReader, error) {
	id := e.Attr("id")
	r.at = place{part: id, index: -1}
	if p := r.byID[id]; p != nil {
		if r.score.Root == "score-partwise" && p.opened {
			return nil, faultAt(e, "part %q stands in the score twice", id)
		}
		p.opened = true
		return p, nil
	}
	if id != "" {
		return nil, faultAt(e, "part %q is not in the part-list", id)
	}
	for _, p := range r.parts {
		if !p.opened || r.score.Root == "score-timewise" {
			p.opened = true
			r.at.part = p.part.ID
			return p, nil
		}
	}
	return nil, faultAt(e, "there is a part without an id, and none is left in the part-list")
}

// openMeasure makes room for a measure of the score; part is the part that
// reads it, -1 for none.
func (r *reader) openMeasure(index int, m *xmltext.Element, part int) {
	if index < len(r.farthest) {
		return
	}
	r.farthest = append(r.farthest, Frac{})
	r.times = append(r.times, meter{})
	r.road = append(r.road, r.beyond)
	r.beyond = signpost{}
	r.score.Measures = append(r.score.Measures, Measure{
		Number:   m.Attr("number"),
		Implicit: m.Attr("implicit") == "yes",
		Part:     max(part, 0),
	})
}

// measure reads the children of a measure of one part; inside is the element
// that holds them.
func (r *reader) measure(p *partReader, m, inside *xmltext.Element) error {
	number := m.Attr("number")
	index := len(p.part.Measures)
	r.at = place{p.part.ID, number, index}
	r.openMeasure(index, m, p.index)
	p.beginMeasure(number, inside, index)
	for {
		e, err := r.scan.Next()
		if err != nil {
			return err
		}
		if e == nil {
			break
		}
		if e.Name == "" || skipped[e.Name] {
			if err := r.scan.Skip(e); err != nil {
				return err
			}
			continue
		}
		if err := r.scan.Fill(e); err != nil {
			return err
		}
		if err := r.child(p, e); err != nil {
			return err
		}
	}
	return r.endMeasure(p)
}

// skipped are children of a measure that say nothing about what sounds when.
var skipped = map[string]bool{
	"figured-bass": true, "listening": true, "grouping": true, "link": true, "bookmark": true,
}

// child reads one child of a measure.
func (r *reader) child(p *partReader, e *xmltext.Element) error {
	m := &p.part.Measures[p.measure]
	switch e.Name {
	case "note":
		if err := r.note(p, e); err != nil {
			return err
		}
	case "backup", "forward":
		if err := r.moveCursor(p, e); err != nil {
			return err
		}
	case "attributes":
		if err := r.attributes(p, e); err != nil {
			return err
		}
		if !p.moved && len(p.part.Notes) == m.FirstNote {
			p.head, p.headDivisions = e.End, p.divisionsOrOne()
		}
	case "harmony":
		return r.harmony(p, e)
	case "direction":
		if err := r.direction(p, e); err != nil {
			return err
		}
	case "sound":
		if err := r.sound(p, e, p.cursor); err != nil {
			return err
		}
	case "print":
		post := &r.road[p.measure]
		post.newSystem = post.newSystem || e.Attr("new-system") == "yes"
		post.newPage = post.newPage || e.Attr("new-page") == "yes"
	case "barline":
		if err := r.barline(p, e); err != nil {
			return err
		}
		p.barlineStart, p.barlineEnd = e.Start, e.End
	}
	if !p.cursor.OK() {
		return faultAt(e, "the times in this measure are too fine to be counted exactly")
	}
	return nil
}

// whole reads a whole number; ok is false if there is none.
func whole(text string) (n int, ok bool) {
	n, err := strconv.Atoi(strings.TrimPrefix(strings.Trim(text, " \t\r\n"), "+"))
	return n, err == nil
}

func itoa(n int) string { return strconv.Itoa(n) }
