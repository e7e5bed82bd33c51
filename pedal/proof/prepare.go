package proof

import (
	"maps"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/part"
)

// made are the marks as they are followed, and which of Task.Marks each is. What is to be
// prepared may be done at any time until the first note that needs it: so it is moved
// there, and spoils nothing that still wants the pedal as it was. Where no note needs it,
// it is done where it is asked for.
func (j *judge) made() (marks []part.Mark, of []int) {
	for i := range j.Marks {
		of = append(of, i)
	}
	if !slices.ContainsFunc(j.Marks, func(m part.Mark) bool { return m.Prepared }) {
		return j.Marks, of
	}
	marks = slices.Clone(j.Marks)
	stands := make([]part.Followed, 0, len(j.p.Moments))
	for _, now := range part.Follow(j.Part.Places, j.p.Key, j.Marks) {
		stands = append(stands, *now)
	}
	for i := range j.Marks {
		m := &j.Marks[i]
		played := j.playings(m)
		if !m.Prepared || len(played) == 0 {
			continue
		}
		for l := range pedal.Letter(pedal.Letters) {
			to, ok := m.Pedals[l]
			if !ok {
				continue
			}
			was := j.p.Key[l]
			if played[0] > 0 {
				was = stands[played[0]-1].Setting[l]
			}
			need := j.firstNeed(stands, i, played[0], l, was, to)
			if need <= played[0] {
				continue
			}
			j.deferred[deferral{i, l}] = true
			marks[i].Pedals = maps.Clone(marks[i].Pedals)
			delete(marks[i].Pedals, l)
			marks, of = append(marks, part.Mark{Place: j.Part.Places.Of(need), Pedals: map[pedal.Letter]pedal.Position{l: to}}), append(of, i)
		}
	}
	return marks, of
}

// A deferral is a pedal of a mark that is done later than where it stands.
type deferral struct {
	mark   int
	letter pedal.Letter
}

// firstNeed is the first moment, from a mark on until its pedal is marked again, with a
// note that sounds only where the pedal has moved; -1 for none.
func (j *judge) firstNeed(stands []part.Followed, mark, from int, l pedal.Letter, was, to pedal.Position) int {
	for i := from; i < len(stands) && stands[i].Last[l].OK && stands[i].Last[l].Mark == mark; i++ {
		before, after := stands[i].Setting, stands[i].Setting
		before[l], after[l] = was, to
		for _, s := range j.p.Moments[i].Strikes {
			if !j.p.Notes[s.Note].Silent && !j.given(s.Note, &before) && j.given(s.Note, &after) {
				return i
			}
		}
	}
	return -1
}

// given tells whether a setting gives a note a string.
func (j *judge) given(note int, setting *pedal.Setting) bool {
	return slices.ContainsFunc(j.ways[note], func(w pedal.String) bool { return !j.disced(w) || setting[w.Letter] == w.Position })
}
