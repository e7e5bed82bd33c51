package reduce

import (
	"cmp"
	"slices"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// How long it takes to pluck before a chord. Common practice; no figure is published.
const GraceTime = 100 * time.Millisecond // from what was plucked last to a grace note

// Options say how music is reduced. The zero value is the default.
type Options struct {
	Judge     finding.Options // how plans are made and judged
	RollPrice int             // what one rolled chord costs, in doubled notes left out; 0 for revise.RollPrice, negative for nothing
	// Keep tells notes, by their index in Passage.Notes, with which nothing is done;
	// nil for none.
	Keep func(note int) bool
	// Stay tells notes that are neither left out nor moved nor cut short, whatever hand or string
	// plays them; nil for none.
	Stay func(note int) bool
	// KeepMelody and KeepBass let all notes of the melody, or of the bass, stay so.
	KeepMelody, KeepBass bool
	// Shorter lists how short a note can be written, in ticks of Moment.Onset, longest
	// first; nil where no note can be shortened.
	Shorter func(note int) []int64
	// First is the plan of the music as it is, where it has been made; else nil.
	First *pedal.Plan
}

func (o *Options) rollPrice() int { return max(0, cmp.Or(o.RollPrice, revise.RollPrice)) }

// The kinds of findings that are treated: those about one moment, and those about
// several.
var (
	chordKinds = []finding.Kind{"too-many-notes", "wide-chord", "wide-chord-unbroken", "wide-roll", "no-time-to-roll", "one-string-twice",
		"out-of-compass", "two-tunings", "string-clash", "quarter-tone"}
	windowKinds = []finding.Kind{"repeated-string", "leap", "rushed-change", "held-string"}
	// No operation mends these; they are told as unsolved.
	leftKinds = []finding.Kind{"tremolo-on-one-string"}
)

// Kinds are the kinds of findings that are treated, in the order of finding.Rules.
func Kinds() []finding.Kind {
	var list []finding.Kind
	for _, r := range finding.Rules() {
		if slices.Contains(chordKinds, r.Kind) || slices.Contains(windowKinds, r.Kind) {
			list = append(list, r.Kind)
		}
	}
	return list
}

// Treats tells whether a finding is one of those that are treated: of Kinds, and more than
// a note but for one string that is wanted twice.
func Treats(kind finding.Kind, s finding.Severity) bool {
	return kind == "one-string-twice" || s >= finding.Warning && (slices.Contains(chordKinds, kind) || slices.Contains(windowKinds, kind))
}

// NothingHelps is what is said of a place for which no way is known.
const NothingHelps = "Nothing was found that helps."

// A Result is music that has been reduced.
type Result struct {
	Ops        []revise.Op     // all operations, on the music as it was
	Revised    *revise.Revised // what comes of them
	Plan       *pedal.Plan     // of Revised
	Before     []finding.Finding
	After      []finding.Finding // of Revised and Plan
	Reductions []Reduction       // in playing order
	Unsolved   []Unsolved        // in playing order
}

// A Reduction is what is done about one place.
type Reduction struct {
	Moment    int            // index into Passage.Moments of the music as it was: the first that is changed
	For       []finding.Kind // why; in the order of finding.Rules
	Ops       []revise.Op
	Loss      revise.Loss
	Verified  bool     // in the plan of the whole part, nothing that is treated is found there
	Heuristic bool     // something cheaper may exist
	Why       []string // what was found there, in sentences
}

// An Unsolved place is one for which no way was found.
type Unsolved struct {
	Moment int // index into Passage.Moments of the music as it was
	For    []finding.Kind
	Text   string // what is the matter, and what was tried
}
