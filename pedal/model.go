package pedal

// A feetModel follows the feet through a search. It numbers the states of the
// feet that it meets; a number is good until the next but one call of turn.
type feetModel interface {
	// begin is the state in which the letters set in pos have stood since the
	// music started, and no other pedal has been of use.
	begin(pos uint16) int32
	// turn makes the states that step returned last those it starts from next.
	turn()
	// step returns what the feet can do at chord k, where a reading is played,
	// the pedals of changed (low bits, as in moved) move for it and those of fresh
	// are set for the first time; pos is how the pedals stand then. The result is
	// valid until the next call.
	step(from int32, k int, pos, changed, fresh uint16, rd *reading) []footOutcome
	// standsIn tells whether at most so many more changes as there are to spare are
	// rushed if a plan from state a, after chord k, does what a plan from state b
	// does, and besides moves the letters of differ once more to where b has them,
	// which is pos.
	standsIn(a, b int32, k int, pos, differ uint16, spare int) bool
}

// A footOutcome is one way in which the feet can make the changes of a chord.
type footOutcome struct {
	feet   int32
	rushed int
}

// States numbers the states of the feet before a chord (old) and after it.
type states[T comparable] struct {
	old, list []T
	table     []int32 // open addressing; index into list + 1
	hash      func(*T) uint32
	made      T // the state being made; here, so that it is not allocated each time
}

func newStates[T comparable](hash func(*T) uint32) states[T] {
	return states[T]{table: make([]int32, 64), hash: hash}
}

func (t *states[T]) turn() {
	t.old, t.list = t.list, t.old[:0]
	clear(t.table)
}

// number returns the number of a state after the chord.
func (t *states[T]) number(s *T) int32 {
	if 2*len(t.list) >= len(t.table) {
		t.grow()
	}
	for h := t.hash(s); ; h++ {
		i := &t.table[h&uint32(len(t.table)-1)]
		if *i == 0 {
			t.list = append(t.list, *s)
			*i = int32(len(t.list))
			return *i - 1
		}
		if t.list[*i-1] == *s {
			return *i - 1
		}
	}
}

func (t *states[T]) grow() {
	t.table = make([]int32, 2*len(t.table))
	for i := range t.list {
		h := t.hash(&t.list[i])
		for t.table[h&uint32(len(t.table)-1)] != 0 {
			h++
		}
		t.table[h&uint32(len(t.table)-1)] = int32(i + 1)
	}
}
