package pedal

import (
	"fmt"
	"time"
)

// A Passage is everything that one harp has to play, in playing order: repeats,
// endings and jumps are already followed.
type Passage struct {
	Notes   []Note   // the notes as they are printed; each is spelt once for all its passes
	Moments []Moment // in playing order; Onset and At never decrease
	// Measures are the measures as they are played, in playing order. Nil makes the
	// whole passage one measure; Moment.Measure is 0 then.
	Measures []Measure
	Key      Setting // the key signature at the start; where a pedal stands that no note needs
}

// A Note is a note of the score, printed once and played once in each pass.
type Note struct {
	Pitch Pitch // as written
	Staff int   // from 1, over all parts of the player; 0 for none
	// Implied notes are played but not written out: the upper note of a trill,
	// the strings that a glissando sweeps.
	Implied bool
	// Fixed notes want their written string and no other, in every mode: the
	// strings of a glissando, two spellings of one pitch in a tremolo.
	Fixed bool
	// Silent notes ask for a pedal and for nothing else, such as a position that the
	// player wants: no name sounds with them.
	Silent bool
	// On are the letters on whose strings, and no others, the player wants the note,
	// in every mode; 0 for any. Notes that are one tone want what all of them want.
	On LetterSet
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
	Beat    bool          // a beat of the time signature, or the final barline, stands here: a place where a pedal is usually moved
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

// check finds what no caller should hand in, and counts the strikes.
func (p *Passage) check() (strikes int, err error) {
	if !p.Key.valid() {
		return 0, fmt.Errorf("the key signature %d has a position other than -1, 0 and 1", p.Key)
	}
	for i, n := range p.Notes {
		if n.Pitch.Letter >= Letters {
			return 0, fmt.Errorf("note %d: letter %d is no pedal", i, n.Pitch.Letter)
		}
		if o := n.Pitch.Octave; o <= -allOctaves/2 || o >= allOctaves/2 || n.Pitch.Cents <= -1e6 || n.Pitch.Cents >= 1e6 {
			return 0, fmt.Errorf("note %d: the pitch is out of all range", i)
		}
	}
	for i := range p.Moments {
		m := &p.Moments[i]
		if i > 0 && (m.Onset < p.Moments[i-1].Onset || m.At < p.Moments[i-1].At) {
			return 0, faultAt(i, "it stands before the moment ahead of it")
		}
		if m.At < longAgo/2 || m.At > forever/2 {
			return 0, faultAt(i, "it comes at %v, further off than can be counted", m.At)
		}
		if err := p.checkStrikes(i); err != nil {
			return 0, err
		}
		strikes += len(m.Strikes)
	}
	return strikes, p.checkMeasures()
}

// checkStrikes checks what is struck at a moment.
func (p *Passage) checkStrikes(i int) error {
	m := &p.Moments[i]
	for _, s := range m.Strikes {
		switch {
		case s.Note < 0 || s.Note >= len(p.Notes):
			return faultAt(i, "note %d does not exist", s.Note)
		case s.End < m.Onset || s.Until < m.At:
			return faultAt(i, "note %d ends before it begins", s.Note)
		case s.Until > forever/2:
			return faultAt(i, "note %d lasts longer than can be counted", s.Note)
		}
	}
	return nil
}

// checkMeasures checks that measures and moments agree on which lies in which.
func (p *Passage) checkMeasures() error {
	for i := range p.Moments {
		if k := p.Moments[i].Measure; k < 0 || k >= max(len(p.Measures), 1) {
			return faultAt(i, "measure %d does not exist", k)
		}
	}
	for k := range p.Measures {
		m, first, end := &p.Measures[k], 0, len(p.Moments)
		if k > 0 {
			first = p.Measures[k-1].First
		}
		if k+1 < len(p.Measures) {
			end = p.Measures[k+1].First
		}
		switch {
		case m.Written < 0 || m.End < m.Onset || m.Until < m.At:
			return fmt.Errorf("measure %d as played: it is no measure of the score, or ends before it begins", k)
		case m.First < first || k == 0 && m.First != 0 || end < m.First || end > len(p.Moments):
			return fmt.Errorf("measure %d as played: it begins with moment %d, out of order", k, m.First)
		}
		for i := m.First; i < end; i++ {
			if p.Moments[i].Measure != k {
				return faultAt(i, "it lies in measure %d as played, and says %d", k, p.Moments[i].Measure)
			}
		}
	}
	return nil
}
