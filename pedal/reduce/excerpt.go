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
// judged by itself: what is held from before is held there too, the feet are as busy just
// before and after it as they are in the plan of the whole, and the pedals stand when they
// are needed next as they do there.
type scene struct {
	music  *finding.Music
	judged finding.Options
	notes  map[int]int // from notes of the whole to those of the scene
	old    []int       // from notes of the scene to those of the whole; -1 for those of its surroundings
	harp   pedal.Instrument
	first  int         // the moment of the whole that is its first
	taken  []revise.Op // what has been decided about its notes since the music was planned
}

// How far a scene reaches on each side of what is changed in it.
const (
	margin       = 1500 * time.Millisecond // that is planned anew: longer than a foot with four pedals is busy
	near         = 3 * time.Second         // beyond it, that is played as it is planned: what keeps the feet busy
	surroundings = 12 * time.Second        // beyond it, where the last and the next need of each pedal is looked for
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
	s := &scene{judged: judged, notes: map[int]int{}, harp: judged.Plan.Instrument.OrDefault()}
	s.music = &finding.Music{Passage: &pedal.Passage{Key: m.Passage.Key}}
	s.first = lo - s.playedBefore(m, plan, lo)
	for i := lo; i <= hi; i++ {
		s.add(m, i, all[i].Strikes)
	}
	s.music.Signs = make([]finding.Signs, len(s.old))
	for n, of := range s.old {
		if of >= 0 && of < len(m.Signs) {
			s.music.Signs[n] = m.Signs[of]
			if is, ok := s.notes[m.Signs[of].Of-1]; ok {
				s.music.Signs[n].Of = is + 1
			} else {
				s.music.Signs[n].Of = 0
			}
		}
	}
	s.addGlissandi(m.Glissandi)
	if s.first > 0 {
		start := plan.Settings[s.first] // what the first moment needs was in time there
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

// playedBefore adds, of what is struck before a moment, what is held then, and on the
// strings of the plan what is near and what has needed each pedal last. It returns of how
// many moments that is.
func (s *scene) playedBefore(m *finding.Music, plan *pedal.Plan, lo int) (moments int) {
	all := m.Passage.Moments
	var last [pedal.Letters]int // by letter, the moment that has needed its pedal last
	var known pedal.LetterSet
	for i := lo - 1; i >= 0 && (known != pedal.AllLetters || all[i].At > all[lo].At-near) && all[i].At > all[lo].At-surroundings; i-- {
		for _, st := range all[i].Strikes {
			if str := plan.Strings[st.Note]; s.needs(str) && !known.Has(str.Letter) {
				last[str.Letter] = i
				known |= pedal.SetOf(str.Letter)
			}
		}
		moments++
	}
	for i := lo - moments; i < lo; i++ {
		var held, over []pedal.Strike
		for _, st := range all[i].Strikes {
			switch str := plan.Strings[st.Note]; {
			case st.End > all[lo].Onset:
				held = append(held, st)
			case s.needs(str) && (last[str.Letter] == i || all[i].At > all[lo].At-near):
				over = append(over, st)
			}
		}
		s.add(m, i, held)
		for _, st := range over {
			s.pin(plan.Strings[st.Note], st.End, st.Until, false)
		}
	}
	return moments
}

// needs tells whether a string needs its pedal.
func (s *scene) needs(str pedal.String) bool {
	return str.OK && s.harp.Disced(pedal.StringName{Letter: str.Letter, Octave: str.Octave})
}

// pin adds a string, as it is in the plan of the whole, to the last moment.
func (s *scene) pin(str pedal.String, end int64, until time.Duration, silent bool) {
	p := s.music.Passage
	mo := &p.Moments[len(p.Moments)-1]
	mo.Strikes = append(mo.Strikes, pedal.Strike{Note: len(p.Notes), End: end, Until: until})
	pitch := pedal.Pitch{Letter: str.Letter, Cents: 100 * int(str.Position), Octave: str.Octave}
	p.Notes = append(p.Notes, pedal.Note{Pitch: pitch, Implied: true, Silent: silent, Fixed: true})
	s.old = append(s.old, -1)
}

// neededAfter adds, of what is plucked after a moment, the pedals of what is near and of
// what needs each of them first. It returns the last moment that it has looked at.
func (s *scene) neededAfter(m *finding.Music, plan *pedal.Plan, hi int) (last int) {
	all := m.Passage.Moments
	var known pedal.LetterSet
	for last = hi; last+1 < len(all) && (known != pedal.AllLetters || all[last+1].At < all[hi].At+near) && all[last+1].At < all[hi].At+surroundings; {
		last++
		s.add(m, last, nil)
		for _, st := range all[last].Strikes {
			str := plan.Strings[st.Note]
			if s.needs(str) && (!known.Has(str.Letter) || all[last].At < all[hi].At+near) {
				known |= pedal.SetOf(str.Letter)
				s.pin(str, all[last].Onset, all[last].At, true)
			}
		}
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
