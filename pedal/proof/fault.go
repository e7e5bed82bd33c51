package proof

import (
	"pedalogue/pedal"
	"pedalogue/pedal/part"
)

// A Kind says what is wrong.
type Kind string

// The kinds.
const (
	WrongPedal         Kind = "wrong-pedal"               // no string gives the note as the pedals stand
	NeverSet           Kind = "never-set"                 // the same, and no mark has set the pedal yet
	LateMark           Kind = "late-mark"                 // the change is marked after the note that needs it
	EarlyMark          Kind = "early-mark"                // the change spoils a note before it
	RepeatStart        Kind = "repeat-start"              // only a repeat or jump left the pedal so
	OtherString        Kind = "other-string"              // the note's other string stands ready, and nothing says so
	StringNameDiffers  Kind = "string-name-differs"       // a text names another string than the one that gives the note
	IdleMark           Kind = "idle-mark"                 // it changes nothing
	SettingContradicts Kind = "setting-contradicts"       // a full setting says otherwise than a change before it
	RushedFoot         Kind = "rushed-foot"               // there is no time for a move
	OneFoot            Kind = "one-foot"                  // one foot is wanted for several moves at once
	GlissandoAlone     Kind = "glissando-without-setting" // no full setting stands before it
	NotAHarp           Kind = "not-a-harp"                // marks in a part that plays no harp
)

// A Severity says how much a fault matters. The zero value is a note.
type Severity uint8

// The severities.
const (
	Note    Severity = iota // information
	Warning                 // a player should look
	Error                   // a note sounds wrong, or no foot can do it
)

// A Fault is a place where marks and notes disagree.
type Fault struct {
	Kind     Kind
	Severity Severity
	Moment   int // of the first wrong note, else at which the mark is read; index into Passage.Moments
	Staff    int // of the first wrong note, from 1; 0 for none
	OfPedal  bool
	Pedal    pedal.Letter   // where OfPedal says that it is about one
	Stands   pedal.Position // as the marks have it
	Needed   pedal.Position // as the notes want it
	Notes    []int          // indexes into Passage.Notes, in playing order, each once
	Mark     int            // that stands wrong, an index into Task.Marks; -1 for none
	// Planned tells that the plan by which the marks were made has it too.
	Planned bool
	Text    string // a sentence
	Remedy  string // "" for none
}

// A Task is what is to be judged.
type Task struct {
	Part  *part.Part
	Marks []part.Mark // as Part.Following lists them
	// Readings are those of the part, for the strings that texts name.
	Readings []part.Reading
	Options  pedal.Options // harp and times
	Plan     *pedal.Plan   // by which marks were made; nil if there is none
	Planned  *Proof        // what comes of the marks of that plan alone; nil if there is none

	swept map[int]bool // notes that glissandi sweep and that are judged without a plan
}

// A Proof is what comes of marks.
type Proof struct {
	Faults []Fault    // in playing order
	Cost   pedal.Cost // of playing by the marks
	Wrong  int        // tones that no string gives, planned or not

	Settings []pedal.Setting // how the pedals stand at each moment

	keys map[key]bool
}

// A key tells what one fault is about, so that the same one is known again among
// those of other marks.
type key struct {
	about  Kind
	moment int
	letter pedal.Letter
	note   int
}

// Worst is the most severe of the faults; ok is false if there is none.
func (p *Proof) Worst() (worst Severity, ok bool) {
	for i := range p.Faults {
		worst, ok = max(worst, p.Faults[i].Severity), true
	}
	return worst, ok
}
