package pedal

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// A beat is a second, and a place half of one; measures have two beats. "!" before
// a place is a repeat sign or jump.
func TestPlace(t *testing.T) {
	type made struct {
		change     string
		start      int // of the move, in tenths of a second
		markedHalf int // at which half second it is marked
	}
	for _, tt := range []struct {
		name, reason string
		notes        []string
		want         []made
	}{
		{"first beat of a rest", "a gap of two seconds is a rest, and the change is made as soon as it can on a beat of it",
			[]string{"F", ".", ".", ".", ".", "F♯"}, []made{{"F♯", 10, 2}}},
		{"a whole measure", "it is a rest though it lasts less than two seconds", // here both
			[]string{"F", "G", "-", "-", ".", ".", ".", ".", "F♯"}, []made{{"F♯", 20, 4}}},
		{"a short gap", "no rest: the last beat before the note that needs it",
			[]string{"F", "-", "-", ".", ".", ".", "F♯"}, []made{{"F♯", 20, 4}}},
		{"the last rest", "of two the one before the entrance",
			[]string{"F", ".", ".", ".", ".", ".", "G", ".", ".", ".", ".", ".", "F♯"}, []made{{"F♯", 40, 8}}},
		{"later than the entrance", "what can be set in the rest before it is set there",
			[]string{"F", ".", ".", ".", ".", ".", "G", "A", "G", "A", "F♯"}, []made{{"F♯", 10, 2}}},
		{"on the last beat", "not on the one that needs it",
			[]string{"F", "G", "G", "G", "G", "G", "F♯"}, []made{{"F♯", 20, 4}}},
		{"on the last beat in the window", "off the beat needs it: on the beat just before",
			[]string{"F", "G", "G", "G", "G", "F♯"}, []made{{"F♯", 20, 4}}},
		{"with a note", "no beat is left between the last use and the need",
			[]string{"E", "E", "F", "G", "F♯"}, []made{{"F♯", 15, 3}}},
		{"as late as can be", "neither beat nor note is left: the mark is at the note that needs it",
			[]string{"E", "F", "F♯"}, []made{{"F♯", 8, 2}}},
		{"two of a foot, one beat", "the earlier need has it, the later one has the beat before",
			[]string{"E", "G", "E", "B", "B", "B", "B", "G♯", "E♭"}, []made{{"E♭", 20, 4}, {"G♯", 30, 6}}},
		{"two feet, one beat", "they share it",
			[]string{"F", "C", "E", "E", "E", "F♯", "C♯"}, []made{{"C♯", 20, 4}, {"F♯", 20, 4}}},
		{"after a sign", "not before it, though the beat there would be free",
			[]string{"F", "G", "G", "G", "!G", "-", "F♯"}, []made{{"F♯", 20, 4}}},
		{"no room after a sign", "it is made before, and marked behind it",
			[]string{"F", "G", "G", "G", "!F♯"}, []made{{"F♯", 10, 4}}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var notes []string
			var signs []int
			for i, text := range tt.notes {
				if text[0] == '!' {
					signs = append(signs, i)
					text = text[1:]
				}
				notes = append(notes, text)
			}
			p := line(t, notes...)
			inBars(p, 4, signs...)
			plan := mustSolve(t, p, Options{Mode: Written})
			var got []made
			for _, mv := range plan.Moves {
				got = append(got, made{mv.Letter.String() + mv.To.Sign(), int(mv.Start / (100 * time.Millisecond)), int(p.Moments[mv.Place].Onset)})
			}
			slices.SortFunc(got, func(a, b made) int { return cmp.Or(a.start-b.start, cmp.Compare(a.change, b.change)) })
			if !slices.Equal(got, tt.want) {
				t.Errorf("%q: %v, want %v: %s", tt.notes, got, tt.want, tt.reason)
			}
		})
	}
}

// inBars gives a passage measures of so many ticks, some of which begin with a sign.
func inBars(p *Passage, ticks int64, signs ...int) {
	tick := 500 * time.Millisecond
	last := p.Moments[len(p.Moments)-1].Onset
	for from := int64(0); from <= last; from += ticks {
		first, _ := slices.BinarySearchFunc(p.Moments, from, func(m Moment, t int64) int { return cmp.Compare(m.Onset, t) })
		p.Measures = append(p.Measures, Measure{
			Written: len(p.Measures), First: first, Onset: from, At: time.Duration(from) * tick,
			End: from + ticks, Until: time.Duration(from+ticks) * tick, Sign: slices.Contains(signs, int(from)),
		})
	}
	for i := range p.Moments {
		p.Moments[i].Measure = int(p.Moments[i].Onset / ticks)
	}
}

// Whatever is in the way of what: the places are the best of all that there are, found
// by trying every twentieth of a second. The order of what is best is spelt out in
// key.
func TestComfortOracle(t *testing.T) {
	seeds := uint64(3000)
	if testing.Short() {
		seeds = 600
	}
	tried, crowded, tierCount := 0, 0, [tiers]int{}
	for seed := range seeds {
		r := rand.New(rand.NewPCG(seed, 21))
		p := comfortPassage(r)
		o := Options{Mode: Written, Instrument: AllStrings(), FootTime: 400 * time.Millisecond}
		plan := mustSolve(t, p, o)
		for f := range Foot(2) {
			b := comfortBrute{p: p, move: o.Times().Move, foot: o.Times().Foot}
			size := 1
			for _, mv := range plan.Moves {
				if !mv.Rushed && mv.Letter.Foot() == f {
					b.moves = append(b.moves, mv)
					size = min(size*int((mv.WindowEnd-mv.WindowStart)/comfortTick+1), 1e9)
				}
			}
			if len(b.moves) < 2 || size > 5000 {
				continue
			}
			slices.SortStableFunc(b.moves, func(a, b Move) int { return cmp.Or(a.Needed-b.Needed, int(a.Letter)-int(b.Letter)) })
			starts := make([]time.Duration, len(b.moves))
			for i, mv := range b.moves {
				starts[i] = mv.Start
				tierCount[b.tier(mv, mv.Start)]++
			}
			got := b.key(starts)
			b.try(0)
			if slices.Compare(b.best, got) < 0 {
				t.Fatalf("seed %d, %v foot: starts %v, better %v\n%v\n%+v\n%s", seed, f, starts, b.starts, b.best, b.moves, describe(p, o))
			}
			tried++
			for i := range b.moves {
				if b.alone(b.moves[i]) != b.starts[i] {
					crowded++
					break
				}
			}
		}
	}
	t.Logf("%d feet, %d of them with changes in one another's way, changes of each tier: %v", tried, crowded, tierCount)
	if tried < int(seeds)/4 || crowded < int(seeds)/20 {
		t.Errorf("%d feet and %d with changes in one another's way are too few for a test", tried, crowded)
	}
	for tier, n := range tierCount {
		if n < 10 {
			t.Errorf("%d changes of tier %d are too few for a test", n, tier)
		}
	}
}

const comfortTick = 50 * time.Millisecond

// comfortPassage has short measures, some of them empty and some with a sign before
// them, beats, and changes of a few letters.
func comfortPassage(r *rand.Rand) *Passage {
	p := &Passage{}
	bar, beat := int64(6+2*r.IntN(4)), int64(2+r.IntN(4))
	letters := r.Perm(Letters)[:3+r.IntN(3)]
	at := int64(0)
	for k := range 5 {
		m := Measure{Written: k, First: len(p.Moments), Onset: at, At: time.Duration(at) * comfortTick, Sign: k > 0 && r.IntN(4) == 0}
		empty := k > 0 && r.IntN(4) == 0
		for t := range bar {
			now := at + t
			mo := Moment{Onset: now, At: time.Duration(now) * comfortTick, Beat: t%beat == 0, Measure: k}
			for range r.IntN(3) {
				if empty || r.IntN(3) > 0 {
					continue
				}
				l := Letter(letters[r.IntN(len(letters))])
				if slices.ContainsFunc(mo.Strikes, func(s Strike) bool { return p.Notes[s.Note].Pitch.Letter == l }) {
					continue
				}
				end := now + int64(1+r.IntN(3))
				mo.Strikes = append(mo.Strikes, Strike{Note: len(p.Notes), End: end, Until: time.Duration(end) * comfortTick})
				p.Notes = append(p.Notes, Note{Pitch: Pitch{l, 100 * (r.IntN(3) - 1), 4}})
			}
			if mo.Beat || len(mo.Strikes) > 0 {
				p.Moments = append(p.Moments, mo)
			}
		}
		at += bar
		m.End, m.Until = at, time.Duration(at)*comfortTick
		p.Measures = append(p.Measures, m)
	}
	return p
}

// A comfortBrute knows what is comfortable, and no algorithm.
type comfortBrute struct {
	p          *Passage
	move, foot time.Duration
	moves      []Move // of one foot, by need
	now        []time.Duration
	best       []int
	starts     []time.Duration // of the best
	tiers      map[startOf]tier
}

// try tries all starts of move i and those after it.
func (b *comfortBrute) try(i int) {
	if i == 0 {
		b.now = make([]time.Duration, len(b.moves))
	}
	if i == len(b.moves) {
		if k := b.key(b.now); b.best == nil || slices.Compare(k, b.best) < 0 {
			b.best, b.starts = k, slices.Clone(b.now)
		}
		return
	}
next:
	for s := b.moves[i].WindowStart; s <= b.moves[i].WindowEnd; s += comfortTick {
		for _, o := range b.now[:i] {
			if s-o < b.foot && o-s < b.foot {
				continue next
			}
		}
		b.now[i] = s
		b.try(i + 1)
	}
}

// alone is where a move would be if nothing were in its way.
func (b *comfortBrute) alone(mv Move) time.Duration {
	one := comfortBrute{p: b.p, move: b.move, foot: b.foot, moves: []Move{mv}}
	one.try(0)
	return one.starts[0]
}

// key tells how good starts are; less is better. As few before a sign as can be, as
// many in rests, on beats, with notes; then the better tier and place for each
// move, by need; then as late as can be.
func (b *comfortBrute) key(starts []time.Duration) []int {
	key := make([]int, 4, 4+3*len(starts))
	for i, s := range starts {
		switch b.tier(b.moves[i], s) {
		case ahead:
			key[0]++
		case inRest:
			key[1]--
		case onBeat:
			key[2]--
		case withNotes:
			key[3]--
		}
	}
	for i, s := range starts {
		tier := b.tier(b.moves[i], s)
		place := 0
		switch tier {
		case inRest:
			place = int(s)
		case onBeat, withNotes:
			place = -int(s)
		}
		key = append(key, int(tier), place)
	}
	for i, s := range starts {
		late := 0
		if b.tier(b.moves[i], s) == asLate {
			late = -int(s)
		}
		key = append(key, late)
	}
	return key
}

// sign is the second of the last repeat sign or jump before a move's need; before all
// time if there is none.
func (b *comfortBrute) sign(mv Move) time.Duration {
	at := longAgo
	for k, m := range b.p.Measures {
		if m.Sign && k <= b.p.Moments[mv.Needed].Measure {
			at = m.At
		}
	}
	return at
}

// A startOf is a start of a move, by the moment that needs it.
type startOf struct {
	needed int
	letter Letter
	start  time.Duration
}

func (b *comfortBrute) tier(mv Move, s time.Duration) tier {
	k := startOf{mv.Needed, mv.Letter, s}
	t, known := b.tiers[k]
	if !known {
		if b.tiers == nil {
			b.tiers = map[startOf]tier{}
		}
		t = b.judge(mv, s)
		b.tiers[k] = t
	}
	return t
}

func (b *comfortBrute) judge(mv Move, s time.Duration) tier {
	from := mv.WindowStart
	if sign := b.sign(mv); sign <= mv.WindowEnd {
		if s < sign {
			return ahead
		}
		from = max(from, sign)
	}
	beat, attack := false, false
	for _, m := range b.p.Moments {
		if m.At == s {
			beat = beat || m.Beat
			attack = attack || len(m.Strikes) > 0
		}
	}
	if lo, hi, ok := b.rest(from, mv.WindowEnd); ok && beat && s >= lo && s <= hi {
		return inRest
	}
	switch {
	case beat:
		return onBeat
	case attack:
		return withNotes
	}
	return asLate
}

// rest returns the first and last start in the last rest that has one in a window.
func (b *comfortBrute) rest(from, to time.Duration) (lo, hi time.Duration, ok bool) {
	sounding := func(s time.Duration) bool { // from then on, for a moment
		for _, m := range b.p.Moments {
			for _, k := range m.Strikes {
				if m.At == s || m.At <= s && s < k.Until {
					return true
				}
			}
		}
		return false
	}
	end := b.p.Moments[len(b.p.Moments)-1].At + 5*time.Second
	for s := b.p.Moments[0].At; s < end; s += comfortTick {
		if sounding(s) {
			continue
		}
		gap := s
		for s < end && !sounding(s) {
			s += comfortTick
		}
		long := s-gap >= 2*time.Second
		for _, m := range b.p.Measures {
			long = long || m.At >= gap && m.Until <= s
		}
		if first, last := max(gap, from), min(s-b.move, to); long && first <= last {
			lo, hi, ok = first, last, true
		}
	}
	return lo, hi, ok
}
