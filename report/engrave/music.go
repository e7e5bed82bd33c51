package engrave

// Music is a run of measures of one player, to be drawn on one line.
type Music struct {
	Staves   int // 1 to MostStaves
	Measures []Measure
	Glides   []Glide
}

// MostStaves is how many staves can be drawn together.
const MostStaves = 4

// A Measure is one measure on all its staves. It says how things stand at its
// start, so that any measure can be drawn alone.
type Measure struct {
	Number  string    // printed above its start; "" for none
	Length  Time      // in quarter notes
	Opens   []Opening // of each staff from the top; what is missing is a treble clef without signs
	Meter   Meter     // printed at its start; zero for none
	Changes []Change  // within it, by time
	Chords  []Chord   // those of one voice by time, grace notes before their note
	Tuplets []Tuplet
	Marks   []Mark
	Left    Barline // at its start; zero where nothing but the end of the measure before is drawn
	Right   Barline // at its end
	Ending  Ending
}

// An Opening is what is in force on a staff when a measure begins.
type Opening struct {
	Clef  Clef
	Key   Key
	Shift int  // octaves that the music sounds above what is drawn, under a line with 8va; below zero for 8vb
	New   bool // that line begins with the measure
}

// A Clef gives the lines their pitches. The zero value is a treble clef.
type Clef struct {
	Sign    byte // 'G', 'F', 'C', or 'P' for percussion; 0 is 'G'; any other is not drawn and read as 'G'
	Line    int  // of the sign, from 1 at the bottom; 0 is its usual one
	Octaves int  // that the music sounds above what is drawn: -1 with an 8 below
}

// A Key is the signs of a key signature from left to right.
type Key []KeySign

// A KeySign is one sign of a key signature.
type KeySign struct {
	Step byte // 'A' to 'G'
	Sign Sign
}

// A Meter is a time signature. The zero value is none.
type Meter struct {
	Beats  string // "4", "3+2"
	Unit   string // "4"
	Symbol byte   // 'C' for common time, '|' for cut time; 0 for the numbers
}

// A Change is a clef, a key signature or an octave line that begins or ends
// within a measure.
type Change struct {
	At    Time // from the start of the measure
	Staff int  // from 1
	Clef  *Clef
	Key   *Key
	Shift *int // as in Opening; 0 ends the line
}

// A Value is the kind of a note: how its head, stem and flags look. The zero value
// is not known and looks like a quarter note.
type Value uint8

// The values of notes.
const (
	Unknown Value = iota
	Maxima
	Long
	Breve
	Whole
	Half
	Quarter
	Eighth // and so on by halves, as far as N1024th
	N16th
	N32nd
	N64th
	N128th
	N256th
	N512th
	N1024th
)

// flags is how many flags a note of the value has.
func (v Value) flags() int { return max(0, int(v)-int(Quarter)) }

// A Sign is an accidental. The zero value is none.
type Sign uint8

// The accidentals.
const (
	NoSign Sign = iota
	Natural
	Sharp
	Flat
	DoubleSharp
	DoubleFlat
	NaturalSharp
	NaturalFlat
	OtherSign // one that is not drawn, such as a quarter tone
)

// A Chord is what begins at one moment in one voice: a chord, a note or a rest.
type Chord struct {
	At      Time  // from the start of the measure; that of the note which a grace note goes with
	Staff   int   // from 1; that of a rest
	Voice   int   // any number; those of one staff are ordered by it, the upper one first
	Value   Value // as written
	Dots    int
	Notes   []Note // empty for a rest
	Rest    RestPlace
	Whole   bool // a rest of a whole measure, in the middle of it
	Hidden  bool // takes its time and is not drawn
	Grace   bool
	Slash   bool // a slash through the stem of a grace note
	Small   bool // of the size of a cue
	Stem    Stem
	Beams   []Beam // of an eighth note's beam, of a sixteenth's, and so on
	Strokes int    // of a tremolo
	Between bool   // the strokes stand between this chord and the next one of its voice
	Roll    Roll
	Circle  bool // a small circle above: a harmonic
}

// A Note is one note of a chord.
type Note struct {
	ID      int  // names it in the drawing; 0 for no name
	Staff   int  // from 1
	Step    byte // 'A' to 'G': as it sounds, octave lines and clefs with an 8 counted in
	Octave  int  // middle C is C4
	Sign    Sign // as printed
	Round   bool // the sign in parentheses
	Head    Head
	TiedTo  int  // ID of the note that a tie goes to; -1 if that is another than any drawn; 0 for none
	TiedIn  bool // a tie comes from a note that may not be drawn
	Ringing bool // a tie that ends nowhere: let it ring
}

// A Head is the shape of a note's head. The zero value is the usual one.
type Head uint8

// The shapes of heads.
const (
	Round Head = iota
	Cross
	Diamond
	NoHead    // nothing is drawn of the note but its ties
	OtherHead // drawn as the usual one
)

// A Concern makes a note stand out, in colour and by a line around its head:
// unbroken, dashed or dotted.
type Concern uint8

// The concerns.
const (
	NoConcern Concern = iota
	Error
	Warning
	Remark
)

// A RestPlace is where a rest stands. The zero value leaves it to the voices.
type RestPlace struct {
	Step   byte // 'A' to 'G'; 0 for none
	Octave int
}

// A Stem is which way a stem goes. The zero value leaves it to the notes and
// voices.
type Stem uint8

// The ways of a stem.
const (
	AnyStem Stem = iota
	Up
	Down
	NoStem
)

// A Beam is what a chord is to one of its beams.
type Beam uint8

// What a chord can be to a beam.
const (
	NoBeam Beam = iota
	Begin
	Continue
	End
	Forward  // a short beam to the right
	Backward // and to the left
)

// A Roll is a sign beside a chord. The zero value is none.
type Roll struct {
	Kind  RollKind
	Group int // chords at one moment with the same one have a sign together; with 0 those of one staff
}

// A RollKind tells rolls apart.
type RollKind uint8

// The kinds of Roll.
const (
	NoRoll   RollKind = iota
	Rolled            // an arpeggio
	RollUp            // with an arrow up
	RollDown          // with an arrow down
	Together          // a bracket: not rolled
)

// A Tuplet is a number over some chords.
type Tuplet struct {
	First, Last int    // indexes into Chords
	Text        string // "3"; "" for the bracket alone
	Bracket     bool
	Below       bool
}

// A Glide is a line from one note to another.
type Glide struct {
	From, To int // IDs; a line to a note that is not drawn goes to the end
	Wavy     bool
	Text     string // along it; "" for none
}

// A BarStyle is how a barline looks.
type BarStyle uint8

// The barlines. The zero value is a thin line.
const (
	Single BarStyle = iota
	Double
	Final      // thin, thick
	HeavyLight // thick, thin
	Heavy
	HeavyHeavy
	Dashed
	Dotted
	NoBarline
)

// A Barline is a barline with the dots of a repeat, if it has them.
type Barline struct {
	Style  BarStyle
	Repeat bool // dots on the side of the measure that it belongs to
}

// An Ending is a bracket over the measures of a first or second ending.
type Ending struct {
	Over   bool // the measure stands under one
	Starts bool // it begins at the measure's start
	Stops  bool // and ends at its end, with a stroke down
	Text   string
}

// A Mark is words or a pedal diagram at a place, above or below a staff.
type Mark struct {
	At      Time
	Staff   int // from 1
	Above   bool
	Class   string   // for a style sheet: "pedals", "setting", "text"
	Rows    [][]Word // from the top
	Diagram []int    // positions of the seven pedals in foot order, -1 flat, 0 natural, 1 sharp; nil for none
	Italic  bool
	Boxed   bool // with a frame around it
}

// A Word is a piece of text with a note before it or an accidental after it.
type Word struct {
	Note  Value  // of a metronome mark; Unknown for none
	Dots  int    // behind the note
	Tied  bool   // to the note of the next word
	Over  string // the number over the notes from this word on; "" for none
	Ends  bool   // that number's bracket ends over the note
	Text  string
	Sign  Sign
	After string // behind the accidental: ")"
	Class string // for a style sheet: "left", "right", "tempo"; "" for none
}

// A Part is what can be drawn of one player's part.
type Part struct {
	Staves   int              // in all; more than MostStaves cannot be drawn
	Measures map[int]*Measure // by their index in the part; not all need be there
	Glides   []Glide
}

// Line puts measures of a part side by side, which must be there.
func (p *Part) Line(indexes ...int) *Music {
	m := &Music{Staves: p.Staves, Glides: p.Glides}
	for _, i := range indexes {
		m.Measures = append(m.Measures, *p.Measures[i])
	}
	return m
}
