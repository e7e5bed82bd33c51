package musicxml

import (
	"fmt"
	"slices"
	"strconv"
)

// A targetKind is what a jump leads to.
type targetKind struct {
	name    string
	labels  func(*signpost) []string
	printed func(*signpost) bool
}

var (
	segnoTarget = targetKind{"segno", func(s *signpost) []string { return s.segno }, func(s *signpost) bool { return s.printed.segno }}
	codaTarget  = targetKind{"coda", func(s *signpost) []string { return s.coda }, func(s *signpost) bool { return s.printed.coda }}
)

// target returns the measure to which a jump leads, -1 if the score has none.
func (w *walker) target(k int, j *jump) int {
	if j.kind == daCapo {
		if len(w.restarts) > 0 && w.restarts[0] <= k {
			w.report("da-capo-unclear", k, j.offset, "the measure numbers begin again before this da capo; it leads to the start of the score")
		}
		return 0
	}
	kind := segnoTarget
	if j.kind == toCoda {
		kind = codaTarget
	}
	targets, asked := w.targets(kind, j)
	if j.kind == toCoda {
		// The sign where a coda begins, not the one at which it is left for.
		after := slices.DeleteFunc(slices.Clone(targets), func(i int) bool { return i <= k })
		if !asked || j.words || len(after) > 0 {
			targets = after
		}
	}
	if len(targets) == 0 {
		w.report("jump-without-target", k, j.offset, fmt.Sprintf("the %s that this jump leads to is not in the score; it is played on", kind.name))
		return -1
	}
	if before := slices.DeleteFunc(slices.Clone(targets), func(i int) bool { return i > k }); len(before) > 0 {
		targets = before
	}
	// The nearest one, as one of the same movement.
	at := targets[0]
	if at <= k {
		at = targets[len(targets)-1]
	}
	switch {
	case !asked:
		w.report("jump-without-target", k, j.offset,
			fmt.Sprintf("no %s has the name %q that this jump leads to; the one in measure index %d is taken", kind.name, j.label, at))
	case len(targets) > 1:
		w.report("jump-target-twice", k, j.offset,
			fmt.Sprintf("the score has %d places that this jump could lead to; the %s in measure index %d, the nearest, is taken", len(targets), kind.name, at))
	}
	return at
}

// targets lists the measures to which a jump may lead, in their order: those with
// its label; for printed words any with a label, else those with a printed sign.
// Where no label is the jump's, it lists the others, and asked is false.
func (w *walker) targets(kind targetKind, j *jump) (list []int, asked bool) {
	var labelled, any, signs []int
	for i := range w.posts {
		labels := kind.labels(&w.posts[i])
		if slices.Contains(labels, j.label) {
			labelled = append(labelled, i)
		}
		if len(labels) > 0 {
			any = append(any, i)
		}
		if kind.printed(&w.posts[i]) {
			signs = append(signs, i)
		}
	}
	if len(any) == 0 {
		any = signs
	}
	if j.words {
		return any, true
	}
	if len(labelled) > 0 {
		return labelled, true
	}
	return any, false
}

// restarts lists the measures at which the printed numbers begin again, as with
// another movement: at 1 or before, behind a higher one.
func restarts(measures []Measure) []int {
	var list []int
	last := 0
	for k := range measures {
		n, err := strconv.Atoi(measures[k].Number)
		if err != nil {
			continue
		}
		if n <= 1 && last > n && k > 0 {
			list = append(list, k)
		}
		last = n
	}
	return list
}
