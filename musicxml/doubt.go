package musicxml

import (
	"fmt"
	"slices"
)

// A reporter takes a warning about the playing order: its measure, and where in
// the text it stands, -1 where it has no place of its own.
type reporter func(code string, measure, offset int, text string)

// doubts tells what of the playing order is not certain: what the signs leave
// open, and what of them has no effect.
func (m *roadMap) doubts(order []int, report reporter) {
	for i := range m.sections {
		m.doubtSection(i, report)
	}
	for k := range m.posts {
		if m.posts[k].ending != nil && m.ofEnding[k] < 0 {
			report("ending-without-repeat", k, -1, "an ending belongs to no repeat; it is played like any other measure")
		}
	}
	for _, k := range m.unclosed {
		report("repeat-without-end", k, -1, "no repeat sign leads back to this one; it changes nothing")
	}
	m.neverPlayed(order, report)
}

// An endingOver is an ending of a section: the measures under it.
type endingOver struct {
	first, last int
	passes      []int
}

// endingsOf lists the endings of a section in their order.
func (m *roadMap) endingsOf(section int) []endingOver {
	var list []endingOver
	s := &m.sections[section]
	for k := s.first; k <= s.last; k++ {
		switch {
		case m.ofEnding[k] != section:
		case m.posts[k].ending != nil:
			list = append(list, endingOver{k, k, m.endings[k]})
		case len(list) > 0:
			list[len(list)-1].last = k
		}
	}
	return list
}

// doubtSection tells what its signs leave open of how often a section is played
// and which ending is for which pass.
func (m *roadMap) doubtSection(i int, report reporter) {
	s := &m.sections[i]
	if s.times && s.plays == 1 {
		report("repeat-times", s.back, -1, "a repeat sign says that its section is played once; it does not lead back")
	}
	endings := m.endingsOf(i)
	if len(endings) == 0 {
		return
	}
	count := make([]int, s.plays+1) // how many endings each pass has
	for _, e := range endings {
		for _, pass := range e.passes {
			if pass > s.plays {
				continue // told as measures that are never played
			}
			if count[pass]++; count[pass] == 2 {
				report("endings-overlap", e.first, -1, fmt.Sprintf("two endings of this section are for pass %d; both are played in it", pass))
			}
		}
	}
	if pass := slices.Index(count[1:], 0) + 1; pass > 0 {
		report("ending-missing", s.back, -1, fmt.Sprintf("the section is played %[2]d times, and no ending is for pass %[1]d, which leaves the endings out", pass, s.plays))
		return
	}
	if last := endings[len(endings)-1]; !s.times && m.posts[last.last].closes != nil {
		report("ending-missing", last.last, -1, fmt.Sprintf("the last ending has a repeat sign and none follows it; the section is played %d times", s.plays))
	}
}

// neverPlayed tells of the measures that the playing order does not reach.
func (m *roadMap) neverPlayed(order []int, report reporter) {
	played := make([]bool, len(m.posts))
	for _, k := range order {
		played[k] = true
	}
	for k := 0; k < len(played); k++ {
		first := k
		for k < len(played) && !played[k] {
			k++
		}
		switch k - first {
		case 0:
		case 1:
			report("never-played", first, -1, "the repeats, endings and jumps never lead to this measure")
		default:
			report("never-played", first, -1, fmt.Sprintf("the repeats, endings and jumps never lead to this measure and the %d after it", k-first-1))
		}
	}
}
