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
// judged by itself: what is held from before is held there too, and the pedals stand when
// they are needed after it as they do in the plan of the whole.
type scene struct {
	music  *finding.Music
	judged finding.Options
	notes  map[int]int // from notes of the whole to those of the scene
	old    []int       // from notes of the scene to those of the whole, as far as they are of it
	first  int         // the moment of the whole that is its first, but for what is held from before
	taken  []revise.Op // what has been decided about its notes since the music was planned
}

// margin is how much music around a window is planned with it: more than a foot with
// four pedals is busy. What the pedals are needed for after it is looked for in afterwards.
const (
	margin     = 1500 * time.Millisecond
	afterwards = 12 * time.Second
)

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
	s := &scene{judged: judged, notes: map[int]int{}}
	s.music = &finding.Music{Passage: &pedal.Passage{Key: m.Passage.Key}}
	held := s.heldBefore(m, plan, lo)
	s.first = lo - held
	for i := lo; i <= hi; i++ {
		s.add(m, i, all[i].Strikes)
	}
	s.music.Signs = make([]finding.Signs, len(s.old))
	for n, of := range s.old {
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
	if lo > 0 {
		start := plan.Settings[lo-1]
		s.judged.Plan.Start = &start
	}
	if hi+1 < len(plan.Settings) {
		end := plan.Settings[s.neededAfter(m, plan, hi)]
		s.judged.Plan.End = &end
	}
	return s
}

// add adds a moment with some of its strikes.
func (s *scene) add(m *finding.Music, moment int, strikes []pedal.Strike) {
	p := s.music.Passage
	mo := m.Passage.Moments[moment]
	mo.Measure, mo.Restart = 0, false
	mo.Strikes = slices.Clone(strikes)
	for j := range mo.Strikes {
		st := &mo.Strikes[j]
		n, known := s.notes[st.Note]
		if !known {
			n = len(p.Notes)
			s.notes[st.Note], s.old = n, append(s.old, st.Note)
			p.Notes = append(p.Notes, m.Passage.Notes[st.Note])
		}
		st.Note = n
	}
	p.Moments = append(p.Moments, mo)
}

// heldBefore adds what was struck before a moment and is held then, on strings whose
// pedals have not moved since. It returns of how many moments that is.
func (s *scene) heldBefore(m *finding.Music, plan *pedal.Plan, lo int) (moments int) {
	all := m.Passage.Moments
	for i := lo - 1; i >= 0 && all[i].At > all[lo].At-heldLately; i-- {
		moments++
	}
	some := false
	for i := lo - moments; i < lo; i++ {
		var held []pedal.Strike
		for _, st := range all[i].Strikes {
			if str := plan.Strings[st.Note]; st.End > all[lo].Onset && str.OK && plan.Settings[lo-1][str.Letter] == str.Position {
				held = append(held, st)
			}
		}
		if some = some || len(held) > 0; some {
			s.add(m, i, held)
		} else {
			moments--
		}
	}
	return moments
}

// neededAfter adds, of what is plucked after a moment, what needs each pedal first. It
// returns the last moment that it has looked at.
func (s *scene) neededAfter(m *finding.Music, plan *pedal.Plan, hi int) (last int) {
	all := m.Passage.Moments
	harp := s.judged.Plan.Instrument.OrDefault()
	var known pedal.LetterSet
	for last = hi; last+1 < len(all) && known != pedal.AllLetters && all[last+1].At < all[hi].At+afterwards; {
		last++
		mo := all[last]
		mo.Measure, mo.Restart, mo.Strikes = 0, false, nil
		for _, st := range all[last].Strikes {
			str := plan.Strings[st.Note]
			if !str.OK || known.Has(str.Letter) || !harp.Disced(pedal.StringName{Letter: str.Letter, Octave: str.Octave}) {
				continue
			}
			known |= pedal.SetOf(str.Letter)
			p := s.music.Passage
			mo.Strikes = append(mo.Strikes, pedal.Strike{Note: len(p.Notes), End: mo.Onset, Until: mo.At})
			pitch := pedal.Pitch{Letter: str.Letter, Cents: 100 * int(str.Position), Octave: str.Octave}
			p.Notes = append(p.Notes, pedal.Note{Pitch: pitch, Implied: true, Silent: true, Fixed: true})
		}
		s.music.Passage.Moments = append(s.music.Passage.Moments, mo)
	}
	return last
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
