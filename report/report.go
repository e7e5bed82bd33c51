package report

import (
	"pedalogue/pedal"
	"pedalogue/report/engrave"
)

// Format is the version of the JSON report's layout.
const Format = 1

// A Head is how every report on a score begins.
type Head struct {
	Format       int           `json:"format"`
	Tool         string        `json:"tool"`
	Version      string        `json:"version"`
	Path         string        `json:"score"`  // as given
	Title        string        `json:"title"`  // "" if the score has none
	Output       string        `json:"output"` // "" if nothing was written
	Error        string        `json:"error,omitempty"`
	PlayingOrder *PlayingOrder `json:"playing_order,omitempty"`
}

// A Score is the report on one score. Its fields, in their order, are the keys
// of the JSON report.
type Score struct {
	Head
	Parts    []Part    `json:"parts,omitzero"` // absent if Error is set
	Warnings []Warning `json:"warnings"`

	Sheet SheetOptions `json:"-"`
	Index string       `json:"-"` // slash-separated path of the page of all scores, relative to this one's; "" for none
}

// A PlayingOrder counts the measures of a score.
type PlayingOrder struct {
	Written int `json:"measures_written"`
	Played  int `json:"measures_played"` // repeats, endings and jumps followed
}

// A Part is one harp: usually one part of the score, more than one where a harp
// was written as several parts.
type Part struct {
	ID       string        `json:"id"` // "P1", or "P1+P2" for one harp in two parts
	Name     string        `json:"name"`
	Staves   int           `json:"staves"`
	Measures int           `json:"measures"` // as written
	Notes    int           `json:"notes"`    // attacked, in playing order
	Moments  int           `json:"moments"`  // with at least one note attacked
	Options  Options       `json:"options"`
	Start    pedal.Setting `json:"start"`
	Cost     Cost          `json:"cost"`
	Unlike   int           `json:"unlike"` // measures played on other strings than the same notes before
	Proof    Proof         `json:"proof"`
	PinsCost *Cost         `json:"pins_cost,omitempty"` // what the pins add to each cost; nil without pins
	Choices  []Choice      `json:"choices"`             // what each mode costs
	Curve    []Point       `json:"curve,omitempty"`     // what plans cost as a change gets cheaper, the dearest price first
	Changes  []Change      `json:"changes"`             // in playing order
	Respelt  []Respelt     `json:"respelt"`             // in written order
	Findings []Finding     `json:"findings"`            // in playing order
	Lies     *Lies         `json:"lies,omitempty"`      // how much of the music lies on the harp; nil if nobody looked
	Bars     []Bar         `json:"-"`                   // in playing order, for the charts
	Music    *engrave.Part `json:"-"`                   // what of it can be drawn; nil for nothing
	// AsPrinted: the marks of pedals stand in the chart's music as they are printed.
	AsPrinted bool `json:"-"`
}

// Options are those the plan was made with.
type Options struct {
	Respell      string   `json:"respell"`
	ChangePrice  int      `json:"change_price"`
	SwitchPrice  int      `json:"switch_price"`
	FootTime     float64  `json:"foot_time"`     // seconds from one change of a foot to its next; 0 if the feet were left out
	MoveTime     float64  `json:"move_time"`     // seconds in which a foot makes a change
	SoundingTime float64  `json:"sounding_time"` // seconds that a string sounds before its pedal moves
	Implied      bool     `json:"implied"`
	Strings      string   `json:"strings"`                // "C1-G7"
	Pins         []string `json:"pins,omitempty"`         // what the player has decided, as given
	Held         int      `json:"held_strings,omitempty"` // notes that a reduction of the score holds to strings
}

// A Cost counts what a plan costs, as pedal.Cost does.
type Cost struct {
	Unsounded int `json:"unsounded"`
	Held      int `json:"held"`
	Rushed    int `json:"rushed"`
	Respelt   int `json:"respelt"`
	Switches  int `json:"switches"`
	Changes   int `json:"changes"`
	Notches   int `json:"notches"`
}

// A Proof says what is proved of a plan.
type Proof struct {
	Minimal bool     `json:"minimal"`
	Covers  []string `json:"covers"`
	Bound   Cost     `json:"bound"`
}

// A Choice is the cost of one mode of respelling.
type Choice struct {
	Respell string `json:"respell"`
	Cost    Cost   `json:"cost"`
}

// A Point is what the plan of mode balanced costs at one price of a change.
type Point struct {
	ChangePrice int  `json:"change_price"` // in respelt notes: the dearest that gives these counts
	Changes     int  `json:"changes"`
	Respelt     int  `json:"respelt"`
	Switches    int  `json:"switches"`
	Proved      bool `json:"proved"` // no plan costs less at this price
}

// A Place is a place in the written score.
type Place struct {
	Measure string `json:"measure"` // the printed number: a label, not always a number
	Index   int    `json:"index"`   // the measure's place in the part, from 0
	Offset  string `json:"offset"`  // quarter notes from the start of the measure, "3/2"
}

// A Change is one pedal moved.
type Change struct {
	Pedal  pedal.Letter   `json:"pedal"`
	From   pedal.Position `json:"from"`
	To     pedal.Position `json:"to"`
	Foot   pedal.Foot     `json:"foot"`
	Pass   int            `json:"pass"` // of the marked place, from 1
	Marked Place          `json:"marked"`
	Needed Place          `json:"needed"`
	Window [2]Seconds     `json:"window"` // first and last start; the first may be the later one of a rushed change
	At     [2]Seconds     `json:"at"`     // when it is moved
	Rushed bool           `json:"rushed"`
}

// Seconds is a time from the start of the music, in playing order. In JSON it
// has three decimals at most.
type Seconds float64

// A Respelt note is played on another string than its written one.
type Respelt struct {
	Place
	Staff   int    `json:"staff"`   // from 1
	Written string `json:"written"` // "C♯5"
	Played  string `json:"played"`  // "D♭5"
}

// A Severity says how much a finding matters.
type Severity string

// The severities.
const (
	SeverityError   Severity = "error"   // cannot be played as planned
	SeverityWarning Severity = "warning" // a player should look
	SeverityNote    Severity = "note"    // information
)

// A Finding is something a player or arranger should know about one place.
type Finding struct {
	Kind     string   `json:"kind"`
	Severity Severity `json:"severity"`
	Place
	Pass   int      `json:"pass"`  // from 1
	Staff  int      `json:"staff"` // from 1; 0 where it concerns the whole harp
	Notes  []string `json:"notes"` // "C♯5"
	Text   string   `json:"text"`
	Remedy string   `json:"remedy"` // "" if none is known
	Rank   int      `json:"rank"`   // from 1, the most important of the part first

	Concerned []int `json:"-"` // the notes in a drawing, by their IDs
	Beside    []int `json:"-"` // measures that are drawn with its own, by their index
}

// Lies tells how much of a part lies on the harp, as shares of its moments that add up
// to 1.
type Lies struct {
	AsItStands Share     `json:"as_it_stands"`
	ToDecide   Share     `json:"to_decide"` // a player must decide something
	Cannot     Share     `json:"cannot"`    // be played as planned
	Hands      LiesParts `json:"hands"`
	Strings    LiesParts `json:"strings"`
	Feet       LiesParts `json:"feet"`
}

// LiesParts are the shares that are for one reason; a moment may count for several.
type LiesParts struct {
	ToDecide Share `json:"to_decide"`
	Cannot   Share `json:"cannot"`
}

// A Share is a part of a whole, from 0 to 1. In JSON it has three decimals at most.
type Share float64

// A Warning is about reading the file.
type Warning struct {
	Code    string `json:"code"`
	Part    string `json:"part"`    // id; "" where it is about the whole file
	Measure string `json:"measure"` // printed number; "" outside a measure
	Index   int    `json:"index"`   // from 0; -1 outside a measure
	Line    int    `json:"line"`    // from 1; 0 if unknown
	Text    string `json:"text"`
}

// A Bar is one measure as it is played.
type Bar struct {
	Place                 // of its first beat
	Pass    int           // from 1
	Length  string        // quarter notes it lasts, "7/2"; "" if unknown
	Beat    string        // quarter notes in one beat as the time signature writes it: "1" in 4/4, "1/2" in 6/8; "" if unknown
	Setting pedal.Setting // at its first moment
	Sounds  []string      // the pitch classes struck in it, spelt as played: "C", "E♭"
	Section string        // why a full setting stands here: "start", a rehearsal mark, "key", "double bar", "after rest", "glissando", "repeat"; "" for none
	Repeat  string        // "start", "end" of a repeated section; "jump" if it does not follow the measure played before it; "" for none
	Start   Seconds       // when it begins
}
