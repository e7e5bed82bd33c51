package pedal

import (
	"slices"
	"time"
)

// footStates numbers the states of a foot after a chord.
type footStates struct {
	list    []footState
	comfort []time.Duration // of each state
	letters []uint16        // of each state
	lates   []uint8         // of each pair of states, see feet.pairLate; empty where it is not asked for
	table   []int32         // open addressing; index into list + 1
}

func (t *footStates) reset() {
	t.list, t.comfort, t.letters = t.list[:0], t.comfort[:0], t.letters[:0]
	clear(t.table)
}

func (t *footStates) number(f Foot, s *footState) int32 {
	if 2*len(t.list) >= len(t.table) {
		t.grow()
	}
	for h := s.hash(); ; h++ {
		i := &t.table[h&uint32(len(t.table)-1)]
		if *i == 0 {
			t.list = append(t.list, *s)
			t.comfort = append(t.comfort, s.comfort())
			t.letters = append(t.letters, s.letters(f))
			*i = int32(len(t.list))
			return *i - 1
		}
		if t.list[*i-1] == *s {
			return *i - 1
		}
	}
}

func (t *footStates) grow() {
	t.table = make([]int32, 2*len(t.table))
	for i := range t.list {
		h := t.list[i].hash()
		for t.table[h&uint32(len(t.table)-1)] != 0 {
			h++
		}
		t.table[h&uint32(len(t.table)-1)] = int32(i + 1)
	}
}

func (s *footState) hash() uint32 {
	h := (uint64(s.busy)<<24 ^ uint64(s.ready)<<16 ^ uint64(s.lent)<<56 ^ uint64(s.pos)) * spread[0]
	for i := range s.free {
		h += (uint64(s.free[i]) ^ uint64(s.soft[i])<<32) * spread[i]
	}
	return uint32(h >> 32)
}

// comfort tells how well off a foot is; less is better. It only decides which of
// two states of the same cost is looked at first.
func (s *footState) comfort() (sum time.Duration) {
	for i := range s.free {
		if s.ready>>i&1 == 0 {
			sum += s.free[i] + 5*time.Second
			if s.soft[i] > longAgo {
				sum += time.Second
			}
		}
	}
	return sum
}

// maxPaired is how many states of a foot are compared by pairs.
const maxPaired = 1 << 10

const notAsked = 1<<8 - 1

// pair prepares for pairLate; it is not done where there are too many states.
func (t *feet) pair() bool {
	for f := range t.made {
		if len(t.made[f].list) > maxPaired {
			return false
		}
	}
	for f := range t.made {
		n := len(t.made[f].list)
		t.made[f].lates = slices.Grow(t.made[f].lates[:0], n*n)[:n*n]
		for i := range t.made[f].lates {
			t.made[f].lates[i] = notAsked
		}
	}
	return true
}

// pairLate is what late counts from state x in place of y with no letter moved again.
func (t *feet) pairLate(f Foot, x, y int32, k int) int {
	made := &t.made[f]
	n := &made.lates[int(x)*len(made.list)+int(y)]
	if *n == notAsked {
		*n = uint8(t.late(f, &made.list[x], &made.list[y], k, 0, Letters))
	}
	return int(*n)
}
