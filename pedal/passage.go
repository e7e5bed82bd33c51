package pedal

import (
	"strconv"
	"strings"
	"time"
)

// A Passage is everything that one harp has to play, in playing order: repeats,
// endings and jumps are already followed.
type Passage struct {
	Notes   []Note   // the notes as they are printed; each is spelt once for all its passes
	Moments []Moment // in playing order; Onset and At never decrease
	// Measures are the measures as they are played, in playing order. Nil makes the
	// whole passage one measure.
	Measures []Measure
	Key      Setting // the key signature at the start; where a pedal stands that no note needs

	// What follows is not needed for the plan, only to judge it.

	Glissandi []Glissando // in the order of the notes
	LeftOut   []LeftOut   // what is played without being written, where it is no part of the passage
	Dampers   []int       // moments at which a piano's damper pedal is marked to go down, in playing order
}

// A Glissando is a sweep over all strings that begins at a printed note.
type Glissando struct {
	Note    int     // index into Passage.Notes of the printed note it begins at
	Setting Setting // the seven letters that it sounds
	Source  GlissandoSource
}

// A GlissandoSource says where the setting of a glissando was taken from.
type GlissandoSource uint8

// The three sources.
const (
	FromKey     GlissandoSource = iota // the key signature
	FromSetting                        // a full setting that stands in the score
	FromOctave                         // the first octave, written out as notes
)

// A LeftOut is something that is played without being written out, and that the
// passage does not hold.
type LeftOut struct {
	Note int // index into Passage.Notes of the printed note it belongs to
	By   Implication
}

// An Implication is what makes a player play more than is written.
type Implication uint8

// The implications.
const (
	ByOrnament  Implication = iota // a trill, turn, mordent or shake
	ByTremolo                      // a tremolo between two notes or chords
	ByGlissando                    // the strings between the ends of a glissando
)

// A Pitch is a pitch as it is written.
type Pitch struct {
	Letter Letter
	Cents  int // alteration in cents: -100 flat, 0 natural, 100 sharp; not a multiple of 100 for a microtone
	Octave int // scientific: middle C is C4. B♯3 sounds as C4, C♭4 as B3
}

// A Note is a note of the score, printed once and played once in each pass.
type Note struct {
	Pitch Pitch
	Staff int // from 1, over all parts of the player; 0 for none
	// Implied notes are played but not written out: the upper note of a trill,
	// the strings that a glissando sweeps.
	Implied bool
	By      Implication // of an implied note: what asks for it
	For     int         // of an implied note: index into Passage.Notes of the printed note it belongs to; -1 for none
	// Fixed notes want their written string and no other, in every mode: the
	// strings of a glissando, two spellings of one pitch in a tremolo.
	Fixed bool

	// What follows is not needed for the plan, only to judge it.

	Roll     Roll
	Harmonic bool // to be played as a harmonic, on the string that is written
	Trill    bool // to be trilled
	Tremolo  TremoloHalf
	Plucks   int // how often a tremolo on this one note plucks it; 0 for no tremolo
}

// A TremoloHalf is one of the two notes or chords of a tremolo. The second is
// needed from the start of the first, so it is struck there too.
type TremoloHalf uint8

// The halves. The zero value is none.
const (
	NoTremolo TremoloHalf = iota
	FirstHalf
	SecondHalf
)

// A Roll says whether a chord is to be rolled. The zero value leaves it open.
type Roll uint8

// The ways to play a chord.
const (
	RollOpen Roll = iota // nothing is said
	Rolled               // an arpeggio sign stands before it
	Together             // a bracket forbids rolling it
)

// String writes the pitch with real signs, "C♯5", "F𝄪4", or with its alteration
// in semitones where that is not whole, "C(0.5)5".
func (p Pitch) String() string {
	return p.Name() + strconv.Itoa(p.Octave)
}

// Name writes the pitch without its octave, "C♯".
func (p Pitch) Name() string {
	l := p.Letter.String()
	switch {
	case p.Cents == 200:
		return l + "𝄪"
	case p.Cents == -200:
		return l + "𝄫"
	case p.Cents%100 != 0:
		return l + "(" + strconv.FormatFloat(float64(p.Cents)/100, 'f', -1, 64) + ")"
	case p.Cents > 0:
		return l + strings.Repeat("♯", p.Cents/100)
	default:
		return l + strings.Repeat("♭", -p.Cents/100)
	}
}

// A Measure is one playing of a measure of the score, from barline to barline.
type Measure struct {
	Written int           // which measure of the score it plays, from 0; the same in every pass
	First   int           // index into Passage.Moments of its first moment, or that of the next measure if it has none
	Onset   int64         // when it begins, on the clock of Moment.Onset
	At      time.Duration // the same in seconds, on the clock of Moment.At
	End     int64         // when it ends, on the clock of Moment.Onset
	Until   time.Duration // the same in seconds
	// Sign tells that a repeat sign or a jump stands at its beginning, whether or
	// not it is obeyed in this pass: a mark on one side of it is not seen from the
	// other.
	Sign bool
}

// A Moment is a point in the playing order: all notes attacked together, or a
// beat or barline at which nothing is attacked but a foot may move. A grace
// note or grace chord is a moment of its own just before the one it leans on.
type Moment struct {
	Onset   int64         // score time in playing order, in ticks of the passage's own clock
	At      time.Duration // seconds from the start, in playing order
	Beat    bool          // a beat or a barline stands here: a place where a pedal is usually moved
	Grace   bool          // the notes are grace notes
	Measure int           // index into Passage.Measures
	// Restart tells that the place of the first setting, the first moment of the
	// music, is played again here: all pedals must stand as they did at first.
	Restart bool
	Strikes []Strike // the notes attacked; empty for a bare beat
}

// A Strike is one playing of a note.
type Strike struct {
	Note  int           // index into Passage.Notes
	End   int64         // when the written length, ties included, ends; on the clock of Moment.Onset
	Until time.Duration // the same in seconds, on the clock of Moment.At
}
