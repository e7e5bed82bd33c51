package finding

import (
	"errors"
	"time"

	"pedalogue/pedal"
)

// Music is what is judged: a passage, and what the signs at its notes say. Only
// the passage must be given.
type Music struct {
	Passage *pedal.Passage
	Signs   []Signs // for each note of the passage; those that are missing at the end have none

	Tempos    []Tempo     // in playing order; none if the speed of the music is not told in quarter notes
	Glissandi []Glissando // in the order of the notes
	LeftOut   []LeftOut   // what is played without being written, where it is no part of the passage
	Untimed   int         // so many moments stand before the score's first tempo, and are played at a speed that was assumed
	Dampers   []int       // moments at which a piano's damper pedal is marked to go down, in playing order
}

// A Tempo is how fast the music is from a time on, on the clock of Moment.At: Num/Den
// quarter notes a minute, both from 1 up.
type Tempo struct {
	From     time.Duration
	Num, Den int64
}

// Signs say how a note is to be played. The zero value says nothing.
type Signs struct {
	Roll     Roll
	Harmonic bool // to be played as a harmonic, on the string that is written
	Trill    bool // to be trilled
	Tremolo  TremoloHalf
	Plucks   int    // how often a tremolo on this one note plucks it; 0 for no tremolo
	Voice    string // as the score names it; notes of one staff and voice are meant for one hand
	Ornament bool   // of a note that is not written out: an ornament asks for it
	Of       int    // of a note that is not written out: 1 + the index of the printed note that asks for it; 0 where it is not known
}

// A Roll says whether a chord is to be rolled. The zero value leaves it open.
type Roll uint8

// The ways to play a chord.
const (
	RollOpen Roll = iota // nothing is said
	Rolled               // an arpeggio sign stands before it
	Together             // a bracket forbids rolling it
)

// A TremoloHalf is one of the two notes or chords of a tremolo. The second is
// needed from the start of the first, so it is struck there too.
type TremoloHalf uint8

// The halves. The zero value is none.
const (
	NoTremolo TremoloHalf = iota
	FirstHalf
	SecondHalf
)

// A Glissando is a sweep over all strings.
type Glissando struct {
	Note    int           // index into Passage.Notes of the printed note it begins at
	Held    bool          // that note is held over and not struck: Note says nothing
	Swept   []int         // indexes into Passage.Notes of the strings that it sweeps, which are not written out
	Setting pedal.Setting // the seven letters that it sounds
	Source  GlissandoSource
	Said    string // the words or the chord symbol, where it was taken from one; else ""
	Near    bool   // no setting sounds just that: it is the nearest
}

// A GlissandoSource says where the setting of a glissando was taken from.
type GlissandoSource uint8

// The sources.
const (
	FromKey     GlissandoSource = iota // the key signature
	FromSetting                        // a full setting that stands in the score
	FromOctave                         // the first octave, written out as notes
	FromWords                          // a chord or scale that words near it name
	FromSymbol                         // the chord symbol where it begins
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

var (
	errPlan  = errors.New("the plan is not one of this passage")
	errMusic = errors.New("the music speaks of notes or moments that its passage does not have")
)

// check looks whether all that is asked for can be found.
func (m *Music) check(plan *pedal.Plan) error {
	if m.Passage == nil {
		return errMusic
	}
	p := m.Passage
	if plan == nil || len(plan.Strings) != len(p.Notes) || len(plan.Settings) != len(p.Moments) {
		return errPlan
	}
	isMoment := func(i int) bool { return i >= 0 && i < len(p.Moments) }
	isNote := func(i int) bool { return i >= 0 && i < len(p.Notes) }
	for _, d := range plan.Unsounded {
		if !isMoment(d.Moment) || d.Strike < 0 || d.Strike >= len(p.Moments[d.Moment].Strikes) {
			return errPlan
		}
	}
	for _, mv := range plan.Moves {
		if mv.Letter >= pedal.Letters || mv.Needed < 0 || mv.Needed > len(p.Moments) || mv.Place < 0 || mv.Place > len(p.Moments) {
			return errPlan
		}
	}
	for _, h := range plan.Held {
		if !isMoment(h.Moment) || h.Letter >= pedal.Letters {
			return errPlan
		}
	}
	for i, n := range p.Notes {
		if n.Pitch.Letter >= pedal.Letters || plan.Strings[i].Letter >= pedal.Letters {
			return errMusic
		}
	}
	for i := range p.Moments {
		for _, s := range p.Moments[i].Strikes {
			if !isNote(s.Note) {
				return errMusic
			}
		}
	}
	for _, g := range m.Glissandi {
		if !g.Held && !isNote(g.Note) {
			return errMusic
		}
		for _, n := range g.Swept {
			if !isNote(n) {
				return errMusic
			}
		}
	}
	for _, l := range m.LeftOut {
		if !isNote(l.Note) {
			return errMusic
		}
	}
	for _, d := range m.Dampers {
		if !isMoment(d) {
			return errMusic
		}
	}
	if m.Untimed < 0 || m.Untimed > len(p.Moments) {
		return errMusic
	}
	return nil
}
