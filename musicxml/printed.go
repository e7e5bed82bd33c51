package musicxml

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strings"

	"pedalogue/musicxml/internal/xmltext"
)

// A PrintedMeasure tells how a measure of a part is printed: what nothing that
// sounds depends on, but a drawing does. Its words are those of MusicXML, "" where
// the file says nothing; its times are quarter notes from the start of the measure.
type PrintedMeasure struct {
	Index   int            // of the measure
	Staves  []PrintedStaff // at its start, from the top
	Changes []StaffChange  // within it, by time
	Time    TimeSignature  // printed in it; the zero value if none is
	Notes   []PrintedNote  // as Part.NotesOf has them
	Left    PrintedBarline // the zero value where the file has none
	Right   PrintedBarline // as Left
	Ending  PrintedEnding  // the zero value where none is over it
	Texts   []PrintedText  // words and signs that are drawn as words, in the order of the file
}

// A PrintedStaff is what is in force on a staff.
type PrintedStaff struct {
	Clef  Clef // the zero value where the file has none
	Key   Key  // the zero value is that of C major
	Shift int  // octaves that notes sound above where they are printed: 1 under 8va, -1 over 8vb
	New   bool // the octave line begins with the measure
}

// A Clef is a clef as it is printed.
type Clef struct {
	Sign    string // "G", "F", "C", "percussion", "TAB", "jianpu", "none"
	Line    int    // from 1 at the bottom; 0 if not given
	Octaves int    // that notes sound above where they are printed: -1 with an 8 below
}

// A StaffChange is a change of one thing on one staff; the others are nil.
type StaffChange struct {
	Onset Frac  // quarter notes from the start of the measure
	Staff int   // from 1
	Clef  *Clef // from here on
	Key   *Key  // from here on
	Shift *int  // octaves, as PrintedStaff.Shift
}

// A TimeSignature is a time signature as it is printed: pairs of numbers, each
// beats over its unit.
type TimeSignature struct {
	Beats, Units []string // as written, "3+2" and "8"; of equal length
	Symbol       string   // "common", "cut" and others
}

// A PrintedBarline is a barline.
type PrintedBarline struct {
	Style  string // "light-heavy" and so on
	Repeat string // "forward", "backward"
}

// A PrintedEnding is what of the bracket of an ending stands over a measure.
type PrintedEnding struct {
	Over   bool   // some of it does
	Starts bool   // its beginning, with the text
	Stops  bool   // its end, with a stroke down
	Text   string // "1.", or what is printed there
}

// A PrintedText is a text, or a sign that has a text.
type PrintedText struct {
	Onset Frac          // quarter notes from the start of the measure
	Staff int           // from 1
	Above bool          // the staff; below otherwise
	Kind  string        // the element: "words", "dynamics", "rehearsal", "metronome", "segno", "coda"
	Text  string        // "cresc.", "mf", "B"; of a metronome mark the number a minute, "" where it compares two beats
	Beats []PrintedBeat // of a metronome mark
	Round bool          // a metronome mark in parentheses
	Start int           // offset of the direction in the document
}

// A PrintedBeat is a note of a metronome mark.
type PrintedBeat struct {
	Type   string // "quarter"
	Dots   int
	Tied   bool   // to the next one
	Equal  bool   // an equals sign follows
	Tuplet string // the number over the notes from this one on, "3"; "" if none begins
	Ends   bool   // that tuplet ends with it
}

// A PrintedNote tells how a note or rest is printed.
type PrintedNote struct {
	Type          string          // "quarter"
	Dots          int             // of augmentation
	Accidental    string          // "sharp"
	Parentheses   bool            // around the accidental
	Stem          string          // "up", "down", "none", "double"
	Beams         []string        // by number from 1: "begin", "continue", "end", "forward hook", "backward hook"
	Head          string          // "x", "diamond"
	Small         bool            // as a cue
	Slash         bool            // through the stem of a grace note
	WholeMeasure  bool            // a rest for all of the measure
	DisplayStep   byte            // of a rest or unpitched note; 0 if not given
	DisplayOctave int             // scientific, with DisplayStep
	LetRing       bool            // a tie that leads nowhere
	Roll          string          // "arpeggiate", "up", "down", "non-arpeggiate"
	RollNumber    string          // tells rolls apart that sound together; "" for none
	Tuplets       []PrintedTuplet // that begin or end with it
	Wavy          bool            // the line of the glissando that begins with it
	Glide         string          // text along the glissando that begins with it
}

// A PrintedTuplet is the beginning or end of a tuplet.
type PrintedTuplet struct {
	Number  string // tells tuplets apart that lie in each other
	Start   bool   // it begins; it ends otherwise
	Text    string // "3", "5:4", or "" where no number is shown
	Bracket bool   // drawn
	Below   bool   // the notes
}

// Printed reads again how measures of a part are printed, those that are wanted,
// in order. The document must be the one that the score was read from. A drawing
// of a few measures so costs no memory for all the others. An error is an [*Error];
// where the context has ended, it holds that.
func (s *Score) Printed(ctx context.Context, doc *Document, p *Part, want func(measure int) bool) ([]PrintedMeasure, error) {
	r := &printReader{score: s, part: p, want: want, scan: xmltext.NewScanner(ctx, doc.Text, math.MaxInt), staves: make([]PrintedStaff, p.Staves)}
	if err := r.read(); err != nil {
		return nil, &Error{File: doc.Name, Part: p.ID, Err: err}
	}
	return r.measures, nil
}

// A printReader reads one part again.
type printReader struct {
	score     *Score
	part      *Part
	want      func(int) bool
	scan      *xmltext.Scanner
	staves    []PrintedStaff // in force
	ending    bool           // a bracket goes on from the measure before
	divisions Frac
	measures  []PrintedMeasure

	// Of the measure in hand:
	next   int // index of the measure
	note   int // index into Part.Notes of the next note
	cursor Frac
	now    *PrintedMeasure
	wanted bool
}

// read finds the measures of the part, which stand in the root's children.
func (r *printReader) read() error {
	if _, err := r.scan.Root(); err != nil {
		return err
	}
	r.divisions = NewFrac(1, 1)
	for depth := 1; depth > 0; {
		e, err := r.scan.Next()
		if err != nil {
			return err
		}
		for r.next < len(r.part.Measures) && r.part.Measures[r.next].Tag < 0 {
			r.next++
		}
		switch {
		case e == nil:
			depth--
		case r.next < len(r.part.Measures) && e.Start == r.part.Measures[r.next].Tag:
			if err := r.measure(); err != nil {
				return err
			}
			r.next++
		case depth == 1 && (e.Name == "part" || e.Name == "measure"):
			depth++
		default:
			if err := r.scan.Skip(e); err != nil {
				return err
			}
		}
	}
	return nil
}

// measure reads one measure, to its end tag.
func (r *printReader) measure() error {
	r.now = &PrintedMeasure{Index: r.next, Staves: slices.Clone(r.staves), Ending: PrintedEnding{Over: r.ending}}
	r.note, r.cursor, r.wanted = r.part.Measures[r.next].FirstNote, Frac{}, r.want(r.next)
	for {
		e, err := r.scan.Next()
		if err != nil {
			return err
		}
		if e == nil {
			break
		}
		switch e.Name {
		case "note", "backup", "forward", "attributes", "direction", "barline":
			err = r.scan.Fill(e)
		default:
			err = r.scan.Skip(e)
		}
		if err != nil {
			return err
		}
		r.child(e)
	}
	slices.SortStableFunc(r.now.Changes, func(a, b StaffChange) int { return cmp.Or(a.Onset.Cmp(b.Onset), cmp.Compare(a.Staff, b.Staff)) })
	for _, c := range r.now.Changes {
		r.staves[c.Staff-1] = r.staves[c.Staff-1].changed(c)
	}
	if r.wanted {
		r.measures = append(r.measures, *r.now)
	}
	return nil
}

func (s PrintedStaff) changed(c StaffChange) PrintedStaff {
	switch {
	case c.Clef != nil:
		s.Clef = *c.Clef
	case c.Key != nil:
		s.Key = *c.Key
	case c.Shift != nil:
		s.Shift = *c.Shift
	}
	return s
}

func (r *printReader) child(e *xmltext.Element) {
	switch e.Name {
	case "note":
		r.readNote(e)
	case "backup":
		r.cursor = r.cursor.Sub(r.length(e))
		if r.cursor.Sign() < 0 {
			r.cursor = Frac{}
		}
	case "forward":
		r.cursor = r.cursor.Add(r.length(e))
	case "attributes":
		r.attributes(e)
	case "direction":
		r.direction(e)
	case "barline":
		r.barline(e)
	}
}

func (r *printReader) length(e *xmltext.Element) Frac {
	f, _ := ParseDecimal(e.ChildText("duration"))
	return f.Div(r.divisions)
}

// change notes what changes on a staff: at the start of the measure it is in force
// from there on.
func (r *printReader) change(c StaffChange) {
	if c.Staff < 1 || c.Staff > len(r.staves) {
		return
	}
	if c.Onset.Sign() <= 0 {
		now := &r.now.Staves[c.Staff-1]
		*now = now.changed(c)
		now.New = now.New || c.Shift != nil && *c.Shift != 0
		r.staves[c.Staff-1] = r.staves[c.Staff-1].changed(c)
		return
	}
	r.now.Changes = append(r.now.Changes, c)
}

func (r *printReader) attributes(e *xmltext.Element) {
	for c := e.First; c != nil; c = c.Next {
		staff := staffNumber(c)
		switch c.Name {
		case "divisions":
			if f, ok := ParseDecimal(c.Text); ok && f.Sign() > 0 {
				r.divisions = f
			}
		case "clef":
			clef := Clef{Sign: c.ChildText("sign")}
			clef.Line, _ = whole(c.ChildText("line"))
			clef.Octaves, _ = whole(c.ChildText("clef-octave-change"))
			r.change(StaffChange{Onset: r.cursor, Staff: max(1, staff), Clef: &clef})
		case "key":
			key := r.keyAt(staff)
			for s := range r.staves {
				if staff == 0 || staff == s+1 {
					r.change(StaffChange{Onset: r.cursor, Staff: s + 1, Key: &key})
				}
			}
		case "time":
			if r.wanted {
				r.now.Time = timeSignature(c)
			}
		}
	}
}

// keyAt is the key signature that stands at the cursor, as it has been read.
func (r *printReader) keyAt(staff int) Key {
	at := r.cursor.Add(r.score.Measures[r.next].Start)
	for _, k := range r.part.Keys {
		if k.Measure == r.next && k.Staff == staff && k.Onset.Cmp(at) == 0 {
			return k
		}
	}
	return Key{}
}

func timeSignature(e *xmltext.Element) TimeSignature {
	t := TimeSignature{Symbol: e.Attr("symbol")}
	if e.Attr("print-object") == "no" {
		return TimeSignature{}
	}
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "beats":
			t.Beats = append(t.Beats, c.Trimmed())
		case "beat-type":
			t.Units = append(t.Units, c.Trimmed())
		}
	}
	return t
}

func (r *printReader) direction(e *xmltext.Element) {
	at := r.cursor
	if f, ok := ParseDecimal(e.ChildText("offset")); ok {
		at = at.Add(f.Div(r.divisions))
	}
	staff, ok := whole(e.ChildText("staff"))
	if !ok {
		staff = 1
	}
	for t := e.First; t != nil; t = t.Next {
		if t.Name != "direction-type" {
			continue
		}
		for c := t.First; c != nil; c = c.Next {
			switch c.Name {
			case "octave-shift":
				shift := octaveShift(c)
				if shift != nil {
					r.change(StaffChange{Onset: r.place(at, e.Child("offset")), Staff: staff, Shift: shift})
				}
			case "words", "dynamics", "rehearsal", "metronome", "segno", "coda":
				if r.wanted {
					r.text(c, PrintedText{Onset: at, Staff: staff, Above: above(e, c.Name), Kind: c.Name, Start: e.Start})
				}
			}
		}
	}
}

// place is from when on a direction holds whose offset leads to such a time: an offset
// tells where it appears, and only if it says so when it sounds.
func (r *printReader) place(at Frac, offset *xmltext.Element) Frac {
	if offset != nil && offset.Attr("sound") == "yes" {
		return at
	}
	return r.cursor
}

// octaveShift reads an octave line: notes are printed down from where they sound
// under 8va. It is nil where nothing changes.
func octaveShift(e *xmltext.Element) *int {
	octaves := 1
	switch e.Attr("size") {
	case "15":
		octaves = 2
	case "22":
		octaves = 3
	}
	switch e.Attr("type") {
	case "up":
		octaves = -octaves
	case "stop":
		octaves = 0
	case "continue":
		return nil
	}
	return &octaves
}

// above tells whether a direction stands above its staff. Where the file does not say,
// marks for everybody do. Common practice.
func above(direction *xmltext.Element, kind string) bool {
	switch direction.Attr("placement") {
	case "above":
		return true
	case "below":
		return false
	}
	return kind != "words" && kind != "dynamics"
}

// text takes in words or a sign.
func (r *printReader) text(e *xmltext.Element, t PrintedText) {
	switch t.Kind {
	case "dynamics":
		for c := e.First; c != nil; c = c.Next {
			if c.Name == "other-dynamics" {
				t.Text = strings.TrimSpace(t.Text + " " + c.Trimmed())
			} else {
				t.Text += c.Name
			}
		}
	case "metronome":
		if e.Attr("print-object") == "no" {
			return
		}
		t.Text, t.Round = e.ChildText("per-minute"), e.Attr("parentheses") == "yes"
		t.Beats = beats(e)
		if len(t.Beats) == 0 || len(t.Beats) == 1 && t.Text == "" {
			return // one note alone tells nothing
		}
	case "segno", "coda":
		t.Text = t.Kind
	default:
		t.Text = strings.Trim(e.Text, " \t\r\n")
	}
	if t.Text != "" || t.Beats != nil {
		r.now.Texts = append(r.now.Texts, t)
	}
}

func (r *printReader) barline(e *xmltext.Element) {
	b := PrintedBarline{Style: e.ChildText("bar-style")}
	if c := e.Child("repeat"); c != nil {
		b.Repeat = c.Attr("direction")
	}
	if c := e.Child("ending"); c != nil && c.Attr("print-object") != "no" {
		r.bracket(c)
	}
	switch e.Attr("location") {
	case "left":
		r.now.Left = b
	case "middle":
	default:
		r.now.Right = b
	}
}

// bracket takes in the beginning or end of an ending's bracket.
func (r *printReader) bracket(e *xmltext.Element) {
	g := &r.now.Ending
	g.Over = true
	if e.Attr("type") == "start" {
		r.ending, g.Starts = true, true
		if g.Text = e.Trimmed(); g.Text == "" {
			g.Text = e.Attr("number")
		}
		return
	}
	r.ending, g.Stops = false, e.Attr("type") == "stop"
}
