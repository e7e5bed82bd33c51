package staves

import (
	"fmt"
	"io/fs"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
	"pedalogue/report/engrave"
)

const shared = "../../../../../shared/scores"

// What is drawn of every real score is what its file says: each note's head in its
// measure, at the height that the drawn clef gives its pitch, with its accidental.
// The file is read here once more by an XML library, sharing no code with the
// reader, and the drawing is read back from its SVG.
func TestDrawingsOfRealScores(t *testing.T) {
	if _, err := os.Stat(shared); err != nil {
		t.Skip("the real scores are not here: ", err)
	}
	scores, notes := 0, 0
	err := filepath.WalkDir(shared, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !slices.Contains([]string{".xml", ".mxl", ".musicxml"}, filepath.Ext(path)) {
			return err
		}
		if testing.Short() && scores >= 6 {
			return fs.SkipAll
		}
		scores++
		n := checkScore(t, path)
		notes += n
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if notes < 1000*min(scores, 6)/6 {
		t.Errorf("only %d notes were compared in %d scores", notes, scores)
	}
	t.Logf("%d notes in %d scores", notes, scores)
}

// openScore reads a score; where no part is a harp the first one with two staves,
// or else the first one, is taken as one.
func openScore(t *testing.T, path string) (*musicxml.Document, *musicxml.Score) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := musicxml.Open(t.Context(), path, data, musicxml.Limits{})
	if err != nil {
		t.Logf("%s is not read: %v", path, err)
		return nil, nil
	}
	score, err := musicxml.Read(t.Context(), doc, musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(score.Players()) > 0 {
		return doc, score
	}
	part := score.Parts[0].ID
	if i := slices.IndexFunc(score.Parts, func(p *musicxml.Part) bool { return p.Staves > 1 }); i >= 0 {
		part = score.Parts[i].ID
	}
	if score, err = musicxml.Read(t.Context(), doc, musicxml.Options{Part: part}); err != nil {
		t.Fatal(err)
	}
	return doc, score
}

func checkScore(t *testing.T, path string) int {
	doc, score := openScore(t, path)
	if doc == nil {
		return 0
	}
	tree := etree.NewDocument()
	if err := tree.ReadFromBytes(doc.Text); err != nil {
		t.Logf("%s: the XML library does not read it: %v", path, err)
		return 0
	}
	notes := 0
	for _, player := range score.Players() {
		music, err := Of(t.Context(), doc, score, player, func(int) bool { return true })
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		if music.Staves > engrave.MostStaves {
			continue
		}
		drawn := drawAll(t, path, music, len(score.Measures))
		above := 0
		for _, p := range player.Parts {
			for _, w := range wantedOf(t, tree, p) {
				w.staff += above
				got := drawn[w.id]
				delete(drawn, w.id)
				if got == nil {
					t.Errorf("%s: %v is not drawn", path, w)
					continue
				}
				if step := got.line.step(got.head, w.staff); step != w.step || got.measure != w.measure {
					t.Errorf("%s: drawn in measure index %d at step %d, the file has %v", path, got.measure, step, w)
				}
				if !slices.Equal(got.signs, w.signs) && !got.shares {
					t.Errorf("%s: drawn with %v, the file has %v", path, got.signs, w)
				}
				notes++
			}
			above += p.Staves
		}
		for id := range drawn {
			t.Errorf("%s: a note at %d is drawn and not in the file", path, id)
		}
	}
	return notes
}

// A wanted note is one as the file has it.
type wanted struct {
	id, measure, staff int
	step               int // of the scale, from C0, that its printed height means
	signs              []string
}

// wantedOf reads from the file what is printed of a part's notes.
func wantedOf(t *testing.T, tree *etree.Document, p *musicxml.Part) []wanted {
	var list []wanted
	r := fileReader{part: p, divisions: big.NewRat(1, 1), shift: map[int]int{}, octaves: map[int]int{}}
	for i, m := range measuresOf(tree, p) {
		r.measure = i
		list = append(list, r.read(t, m)...)
	}
	return list
}

// measuresOf lists the elements that hold the measures of a part.
func measuresOf(tree *etree.Document, p *musicxml.Part) []*etree.Element {
	var list []*etree.Element
	for _, e := range tree.Root().ChildElements() {
		switch {
		case e.Tag == "part" && e.SelectAttrValue("id", "") == p.ID:
			return e.SelectElements("measure")
		case e.Tag == "measure":
			for _, part := range e.SelectElements("part") {
				if part.SelectAttrValue("id", "") == p.ID {
					list = append(list, part)
				}
			}
		}
	}
	return list
}

// A fileReader follows clefs with an 8, and octave lines, through a part.
type fileReader struct {
	part           *musicxml.Part
	measure        int
	note           int // notes so far: the score has them in the same order
	divisions      *big.Rat
	shift, octaves map[int]int // of each staff at the end of what has been read
}

// A step of time changes what a staff is under.
type turn struct {
	at             *big.Rat
	staff          int
	shift, octaves *int
}

func (r *fileReader) read(t *testing.T, m *etree.Element) []wanted {
	var list []wanted
	var at []*big.Rat
	var turns []turn
	lent := map[string][]string{} // accidentals of notes without heads
	now, last := new(big.Rat), new(big.Rat)
	for _, e := range m.ChildElements() {
		switch e.Tag {
		case "attributes":
			if d, ok := new(big.Rat).SetString(strings.TrimSpace(childText(e, "divisions"))); ok {
				r.divisions = d
			}
			for _, c := range e.SelectElements("clef") {
				staff, _ := strconv.Atoi(c.SelectAttrValue("number", "1"))
				octaves, _ := strconv.Atoi(strings.TrimSpace(childText(c, "clef-octave-change")))
				turns = append(turns, turn{at: new(big.Rat).Set(now), staff: staff, octaves: &octaves})
			}
		case "direction":
			for _, s := range e.FindElements("direction-type/octave-shift") {
				staff, err := strconv.Atoi(strings.TrimSpace(childText(e, "staff")))
				if err != nil {
					staff = 1
				}
				place := new(big.Rat).Set(now)
				// An offset tells where a sign appears, and when it sounds only if it says so: MusicXML 4.0, offset.
				offset := e.SelectElement("offset")
				if offset == nil || offset.SelectAttrValue("sound", "") != "yes" {
					offset = etree.NewElement("offset")
				}
				if o, ok := new(big.Rat).SetString(strings.TrimSpace(offset.Text())); ok {
					place.Add(place, o.Quo(o, r.divisions))
				}
				n := map[string]int{"8": 1, "15": 2, "22": 3}[s.SelectAttrValue("size", "8")]
				switch s.SelectAttrValue("type", "") {
				case "up":
					n = -n
				case "stop":
					n = 0
				}
				turns = append(turns, turn{at: place, staff: staff, shift: &n})
			}
		case "backup":
			if now.Sub(now, r.length(e)); now.Sign() < 0 {
				now.SetInt64(0)
			}
		case "forward":
			now.Add(now, r.length(e))
		case "note":
			if e.SelectElement("chord") == nil {
				last.Set(now)
				if e.SelectElement("grace") == nil {
					now.Add(now, r.length(e))
				}
			}
			switch w, kind := r.printed(e); kind {
			case withHead:
				list = append(list, w)
				at = append(at, new(big.Rat).Set(last))
			case withoutHead:
				if len(w.signs) > 0 && e.SelectElement("grace") == nil {
					lent[placeOf(w, last)] = w.signs
				}
			}
			r.note++
		}
	}
	for i := range list { // an accidental stands before the head that is there
		if key := placeOf(list[i], at[i]); len(lent[key]) > 0 && len(list[i].signs) == 0 {
			list[i].signs = lent[key]
			delete(lent, key)
		}
	}
	slices.SortStableFunc(turns, func(a, b turn) int { return a.at.Cmp(b.at) })
	for i := range list {
		shift, octaves := r.shift[list[i].staff], r.octaves[list[i].staff]
		for _, c := range turns {
			if c.staff == list[i].staff && c.at.Cmp(at[i]) <= 0 {
				c.take(&shift, &octaves)
			}
		}
		list[i].step -= 7 * (shift + octaves)
	}
	for _, c := range turns {
		shift, octaves := r.shift[c.staff], r.octaves[c.staff]
		c.take(&shift, &octaves)
		r.shift[c.staff], r.octaves[c.staff] = shift, octaves
	}
	return list
}

func (c turn) take(shift, octaves *int) {
	if c.shift != nil {
		*shift = *c.shift
	}
	if c.octaves != nil {
		*octaves = *c.octaves
	}
}

func (r *fileReader) length(e *etree.Element) *big.Rat {
	d, ok := new(big.Rat).SetString(strings.TrimSpace(childText(e, "duration")))
	if !ok {
		return new(big.Rat)
	}
	return d.Quo(d, r.divisions)
}

// placeOf is where on a staff a note stands.
func placeOf(w wanted, at *big.Rat) string { return fmt.Sprint(w.staff, w.step, at) }

const (
	hidden = iota
	withHead
	withoutHead
)

// printed is a note that is printed, with its head or without one.
func (r *fileReader) printed(e *etree.Element) (w wanted, kind int) {
	step, octave := childText(e, "pitch/step"), childText(e, "pitch/octave")
	if e.SelectElement("unpitched") != nil {
		step, octave = childText(e, "unpitched/display-step"), childText(e, "unpitched/display-octave")
	}
	step, octave = strings.TrimSpace(step), strings.TrimSpace(octave)
	if step == "" || e.SelectAttrValue("print-object", "yes") == "no" {
		return wanted{}, hidden
	}
	n, _ := strconv.Atoi(octave)
	w = wanted{id: ID(&r.part.Notes[r.note]), measure: r.measure, staff: 1, step: 7*n + strings.Index("CDEFGAB", step)}
	if s, err := strconv.Atoi(strings.TrimSpace(childText(e, "staff"))); err == nil {
		w.staff = s
	}
	w.signs = drawnSigns[strings.TrimSpace(childText(e, "accidental"))]
	if strings.TrimSpace(childText(e, "notehead")) == "none" {
		return w, withoutHead
	}
	return w, withHead
}

// drawnSigns are the glyphs of accidentals; others are not drawn, and said so.
var drawnSigns = map[string][]string{
	"sharp": {"#ga-s"}, "flat": {"#ga-f"}, "natural": {"#ga-n"}, "double-sharp": {"#ga-ss"}, "flat-flat": {"#ga-ff"},
	"natural-sharp": {"#ga-n", "#ga-s"}, "natural-flat": {"#ga-n", "#ga-f"},
}

func childText(e *etree.Element, path string) string {
	if c := e.FindElement(path); c != nil {
		return c.Text()
	}
	return ""
}

// A drawnNote is a note as it is read back.
type drawnNote struct {
	line    *drawnLine
	head    glyph
	measure int
	signs   []string
	shares  bool // its head is that of another note too
}

// A glyph is one use of a drawing.
type glyph struct {
	id         string
	x, y       int
	note, line int // the note's ID, 0 for none; the measure in the line
}

// A drawnLine is a drawing and what is in it.
type drawnLine struct {
	*engrave.Drawing
	glyphs []glyph
}

// drawAll draws all measures in lines and reads every note back.
func drawAll(t *testing.T, path string, music *engrave.Part, measures int) map[int]*drawnNote {
	t.Helper()
	whole := &engrave.Music{Staves: music.Staves, Glides: music.Glides}
	var indexes []int
	for i := range measures {
		if m := music.Measures[i]; m != nil {
			whole.Measures = append(whole.Measures, *m)
			indexes = append(indexes, i)
		}
	}
	starts, err := engrave.Break(whole, 130*40)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	found := map[int]*drawnNote{}
	for i, from := range starts {
		to := len(whole.Measures)
		if i+1 < len(starts) {
			to = starts[i+1]
		}
		line := *whole
		line.Measures = whole.Measures[from:to]
		d, err := engrave.Draw(&line, engrave.Options{})
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		l := &drawnLine{Drawing: d, glyphs: glyphsOf(t, path, d)}
		l.addNotes(t, path, indexes[from:to], found)
	}
	return found
}

func glyphsOf(t *testing.T, path string, d *engrave.Drawing) []glyph {
	t.Helper()
	tree := etree.NewDocument()
	if err := tree.ReadFromString("<svg>" + d.Body + "</svg>"); err != nil {
		t.Fatalf("%s: the drawing is not well-formed: %v", path, err)
	}
	var glyphs []glyph
	for _, e := range tree.FindElements("//use") {
		if e.SelectAttrValue("class", "") == "beat" {
			continue // of a metronome mark
		}
		g := glyph{id: e.SelectAttrValue("href", ""), line: -1}
		if _, err := fmt.Sscanf(e.SelectAttrValue("transform", ""), "translate(%d %d)", &g.x, &g.y); err != nil {
			g.x, _ = strconv.Atoi(e.SelectAttrValue("x", ""))
			g.y, _ = strconv.Atoi(e.SelectAttrValue("y", ""))
		}
		g.note, _ = strconv.Atoi(e.SelectAttrValue("data-note", "0"))
		for up := e.Parent(); up != nil; up = up.Parent() {
			if m := up.SelectAttrValue("data-measure", ""); m != "" {
				g.line, _ = strconv.Atoi(m)
			}
		}
		glyphs = append(glyphs, g)
	}
	return glyphs
}

// addNotes finds the notes of the line, with their accidentals.
func (l *drawnLine) addNotes(t *testing.T, path string, indexes []int, found map[int]*drawnNote) {
	t.Helper()
	at := map[[2]int]*drawnNote{} // notes by the places of their heads
	for _, g := range l.glyphs {
		switch {
		case strings.HasPrefix(g.id, "#gn"):
			if found[g.note] != nil || g.note == 0 {
				t.Errorf("%s: a head of note %d is drawn twice or has no name", path, g.note)
			}
			n := &drawnNote{line: l, head: g, measure: indexes[g.line]}
			if other := at[[2]int{g.x, g.y}]; other != nil {
				other.shares, n.shares = true, true
			}
			at[[2]int{g.x, g.y}], found[g.note] = n, n
		case strings.HasPrefix(g.id, "#ga-") && g.note != 0:
			n := found[g.note] // heads are drawn before their accidentals
			n.signs = append(n.signs, g.id)
			if g.y != n.head.y || g.x >= n.head.x {
				t.Errorf("%s: an accidental of note %d does not stand before it", path, g.note)
			}
		}
	}
}

// step is the step that a head on a staff means: it is counted from the last clef
// that is drawn on the staff before it.
func (l *drawnLine) step(head glyph, staff int) int {
	if staff > len(l.Staves) {
		return -1
	}
	top := l.Staves[staff-1]
	var clef glyph
	for _, g := range l.glyphs {
		if strings.HasPrefix(g.id, "#gc-") && g.y >= top && g.y <= top+160 && g.x < head.x && g.x >= clef.x {
			clef = g
		}
	}
	reference := map[string]int{"#gc-g": 7*4 + 4, "#gc-f": 7*3 + 3, "#gc-c": 7 * 4}[clef.id]
	if clef.id == "#gc-p" {
		reference, clef.y = 7*4+6, top+80 // unpitched notes are written as in a treble clef
	}
	return reference + (clef.y-head.y)/20
}
