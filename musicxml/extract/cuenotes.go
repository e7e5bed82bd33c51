package extract

import (
	"context"
	"slices"
	"strconv"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
	"pedalogue/musicxml/internal/xmltext"
)

// A cueWriter writes cues into a part.
type cueWriter struct {
	*putter
	voice   int // that no note of the part is in
	sources map[int]*xmltext.Element
}

// writeCues makes the elements of cues for each of their measures. They begin at the
// end of the measure and lead back there.
func (p *putter) writeCues(ctx context.Context, cues []cue, player []*musicxml.Part) (map[int][]*etree.Element, error) {
	w := cueWriter{putter: p, voice: freeVoice(player)}
	var starts []int
	for i := range cues {
		for _, n := range topNotes(&cues[i]) {
			starts = append(starts, n.Start, cues[i].source.Notes[n.Head].Start)
		}
	}
	slices.Sort(starts)
	var err error
	if w.sources, err = xmltext.Elements(ctx, p.doc.Text, slices.Compact(starts)); err != nil {
		return nil, err
	}
	written := map[int][]*etree.Element{}
	for i := range cues {
		c := &cues[i]
		for k := c.from; k < c.to; k++ {
			written[k] = w.measure(c, k)
		}
		w.inClef(c, written)
	}
	return written, nil
}

// freeVoice is the first number that no voice of the parts has.
func freeVoice(parts []*musicxml.Part) int {
	for v := 1; ; v++ {
		name := strconv.Itoa(v)
		taken := func(n musicxml.Note) bool { return n.Voice == name || n.Voice == "" && v == 1 }
		if !slices.ContainsFunc(parts, func(p *musicxml.Part) bool { return slices.ContainsFunc(p.Notes, taken) }) {
			return v
		}
	}
}

// endDivisions are those at the end of a measure of the part, also of one that it
// lacks.
func (p *putter) endDivisions(k int) musicxml.Frac {
	return p.part.Measures[min(k, len(p.part.Measures)-1)].EndDivisions
}

// measure writes one measure of a cue, between ways back to its start and to its end.
func (w *cueWriter) measure(c *cue, k int) []*etree.Element {
	divisions := w.endDivisions(k)
	start, length := w.score.Measures[k].Start, w.score.Measures[k].Length
	line := topLine(c.source, c.voice, k)
	fine := divisions
	for _, n := range line {
		for _, t := range []musicxml.Frac{n.Length, n.Onset.Sub(start)} {
			fine = fine.Mul(musicxml.NewFrac(t.Mul(fine).Den(), 1))
		}
	}
	fine = fine.Mul(musicxml.NewFrac(length.Mul(fine).Den(), 1))
	var list []*etree.Element
	add := func(e *etree.Element) {
		if e != nil {
			list = append(list, e)
		}
	}
	if fine != divisions {
		add(w.divisions(fine))
	}
	add(w.move(musicxml.Frac{}.Sub(length.Mul(fine))))
	if k == c.from {
		add(w.name(c))
	}
	lower := w.octaveLower(c)
	var at musicxml.Frac
	signs := w.signsFor(k)
	for _, n := range line {
		onset := n.Onset.Sub(start)
		if onset.Less(at) {
			continue
		}
		add(w.move(onset.Sub(at).Mul(fine)))
		if n == lower {
			add(w.octaveLine("down"))
		}
		add(w.note(c, n, fine, signs))
		at = onset.Add(n.Length)
	}
	if k == c.to-1 && lower != nil {
		add(w.octaveLine("stop"))
	}
	add(w.move(length.Sub(at).Mul(fine)))
	if fine != divisions {
		add(w.divisions(divisions))
	}
	return list
}

// name says whose music a cue is.
func (w *cueWriter) name(c *cue) *etree.Element {
	d := w.element("direction")
	d.CreateAttr("placement", "above")
	words := w.child(w.child(d, "direction-type", ""), "words", cueName(c.source))
	words.CreateAttr("font-style", "italic")
	words.CreateAttr("font-size", "8")
	w.staff(d)
	return d
}

func (w *cueWriter) staff(e *etree.Element) {
	if w.part.Staves > 1 {
		w.child(e, "staff", "1")
	}
}

// note writes a note or rest of a cue. How it is printed is taken over from the
// source, but for what leads out of the line.
func (w *cueWriter) note(c *cue, n *musicxml.Note, divisions musicxml.Frac, signs *cueSigns) *etree.Element {
	source := c.source
	from, head := w.sources[n.Start], w.sources[source.Notes[n.Head].Start]
	e := w.element("note")
	w.child(e, "cue", "")
	sign := ""
	if n.Kind == musicxml.Rest {
		rest := w.child(e, "rest", "")
		if r := from.Child("rest"); r.Attr("measure") == "yes" {
			rest.CreateAttr("measure", "yes")
		}
	} else {
		pitch := concert(source, n)
		sign = signs.of(pitch, n.Tied)
		w.pitch(e, pitch)
	}
	duration, _ := n.Length.Mul(divisions).Decimal()
	w.child(e, "duration", duration)
	w.child(e, "voice", strconv.Itoa(w.voice))
	w.printed(e, head, sign, w.ties(c, n))
	return e
}

func (w *cueWriter) pitch(e *etree.Element, pitch musicxml.Pitch) {
	p := w.child(e, "pitch", "")
	w.child(p, "step", string(pitch.Step))
	if pitch.Alter.Sign() != 0 {
		alter, _ := pitch.Alter.Decimal()
		w.child(p, "alter", alter)
	}
	w.child(p, "octave", itoa(pitch.Octave))
}

// printed writes the type, dots, accidental, stem, staff, beams and what stands by the
// note, in the order of the format.
func (w *cueWriter) printed(e *etree.Element, head *xmltext.Element, sign string, notations []*etree.Element) {
	if t := head.Child("type"); t != nil {
		w.child(e, "type", t.Trimmed()).CreateAttr("size", "cue")
	}
	for c := head.First; c != nil; c = c.Next {
		if c.Name == "dot" {
			w.child(e, "dot", "")
		}
	}
	if sign != "" {
		w.child(e, "accidental", sign)
	}
	canonical := walker{layout: w.layout}
	if t := head.Child("time-modification"); t != nil {
		e.AddChild(canonical.canonical(t))
	}
	if head.Child("rest") == nil && head.Child("type") != nil {
		w.child(e, "stem", "up")
	}
	w.staff(e)
	for c := head.First; c != nil; c = c.Next {
		if c.Name == "beam" {
			e.AddChild(canonical.canonical(c))
		}
	}
	for n := head.First; n != nil; n = n.Next {
		for c := n.First; n.Name == "notations" && c != nil; c = c.Next {
			if c.Name == "tuplet" {
				notations = append(notations, canonical.canonical(c))
			}
		}
	}
	if len(notations) > 0 {
		all := w.child(e, "notations", "")
		for _, n := range notations {
			all.AddChild(n)
		}
	}
}

// ties are the printed ties of a note of a cue to others of it.
func (w *cueWriter) ties(c *cue, n *musicxml.Note) []*etree.Element {
	var list []*etree.Element
	tie := func(end string) {
		e := w.element("tied")
		e.CreateAttr("type", end)
		list = append(list, e)
	}
	notes, shown := c.source.Notes, topNotes(c)
	if n.Tied && slices.ContainsFunc(shown, func(o *musicxml.Note) bool { return o.TiedTo >= 0 && &notes[o.TiedTo] == n }) {
		tie("stop")
	}
	if n.TiedTo >= 0 && slices.Contains(shown, &notes[n.TiedTo]) {
		tie("start")
	}
	return list
}

// topNotes are all notes and rests of a cue.
func topNotes(c *cue) []*musicxml.Note {
	var list []*musicxml.Note
	for k := c.from; k < c.to; k++ {
		list = append(list, topLine(c.source, c.voice, k)...)
	}
	return list
}

// cueSigns are the accidentals that hold in a measure of a cue.
type cueSigns struct {
	key  *musicxml.Key // nil for none
	here map[string]musicxml.Frac
}

// signsFor is what the key signature of the part says in a measure.
func (w *cueWriter) signsFor(k int) *cueSigns {
	s := &cueSigns{here: map[string]musicxml.Frac{}}
	for i := range w.part.Keys {
		if key := &w.part.Keys[i]; key.Staff <= 1 && !w.score.Measures[k].Start.Less(key.Onset) {
			s.key = key
		}
	}
	return s
}

// accidentals are the names of alterations. Source: MusicXML 4.0, accidental-value.
var accidentals = map[string]string{"-2": "flat-flat", "-1": "flat", "0": "natural", "1": "sharp", "2": "double-sharp",
	"-0.5": "quarter-flat", "0.5": "quarter-sharp", "-1.5": "three-quarters-flat", "1.5": "three-quarters-sharp"}

// of is the accidental that a note needs by the key and what came before it in the
// measure; "" for none. A note that goes on from a tie needs none.
func (s *cueSigns) of(p musicxml.Pitch, tied bool) string {
	line := string(p.Step) + itoa(p.Octave)
	now, known := s.here[line]
	if !known && s.key != nil {
		now = s.key.Alter(p.Step)
	}
	if now.Cmp(p.Alter) == 0 || tied {
		return ""
	}
	s.here[line] = p.Alter
	text, _ := p.Alter.Decimal()
	return accidentals[text]
}
