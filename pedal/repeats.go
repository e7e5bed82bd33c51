package pedal

import (
	"container/heap"
	"slices"
)

// maxBranches bounds the tree of a passage whose passes do not agree.
const maxBranches = 4000

// A branch is a part of the tree: some classes are tied to one of their ways.
type branch struct {
	ties  []tied
	sol   *solution
	bound total // of sol, without what only breaks ties
	order int   // of birth
}

// A tied class is open in one way only.
type tied struct {
	class int32
	way   int8
}

// solve finds the cheapest plan in which all passes spell a note alike.
//
// The search lets every pass spell as it likes. Where its passes agree, the plan
// is as good as that search proved. Where they do not, the search is asked again
// to follow, among equals, what most passes did; if that does not help, some
// note is tied to one string and then to the other, and the branch with the
// lowest cost is always looked at first. A branch whose cost, passes still
// free, reaches that of a plan in hand cannot hold a better one.
func (s *search) solve() (*solution, error) {
	root, err := s.agree(nil)
	if err != nil {
		return nil, err
	}
	open := &branches{{sol: root, bound: s.strict(root.bound)}}
	var best *solution
	for born := 1; open.Len() > 0; {
		b := heap.Pop(open).(branch)
		if best != nil && b.bound.compare(s.strict(best.cost)) >= 0 {
			break
		}
		c := s.disputed(b.sol)
		if best == nil || born%8 == 1 {
			round := b.sol
			if c >= 0 {
				if round, err = s.round(b); err != nil {
					return nil, err
				}
			}
			best = s.cheaper(best, round)
		}
		if c < 0 {
			best = s.cheaper(best, b.sol)
		}
		if c < 0 && b.bound.compare(s.strict(b.sol.cost)) < 0 || born > maxBranches || s.work >= s.limit {
			// The search was cut short: nothing more can be proved.
			best.bound = b.bound
			return best, nil
		}
		if c < 0 {
			continue
		}
		for way := range int8(2) {
			ties := append(slices.Clip(b.ties), tied{c, way})
			sol, err := s.agree(ties)
			if err != nil {
				return nil, err
			}
			heap.Push(open, branch{ties, sol, s.strict(sol.bound), born})
			born++
		}
	}
	best.bound = best.cost
	return best, nil
}

func (s *search) cheaper(a, b *solution) *solution {
	if a == nil || b.cost.compare(a.cost) < 0 {
		return b
	}
	return a
}

// agree runs the search with some classes tied, and asks for agreement between
// the passes as long as that makes fewer of them differ.
func (s *search) agree(ties []tied) (*solution, error) {
	untie := s.tie(ties)
	defer untie()
	s.reader.prefer = nil
	sol, err := s.run()
	if err != nil {
		return nil, err
	}
	for range 3 {
		if s.disputed(sol) < 0 {
			break
		}
		s.reader.prefer = s.majority(sol)
		again, err := s.run()
		if err != nil {
			return nil, err
		}
		sol = again
	}
	return sol, nil
}

// tie restricts the classes and returns a function that opens them again.
func (s *search) tie(ties []tied) (untie func()) {
	saved := slices.Clone(s.reader.allowed)
	for _, t := range ties {
		s.reader.allowed[t.class] = 1 << t.way
	}
	return func() { s.reader.allowed = saved }
}

// round ties every class to what most passes of the branch do, which always
// gives a plan that agrees.
func (s *search) round(b branch) (*solution, error) {
	ties := slices.Clone(b.ties)
	for c, w := range s.majority(b.sol) {
		if w != 0 {
			ties = append(ties, tied{int32(c), w - 1})
		}
	}
	untie := s.tie(ties)
	defer untie()
	s.reader.prefer = nil
	return s.run()
}

// disputed returns the class struck most often among those that two passes
// spell in two ways, the first of several; -1 if there is none.
func (s *search) disputed(sol *solution) int32 {
	found := int32(-1)
	seen := make([]int8, len(s.m.classes))
	for k := range s.m.chords {
		for ti, t := range s.m.chords[k].tones {
			w := sol.ways[k][ti] + 1
			switch {
			case w == 0:
			case seen[t.class] == 0:
				seen[t.class] = w
			case seen[t.class] != w && (found < 0 || s.m.classes[t.class].chords > s.m.classes[found].chords):
				found = t.class
			}
		}
	}
	return found
}

// majority returns for each class that is struck more than once the way in
// which most of its chords play it, the first where they are even, + 1.
func (s *search) majority(sol *solution) []int8 {
	votes := make([]int32, len(s.m.classes))
	for k := range s.m.chords {
		for ti, t := range s.m.chords[k].tones {
			switch sol.ways[k][ti] {
			case 0:
				votes[t.class]++
			case 1:
				votes[t.class]--
			}
		}
	}
	prefer := make([]int8, len(s.m.classes))
	for c := range s.m.classes {
		if cl := &s.m.classes[c]; cl.chords < 2 || s.reader.allowed[c] != 3 {
			continue
		}
		prefer[c] = 1
		if votes[c] < 0 {
			prefer[c] = 2
		}
	}
	return prefer
}

// branches is a heap with the lowest bound on top, and of equals the deepest.
type branches []branch

func (b branches) Len() int { return len(b) }
func (b branches) Less(i, j int) bool {
	if c := b[i].bound.compare(b[j].bound); c != 0 {
		return c < 0
	}
	if len(b[i].ties) != len(b[j].ties) {
		return len(b[i].ties) > len(b[j].ties)
	}
	return b[i].order < b[j].order
}
func (b branches) Swap(i, j int) { b[i], b[j] = b[j], b[i] }
func (b *branches) Push(x any)   { *b = append(*b, x.(branch)) }
func (b *branches) Pop() any {
	old := *b
	x := old[len(old)-1]
	*b = old[:len(old)-1]
	return x
}
