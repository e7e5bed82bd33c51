package part

import (
	"errors"
	"slices"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/finding"
)

// A Part is one player's part of a score as the planner takes it, with the way
// back from its moments and notes to places in the score.
type Part struct {
	finding.Music // its passage, and what the signs at the notes say

	Score    *musicxml.Score // that it stands in
	Player   musicxml.Player // whose it is
	Places   *Places         // of the passage
	Standing []Standing      // pedal marks that stand in the score, in written order

	notes     []noteOf    // for each note of the passage
	glissandi []noteOf    // where each begins
	chords    []chordNear // what each of Glissandi is to sound
	written   []measure   // what each written measure holds
}

// Options say what a part is made of. The zero value takes all that is played, at
// the speed of the score's own tempo marks.
type Options struct {
	WrittenOnly bool          // leave out what is played without being written out: trills, glissandi and so on
	Tempo       musicxml.Frac // quarter notes a minute for the whole score; 0 for its tempo marks
	Ours        *Ours         // marks in the score that are this program's and count as not there; nil for none
}

// New makes the part of a player of the score, one of Score.Players. The error is a
// *musicxml.Error: the player is not of this score, the score has no measures, or
// its times are too fine to be counted exactly.
func New(score *musicxml.Score, player musicxml.Player, o Options) (*Part, error) {
	if !plays(score, player) {
		return nil, &musicxml.Error{Part: player.ID(), Err: errors.New("the player is not one of the score's")}
	}
	if len(score.Order) == 0 {
		return nil, &musicxml.Error{Err: errors.New("the score has no measures")}
	}
	b := &builder{score: score, player: player, passage: &pedal.Passage{Key: keyAtStart(player)}, standing: standingIn(player, o.Ours)}
	b.music.Passage = b.passage
	b.addNotes()
	b.markTremolos()
	if o.WrittenOnly {
		b.noteImplied()
	} else {
		b.addImplied()
	}
	b.written = make([]measure, len(score.Measures))
	for k := range score.Measures {
		b.written[k] = b.writtenMeasure(k)
	}
	c, err := newClock(score, b.fractions(), o.Tempo)
	if err != nil {
		return nil, &musicxml.Error{Err: err}
	}
	for _, t := range c.tempos {
		b.music.Tempos = append(b.music.Tempos, finding.Tempo{From: t.at, Num: t.quarter.Num(), Den: t.quarter.Den()})
	}
	b.play(c)
	b.countUntimed(c)
	b.placeDampers()
	p := &Part{
		Score: score, Player: player, Music: b.music, Places: placesOf(b.passage), Standing: b.standing,
		notes: b.notes, glissandi: b.glissandi, chords: b.chords, written: b.written,
	}
	for _, i := range p.Places.Playings(Place{Measure: p.opening()})[1:] {
		p.Passage.Moments[i].Restart = true
	}
	return p, nil
}

// plays reports whether a player has parts, and all of them in the score.
func plays(score *musicxml.Score, player musicxml.Player) bool {
	return score != nil && len(player.Parts) > 0 && !slices.ContainsFunc(player.Parts, func(p *musicxml.Part) bool { return !slices.Contains(score.Parts, p) })
}

// Note returns a note of the passage as it stands in the score, by its index in
// Passage.Notes; nil for one that stands for none, and for an index outside them.
func (p *Part) Note(i int) *musicxml.Note {
	if i < 0 || i >= len(p.notes) || p.notes[i].part == nil {
		return nil
	}
	return p.notes[i].note()
}

// Offset is where a place lies in its measure, in quarter notes from its start; 0
// for a place outside the score.
func (p *Part) Offset(at Place) musicxml.Frac {
	if at.Measure < 0 || at.Measure >= len(p.written) || at.At < 0 || at.At >= len(p.written[at.Measure].moments) {
		return musicxml.Frac{}
	}
	return p.written[at.Measure].moments[at.At].offset
}

// Counted counts the written notes attacked and the moments in which there are any,
// in playing order.
func (p *Part) Counted() (notes, moments int) {
	for _, m := range p.Passage.Moments {
		written := 0
		for _, s := range m.Strikes {
			if n := &p.Passage.Notes[s.Note]; !n.Implied {
				written++
			}
		}
		notes += written
		if written > 0 {
			moments++
		}
	}
	return notes, moments
}

// changesInstrument reports whether the harpist plays another instrument too.
func (p *Part) changesInstrument() bool {
	for _, q := range p.Player.Parts {
		for _, in := range q.Instruments {
			if !in.Harp {
				return true
			}
		}
	}
	return false
}

// opening is the measure where the first full setting stands: the start; in a
// part that changes its instrument, the first measure that the harp plays.
func (p *Part) opening() int {
	if p.changesInstrument() {
		for i, m := range p.Passage.Moments {
			if len(m.Strikes) > 0 {
				return p.Places.Of(i).Measure
			}
		}
	}
	return p.Score.Order[0]
}

// CountedBeat is the beat by which places in a measure are counted, in quarter
// notes: as the time signature writes it, not the dotted beat of compound time.
func CountedBeat(beat musicxml.Frac) musicxml.Frac {
	if beat.Num() == 3 && beat.Den() > 1 {
		return musicxml.NewFrac(1, beat.Den())
	}
	return beat
}

// located gives a fault of the planner its place in the score.
func (p *Part) located(err error) error {
	var fault *pedal.Error
	if !errors.As(err, &fault) || fault.Moment < 0 || fault.Moment >= len(p.Passage.Moments) {
		return &musicxml.Error{Part: p.Player.ID(), Err: err}
	}
	at := p.Places.Of(fault.Moment)
	m := p.Score.Measures[at.Measure]
	beat := p.Offset(at).Div(CountedBeat(m.Beat)).Add(musicxml.NewFrac(1, 1))
	return &musicxml.Error{Part: p.Player.ID(), Measure: m.Number, Beat: beat.String(), Err: fault.Err}
}
