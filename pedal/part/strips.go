package part

import (
	"sort"

	"pedalogue/pedal"
)

// Stretches are what a plan asks of all pedals.
type stretches struct {
	pedals  [pedal.Letters]strip
	moments []pedal.Moment // of the passage
}

// A strip is the stretches of one pedal, in playing order.
type strip []stretch

// A stretch is a run of moments that need a pedal in one position. The pedal
// leaves it somewhere after its last use, and by the first use of the next one.
type stretch struct {
	position    pedal.Position
	first, last int   // moments of its first and last use
	end         int64 // tick at which its last tone ends
	// Full settings that stand between this stretch and the next fix on which
	// side of them the pedal moves.
	notBefore int // the last full setting that still has this stretch's position; -1 if none
	by        int // the first one that has the next one's; never if none
}

const never = int(^uint(0) >> 1)

// stretchesOf finds the stretches of every pedal.
func stretchesOf(passage *pedal.Passage, plan *pedal.Plan, instrument pedal.Instrument) stretches {
	p := stretches{moments: passage.Moments}
	silent := silentIn(plan)
	for l := range p.pedals {
		p.pedals[l] = strip{{position: plan.Start[l], first: -1, last: -1, notBefore: -1, by: never}}
	}
	for i, m := range passage.Moments {
		if i > 0 && m.Restart { // the first setting is met again
			for l := range p.pedals {
				p.pedals[l].use(i, plan.Start[l], m.Onset)
			}
		}
		for j, s := range m.Strikes {
			str := plan.Strings[s.Note]
			if !str.OK || silent[pedal.Dropped{Moment: i, Strike: j}] || !instrument.Disced(pedal.StringName{Letter: str.Letter, Octave: str.Octave}) {
				continue
			}
			p.pedals[str.Letter].use(i, str.Position, s.End)
		}
	}
	for _, m := range plan.Moves {
		if m.Needed == len(passage.Moments) { // where the user wants the pedal when all is played
			p.pedals[m.Letter].use(m.Needed, m.To, 0)
		}
	}
	return p
}

// silentIn are the strikes that get no string.
func silentIn(plan *pedal.Plan) map[pedal.Dropped]bool {
	silent := make(map[pedal.Dropped]bool, len(plan.Unsounded))
	for _, d := range plan.Unsounded {
		silent[d] = true
	}
	return silent
}

// use adds a use of the pedal.
func (s *strip) use(moment int, position pedal.Position, end int64) {
	last := &(*s)[len(*s)-1]
	if last.position != position {
		*s = append(*s, stretch{position: position, first: moment, last: moment, end: end, notBefore: -1, by: never})
		return
	}
	last.last = moment
	last.end = max(last.end, end)
}

// at returns the index of the stretch in which a moment lies: the last one that
// begins by it.
func (s strip) at(moment int) int {
	return sort.Search(len(s), func(i int) bool { return s[i].first > moment }) - 1
}

// before returns the index of the stretch that a move ends. Where the first setting
// is met again, a pedal may be put back for it and moved on for the notes there.
func (s strip) before(m pedal.Move) int {
	i := s.at(m.Needed)
	if i > 1 && s[i-1].first == m.Needed && s[i].position != m.To {
		i--
	}
	return max(i-1, 0)
}

// allowed returns the positions that a full setting may give the pedal at a
// moment: that of the stretch there and, once the stretch is over and its
// tones have ended, that of the next one.
func (p *stretches) allowed(l pedal.Letter, moment int) (now, next pedal.Position, hasNow, hasNext bool) {
	s := p.pedals[l]
	i := s.at(moment)
	t := s[i]
	now, next = t.position, t.position
	hasNow = moment < t.by || moment <= t.last
	if i+1 < len(s) && moment > t.last && moment > t.notBefore && p.moments[moment].Onset >= t.end {
		next, hasNext = s[i+1].position, true
	}
	return now, next, hasNow, hasNext
}

// fits reports whether a full setting may give the pedal a position at all of
// these moments.
func (p *stretches) fits(l pedal.Letter, position pedal.Position, moments []int) bool {
	for _, m := range moments {
		now, next, hasNow, hasNext := p.allowed(l, m)
		if !(hasNow && now == position) && !(hasNext && next == position) {
			return false
		}
	}
	return true
}

// open remembers that the first setting is printed where these moments are.
func (p *stretches) open(start pedal.Setting, moments []int) {
	for l, s := range p.pedals {
		for _, m := range moments {
			i := s.at(m)
			if i > 0 && s[i].first == m && s[i].position != start[l] {
				i-- // the notes there move it on
			}
			if i > 0 && s[i].first == m {
				s[i-1].by = min(s[i-1].by, m)
			} else {
				s[i].notBefore = max(s[i].notBefore, m)
			}
		}
	}
}

// fix remembers that a full setting gives the pedal a position at a moment.
func (p *stretches) fix(l pedal.Letter, position pedal.Position, moment int) {
	s := p.pedals[l]
	i := s.at(moment)
	switch t := &s[i]; {
	case t.position != position:
		t.by = min(t.by, moment)
	case t.first == moment && i > 0:
		s[i-1].by = min(s[i-1].by, moment)
	default:
		t.notBefore = max(t.notBefore, moment)
	}
}
