package report

import (
	"cmp"
	"slices"
)

// A passFinding is a finding with all the passes in which it is made.
type passFinding struct {
	Finding
	passes []int // from 1, ascending
}

// A findingKey is what findings share that differ in nothing but the pass.
type findingKey struct {
	kind, text, remedy string
	severity           Severity
	place              Place
	staff              int
}

func (f *Finding) key() findingKey {
	return findingKey{f.Kind, f.Text, f.Remedy, f.Severity, f.Place, f.Staff}
}

// merge makes one of findings that differ in nothing but the pass, so that a
// repeated section is not reported over and over. It keeps their order.
func merge(findings []Finding) []passFinding {
	seen := make(map[findingKey]int)
	var all []passFinding
	for _, f := range findings {
		k := f.key()
		pass := max(1, f.Pass)
		i, ok := seen[k]
		if !ok {
			seen[k] = len(all)
			all = append(all, passFinding{f, []int{pass}})
			continue
		}
		if !slices.Contains(all[i].passes, pass) {
			all[i].passes = append(all[i].passes, pass)
			slices.Sort(all[i].passes)
		}
	}
	return all
}

// A foldedKind is all findings of one kind and severity, the first few to be
// shown and the others only counted.
type foldedKind struct {
	shown, folded []passFinding
}

// unfolded is how many findings of one kind are shown in full. Errors are what
// a reader came for, notes are not.
func (s Severity) unfolded() int { return [...]int{10, 5, 2}[s.rank()] }

// fold gathers findings by severity, the gravest first, and by kind, in the
// order in which the kinds first appear. One finding alone is never folded
// away, as saying so would take as much room.
func fold(findings []Finding) []foldedKind {
	type key struct {
		severity Severity
		kind     string
	}
	groups := make(map[key][]passFinding)
	var keys []key
	for _, f := range merge(findings) {
		k := key{f.Severity, f.Kind}
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], f)
	}
	slices.SortStableFunc(keys, func(a, b key) int { return cmp.Compare(a.severity.rank(), b.severity.rank()) })

	var all []foldedKind
	for _, k := range keys {
		g, n := groups[k], k.severity.unfolded()
		if len(g) <= n+1 {
			n = len(g)
		}
		all = append(all, foldedKind{shown: g[:n], folded: g[n:]})
	}
	return all
}

// bySeverity sorts findings, the gravest first, and keeps their order otherwise.
func bySeverity(findings []passFinding) []passFinding {
	slices.SortStableFunc(findings, func(a, b passFinding) int { return cmp.Compare(a.Severity.rank(), b.Severity.rank()) })
	return findings
}

// rank is 0 for the gravest severity.
func (s Severity) rank() int {
	switch s {
	case SeverityError:
		return 0
	case SeverityWarning:
		return 1
	}
	return 2
}

// measureRange names the measures between the first and last finding in written
// order: "m. 20" or "mm. 20–31".
func measureRange(findings []passFinding) string {
	byIndex := func(a, b passFinding) int { return cmp.Compare(a.Index, b.Index) }
	first, last := slices.MinFunc(findings, byIndex), slices.MaxFunc(findings, byIndex)
	if first.Index == last.Index {
		return "m. " + first.label()
	}
	return "mm. " + first.label() + "–" + last.label()
}
