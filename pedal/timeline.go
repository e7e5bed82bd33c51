package pedal

import (
	"slices"
	"sort"
	"time"
)

// A timeline is what the places of changes go by.
type timeline struct {
	beats   []int32 // the moments on a beat
	attacks []int32 // the moments at which something is struck; of those at one second the last
	rests   []rest  // of the player, in playing order
	signs   []int32 // for each measure the last one up to it that begins with a repeat sign or a jump; -1 for none
}

// A rest is a gap in which nothing is attacked or held by its written length.
type rest struct{ from, to time.Duration }

// longRest is how long a gap is a rest though it holds no whole measure.
const longRest = 2 * time.Second

// newTimeline reads a passage, whose last rest ends when the harp must stand as it is
// to be left.
func newTimeline(p *Passage, closing time.Duration) *timeline {
	t := &timeline{signs: signsOf(p.Measures)}
	if len(p.Moments) == 0 {
		return t
	}
	free := p.Moments[0].At
	for i := range p.Moments {
		m := &p.Moments[i]
		if m.Beat {
			t.beats = append(t.beats, int32(i))
		}
		if len(m.Strikes) == 0 {
			continue
		}
		t.addRest(p, free, m.At)
		if n := len(t.attacks); n > 0 && p.Moments[t.attacks[n-1]].At == m.At {
			t.attacks = t.attacks[:n-1]
		}
		t.attacks = append(t.attacks, int32(i))
		for _, s := range m.Strikes {
			free = max(free, s.Until)
		}
	}
	t.addRest(p, free, closing)
	return t
}

// signsOf returns for each measure the last one up to it that begins with a repeat sign
// or a jump in some pass; -1 for none.
func signsOf(measures []Measure) []int32 {
	signed := map[int]bool{} // by the measure as it is written
	for i, m := range measures {
		if m.Sign {
			signed[m.Written] = true
		}
		if i > 0 && m.Written != measures[i-1].Written+1 {
			signed[m.Written], signed[measures[i-1].Written+1] = true, true
		}
	}
	list, last := make([]int32, len(measures)), int32(-1)
	for i, m := range measures {
		if signed[m.Written] {
			last = int32(i)
		}
		list[i] = last
	}
	return list
}

// addRest adds a gap if it is long enough for a rest.
func (t *timeline) addRest(p *Passage, from, to time.Duration) {
	if to <= from {
		return
	}
	k := sort.Search(len(p.Measures), func(i int) bool { return p.Measures[i].At >= from })
	if to-from >= longRest || k < len(p.Measures) && p.Measures[k].Until <= to {
		t.rests = append(t.rests, rest{from, to})
	}
}

// lastRest returns the last rest in which a move can be made that starts from one
// time on and up to another. It is empty if there is none.
func (t *timeline) lastRest(lo, hi, move time.Duration) (r rest) {
	n := sort.Search(len(t.rests), func(i int) bool { return t.rests[i].from > hi })
	for ; n > 0 && t.rests[n-1].to-move >= lo; n-- {
		if r = t.rests[n-1]; max(lo, r.from) <= min(hi, r.to-move) {
			return r
		}
	}
	return rest{}
}

// within returns those of a list of moments that lie from one on and up to another.
func within(list []int32, from, to int) []int32 {
	i, _ := slices.BinarySearch(list, int32(from))
	j, _ := slices.BinarySearch(list, int32(to+1))
	return list[i:max(i, j)]
}

// from returns the first moment at or after a time.
func (p *Passage) from(at time.Duration) int {
	return sort.Search(len(p.Moments), func(i int) bool { return p.Moments[i].At >= at })
}
