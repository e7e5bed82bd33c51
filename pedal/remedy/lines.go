package remedy

import (
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// repetitions proposes for strings that are plucked again too soon: the written strings
// where it is the plan that plays two on one; every second time the string's partner, or an octave, or nothing.
func repetitions(t *trial, f *finding.Finding) (list [][]revise.Op) {
	groups := t.plucks(f) // at each time, what is plucked again
	if len(groups) < 2 {
		return nil
	}
	var all []sound
	for _, g := range groups {
		all = append(all, sound{notes: g})
	}
	if home := t.home(all); len(home) > 0 {
		list = append(list, home)
	}
	for _, first := range [2]int{1, 0} {
		for _, every := range [2]int{2, 3} {
			var out, up, down, other []revise.Op
			partners := true
			for k := range groups {
				if k%every == 0 != (first == 0) && every == 2 || every == 3 && (k%3 == 0 || first == 0) {
					for _, n := range groups[k] { // the plan must not take these along to the other string
						other = append(other, revise.Op{Do: revise.OtherString, Note: n, Letter: t.plan.Strings[n].Letter})
					}
					continue
				}
				for _, n := range groups[k] {
					out = append(out, revise.Op{Do: revise.LeaveOut, Note: n})
					up = append(up, revise.Op{Do: revise.Octave, Note: n, Octaves: 1})
					down = append(down, revise.Op{Do: revise.Octave, Note: n, Octaves: -1})
					l, ok := t.partner(n)
					partners = partners && ok
					other = append(other, revise.Op{Do: revise.OtherString, Note: n, Letter: l})
				}
			}
			if len(out) == 0 {
				continue
			}
			list = append(list, out)
			if every == 2 {
				list = append(list, up, down)
			}
			if partners && every == 2 {
				list = append(list, other)
			}
		}
	}
	return list
}

// plucks lists, moment by moment, the notes of a finding and all others on their
// strings. A note that is played again and again, in passes, counts once.
func (t *trial) plucks(f *finding.Finding) (groups [][]int) {
	ranks := map[int]bool{}
	for _, n := range f.Notes {
		str := t.plan.Strings[n]
		ranks[str.Rank()] = true
	}
	seen := map[int]bool{}
	for i := f.Moment; i <= f.Last; i++ {
		if t.music.Passage.Moments[i].Grace {
			continue
		}
		var group []int
		for _, s := range t.soundsAt(i) {
			if ranks[s.rank] && !seen[s.notes[0]] {
				group = append(group, s.notes...)
				for _, n := range s.notes {
					seen[n] = true
				}
			}
		}
		if len(group) > 0 {
			groups = append(groups, group)
		}
	}
	return groups
}

// partner is the other letter on whose strings a note can be played.
func (t *trial) partner(note int) (pedal.Letter, bool) {
	n := t.music.Passage.Notes[note]
	if n.Fixed || n.On != 0 {
		return 0, false
	}
	p := n.Pitch
	height := 100*p.Letter.Semitones() + p.Cents
	for l := range pedal.Letter(pedal.Letters) {
		if apart := ((height-100*l.Semitones())%1200 + 1200) % 1200; l != t.plan.Strings[note].Letter && (apart == 0 || apart == 100 || apart == 1100) {
			return l, true
		}
	}
	return 0, false
}

// leaps proposes for a leap: to bring one of its ends nearer by an octave, or to leave out
// one end or a note of it, or what the other hand plays at one end.
func leaps(t *trial, f *finding.Finding) (list [][]revise.Op) {
	to := t.soundsAt(f.Moment)
	here := map[int]bool{}
	for _, s := range to {
		for _, n := range s.notes {
			here[n] = true
		}
	}
	var ends [3][]int // where the leap comes from, where it goes to, what the other hand plays there
	for _, n := range f.Notes {
		ends[count(here[n])] = append(ends[count(here[n])], n)
	}
	for _, s := range to {
		for _, n := range s.notes {
			if !slices.Contains(f.Notes, n) {
				ends[2] = append(ends[2], n)
			}
		}
	}
	for e, notes := range ends {
		if len(notes) == 0 {
			continue
		}
		list = append(list, each(notes, revise.Op{Do: revise.LeaveOut}))
		if e < 2 {
			list = append(list, each(notes, revise.Op{Do: revise.Octave, Octaves: 1}), each(notes, revise.Op{Do: revise.Octave, Octaves: -1}))
		}
		if len(notes) > 1 {
			for _, n := range notes {
				list = append(list, each([]int{n}, revise.Op{Do: revise.LeaveOut}))
			}
		}
	}
	return list
}

// each does one operation to some notes.
func each(notes []int, op revise.Op) []revise.Op {
	list := make([]revise.Op, len(notes))
	for i, n := range notes {
		op.Note = n
		list[i] = op
	}
	return list
}
