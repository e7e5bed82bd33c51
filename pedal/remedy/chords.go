package remedy

import (
	"cmp"
	"slices"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// fingers is how many strings a hand plucks at once [EIN-hand].
const fingers = 4

// A sound is a string that is plucked at a moment, and all notes on it.
type sound struct {
	rank  int // of the string, counted upwards from C0
	notes []int
}

// soundsAt lists the strings of a moment that are written, from low to high.
func (t *trial) soundsAt(moment int) []sound {
	var list []sound
	for j, s := range t.music.Passage.Moments[moment].Strikes {
		n, str := t.music.Passage.Notes[s.Note], t.plan.Strings[s.Note]
		if n.Implied || n.Silent || !str.OK || t.dropped[s.Note] && t.lost(moment, j) {
			continue
		}
		at := str.Rank()
		k, known := slices.BinarySearchFunc(list, at, func(s sound, at int) int { return cmp.Compare(s.rank, at) })
		if !known {
			list = slices.Insert(list, k, sound{rank: at})
		}
		list[k].notes = append(list[k].notes, s.Note)
	}
	return list
}

// lost tells whether a strike is unsounded.
func (t *trial) lost(moment, strike int) bool {
	return slices.Contains(t.plan.Unsounded, pedal.Dropped{Moment: moment, Strike: strike})
}

// chords proposes for a chord that two hands do not play: all ways to leave out up
// to three notes, or as many as must be, to move one or two by an octave, and to roll
// it where there is time; only those that the hands can play.
func chords(t *trial, f *finding.Finding) [][]revise.Op {
	sounds := t.soundsAt(f.Moment)
	e := &enumeration{t: t, f: f, sounds: sounds, left: max(3, len(sounds)-2*fingers), acts: make([]int, len(sounds))}
	for _, s := range sounds {
		for _, n := range s.notes {
			roll := t.signs(n).Roll
			e.rolled = e.rolled || roll == finding.Rolled
			e.bracketed = e.bracketed || roll == finding.Together
		}
	}
	e.time, e.ends = t.untilNext(f.Moment)
	e.giveUp()
	for e.from(0, 0, 0); len(e.list) == 0 && e.left < len(sounds)-1; e.visits = 0 {
		e.left++
		e.from(0, 0, 0)
	}
	slices.SortStableFunc(e.list, func(a, b []revise.Op) int { return e.outside(a) - e.outside(b) })
	if home := t.home(sounds); len(home) > 0 {
		return slices.Insert(e.list, 0, home)
	}
	return e.list
}

// home puts all notes that are respelt back on their written strings, which lie one nearer or
// further.
func (t *trial) home(sounds []sound) (list []revise.Op) {
	for _, s := range sounds {
		for _, n := range s.notes {
			if p := t.music.Passage.Notes[n].Pitch; p.Letter != t.plan.Strings[n].Letter && p.Cents >= -100 && p.Cents <= 100 {
				list = append(list, revise.Op{Do: revise.OtherString, Note: n, Letter: p.Letter})
			}
		}
	}
	return list
}

// outside is how far from the middle of the chord the notes of operations lie: of equal
// proposals the one of inner notes comes first.
func (e *enumeration) outside(ops []revise.Op) (sum int) {
	for _, op := range ops {
		for i, s := range e.sounds {
			if op.Do != revise.Roll && slices.Contains(s.notes, op.Note) {
				sum += max(2*i-len(e.sounds)+1, len(e.sounds)-1-2*i)
			}
		}
	}
	return sum
}

// An enumeration goes through the ways to change a chord.
type enumeration struct {
	t                 *trial
	f                 *finding.Finding
	sounds            []sound
	left              int // how many notes may be left out
	rolled, bracketed bool
	time              time.Duration // until something is plucked
	ends              bool          // nothing is any more
	gone              []bool        // sounds that are left out in any case
	visits            int
	acts              []int // of each sound: 0 stays, 1 is left out, 2 up, 3 down an octave
	list              [][]revise.Op
}

// What keeps the search short in a huge chord.
const (
	mostSounds    = 12     // that are gone through
	mostVisits    = 50_000 // partial ways
	mostProposals = 2000
)

// giveUp leaves out inner notes of a huge chord, doubled ones first, so that few enough
// are left to be gone through.
func (e *enumeration) giveUp() {
	e.gone = make([]bool, len(e.sounds))
	for left := len(e.sounds); left > mostSounds; left-- {
		drop, best := -1, 0
		for i, s := range e.sounds {
			if e.gone[i] {
				continue
			}
			worth := min(i, len(e.sounds)-1-i) // how far inside it lies
			for j, o := range e.sounds {
				if j != i && !e.gone[j] && (o.rank-s.rank)%7 == 0 {
					worth += len(e.sounds)
					break
				}
			}
			if drop < 0 || worth > best {
				drop, best = i, worth
			}
		}
		e.gone[drop] = true
		e.left--
	}
}

func (e *enumeration) from(i, out, moved int) {
	if e.visits++; len(e.list) >= mostProposals || e.visits > mostVisits {
		return
	}
	if i < len(e.sounds) && e.gone[i] {
		e.acts[i] = 1
		e.from(i+1, out, moved)
		return
	}
	if i < len(e.sounds) {
		for act := range 4 {
			if act == 1 && (out == e.left || moved > 0) || act > 1 && (moved == 2 || out > 0) {
				continue // not both: that would be too much of a change for one chord
			}
			e.acts[i] = act
			e.from(i+1, out+count(act == 1), moved+count(act > 1))
		}
		e.acts[i] = 0
		return
	}
	if out+moved > 0 && e.playable(e.rolled) {
		e.list = append(e.list, e.ops(false))
	}
	if !e.rolled && !e.bracketed && moved == 0 && e.f.Kind != "right-hand-low" && e.playable(true) {
		e.list = append(e.list, e.ops(true))
	}
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// playable tells whether the chord as it is now is one for two hands.
func (e *enumeration) playable(rolled bool) bool {
	var room [16]int
	ranks := room[:0]
	for i, s := range e.sounds {
		to := s.rank
		switch e.acts[i] {
		case 1:
			continue
		case 2:
			to += 7
		case 3:
			to -= 7
		}
		if to != s.rank && !e.t.disced(to) {
			return false
		}
		ranks = append(ranks, to)
	}
	slices.Sort(ranks)
	for i := 1; i < len(ranks); i++ {
		if ranks[i] == ranks[i-1] {
			return false // moved onto another note: leaving it out says the same
		}
	}
	if !rolled {
		return fits(ranks, e.t.span)
	}
	needs := time.Duration(e.t.rollTime) * time.Millisecond * time.Duration(len(ranks))
	return fits(ranks, e.t.rollSpan) && (e.ends || e.time >= needs)
}

// fits tells whether strings lie in two hands side by side.
func fits(ranks []int, span int) bool {
	for k := max(0, len(ranks)-fingers); k <= min(fingers, len(ranks)); k++ {
		if (k == 0 || ranks[k-1]-ranks[0] < span) && (k == len(ranks) || ranks[len(ranks)-1]-ranks[k] < span) {
			return true
		}
	}
	return false
}

// ops are the operations that make the chord what it is now.
func (e *enumeration) ops(roll bool) (list []revise.Op) {
	for i, s := range e.sounds {
		for _, n := range s.notes {
			switch e.acts[i] {
			case 1:
				list = append(list, revise.Op{Do: revise.LeaveOut, Note: n})
			case 2:
				list = append(list, revise.Op{Do: revise.Octave, Note: n, Octaves: 1})
			case 3:
				list = append(list, revise.Op{Do: revise.Octave, Note: n, Octaves: -1})
			}
		}
	}
	if roll {
		for _, s := range e.sounds {
			if i := slices.IndexFunc(list, func(op revise.Op) bool { return op.Note == s.notes[0] }); i < 0 {
				return append(list, revise.Op{Do: revise.Roll, Note: s.notes[0]})
			}
		}
	}
	return list
}

// disced tells whether a string is on the harp and has discs.
func (t *trial) disced(rank int) bool {
	return rank >= 0 && t.harp.Disced(pedal.StringAt(rank))
}

func (t *trial) signs(note int) finding.Signs {
	if note < len(t.music.Signs) {
		return t.music.Signs[note]
	}
	return finding.Signs{}
}

// untilNext is how long it is from a moment to the next at which something written is
// plucked; ends tells that there is none.
func (t *trial) untilNext(moment int) (d time.Duration, ends bool) {
	all := t.music.Passage.Moments
	for j := moment + 1; j < len(all); j++ {
		if all[j].At > all[moment].At && len(t.soundsAt(j)) > 0 {
			return all[j].At - all[moment].At, false
		}
	}
	return 0, true
}
