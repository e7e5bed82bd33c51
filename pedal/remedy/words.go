package remedy

import (
	"slices"
	"strings"

	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// words says what operations do that mend a finding, and when, where its place alone does not tell
// which notes are meant; "" for none.
func (t *trial) words(f *finding.Finding, ops []revise.Op) string {
	text := revise.Sentence(t.music, ops)
	switch {
	case text == "":
		return ""
	case f.Kind == "repeated-string":
		return t.howOften(f, ops, text)
	case f.Kind == "held-string" && ops[0].Do == revise.Shorten:
		return text
	}
	var before, after, here bool
	for _, op := range ops {
		switch at := t.firstStruck(op.Note, f); {
		case at < f.Moment:
			before = true
		case at > f.Moment:
			after = true
		default:
			here = true
		}
	}
	when := ""
	switch {
	case here:
	case before && after:
		when = " before and after it"
	case before:
		when = " before it"
	case after:
		when = " after it"
	}
	return strings.TrimSuffix(text, ".") + when + "."
}

// firstStruck is the moment nearest to a finding's at which a note is struck.
func (t *trial) firstStruck(note int, f *finding.Finding) int {
	all := t.music.Passage.Moments
	for d := range len(all) {
		for _, i := range [2]int{f.Moment - d, f.Moment + d} {
			if i < 0 || i >= len(all) {
				continue
			}
			for _, s := range all[i].Strikes {
				if s.Note == note {
					return i
				}
			}
		}
	}
	return f.Moment
}

// howOften tells at which plucks of a repetition something is done.
func (t *trial) howOften(f *finding.Finding, ops []revise.Op, text string) string {
	if ops[0].Do == revise.OtherString {
		return text
	}
	groups := t.plucks(f)
	done := make([]bool, len(groups))
	inRow := false // two after each other
	for k, g := range groups {
		done[k] = slices.ContainsFunc(ops, func(op revise.Op) bool { return slices.Contains(g, op.Note) })
		inRow = inRow || k > 0 && done[k] && done[k-1]
	}
	when := "Every second time, "
	switch {
	case len(groups) == 2 && done[0]:
		when = "The first time, "
	case len(groups) == 2:
		when = "The second time, "
	case inRow && len(groups) == 3:
		when = "All but the first time, "
	case inRow:
		when = "All but every third time, "
	case done[0]:
		when = "The first and every second time after it, "
	}
	return when + strings.ToLower(text[:1]) + text[1:]
}
