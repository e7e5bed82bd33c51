package report

import (
	"cmp"
	"slices"
)

// A foldedKind is all findings of one kind and severity, the first few to be
// shown and the others only counted.
type foldedKind struct {
	shown, folded []Finding
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
	groups := make(map[key][]Finding)
	var keys []key
	for _, f := range findings {
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
func measureRange(findings []Finding) string {
	byIndex := func(a, b Finding) int { return cmp.Compare(a.Index, b.Index) }
	first, last := slices.MinFunc(findings, byIndex), slices.MaxFunc(findings, byIndex)
	if first.Index == last.Index {
		return "m. " + first.label()
	}
	return "mm. " + first.label() + "–" + last.label()
}
