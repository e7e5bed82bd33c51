package revise

import (
	"errors"
	"fmt"
	"slices"
	"sort"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
)

// Revised music is music that operations were done to.
type Revised struct {
	Music   *finding.Music
	Moments []int // for each moment of the original its index now
}

// Apply does operations to music and returns what comes of it. The music stays as it
// is; the result shares with it what did not change. The error says which operation
// cannot be done: the note is not there, was not written, is fixed to its string; it
// is a grace note already; it would not be shorter.
func Apply(m *finding.Music, ops []Op) (*Revised, error) {
	e := newEditor(m)
	for i, op := range ops {
		if err := e.do(op); err != nil {
			return nil, fmt.Errorf("operation %d, %v of note %d: %w", i, op.Do, op.Note, err)
		}
	}
	return e.finish(), nil
}

// An editor does operations to a copy.
type editor struct {
	music  finding.Music
	p      pedal.Passage
	played map[int][]int // by note, the moments at which it is struck
	mine   []bool        // for each moment, that its strikes are a copy
	out    map[int]bool  // notes that are left out
	grace  map[int][]int // by moment, notes that become grace notes before it
}

func newEditor(m *finding.Music) *editor {
	e := &editor{music: *m, p: *m.Passage, out: map[int]bool{}, grace: map[int][]int{}}
	e.p.Notes, e.p.Moments, e.p.Measures = slices.Clone(e.p.Notes), slices.Clone(e.p.Moments), slices.Clone(e.p.Measures)
	e.music.Signs = make([]finding.Signs, len(e.p.Notes))
	copy(e.music.Signs, m.Signs)
	e.music.Dampers = slices.Clone(m.Dampers)
	e.mine = make([]bool, len(e.p.Moments))
	e.played = make(map[int][]int, len(e.p.Notes))
	for i := range e.p.Moments {
		for _, s := range e.p.Moments[i].Strikes {
			if list := e.played[s.Note]; len(list) == 0 || list[len(list)-1] != i {
				e.played[s.Note] = append(list, i)
			}
		}
	}
	return e
}

func (e *editor) do(op Op) error {
	if op.Note < 0 || op.Note >= len(e.p.Notes) {
		return errors.New("there is no such note")
	}
	n := &e.p.Notes[op.Note]
	if n.Implied || n.Silent {
		return errors.New("the note is not written")
	}
	if len(e.played[op.Note]) == 0 {
		return errors.New("the note is never played")
	}
	switch op.Do {
	case LeaveOut:
		e.each(op.Note, func(note int) { e.out[note] = true })
	case Octave:
		if op.Octaves == 0 {
			return errors.New("it moves by no octave")
		}
		e.each(op.Note, func(note int) {
			if !e.p.Notes[note].Fixed || note == op.Note {
				e.p.Notes[note].Pitch.Octave += op.Octaves
			}
		})
	case Roll:
		e.roll(op.Note)
	case OtherHand:
		if op.Staff < 1 {
			return errors.New("there is no such staff")
		}
		e.each(op.Note, func(note int) { e.p.Notes[note].Staff = op.Staff })
	case OtherString:
		return e.elsewhere(n, op)
	case Shorten:
		return e.shorten(op.Note, op.Ticks)
	case Grace:
		return e.early(op.Note)
	default:
		return errors.New("there is no such operation")
	}
	return nil
}

// each calls do for a note and all notes that it asks for.
func (e *editor) each(note int, do func(note int)) {
	do(note)
	for i, s := range e.music.Signs {
		if s.Of == note+1 {
			do(i)
		}
	}
}

// roll rolls all that is written with a note, where it is played first.
func (e *editor) roll(note int) {
	for _, s := range e.p.Moments[e.played[note][0]].Strikes {
		if n := e.p.Notes[s.Note]; !n.Implied && !n.Silent {
			e.music.Signs[s.Note].Roll = finding.Rolled
		}
	}
}

func (e *editor) elsewhere(n *pedal.Note, op Op) error {
	if n.Fixed || n.On != 0 && !n.On.Has(op.Letter) {
		return errors.New("the note is fixed to its string")
	}
	if op.Letter >= pedal.Letters || !sounds(op.Letter, n.Pitch) {
		return errors.New("no string of this letter sounds it")
	}
	if n.On = pedal.SetOf(op.Letter); op.Renamed {
		n.Pitch, _ = n.Pitch.As(op.Letter)
	}
	return nil
}

// sounds tells whether a string of a letter, in some octave and position, sounds a
// pitch.
func sounds(l pedal.Letter, p pedal.Pitch) bool {
	apart := ((p.Height()-100*l.Semitones())%1200 + 1200) % 1200
	return apart == 0 || apart == 100 || apart == 1100
}

// shorten lets a note, and what it asks for, end sooner wherever it is played.
func (e *editor) shorten(note int, ticks int64) error {
	var fault error
	e.each(note, func(n int) {
		for _, i := range e.played[n] {
			onset := e.p.Moments[i].Onset
			for j := range e.strikes(i) {
				s := &e.p.Moments[i].Strikes[j]
				switch {
				case s.Note != n:
				case ticks < 1 || onset+ticks >= s.End:
					if n == note {
						fault = errors.New("it would be no shorter")
					}
				default:
					s.End, s.Until = onset+ticks, e.second(i, *s, onset+ticks)
				}
			}
		}
	})
	return fault
}

// second is when a time comes that lies within a strike: that of the moment then,
// else as far between the moments around it as it lies between their onsets.
func (e *editor) second(moment int, s pedal.Strike, onset int64) time.Duration {
	all := e.p.Moments
	k := moment + sort.Search(len(all)-moment, func(k int) bool { return all[moment+k].Onset >= onset })
	if k < len(all) && all[k].Onset == onset {
		return all[k].At
	}
	before := &all[k-1]
	toOnset, toAt := s.End, s.Until
	if k < len(all) && all[k].Onset < s.End {
		toOnset, toAt = all[k].Onset, all[k].At
	}
	part := big(toAt-before.At, onset-before.Onset, toOnset-before.Onset)
	return before.At + part
}

// early takes a note out of its chord and plays it before.
func (e *editor) early(note int) error {
	for _, i := range e.played[note] {
		if e.p.Moments[i].Grace {
			return errors.New("it is a grace note already")
		}
	}
	for _, i := range e.played[note] {
		e.grace[i] = append(e.grace[i], note)
	}
	return nil
}

// strikes are those of a moment, as a copy that may be changed.
func (e *editor) strikes(moment int) []pedal.Strike {
	m := &e.p.Moments[moment]
	if !e.mine[moment] {
		e.mine[moment] = true
		m.Strikes = slices.Clone(m.Strikes)
	}
	return m.Strikes
}

// finish takes out what is left out and puts grace notes in.
func (e *editor) finish() *Revised {
	for note := range e.out {
		for _, i := range e.played[note] {
			e.p.Moments[i].Strikes = slices.DeleteFunc(e.strikes(i), func(s pedal.Strike) bool { return e.out[s.Note] })
		}
	}
	e.music.Glissandi = slices.DeleteFunc(slices.Clone(e.music.Glissandi), func(g finding.Glissando) bool { return !g.Held && e.out[g.Note] })
	e.music.LeftOut = slices.DeleteFunc(slices.Clone(e.music.LeftOut), func(l finding.LeftOut) bool { return e.out[l.Note] })
	r := &Revised{Music: &e.music, Moments: make([]int, len(e.p.Moments))}
	for i := range r.Moments {
		r.Moments[i] = i
	}
	if len(e.grace) > 0 {
		e.insertGraces(r.Moments)
	}
	e.music.Passage = &e.p
	return r
}

// insertGraces puts the new grace notes before their moments.
func (e *editor) insertGraces(moved []int) {
	list := make([]pedal.Moment, 0, len(e.p.Moments)+len(e.grace))
	first := make([]int, len(e.p.Moments)) // where what is played with a moment begins now
	for i := range e.p.Moments {
		notes := e.grace[i]
		first[i] = len(list)
		if len(notes) > 0 {
			e.strikes(i)
		}
		m := &e.p.Moments[i]
		if len(notes) > 0 {
			early := pedal.Moment{Onset: m.Onset, At: m.At, Grace: true, Measure: m.Measure, Restart: m.Restart}
			m.Restart = false
			m.Strikes = slices.DeleteFunc(m.Strikes, func(s pedal.Strike) bool {
				if !slices.Contains(notes, s.Note) || e.out[s.Note] {
					return false
				}
				early.Strikes = append(early.Strikes, pedal.Strike{Note: s.Note, End: m.Onset, Until: m.At})
				return true
			})
			list = append(list, early)
		}
		moved[i] = len(list)
		list = append(list, *m)
	}
	for k := range e.p.Measures {
		if m := &e.p.Measures[k]; m.First < len(first) {
			m.First = first[m.First]
		} else {
			m.First = len(list)
		}
	}
	for i, d := range e.music.Dampers {
		e.music.Dampers[i] = moved[d]
	}
	e.p.Moments = list
}
