package pedal

import "time"

// A Passage is everything that one harp has to play, in playing order: repeats,
// endings and jumps are already followed.
type Passage struct {
	Notes   []Note   // the notes as they are printed; each is spelt once for all its passes
	Moments []Moment // in playing order; Onset and At never decrease
	Key     Setting  // the key signature at the start; where a pedal stands that no note needs
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

// A Moment is a point in the playing order: all notes attacked together, or a
// beat or barline at which nothing is attacked but a foot may move. A grace
// note or grace chord is a moment of its own just before the one it leans on.
type Moment struct {
	Onset   int64         // score time in playing order, in ticks of the passage's own clock
	At      time.Duration // seconds from the start, in playing order
	Beat    bool          // a beat or a barline stands here: a place where a pedal is usually moved
	Grace   bool          // the notes are grace notes
	Strikes []Strike      // the notes attacked; empty for a bare beat
}

// A Strike is one playing of a note.
type Strike struct {
	Note  int           // index into Passage.Notes
	End   int64         // when the written length, ties included, ends; on the clock of Moment.Onset
	Until time.Duration // the same in seconds, on the clock of Moment.At
}
