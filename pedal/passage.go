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
}

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
	// Fixed notes want their written string and no other, in every mode: the
	// strings of a glissando, two spellings of one pitch in a tremolo.
	Fixed bool
}

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
