package extract

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
	"pedalogue/musicxml/internal/insert"
	"pedalogue/musicxml/internal/xmltext"
)

// A joiner writes the parts that one player reads as one part with a staff for each.
type joiner struct {
	*putter                   // of the first part
	keep    bool              // key signatures differ: each staff has its own
	voices  []string          // of the first part, and of those joined so far
	levels  map[string]int    // the highest number of each kind of line in them
	heads   map[int][]ofStaff // what the other staves have at the head of each measure of the first
}

// An ofStaff is a child of attributes that is for one staff, as it is put in.
type ofStaff struct{ name, text string }

// joinable refuses parts that are not one part with two staves unless something in them
// is changed.
func (l *layout) joinable(parts []*musicxml.Part) error {
	first := parts[0]
	refuse := func(format string, args ...any) error {
		return &musicxml.Error{File: l.doc.Name, Part: first.ID,
			Err:  fmt.Errorf("one part cannot be made of "+musicxml.PartNames(parts)+": "+format, args...),
			Hint: "take one of them alone with its id, " + first.ID}
	}
	for _, p := range parts {
		if p.Staves != 1 {
			return refuse("part %s has %d staves", p.ID, p.Staves)
		}
		if len(p.Measures) == 0 {
			return refuse("part %s has no measures", p.ID)
		}
		if len(p.Instruments) > 1 {
			return refuse("part %s has %d instruments", p.ID, len(p.Instruments))
		}
		if k := unlikeTimes(l.timesOf(p), l.timesOf(first)); k >= 0 {
			return refuse("their time signatures differ in measure %s", l.score.Measures[k].Number)
		}
		if !slices.Equal(p.Transposes, first.Transposes) {
			return refuse("their transpositions differ")
		}
	}
	for k := range first.Measures {
		p := putter{layout: l, part: first}
		for _, other := range parts[1:] {
			if _, notes := other.NotesOf(k); len(notes) > 0 && !p.hasRoom(k) {
				return refuse("measure %s of part %s has no content", first.Measures[k].Number, first.ID)
			}
		}
	}
	return nil
}

// timesOf are the time signatures of a part, without who has them and how they look.
func (l *layout) timesOf(p *musicxml.Part) []timeSign {
	var list []timeSign
	for _, t := range l.times {
		if t.part == p {
			_, inside, _ := strings.Cut(t.text, ">")
			list = append(list, timeSign{nil, t.measure, t.offset, strings.Join(strings.Fields(inside), "")})
		}
	}
	return list
}

// unlikeTimes is the measure of the first time signature in which two lists differ; -1 if
// they do not.
func unlikeTimes(a, b []timeSign) int {
	for i := range max(len(a), len(b)) {
		switch {
		case i >= len(a):
			return b[i].measure
		case i >= len(b):
			return a[i].measure
		case a[i] != b[i]:
			return min(a[i].measure, b[i].measure)
		}
	}
	return -1
}

// join puts what the other parts of the player have into the measures of the first.
func (p *putter) join(ctx context.Context, parts []*musicxml.Part) error {
	j := &joiner{putter: p, levels: map[string]int{}, heads: map[int][]ofStaff{}}
	for _, other := range parts[1:] {
		j.keep = j.keep || !sameKeys(p.part.Keys, other.Keys)
	}
	if err := j.elements(ctx, p.part, func(_ int, e *xmltext.Element) { j.note(e) }); err != nil {
		return err
	}
	for i, other := range parts[1:] {
		if err := j.add(ctx, other, i+2); err != nil {
			return err
		}
	}
	return j.first(ctx, len(parts))
}

func sameKeys(a, b []musicxml.Key) bool {
	return slices.EqualFunc(a, b, func(a, b musicxml.Key) bool {
		return a.Measure == b.Measure && a.Onset.Cmp(b.Onset) == 0 && a.Fifths == b.Fifths && slices.Equal(a.Steps, b.Steps)
	})
}

// elements visits the children of the measures of a part, each with all that is in it.
func (p *putter) elements(ctx context.Context, part *musicxml.Part, visit func(measure int, e *xmltext.Element)) error {
	var starts []int
	in := map[int]int{}
	for k := range p.bars[part] {
		for _, at := range p.bars[part][k].children {
			starts = append(starts, at)
			in[at] = k
		}
	}
	return xmltext.Each(ctx, p.doc.Text, starts, func(e *xmltext.Element) { visit(in[e.Start], e) })
}

// first says in the first part how many staves there are, and which clefs and keys the
// others have: where a measure begins, in its own attributes, since not every reader
// looks for them behind a way back.
func (j *joiner) first(ctx context.Context, staves int) error {
	said := false
	err := j.elements(ctx, j.part, func(k int, e *xmltext.Element) {
		if e.Name != "attributes" {
			return
		}
		if said = j.own(e, staves) || said; !said {
			said = true
			j.insert(childPlace(e, behind["staves"]), "<"+j.score.Prefix+"staves>"+itoa(staves)+"</"+j.score.Prefix+"staves>")
		}
		if e.End <= j.part.Measures[k].Head {
			for _, h := range j.heads[k] {
				j.insert(childPlace(e, behind[h.name]), h.text)
			}
			delete(j.heads, k)
		}
	})
	if err != nil {
		return err
	}
	if !said {
		a := j.element("attributes")
		j.child(a, "staves", itoa(staves))
		j.insert(j.bars[j.part][0].content, insert.String(a))
	}
	for _, k := range slices.Sorted(maps.Keys(j.heads)) {
		name, text := j.score.Prefix+"attributes", ""
		for _, h := range j.heads[k] {
			text += h.text
		}
		j.insert(j.part.Measures[k].Head, "<"+name+">"+text+"</"+name+">")
	}
	return nil
}

// own changes what the first part's attributes say: for which staff, and of how many.
// It reports whether they say how many.
func (j *joiner) own(e *xmltext.Element, staves int) (said bool) {
	for c := e.First; c != nil; c = c.Next {
		if c.Name == "key" && j.keep || c.Name == "clef" {
			j.edits = append(j.edits, j.numbered(c, 1)...)
		}
		if c.Name == "staves" {
			j.edits = append(j.edits, musicxml.Edit{Start: c.Content, End: c.Close, New: itoa(staves)})
			said = true
		}
	}
	return said
}

// behind lists what stands behind a child of attributes. Source: MusicXML 4.0.
var behind = func() map[string][]string {
	order := []string{"divisions", "key", "time", "staves", "part-symbol", "instruments", "clef", "staff-details", "transpose", "for-part", "directive", "measure-style"}
	after := map[string][]string{}
	for i, name := range order {
		after[name] = order[i+1:]
	}
	return after
}()

// What stands behind the voice and staff of notes and directions. Source: MusicXML 4.0.
var (
	afterVoice = []string{"type", "dot", "accidental", "time-modification", "stem", "notehead", "notehead-text", "staff", "beam",
		"notations", "lyric", "play", "listen", "sound", "listening"}
	afterStaff = []string{"beam", "notations", "lyric", "play", "listen", "sound", "listening"}
)

// childPlace is where a child goes that stands in front of others.
func childPlace(e *xmltext.Element, others []string) int {
	for c := e.First; c != nil; c = c.Next {
		if slices.Contains(others, c.Name) {
			return c.Start
		}
	}
	return e.Close
}

// lineElements are lines between two notes whose ends find each other by a number.
var lineElements = []string{"slur", "tied", "glissando", "slide", "wavy-line", "wedge", "octave-shift", "dashes", "bracket", "pedal"}

// note keeps which voices and numbers of lines an element has.
func (j *joiner) note(e *xmltext.Element) {
	if e.Name == "note" {
		if v := cmp.Or(e.ChildText("voice"), "1"); !slices.Contains(j.voices, v) {
			j.voices = append(j.voices, v)
		}
	}
	e.Walk(func(c *xmltext.Element) {
		if slices.Contains(lineElements, c.Name) {
			j.levels[c.Name] = max(j.levels[c.Name], level(c))
		}
	})
}

// level is the number of a line, 1 where it has none.
func level(e *xmltext.Element) int {
	if n, err := strconv.Atoi(e.Attr("number")); err == nil {
		return n
	}
	return 1
}

// highestLevel is the highest number of a line. Source: MusicXML 4.0, number-level.
const highestLevel = 16

// add joins one more part as a staff.
func (j *joiner) add(ctx context.Context, other *musicxml.Part, staff int) error {
	s := staffWriter{joiner: j, other: other, staff: staff, voices: map[string]string{}, edits: map[int][]musicxml.Edit{}}
	levels := map[string]int{}
	for name, n := range j.levels {
		levels[name] = n
	}
	before := j.levels
	s.lifted = before
	j.levels = levels
	err := j.elements(ctx, other, s.child)
	if err == nil {
		err = s.err
	}
	if err != nil {
		return err
	}
	for k := range other.Measures {
		if k < len(j.part.Measures) {
			j.append(other, k, s.edits[k])
		}
	}
	return nil
}

// append puts a measure of another part behind that of the first, from its start.
func (j *joiner) append(other *musicxml.Part, k int, edits []musicxml.Edit) {
	b, m := &j.bars[other][k], &j.part.Measures[k]
	if other.Measures[k].Tag < 0 || b.close <= b.content || !j.hasRoom(k) {
		return
	}
	text := strings.Trim(edited(j.doc.Text, b.content, b.close, edits), " \t\r\n")
	if text == "" {
		return
	}
	back := j.score.Measures[k].Length
	if j.gap(k).Sign() == 0 && j.cues[k] == nil {
		back = m.Cursor
	}
	was, is := m.EndDivisions, other.Measures[k].HeadDivisions
	var behind []*etree.Element
	front := j.finely(was, musicxml.Frac{}.Sub(back), false, nil)
	if was != is {
		front = append(front, j.divisions(is))
	}
	if is = other.Measures[k].EndDivisions; was != is {
		behind = append(behind, j.divisions(was))
	}
	j.before(m.End, k, front...)
	indent, own := insert.IndentAt(j.doc.Text, m.End)
	if own {
		text += "\n" + indent
	}
	j.insert(m.End, text)
	j.before(m.End, k, behind...)
}

// edited is a piece of the text with changes made.
func edited(text []byte, from, to int, edits []musicxml.Edit) string {
	var b strings.Builder
	for _, e := range edits {
		b.Write(text[from:e.Start])
		b.WriteString(e.New)
		from = e.End
	}
	b.Write(text[from:to])
	return b.String()
}

// numbered says for which staff an element is.
func (j *joiner) numbered(e *xmltext.Element, staff int) []musicxml.Edit {
	if e.Attr("number") != "" {
		return nil
	}
	at := e.Start + 1 + len(xmltext.TagName(string(j.doc.Text[e.Start:e.Content])))
	return []musicxml.Edit{{Start: at, End: at, New: attribute("number", itoa(staff))}}
}
