package revise

import (
	"math/bits"
	"slices"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
)

// A Loss is what operations cost the music. Each printed note counts once, however
// often it is played.
type Loss struct {
	Melody       int // melody notes left out, moved or played as grace notes: the highest attacked on staff 1, unless a higher one is held there
	Bass         int // the same of bass notes: the lowest attacked at a beat
	PitchClasses int // that a moment has no longer
	Notes        int // left out, all of them
	Doubled      int // those of them whose pitch class stays in the moment
	Moved        int // by octaves, or to grace notes
	Rolled       int // chords
	Hands        int // given to another staff
}

// RollPrice is what one rolled chord costs, in doubled notes left out.
const RollPrice = 2

// Compare orders losses by what an arranger minds most: melody, bass, pitch classes,
// undoubled notes left out, notes moved, then [RollPrice] for each chord rolled and
// one for each doubled note left out, then hands.
func (l Loss) Compare(o Loss) int { return slices.Compare(l.vector(), o.vector()) }

func (l Loss) vector() []int {
	return []int{l.Melody, l.Bass, l.PitchClasses, l.Notes - l.Doubled, l.Moved, RollPrice*l.Rolled + l.Doubled, l.Hands}
}

// LossOf counts what operations cost. Those that Apply refuses count as if they could
// be done; a note that is not there costs nothing.
func LossOf(m *finding.Music, ops []Op) Loss { return newLosses(m, notesOf(ops)).of(ops) }

// A Ledger tells what operations cost that are done to some notes. It is good for asking
// often.
type Ledger struct {
	p      *pedal.Passage
	moment map[int]int // by note, where it is struck first
	melody map[int]bool
	bass   map[int]bool
}

// NewLedger opens the ledger of all notes.
func NewLedger(m *finding.Music) *Ledger {
	all := make([]int, len(m.Passage.Notes))
	for i := range all {
		all[i] = i
	}
	return newLosses(m, all)
}

// Melody tells whether a note is of the melody, as Loss has it.
func (l *Ledger) Melody(note int) bool { return l.melody[note] }

// Bass tells whether a note is of the bass, as Loss has it.
func (l *Ledger) Bass(note int) bool { return l.bass[note] }

// Of counts what operations cost.
func (l *Ledger) Of(ops []Op) Loss { return l.of(ops) }

func notesOf(ops []Op) []int {
	list := make([]int, len(ops))
	for i, op := range ops {
		list[i] = op.Note
	}
	return list
}

func newLosses(m *finding.Music, notes []int) *Ledger {
	l := &Ledger{p: m.Passage, moment: map[int]int{}, melody: map[int]bool{}, bass: map[int]bool{}}
	wanted := make(map[int]bool, len(notes))
	for _, n := range notes {
		wanted[n] = true
	}
	type sound struct {
		until  time.Duration
		height int
	}
	var held []sound // on staff 1
	for i := range l.p.Moments {
		mo := &l.p.Moments[i]
		held = slices.DeleteFunc(held, func(s sound) bool { return s.until <= mo.At })
		top, low := -1, -1
		for _, s := range mo.Strikes {
			n := &l.p.Notes[s.Note]
			if _, known := l.moment[s.Note]; !known && wanted[s.Note] {
				l.moment[s.Note] = i
			}
			if n.Implied || n.Silent {
				continue
			}
			if n.Staff <= 1 && (top < 0 || n.Pitch.Height() > l.p.Notes[top].Pitch.Height()) {
				top = s.Note
			}
			if low < 0 || n.Pitch.Height() < l.p.Notes[low].Pitch.Height() {
				low = s.Note
			}
		}
		if top >= 0 && wanted[top] && !slices.ContainsFunc(held, func(s sound) bool { return s.height > l.p.Notes[top].Pitch.Height() }) {
			l.melody[top] = true
		}
		if low >= 0 && wanted[low] && mo.Beat {
			l.bass[low] = true
		}
		for _, s := range mo.Strikes {
			if n := &l.p.Notes[s.Note]; n.Staff <= 1 && !n.Implied && !n.Silent && s.Until > mo.At {
				held = append(held, sound{s.Until, n.Pitch.Height()})
			}
		}
	}
	return l
}

func (l *Ledger) of(ops []Op) (sum Loss) {
	out := map[int]bool{}
	touched := map[int]bool{} // melody and bass notes count once
	rolled := map[int]bool{}  // moments
	var moments []int
	for _, op := range ops {
		moment, ok := l.moment[op.Note]
		if !ok {
			continue
		}
		if !slices.Contains(moments, moment) {
			moments = append(moments, moment)
		}
		changed := false
		switch op.Do {
		case LeaveOut:
			changed = !out[op.Note]
			out[op.Note] = true
		case Octave, Grace:
			changed = true
			sum.Moved++
		case Roll:
			if !rolled[moment] {
				rolled[moment] = true
				sum.Rolled++
			}
		case OtherHand:
			sum.Hands++
		}
		if changed && !touched[op.Note] {
			touched[op.Note] = true
			sum.Melody += count(l.melody[op.Note])
			sum.Bass += count(l.bass[op.Note])
		}
	}
	sum.Notes = len(out)
	for _, moment := range moments {
		var before, after uint
		for _, s := range l.p.Moments[moment].Strikes {
			if n := &l.p.Notes[s.Note]; !n.Implied && !n.Silent {
				before |= class(n.Pitch)
				if !out[s.Note] {
					after |= class(n.Pitch)
				}
			}
		}
		sum.PitchClasses += bits.OnesCount(before &^ after)
		seen := map[int]bool{}
		for _, s := range l.p.Moments[moment].Strikes {
			if out[s.Note] && !seen[s.Note] && after&class(l.p.Notes[s.Note].Pitch) != 0 {
				seen[s.Note] = true
				sum.Doubled++
			}
		}
	}
	return sum
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// class is the pitch class as a bit; quarter tones are classes of their own.
func class(p pedal.Pitch) uint {
	cents := (p.Height()%1200 + 1200) % 1200
	if cents%100 != 0 {
		return 1 << (12 + cents/100)
	}
	return 1 << (cents / 100)
}

// big is a times b / c, for b from 0 to c and a from 0.
func big(a time.Duration, b, c int64) time.Duration {
	if c <= 0 {
		return 0
	}
	hi, lo := bits.Mul64(uint64(max(a, 0)), uint64(max(b, 0)))
	if hi >= uint64(c) {
		return a
	}
	whole, _ := bits.Div64(hi, lo, uint64(c))
	return time.Duration(whole)
}
