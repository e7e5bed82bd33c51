package musicxml

import "strings"

// A Score is what a score document says, in written order. Times are exact
// quarter notes from the start of the first measure, repeats and jumps not
// followed, unless a field says otherwise.
type Score struct {
	Root     string    // "score-partwise" or "score-timewise"
	Prefix   string    // the namespace prefix of its elements with the colon, usually ""
	Title    string    // of the work or movement; "" if it has none
	Parts    []*Part   // in the order of the part-list
	Measures []Measure // of the whole score, in written order
	Order    []int     // measure indexes in playing order
	Literal  []int     // the same without jumps that only words ask for; nil if there is no difference
	Tempos   []Tempo   // in the order of Measure and Onset
	Warnings []Warning // what could be meant in another way, in the order of reading

	selected bool // the user chose the harp parts
	joined   bool // and said that one player plays them all
}

// A Measure is one measure of the whole score: measures of different parts
// belong together by index.
type Measure struct {
	Number    string // as printed: a label, not always a number and not always its own
	Implicit  bool   // not counted by the printed numbers
	Start     Frac   // from the start of the score
	Length    Frac   // as far as the parts go in it; that of the time signature where they have nothing
	Beat      Frac   // length of one beat of the time signature in force; a quarter note if there is none
	FirstBeat Frac   // where its first beat is, from its start: 0, but for a short first measure, whose beats count from its end
	Rehearsal string // the rehearsal mark in it; "" for none
	DoubleBar bool   // a double or final barline stands at its end
	NewSystem bool   // some part says that a system begins with it
	NewPage   bool   // some part says that a page begins with it
	Part      int    // the first part that has this measure
}

// A Tempo is the speed from a place on.
type Tempo struct {
	Measure int  // index from 0
	Onset   Frac // of the score
	Quarter Frac // quarter notes a minute
}

// A Part is one part of the part-list.
type Part struct {
	ID           string         // of the score-part, "P1"
	Name         string         // as printed, white space folded; "" if it has none
	Abbreviation string         // as printed on later systems; "" if it has none
	Instruments  []Instrument   // those of the part-list, then those whose sound a change in the part alters
	Harp         bool           // played on the harp, at least at times
	Clue         string         // what says that it is a harp or not, for a person to read
	Group        int            // index of the innermost braced group it stands in, from 1; 0 for none
	GroupName    string         // of that group; "" if it has none
	Staves       int            // the most staves it ever has, at least 1
	Measures     []PartMeasure  // one for each measure of the score
	Notes        []Note         // in document order
	Keys         []Key          // in document order
	Transposes   []Transpose    // in document order
	Settings     []HarpPedals   // in document order
	Directions   []Direction    // texts, in document order
	Dampers      []Damper       // marks of a piano's damper pedal going down, in document order
	Harmonies    []Harmony      // chord symbols, in document order
	Glissandi    []Glissando    // in document order
	Tremolos     []Tremolo      // in document order
	Clefs        map[int]string // sign of the first clef of each staff
}

// An Instrument is a score-instrument of a part.
type Instrument struct {
	ID      string // of the score-instrument, "P1-I1"
	Name    string // as given; "" if not
	Sound   string // instrument-sound, "pluck.harp"; "" if not given
	Program int    // midi-program, from 1; 0 if not given
	Harp    bool   // a harp by sound, name or program
}

// A PartMeasure is one measure of one part, as it stands in the document.
type PartMeasure struct {
	Number        string // as printed in this part
	Start         Frac   // where it begins in the score
	FirstNote     int    // index into Notes of its first note; they end where those of the next measure begin
	Tag           int    // offset in the text of the start tag that holds it; -1 if the part has no such measure
	Head          int    // offset of the first place for a direction, after the attributes at its start
	End           int    // offset of the last place for one, before the barline or end tag; -1 if it has none
	Cursor        Frac   // where the cursor stands at End, from the start of the measure
	HeadDivisions Frac   // in force at Head
	EndDivisions  Frac   // in force at End
	InRest        int    // which measure of a rest of several measures this is, one sign with a number, from 1; 0 for none
	RestHead      int    // offset before what begins such a rest, where directions for its first measure stand; 0 where they cannot
}

// A Kind says what a note element stands for.
type Kind uint8

// The kinds of note. The zero value is a note that sounds.
const (
	Sounding  Kind = iota
	Grace          // a grace note that sounds
	Cue            // a cue note of another player, which is silent: see [Cues]
	Unpitched      // a note without a pitch, as of a drum or a knock
	Rest
)

// A Note is one note element, rests included.
type Note struct {
	Kind       Kind // the zero value sounds
	Chord      bool // begins with the note before it
	Hidden     bool // print-object="no": not printed, but it sounds
	Small      bool // a cue note that is read as small print: it sounds
	cue        bool // has a cue element and a pitch
	named      bool // names its instrument
	String     byte // letter of the string that a comment of ours holds it to, 'A' to 'G'; 0 for none
	outer      int  // offset of our comment around it, where it is left out; 0 for none
	Tied       bool // goes on from a tie and is not attacked again
	ties       ties
	Pitch      Pitch  // of a Sounding, Grace or Cue note
	Measure    int    // index from 0
	Onset      Frac   // of the score
	Length     Frac   // written duration; 0 for a grace note
	Staff      int    // from 1
	Voice      string // as named in the file; "" for none
	Head       int    // index of the note without chord that it belongs to; its own for that one
	Instrument int    // index into Part.Instruments; -1 if the part has none
	TiedTo     int    // index of the note that goes on from this one; -1 if none does
	Divisions  Frac   // in force where it stands
	Start, End int    // offsets of the element in the text
	Accidental string // the accidental-value that is printed, "sharp"; "" for none
	Signs      *Signs // nil where there are none
}

// Division is how long a division is where the note stands, in quarter notes.
func (n *Note) Division() Frac { return NewFrac(1, 1).Div(n.Divisions) }

// LeftOut tells whether the note stands between comments of ours that leave it out: it
// is printed, and silent.
func (n *Note) LeftOut() bool { return n.outer > 0 }

// begin is the offset before which a direction for the note stands.
func (n *Note) begin() int {
	if n.outer > 0 {
		return n.outer
	}
	return n.Start
}

// sounds reports whether the note is plucked or goes on from a tie, on whatever
// instrument.
func (n *Note) sounds() bool { return n.Kind == Sounding || n.Kind == Grace }

// hasPitch reports whether the note has a pitch, whoever plays it.
func (n *Note) hasPitch() bool { return n.Kind == Sounding || n.Kind == Grace || n.Kind == Cue }

// Ends returns where the written length of the note ends.
func (n *Note) Ends() Frac { return n.Onset.Add(n.Length) }

// Signs are the notations of a note that matter to a harp.
type Signs struct {
	Ornaments     []Ornament // in the order of the file
	Arpeggiate    bool       // rolled
	NonArpeggiate bool       // by a bracket: not rolled
	Harmonic      bool       // plucked as a harmonic
	Tremolo       string     // type of the tremolo, "single", "start", "stop"; "" for none
	TremoloMarks  int        // its strokes, 0 to 8
	glissandi     []spanner
}

// An Ornament is a trill, turn, mordent or shake on a note.
type Ornament struct {
	Name         string // of the element, "trill-mark"
	Above, Below *Frac  // alteration of the neighbour by an accidental-mark; nil if none is given
}

// A spanner is one end of a line that joins two notes.
type spanner struct {
	element string // "glissando" or "slide"
	number  string
	start   bool
}

type ties struct{ start, stop, printedOnly bool }

// A Pitch is a pitch as written.
type Pitch struct {
	Step   byte // 'A' to 'G'
	Alter  Frac // semitones
	Octave int  // middle C is C4
}

// String writes the pitch as "C4", "F#3", "Bbb2", or with any other alteration
// in parentheses, "C(0.5)5".
func (p Pitch) String() string { return string(p.Step) + p.alteration() + itoa(p.Octave) }

func (p Pitch) alteration() string {
	if p.Alter.Den() == 1 {
		switch n := p.Alter.Num(); n {
		case 0:
			return ""
		case 1, 2:
			return strings.Repeat("#", int(n))
		case -1, -2:
			return strings.Repeat("b", int(-n))
		}
	}
	text, _ := p.Alter.Decimal()
	return "(" + text + ")"
}

// A Key is a key signature.
type Key struct {
	Measure int       // index from 0
	Onset   Frac      // of the score
	Staff   int       // from 1; 0 for all staves
	Fifths  int       // sharps; flats are negative
	Steps   []KeyStep // a signature of single steps; nil if Fifths says it
	Start   int       // offset of the element in the text, in bytes from 0
}

// A KeyStep is one sign of a key signature of single steps.
type KeyStep struct {
	Step  byte // 'A' to 'G'
	Alter Frac // semitones
}

// A Transpose is the way from written to sounding pitch.
type Transpose struct {
	Measure   int  // index from 0
	Onset     Frac // of the score
	Staff     int  // from 1; 0 for all staves
	Diatonic  int  // steps of the staff, up where positive
	Chromatic int  // semitones, octaves not counted
	Octave    int  // octaves
}

// A HarpPedals is a pedal setting that stands in the score.
type HarpPedals struct {
	Measure    int       // index from 0
	Onset      Frac      // of the score
	Staff      int       // from 1
	Tunings    []KeyStep // in the order of the file, without the duplicates
	Duplicates []byte    // steps named more than once
	Start      int       // offset of the direction in the text
}

// Complete reports whether the setting names all seven pedals once each.
func (h *HarpPedals) Complete() bool { return len(h.Tunings) == 7 && len(h.Duplicates) == 0 }

// A Direction is a text that stands in a part.
type Direction struct {
	Measure int    // index from 0
	Onset   Frac   // of the score, its offset counted in
	Staff   int    // from 1
	Words   string // of one words element
	Start   int    // offset of the direction in the text
}

// A Harmony is a chord symbol: one chord of a harmony element, which may hold
// several.
type Harmony struct {
	Measure int      // index from 0
	Onset   Frac     // its offset counted in
	Staff   int      // from 1
	Root    *KeyStep // nil where it is given as a number or function
	Kind    string   // the kind-value, "dominant"; "none" for no chord
	Text    string   // how the kind is printed, "7"; "" if the file does not say
	Bass    *KeyStep // nil if it is the root
	Degrees []Degree // in the order of the file
	Start   int      // offset of the harmony element in the text, in bytes from 0
}

// A Degree changes a chord: it adds a degree, alters one or leaves one out.
type Degree struct {
	Type  string // "add", "alter", "subtract"
	Value int    // 1 for the root; 0 where it is none
	Alter Frac   // semitones
}

// A Damper is a mark for a piano's damper pedal to go down.
type Damper struct {
	Measure int  // index from 0
	Onset   Frac // of the score, its offset counted in
}

// A Glissando is a glissando or slide from one note to another.
type Glissando struct {
	From, To int // indexes into Part.Notes
}

// A Tremolo alternates between two notes or chords.
type Tremolo struct {
	From, To int // indexes into Part.Notes: the first note of each
}

// HarpNote reports whether a note of the part is played on the harp and needs a
// string: cues, rests, unpitched notes and those of other instruments do not.
func (p *Part) HarpNote(n *Note) bool {
	if !n.sounds() {
		return false
	}
	return len(p.Instruments) < 2 || n.Instrument < 0 || p.Instruments[n.Instrument].Harp || !p.Harp
}

// NotesOf returns the part's notes in a measure, with the index of the first.
func (p *Part) NotesOf(measure int) (first int, notes []Note) {
	if measure >= len(p.Measures) {
		return len(p.Notes), nil
	}
	first = p.Measures[measure].FirstNote
	last := len(p.Notes)
	if measure+1 < len(p.Measures) {
		last = p.Measures[measure+1].FirstNote
	}
	return first, p.Notes[first:last]
}
