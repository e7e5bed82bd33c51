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
	root, err := s.agree(nil, nil)
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
			sol, err := s.agree(ties, best)
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

// agree runs the search with some classes tied, and asks for agreement where
// passes differ as long as that makes fewer of them differ and the outcome may be
// better than the best so far, if any.
func (s *search) agree(ties []tied, best *solution) (*solution, error) {
	prefer := make([]uint8, len(s.m.classes))
	s.restrict(ties, prefer)
	sol, err := s.run()
	if err != nil {
		return nil, err
	}
	for left := len(s.m.classes) + 1; ; {
		disputed := s.disputes(sol)
		if len(disputed) == 0 || len(disputed) >= left ||
			best != nil && s.strict(sol.bound).compare(s.strict(best.cost)) >= 0 {
			return sol, nil
		}
		left = len(disputed)
		votes := s.votes(sol)
		for _, c := range disputed {
			prefer[c] = 1
			if votes[c] < 0 {
				prefer[c] = 2
			}
		}
		s.restrict(ties, prefer)
		if sol, err = s.run(); err != nil {
			return nil, err
		}
	}
}

// restrict puts restrictions in force: classes tied to one way, and ways to
// prefer among equals, as in reader.
func (s *search) restrict(ties []tied, prefer []uint8) {
	allowed := slices.Clone(s.open)
	for _, t := range ties {
		allowed[t.class] = 1 << t.way
	}
	var changed []int32
	for c := range allowed {
		if s.reader.allowed[c] != allowed[c] || s.reader.prefer[c] != prefer[c] {
			changed = append(changed, s.m.struck[c]...)
		}
	}
	s.reader.allowed = allowed
	s.reader.prefer = slices.Clone(prefer)
	slices.Sort(changed)
	changed = slices.Compact(changed)
	slices.Reverse(changed)
	for _, k := range changed {
		s.now[k] = s.memory.listing(s, int(k))
	}
	s.look(changed)
}

// round ties every class to what most passes of the branch do, which always
// gives a plan that agrees.
func (s *search) round(b branch) (*solution, error) {
	ties := slices.Clone(b.ties)
	for c, v := range s.votes(b.sol) {
		if len(s.m.struck[c]) < 2 || s.open[c] != 3 || slices.ContainsFunc(b.ties, func(t tied) bool { return int(t.class) == c }) {
			continue
		}
		way := int8(0)
		if v < 0 {
			way = 1
		}
		ties = append(ties, tied{int32(c), way})
	}
	s.restrict(ties, make([]uint8, len(s.m.classes)))
	return s.run()
}

// disputed returns the class struck most often among those that two passes
// spell in two ways, the first of several; -1 if there is none.
func (s *search) disputed(sol *solution) int32 {
	found := int32(-1)
	for _, c := range s.disputes(sol) {
		if found < 0 || len(s.m.struck[c]) > len(s.m.struck[found]) {
			found = c
		}
	}
	return found
}

// disputes returns the classes that two passes spell in two ways, in the order
// in which that shows.
func (s *search) disputes(sol *solution) (list []int32) {
	const listed = -1
	seen := make([]int8, len(s.m.classes))
	for i, w := range sol.ways {
		c := s.m.tones[i].class
		switch {
		case w < 0 || seen[c] == listed:
		case seen[c] == 0:
			seen[c] = w + 1
		case seen[c] != w+1:
			list = append(list, c)
			seen[c] = listed
		}
	}
	return list
}

// votes counts for each class the chords that play it in its first way, less
// those that play it in its second.
func (s *search) votes(sol *solution) []int32 {
	votes := make([]int32, len(s.m.classes))
	for i, w := range sol.ways {
		switch c := s.m.tones[i].class; w {
		case 0:
			votes[c]++
		case 1:
			votes[c]--
		}
	}
	return votes
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
