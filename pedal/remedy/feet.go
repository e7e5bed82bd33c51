package remedy

import (
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// clashes proposes to leave out one side of a clash or another: all notes of one name.
func clashes(t *trial, f *finding.Finding) (list [][]revise.Op) {
	for _, names := range t.byName(f.Notes) {
		list = append(list, each(names, revise.Op{Do: revise.LeaveOut}))
	}
	return list
}

// edges proposes for notes at the ends of the harp: an octave or two towards its middle,
// or to leave them out.
func edges(_ *trial, f *finding.Finding) (list [][]revise.Op) {
	list = append(list, each(f.Notes, revise.Op{Do: revise.LeaveOut}))
	for _, octaves := range [4]int{1, -1, 2, -2} {
		list = append(list, each(f.Notes, revise.Op{Do: revise.Octave, Octaves: octaves}))
	}
	return list
}

// byName parts notes by letter and alteration; what is not written is left away.
func (t *trial) byName(notes []int) (groups [][]int) {
	for _, n := range notes {
		note := t.music.Passage.Notes[n]
		if note.Implied || note.Silent {
			continue
		}
		k := slices.IndexFunc(groups, func(g []int) bool {
			p := t.music.Passage.Notes[g[0]].Pitch
			return p.Letter == note.Pitch.Letter && p.Cents == note.Pitch.Cents
		})
		if k < 0 {
			groups = append(groups, []int{n})
		} else {
			groups[k] = append(groups[k], n)
		}
	}
	return groups
}

// hurries proposes for changes that a foot has no time for: to play on the other string or
// to leave out what needs one of them, or what held its letter before.
func hurries(t *trial, f *finding.Finding) (list [][]revise.Op) {
	groups := t.byName(f.Notes)
	for _, mv := range t.plan.Moves {
		if mv.Needed == f.Moment {
			groups = append(groups, t.lastOn(mv.Letter, mv.Needed))
		}
	}
	groups = slices.DeleteFunc(groups, func(g []int) bool { return len(g) == 0 })
	for i, g := range groups {
		list = append(list, each(g, revise.Op{Do: revise.LeaveOut}))
		if l, ok := t.partner(g[0]); ok {
			list = append(list, each(g, revise.Op{Do: revise.OtherString, Letter: l}))
		}
		for _, o := range groups[i+1:] {
			list = append(list, each(slices.Concat(g, o), revise.Op{Do: revise.LeaveOut}))
		}
	}
	return list
}

// lastOn are the written notes on a letter at the last moment before another at which it
// sounds.
func (t *trial) lastOn(l pedal.Letter, before int) (notes []int) {
	for i := min(before, len(t.music.Passage.Moments)) - 1; i >= 0 && len(notes) == 0; i-- {
		for _, s := range t.soundsAt(i) {
			if t.plan.Strings[s.notes[0]].Letter == l {
				notes = append(notes, s.notes...)
			}
		}
	}
	return notes
}

// held proposes for notes that are held when their pedal must move: to end them, to leave
// them out, or to leave out what needs the pedal.
func held(t *trial, f *finding.Finding) (list [][]revise.Op) {
	all := t.music.Passage.Moments
	var shorter []revise.Op
	written := true
	for _, n := range f.Notes {
		written = written && !t.music.Passage.Notes[n].Implied
		for i := f.Moment - 1; i >= 0 && written; i-- {
			if slices.ContainsFunc(all[i].Strikes, func(s pedal.Strike) bool { return s.Note == n }) {
				shorter = append(shorter, revise.Op{Do: revise.Shorten, Note: n, Ticks: all[f.Moment].Onset - all[i].Onset})
				break
			}
		}
	}
	if written && len(shorter) > 0 {
		list = append(list, shorter, each(f.Notes, revise.Op{Do: revise.LeaveOut}))
	}
	for _, mv := range t.plan.Moves {
		if mv.Needed != f.Moment || len(f.Notes) == 0 || mv.Letter != t.plan.Strings[f.Notes[0]].Letter {
			continue
		}
		var needers []int
		for _, s := range t.soundsAt(f.Moment) {
			if t.plan.Strings[s.notes[0]].Letter == mv.Letter {
				needers = append(needers, s.notes...)
			}
		}
		if len(needers) > 0 {
			list = append(list, each(needers, revise.Op{Do: revise.LeaveOut}))
		}
	}
	return list
}
