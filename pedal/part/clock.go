package part

import (
	"errors"
	"math/bits"
	"sort"
	"time"

	"pedalogue/musicxml"
)

// defaultTempo is the speed where the score gives none, in quarter notes a
// minute.
var defaultTempo = musicxml.NewFrac(96, 1)

// A clock counts the times of a score in playing order, in ticks and in
// seconds.
type clock struct {
	starts []musicxml.Frac // when each measure of the playing order begins, in quarter notes
	unit   int64           // ticks in a quarter note
	tempos []segment       // in playing order; the first begins at 0
	given  musicxml.Frac   // from when on the tempo is the score's or the caller's, in quarter notes
	never  bool            // it never is
}

// A segment is a stretch of one tempo.
type segment struct {
	from    musicxml.Frac // quarter notes in playing order
	at      time.Duration
	quarter musicxml.Frac // quarter notes a minute
}

var errTooFine = errors.New("the times of this score are too fine to be counted exactly")

// newClock makes a clock that counts all the fractions exactly.
func newClock(score *musicxml.Score, fractions func(func(musicxml.Frac)), tempo musicxml.Frac) (*clock, error) {
	c := &clock{unit: 1}
	fine := true
	fractions(func(f musicxml.Frac) {
		den := f.Den()
		if !f.OK() || c.unit > 1<<40 {
			fine = false
			return
		}
		c.unit = c.unit / greatestCommon(c.unit, den) * den
	})
	if !fine || c.unit > 1<<40 {
		return nil, errTooFine
	}
	var now musicxml.Frac
	for _, k := range score.Order {
		c.starts = append(c.starts, now)
		now = now.Add(score.Measures[k].Length)
	}
	if limit := int64(1) << 62 / c.unit; !now.OK() || now.Num()/now.Den() >= limit {
		return nil, errTooFine
	}
	c.layTempos(score, tempo)
	return c, nil
}

func greatestCommon(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// layTempos follows the tempo marks in playing order. A jump keeps the tempo
// that was in force, until the next mark.
func (c *clock) layTempos(score *musicxml.Score, tempo musicxml.Frac) {
	c.tempos = []segment{{quarter: defaultTempo}}
	if tempo.Sign() > 0 {
		c.tempos[0].quarter = tempo
		return
	}
	c.never = true
	for step, k := range score.Order {
		first := sort.Search(len(score.Tempos), func(i int) bool { return score.Tempos[i].Measure >= k })
		for _, t := range score.Tempos[first:] {
			if t.Measure != k {
				break
			}
			from := c.starts[step].Add(t.Onset.Sub(score.Measures[k].Start))
			if c.never {
				c.given, c.never = from, false
			}
			last := &c.tempos[len(c.tempos)-1]
			switch {
			case t.Quarter == last.quarter:
			case !last.from.Less(from):
				last.quarter = t.Quarter
			default:
				c.tempos = append(c.tempos, segment{from, c.seconds(from), t.Quarter})
			}
		}
	}
}

// ticks counts a time of the playing order in ticks.
func (c *clock) ticks(at musicxml.Frac) int64 { return at.Num() * (c.unit / at.Den()) }

// seconds counts a time of the playing order, cut to whole nanoseconds. Within
// one tempo a distance that is a whole number of nanoseconds comes out exact. What
// comes after 73 years comes then.
func (c *clock) seconds(at musicxml.Frac) time.Duration {
	i := sort.Search(len(c.tempos), func(i int) bool { return at.Less(c.tempos[i].from) }) - 1
	s := c.tempos[max(i, 0)]
	quarters := at.Sub(s.from)
	minutes := quarters.Div(s.quarter)
	if !minutes.OK() || minutes.Sign() < 0 {
		return s.at
	}
	hi, lo := bits.Mul64(uint64(minutes.Num()), uint64(time.Minute))
	if den := uint64(minutes.Den()); hi < den {
		whole, _ := bits.Div64(hi, lo, den)
		if whole < 1<<62 {
			return min(s.at+time.Duration(whole), endOfTime)
		}
	}
	return endOfTime
}

const endOfTime = 1 << 61 // in nanoseconds
