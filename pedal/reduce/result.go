package reduce

import (
	"slices"

	"pedalogue/pedal/finding"
)

// result puts together what was done: treatments that share a moment are one
// reduction.
func (r *run) result(res *Result) {
	res.Ops = r.draft.ops()
	groups := r.grouped()
	left := treated(res.After)
	for _, g := range groups {
		red := Reduction{Moment: g.moments[0], Heuristic: g.heuristic, For: inOrder(g.kinds), Verified: true, Why: once(g.why)}
		for _, m := range g.moments {
			red.Ops = append(red.Ops, r.draft.of(m, nil)...)
		}
		if len(red.Ops) == 0 {
			continue
		}
		red.Loss = r.draft.ledger.Of(red.Ops)
		for _, f := range left {
			at := r.firstOf(r.back[f.Moment])
			if at >= g.moments[0] && at <= g.moments[len(g.moments)-1] && slices.Contains(red.For, f.Kind) {
				red.Verified = false
			}
		}
		res.Reductions = append(res.Reductions, red)
	}
	for _, f := range res.After {
		if !Treats(f.Kind, f.Severity) && !slices.Contains(leftKinds, f.Kind) {
			continue
		}
		at := r.back[f.Moment]
		u := Unsolved{Moment: at, For: []finding.Kind{f.Kind}, Text: f.Text}
		switch tried := r.tried[place{f.Kind, at}]; {
		case slices.Contains(leftKinds, f.Kind):
			u.Text += " No operation mends it; share it between the hands, or between two strings of one pitch."
		case tried != "":
			u.Text += " Nothing has helped: tried were " + tried + "."
		default:
			u.Text += " " + NothingHelps
		}
		res.Unsolved = append(res.Unsolved, u)
	}
}

// A group is treatments that share moments.
type group struct {
	moments   []int
	kinds     []finding.Kind
	heuristic bool
	why       []string
}

func (r *run) grouped() []group {
	var list []group
	for _, t := range r.treats {
		g := group{slices.Clone(t.moments), slices.Clone(t.kinds), t.heuristic, slices.Clone(t.why)}
		rest := list[:0:0]
		for _, o := range list {
			if slices.ContainsFunc(o.moments, func(m int) bool { return slices.Contains(g.moments, m) }) {
				g = group{append(g.moments, o.moments...), append(g.kinds, o.kinds...), true, append(o.why, g.why...)}
			} else {
				rest = append(rest, o)
			}
		}
		slices.Sort(g.moments)
		g.moments = slices.Compact(g.moments)
		list = append(rest, g)
	}
	slices.SortStableFunc(list, func(a, b group) int { return a.moments[0] - b.moments[0] })
	return list
}

// inOrder sorts kinds as finding.Rules does, each once.
func inOrder(kinds []finding.Kind) []finding.Kind {
	var list []finding.Kind
	for _, k := range Kinds() {
		if slices.Contains(kinds, k) {
			list = append(list, k)
		}
	}
	return list
}

// once are texts without those that stand there already.
func once(texts []string) (list []string) {
	for _, t := range texts {
		if !slices.Contains(list, t) {
			list = append(list, t)
		}
	}
	return list
}
