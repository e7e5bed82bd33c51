package pedal

import (
	"container/heap"
	"math"
	"math/bits"
	"slices"
)

// maxBranches bounds the tree of a passage whose passes do not agree.
const maxBranches = 4000

// A branch is a part of the tree: what is decided in it, and the cheapest plan
// that keeps to that and may still treat passes differently elsewhere.
type branch struct {
	decided
	sol   *solution
	bound total // of sol, without what only breaks ties
	order int   // of birth
}

// What is decided of a plan.
type decided struct {
	ties []tied
	home uint16 // the first setting as far as it is decided, packed
}

// A tied class is restricted.
type tied struct {
	class int32
	to    tie
}

// A tie is what a class is restricted to.
type tie int8

// The ties. A class that is tied to a way may still be left out.
const (
	toFirst  tie = iota // its first way
	toSecond            // its second way
	toSound             // it is not left out
	toSilent            // it is left out
)

// impossible is the cost of what cannot be played at all.
var impossible = total{unsounded: math.MaxInt}

// solve finds the cheapest plan that can be printed: all passes spell a note alike
// or leave it out, and where the place of the first setting is played again the
// pedals stand as they did there.
//
// The search lets every pass spell as it likes, and knows of no first setting. Where
// the passes agree all the same, the plan is as good as that search proved. Where
// they do not, the search is asked again to follow, among equals, what most passes
// did; if that does not help, something is decided in one way and then in the
// others, and the branch with the lowest cost is always looked at first. A branch
// whose cost, passes still free, reaches that of a plan in hand cannot hold a better
// one.
func (s *search) solve() (*solution, error) {
	first := decided{home: s.m.home()}
	root, err := s.agree(first, nil)
	if err != nil {
		return nil, err
	}
	open := &branches{{first, root, s.strict(root.bound), 0}}
	var best *solution
	for born := 1; open.Len() > 0; {
		b := heap.Pop(open).(branch)
		if best != nil && b.bound.compare(s.strict(best.cost)) >= 0 {
			break
		}
		ways := s.undecided(&b)
		switch {
		case ways == nil:
			best = s.cheaper(best, b.sol)
		case best == nil || born%8 == 1:
			round, err := s.round(b)
			if err != nil {
				return nil, err
			}
			if best = s.cheaper(best, round); b.bound.compare(s.strict(best.cost)) >= 0 {
				continue
			}
		}
		if ways == nil && b.bound.compare(s.strict(b.sol.cost)) < 0 || born > maxBranches || s.work >= s.limit {
			// The search was cut short: nothing more can be proved.
			best.bound = b.bound
			return best, nil
		}
		for _, d := range ways {
			sol, err := s.agree(d, best)
			if err != nil {
				return nil, err
			}
			if sol.cost != impossible {
				heap.Push(open, branch{d, sol, s.strict(sol.bound), born})
				born++
			}
		}
	}
	best.bound = best.cost
	return best, nil
}

// undecided returns the branches of a branch, one of which holds its cheapest plan
// that can be printed; nil if that is the branch's own.
func (s *search) undecided(b *branch) []decided {
	if c := s.disputed(b.sol); c >= 0 {
		ties := [2]tie{toFirst, toSecond}
		if s.votes(b.sol)[c].silent > 0 {
			ties = [2]tie{toSilent, toSound}
		}
		var ways []decided
		for _, t := range ties {
			ways = append(ways, decided{append(slices.Clip(b.ties), tied{c, t}), b.home})
		}
		return ways
	}
	h := s.homes(b.sol, b.home)
	b.sol.home = h.setting
	if h.disputed == 0 {
		return nil
	}
	var ways []decided
	for pos := uint16(1); pos <= 3; pos++ {
		ways = append(ways, decided{b.ties, b.home | pos<<(2*h.most)})
	}
	return ways
}

func (s *search) cheaper(a, b *solution) *solution {
	if a == nil || b.cost.compare(a.cost) < 0 {
		return b
	}
	return a
}

// agree runs the search with something decided, and asks for agreement where
// passes differ as long as that makes fewer of them differ and the outcome may be
// better than the best so far, if any.
func (s *search) agree(d decided, best *solution) (*solution, error) {
	prefer := make([]uint8, len(s.m.classes))
	s.restrict(d, prefer)
	sol, err := s.run()
	if err != nil {
		return nil, err
	}
	for left := len(s.m.classes) + 1; ; {
		disputed := s.disputes(sol)
		if len(disputed) == 0 || len(disputed) >= left ||
			best != nil && s.strict(sol.bound).compare(s.strict(best.cost)) >= 0 {
			sol.under, sol.prefer = d, prefer
			return sol, nil
		}
		left = len(disputed)
		votes := s.votes(sol)
		for _, c := range disputed {
			prefer[c] = votes[c].favourite() + 1
		}
		s.restrict(d, prefer)
		if sol, err = s.run(); err != nil {
			return nil, err
		}
	}
}

// restrict puts restrictions in force: what is decided, and ways to prefer among
// equals, as in reader.
func (s *search) restrict(d decided, prefer []uint8) {
	allowed := slices.Clone(s.open)
	for _, t := range d.ties {
		switch t.to {
		case toFirst, toSecond:
			allowed[t.class] &= mustSound | 1<<t.to
		case toSound:
			allowed[t.class] |= mustSound
		case toSilent:
			allowed[t.class] = 0
		}
	}
	var changed []int32
	for c := range allowed {
		if s.reader.allowed[c] != allowed[c] || s.reader.prefer[c] != prefer[c] {
			changed = append(changed, s.m.struck[c]...)
		}
	}
	if s.reader.home != d.home {
		changed = append(changed, s.m.restarts...)
	}
	s.reader.allowed = allowed
	s.reader.prefer = slices.Clone(prefer)
	s.reader.home = d.home
	slices.Sort(changed)
	changed = slices.Compact(changed)
	slices.Reverse(changed)
	for _, k := range changed {
		s.now[k] = s.memory.listing(s, int(k))
	}
	s.look(changed)
}

// round decides everything as most passes of the branch do, and leaves out what
// any pass leaves out, which always gives a plan that can be printed.
func (s *search) round(b branch) (*solution, error) {
	d := decided{home: b.home}
	tiedTo := make([]bool, len(s.m.classes))
	for _, t := range b.ties {
		if t.to != toSound {
			d.ties = append(d.ties, t)
			tiedTo[t.class] = true
		}
	}
	votes := s.votes(b.sol)
	for c := range votes {
		if len(s.m.struck[c]) >= 2 && s.open[c] == 3 && !tiedTo[c] {
			t := toFirst
			if votes[c].second > votes[c].first {
				t = toSecond
			}
			d.ties = append(d.ties, tied{int32(c), t})
		}
	}
	none := make([]uint8, len(s.m.classes))
	for {
		s.restrict(d, none)
		sol, err := s.run()
		if err != nil {
			return nil, err
		}
		silent := s.disputes(sol)
		for _, c := range silent {
			d.ties = append(d.ties, tied{c, toSilent})
		}
		h := s.homes(sol, d.home)
		sol.home = h.setting
		if len(silent) == 0 && h.disputed == 0 {
			sol.under, sol.prefer = d, none
			return sol, nil
		}
		d.home |= h.setting & (h.disputed | h.disputed<<1)
	}
}

// disputed returns the class struck most often among those that two passes treat
// in two ways, the first of several; -1 if there is none.
func (s *search) disputed(sol *solution) int32 {
	found := int32(-1)
	for _, c := range s.disputes(sol) {
		if found < 0 || len(s.m.struck[c]) > len(s.m.struck[found]) {
			found = c
		}
	}
	return found
}

// disputes returns the classes that two passes treat in two ways, in the order
// in which that shows.
func (s *search) disputes(sol *solution) (list []int32) {
	const listed = -1
	seen := make([]int8, len(s.m.classes))
	for i, w := range sol.ways {
		c := s.m.tones[i].class
		switch {
		case seen[c] == listed:
		case seen[c] == 0:
			seen[c] = w + 2
		case seen[c] != w+2:
			list = append(list, c)
			seen[c] = listed
		}
	}
	return list
}

// A vote counts the chords that play a class in its first way, in its second, and
// not at all.
type vote struct {
	first, second, silent int32
	begins                int8 // the way of the first of them; -1 for none
}

// favourite is what most chords do with a class: its way, or 2 if they leave it
// out.
func (v vote) favourite() uint8 {
	sounds := v.first + v.second
	switch {
	case v.silent > sounds || v.silent == sounds && v.begins < 0:
		return 2
	case v.second > v.first:
		return 1
	}
	return 0
}

// votes counts for each class what the chords do with it.
func (s *search) votes(sol *solution) []vote {
	votes := make([]vote, len(s.m.classes))
	for i, w := range sol.ways {
		v := &votes[s.m.tones[i].class]
		if v.first+v.second+v.silent == 0 {
			v.begins = w
		}
		switch w {
		case 0:
			v.first++
		case 1:
			v.second++
		default:
			v.silent++
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
	if m, n := b[i].depth(), b[j].depth(); m != n {
		return m > n
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

// depth is how much is decided.
func (d *decided) depth() int { return len(d.ties) + bits.OnesCount16(set(d.home)) }
