package report

import (
	"cmp"
	"slices"
	"strings"
)

// A passFinding is a finding with all the passes in which it is made, and the other
// places that have the same cause.
type passFinding struct {
	Finding
	passes []int        // from 1, ascending
	also   []Place      // in the order in which they are met
	keys   []findingKey // of all findings that are told as this one
	times  int          // how many findings they are
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

// A cause is what findings share that are told as one.
type cause struct {
	kind, notes, remedy string
	severity            Severity
}

func (f *Finding) cause() cause {
	c := cause{f.Kind, strings.Join(f.Notes, " "), f.Remedy, f.Severity}
	if len(f.Notes) == 0 {
		c.notes = f.Text
	}
	return c
}

// merge makes one of findings of one cause, in whatever place and pass, the first
// in playing order standing for all. The most important come first.
func merge(findings []Finding) []passFinding {
	seen := make(map[cause]int)
	var all []passFinding
	for _, f := range findings {
		c, pass := f.cause(), max(1, f.Pass)
		i, ok := seen[c]
		if !ok {
			i = len(all)
			seen[c] = i
			all = append(all, passFinding{Finding: f})
		}
		m := &all[i]
		m.times++
		m.keys = append(m.keys, f.key())
		switch {
		case f.Place != m.Place:
			if !slices.Contains(m.also, f.Place) {
				m.also = append(m.also, f.Place)
			}
		case !slices.Contains(m.passes, pass):
			m.passes = append(m.passes, pass)
			slices.Sort(m.passes)
		}
		if f.Rank < m.Rank {
			m.Rank = f.Rank
		}
	}
	slices.SortStableFunc(all, func(a, b passFinding) int {
		return cmp.Or(cmp.Compare(a.Severity.rank(), b.Severity.rank()), cmp.Compare(a.Rank, b.Rank))
	})
	return all
}

// mostAlso is how many other measures are named.
const mostAlso = 12

// elsewhere names the measures of the other places, as the end of a text; "" if there
// are none.
func (f *passFinding) elsewhere() string {
	var labels []string
	here := 0 // other places in the same measure
	for _, p := range f.also {
		switch l := p.label(); {
		case p.Index == f.Index:
			here++
		case !slices.Contains(labels, l):
			labels = append(labels, l)
		}
	}
	var parts []string
	if here > 0 {
		parts = append(parts, "again in this measure")
	}
	if n := len(labels); n > mostAlso {
		parts = append(parts, "in mm. "+strings.Join(labels[:mostAlso], ", ")+" and "+count(n-mostAlso, "other measure"))
	} else if n > 0 {
		m := "in mm. "
		if n == 1 {
			m = "in m. "
		}
		parts = append(parts, m+joined(labels, "and"))
	}
	if len(parts) == 0 {
		return ""
	}
	return " The same " + strings.Join(parts, ", and ") + "."
}

// A foldedKind is all findings of one kind and severity, the first few to be
// shown and the others only counted.
type foldedKind struct {
	shown, folded []passFinding
}

// unfolded is how many findings of one kind are shown in full. Errors are what
// a reader came for, notes are not.
func (s Severity) unfolded() int { return [...]int{10, 5, 2}[s.rank()] }

// fold gathers findings by severity, the gravest first, and by kind, the most important
// first. One finding alone is never folded
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
func measureRange(findings []passFinding) string {
	var all []Place
	for _, f := range findings {
		all = append(append(all, f.Place), f.also...)
	}
	byIndex := func(a, b Place) int { return cmp.Compare(a.Index, b.Index) }
	first, last := slices.MinFunc(all, byIndex), slices.MaxFunc(all, byIndex)
	if first.Index == last.Index {
		return "m. " + first.label()
	}
	return "mm. " + first.label() + "–" + last.label()
}
