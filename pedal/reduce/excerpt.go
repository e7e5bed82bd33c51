package reduce

import (
	"context"
	"slices"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// A scene is some moments of music with what surrounds them, which can be planned and
// judged by itself: the pedals stand at its ends as they do in the plan of the whole.
type scene struct {
	music  *finding.Music
	judged finding.Options
	notes  map[int]int // from notes of the whole to those of the scene
	first  int         // the moment of the whole that is its first
	taken  []revise.Op // what has been decided about its notes since the music was planned
}

// margin is how much music around a window is planned with it: more than a foot with
// four pedals is busy.
const margin = 1500 * time.Millisecond

// scene cuts out the moments of the music as it stands from one to another with a
// margin.
func (r *run) scene(from, to int) *scene {
	s := sceneOf(r.cur.Music, r.plan, r.judged, from, to)
	s.taken = s.own(r.taken)
	return s
}

// sceneOf cuts out the moments from one to another with a margin.
func sceneOf(m *finding.Music, plan *pedal.Plan, judged finding.Options, from, to int) *scene {
	all := m.Passage.Moments
	lo, hi := from, to
	for lo > 0 && all[lo-1].At > all[from].At-margin {
		lo--
	}
	for hi+1 < len(all) && all[hi+1].At < all[to].At+margin {
		hi++
	}
	s := &scene{judged: judged, notes: map[int]int{}, first: lo}
	p := &pedal.Passage{Key: m.Passage.Key, Moments: make([]pedal.Moment, hi-lo+1)}
	s.music = &finding.Music{Passage: p}
	var old []int
	for i := range p.Moments {
		mo := all[lo+i]
		mo.Measure, mo.Restart = 0, false
		strikes := make([]pedal.Strike, len(mo.Strikes))
		for j, st := range mo.Strikes {
			n, known := s.notes[st.Note]
			if !known {
				n = len(p.Notes)
				s.notes[st.Note], old = n, append(old, st.Note)
				p.Notes = append(p.Notes, m.Passage.Notes[st.Note])
			}
			strikes[j] = pedal.Strike{Note: n, End: st.End, Until: st.Until}
		}
		mo.Strikes = strikes
		p.Moments[i] = mo
	}
	s.music.Signs = make([]finding.Signs, len(p.Notes))
	for n, of := range old {
		if of < len(m.Signs) {
			s.music.Signs[n] = m.Signs[of]
			if is, ok := s.notes[m.Signs[of].Of-1]; ok {
				s.music.Signs[n].Of = is + 1
			} else {
				s.music.Signs[n].Of = 0
			}
		}
	}
	s.addGlissandi(m.Glissandi)
	s.bind(plan, lo, hi)
	return s
}

// addGlissandi takes over the glissandi that are in the scene.
func (s *scene) addGlissandi(list []finding.Glissando) {
	for _, g := range list {
		var swept []int
		for _, n := range g.Swept {
			if is, ok := s.notes[n]; ok {
				swept = append(swept, is)
			}
		}
		if len(swept) == 0 {
			continue
		}
		g.Swept = swept
		if is, ok := s.notes[g.Note]; ok {
			g.Note = is
		} else {
			g.Note, g.Held = 0, true
		}
		s.music.Glissandi = append(s.music.Glissandi, g)
	}
}

// bind lets the pedals stand at both ends as in the plan of the whole.
func (s *scene) bind(plan *pedal.Plan, lo, hi int) {
	if lo > 0 {
		start := plan.Settings[lo-1]
		s.judged.Plan.Start = &start
	}
	if hi+1 < len(plan.Settings) {
		end := plan.Settings[hi]
		s.judged.Plan.End = &end
	}
}

// A verdict is what comes of some operations in a scene.
type verdict struct {
	found []finding.Finding // what is treated; moments and notes are those of the scene
	cost  pedal.Cost
	moved []int // from the moments of the scene before to those after
}

// own are those operations on notes of the whole that are on notes of the scene, for
// these.
func (s *scene) own(ops []revise.Op) []revise.Op {
	list := make([]revise.Op, 0, len(ops))
	for _, op := range ops {
		if n, ok := s.notes[op.Note]; ok {
			op.Note = n
			list = append(list, op)
		}
	}
	return list
}

// judge plans and judges the scene with operations on notes of the whole.
func (s *scene) judge(ctx context.Context, ops []revise.Op) (verdict, error) {
	r, err := revise.Apply(s.music, slices.Concat(s.taken, s.own(ops)))
	if err != nil {
		return verdict{}, err
	}
	plan, err := pedal.Solve(ctx, r.Music.Passage, s.judged.Plan)
	if err != nil {
		return verdict{}, err
	}
	found, err := finding.All(r.Music, plan, s.judged)
	return verdict{treated(found), plan.Cost, r.Moments}, err
}
