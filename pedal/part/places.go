package part

import (
	"slices"

	"pedalogue/pedal"
)

// A Place is one moment of the written music: a measure, and the moment in it. What
// is printed at a place holds whenever it is played. The zero value is the first
// moment of the first measure.
type Place struct {
	Measure int // index into Score.Measures, from 0
	At      int // index among the measure's moments, from 0; their number for what stands after them all
}

// compare orders places as they are written.
func (p Place) compare(q Place) int {
	if p.Measure != q.Measure {
		return p.Measure - q.Measure
	}
	return p.At - q.At
}

// Places is the index arithmetic between music as it is written and as it is
// played: it leads from the moments of a passage to written places and back. A
// moment is an index into Passage.Moments, from 0. One past the last stands for the
// end of the music, and is taken as the last, as any outside them is taken as the
// nearest; a place outside the score is never played.
type Places struct {
	order    []int   // for each measure as played, the written one
	passes   []int   // for each measure as played, how often it has been played by then, from 1
	starts   []int   // for each measure as played, the index of its first moment
	steps    []int   // for each moment, its measure as played
	played   [][]int // for each written measure, where it stands in order
	before   []int   // for each written measure, how many places stand before it
	straight []int   // for each written measure, the first one of the stretch around it that is always played straight on
}

// placesOf returns the places of a passage, whose Measures must be known.
func placesOf(p *pedal.Passage) *Places {
	s := &Places{steps: make([]int, len(p.Moments))}
	written := 0
	for _, m := range p.Measures {
		written = max(written, m.Written+1)
	}
	s.played, s.before, s.straight = make([][]int, written), make([]int, written), make([]int, written)
	signs, sizes := make([]bool, written), make([]int, written)
	for step, m := range p.Measures {
		end := len(p.Moments)
		if step+1 < len(p.Measures) {
			end = p.Measures[step+1].First
		}
		for i := m.First; i < end; i++ {
			s.steps[i] = step
		}
		s.order, s.starts = append(s.order, m.Written), append(s.starts, m.First)
		s.played[m.Written] = append(s.played[m.Written], step)
		s.passes = append(s.passes, len(s.played[m.Written]))
		signs[m.Written], sizes[m.Written] = m.Sign, end-m.First
	}
	for k := 1; k < written; k++ {
		s.before[k] = s.before[k-1] + sizes[k-1]
		s.straight[k] = s.straight[k-1]
		if signs[k] {
			s.straight[k] = k
		}
	}
	return s
}

// Of returns the place of a moment.
func (s *Places) Of(moment int) Place {
	moment = s.within(moment)
	step := s.steps[moment]
	return Place{s.order[step], moment - s.starts[step]}
}

// Pass tells how often the measure of a moment has been played by then, that time
// counted in: from 1.
func (s *Places) Pass(moment int) int { return s.passes[s.Measure(moment)] }

// Measure returns in which measure a moment lies, an index into Passage.Measures.
func (s *Places) Measure(moment int) int { return s.steps[s.within(moment)] }

// Playings lists the moments at which a place is played, in playing order: for a
// place after all moments of its measure, the first of what is played next, if
// anything is. It is empty for a measure that is never played.
func (s *Places) Playings(at Place) []int {
	if at.Measure < 0 || at.Measure >= len(s.played) || at.At < 0 {
		return nil
	}
	moments := make([]int, 0, len(s.played[at.Measure]))
	for _, step := range s.played[at.Measure] {
		if i := s.starts[step] + at.At; i < len(s.steps) && at.At <= s.size(step) {
			moments = append(moments, i)
		}
	}
	return moments
}

// size is the number of moments in a measure as played.
func (s *Places) size(step int) int {
	if step+1 < len(s.starts) {
		return s.starts[step+1] - s.starts[step]
	}
	return len(s.steps) - s.starts[step]
}

// within is the moment of an index that may lie outside them.
func (s *Places) within(moment int) int { return max(0, min(moment, len(s.steps)-1)) }

// readAt is the moment at which a player on the way to another has last passed a
// place; the other one itself if there is none.
func (s *Places) readAt(at Place, target int) int {
	steps := s.played[at.Measure]
	i, found := slices.BinarySearch(steps, s.steps[target])
	if !found {
		i--
	}
	if i < 0 {
		return target
	}
	return s.starts[steps[i]] + at.At
}

// linear numbers the places as they are written, from 0.
func (s *Places) linear(at Place) int { return s.before[at.Measure] + at.At }

// at is the place of a number.
func (s *Places) at(linear int) Place {
	measure, _ := slices.BinarySearch(s.before, linear+1)
	return Place{measure - 1, linear - s.before[measure-1]}
}

// jumpsBack reports whether a moment begins a measure that is played after one at
// the same place or further on.
func (s *Places) jumpsBack(moment int) bool {
	step := s.steps[moment]
	return step > 0 && moment == s.starts[step] && s.order[step] <= s.order[step-1]
}
