package pedal

import "time"

// A Mode says how notes may be respelt and how much that costs.
// The zero value is Balanced, the default.
type Mode uint8

// The four modes.
const (
	Balanced Mode = iota // one change is worth ChangePrice respelt notes, one switch SwitchPrice
	Written              // every note on its written string
	Needed               // respell only what could not be played otherwise
	Free                 // the fewest changes, whatever is respelt
)

// A Plan says how the pedals stand at every moment of a passage.
type Plan struct {
	Start     Setting   // before the first moment
	Settings  []Setting // one for each moment: how the pedals stand when its notes are attacked
	Strings   []String  // one for each note: the string that plays it; the zero String if it never sounds
	Unsounded []Dropped // strikes that get no string, in playing order; all of those that are one tone, though they cost one
	Held      []Release // changes under a held note, in playing order
	Moves     []Move    // in playing order of Place, then of Needed, those back to Start first, then in foot order
	Cost      Cost      // of all passes together
	// Unlike is how many measures of the playing order are not played on the same
	// strings as the first one with the same written notes: pitches, onsets, lengths,
	// ties in and out, grace notes in order; whatever the staff and the voice.
	Unlike int
	Proof  Proof // of Cost
}

// A String is a string of the harp. The zero value stands for none.
type String struct {
	Letter   Letter
	Position Position // at which it plays the note
	OK       bool     // false in the zero value
	Octave   int      // scientific, that of its letter: the string of middle C is C4
}

// Rank counts strings upwards; that of C0 is 0.
func (s String) Rank() int { return StringName{s.Letter, s.Octave}.Rank() }

// A Dropped strike is one that no string sounds.
type Dropped struct {
	Moment int // index into Passage.Moments
	Strike int // index into Moment.Strikes
}

// A Release is a string let go too early, since its pedal must move.
type Release struct {
	Moment int    // whose note needs the pedal elsewhere; index into Passage.Moments
	Letter Letter // of the pedal that moves
}

// A Move is one change of a pedal.
type Move struct {
	Letter   Letter   // of the pedal
	From, To Position // never the same
	Needed   int      // the moment whose note needs it; index into Passage.Moments, or their number if only Options.End needs it
	Place    int      // the moment at which it is marked: never after Needed, always after the letter's last use; index as Needed
	// The window is the time in which the foot can start the change: from when the
	// letter's last notes may go, to a move time before the note that needs it. A
	// rushed change may have none, its end before its start. Start to End is when
	// the foot makes it, a move time; a rushed one starts when it is needed. All on
	// the clock of Moment.At.
	WindowStart, WindowEnd time.Duration
	Start, End             time.Duration
	Rushed                 bool // no time was found for it
}

// A Cost counts what a plan costs; see the package comment for the order.
type Cost struct {
	Unsounded int // tones that no string sounds
	Held      int // strings let go too early
	Rushed    int // changes without time
	Respelt   int // tones on another string than written
	Switches  int // names that go to another string
	Changes   int // moves of a pedal
	Notches   int // semitones that pedals travel, one or two a change
}

// A Proof says how much of a plan's cost is proved to be minimal.
type Proof struct {
	Minimal bool     // all that Covers names is proved
	Covers  []string // names of costs: "unsounded", "held", "rushed", "respelt", "changes" in the order of the mode; "switches" in Balanced
	// No plan costs less, compared in the order of the mode; equal to the plan's
	// cost where proved. What the mode does not weigh is the plan's.
	Bound Cost
}
