package pedaltest

import (
	"errors"
	"slices"
	"time"

	"pedalogue/pedal"
)

// JudgePlaces checks where the changes of a plan are made and marked: on this side
// of repeat signs, in rests, on beats, with the player's own notes. Of what changes
// compete for, it asks only that no change could be better placed with all others
// where they are. Where music is played twice, marks serve two masters; there it
// looks at the signs only. It takes the plan's windows as given: see [Judge].
func JudgePlaces(p *pedal.Passage, o pedal.Options, plan *pedal.Plan) error {
	j := &judge{p: p, r: RulesOf(o), plan: plan}
	j.tones, j.groups = tones(p)
	for l := range pedal.Letter(pedal.Letters) {
		j.due = append(j.due, j.walk(l)...)
	}
	j.places()
	return errors.Join(j.faults...)
}

func (j *judge) places() {
	again := j.again()
	for i, mv := range j.plan.Moves {
		if mv.Needed >= len(j.p.Moments) {
			continue
		}
		if mv.Place > mv.Needed {
			j.fault("moment %d: the %v pedal is marked at %d", mv.Needed, mv.Letter, mv.Place)
		}
		if sign := j.signBefore(mv.Needed); mv.Place < sign {
			j.fault("moment %d: the %v pedal is marked at %d, beyond the sign before %d", mv.Needed, mv.Letter, mv.Place, sign)
		}
		if j.r.Foot > 0 && !mv.Rushed && !again {
			j.place(i)
		}
	}
}

// again reports whether a measure is played more than once.
func (j *judge) again() bool {
	played := map[int]bool{}
	for _, m := range j.p.Measures {
		if played[m.Written] {
			return true
		}
		played[m.Written] = true
	}
	return false
}

// signBefore is the first moment after the last repeat sign or jump before a moment.
func (j *judge) signBefore(moment int) int {
	for k := measureOf(j.p, moment); k >= 0 && j.p.Measures != nil; k-- {
		if m := j.p.Measures[k]; m.Sign {
			return m.First
		}
	}
	return 0
}

// place checks the place of one change in time.
func (j *judge) place(i int) {
	mv := j.plan.Moves[i]
	first, last, due := mv.WindowStart, mv.WindowEnd, mv.WindowEnd+j.r.Move
	if sign := j.p.Moments[j.signBefore(mv.Needed)].At; sign <= last {
		first = max(first, sign)
	}
	free := func(s time.Duration) bool {
		return s >= first && s <= last && !slices.ContainsFunc(j.plan.Moves, func(o pedal.Move) bool {
			return o.Letter != mv.Letter && o.Letter.Foot() == mv.Letter.Foot() && !o.Rushed && max(o.Start-s, s-o.Start) < j.r.Foot ||
				o.Letter == mv.Letter && o.Needed != mv.Needed && !o.Rushed && max(o.Start-s, s-o.Start) < j.r.Foot
		})
	}
	// A mark at the last note on the letter would stand before it; and a move that takes
	// no time is not made at the very note that needs it if it may be made before.
	before := j.p.Moments[j.lastUse(mv)+1 : mv.Needed]
	for len(before) > 0 && before[len(before)-1].At == due {
		before = before[:len(before)-1]
	}
	if rest, ok := j.lastRest(first, last, due); ok {
		for _, m := range before {
			if m.Beat && m.At >= rest.from && m.At+j.r.Move <= rest.to && free(m.At) {
				if mv.Start != m.At {
					j.fault("moment %d: the %v pedal moves at %v, not at %v, the first free beat of the rest", mv.Needed, mv.Letter, mv.Start, m.At)
				}
				return
			}
		}
	}
	best, what := time.Duration(-1), ""
	for _, m := range before {
		if m.Beat && free(m.At) {
			best, what = m.At, "the last free beat"
		}
	}
	if best < 0 {
		for _, m := range before {
			if len(m.Strikes) > 0 && free(m.At) {
				best, what = m.At, "the last free attack"
			}
		}
	}
	if best < 0 {
		best, what = j.latest(mv, free), "as late as can be"
	}
	if mv.Start != best {
		j.fault("moment %d: the %v pedal moves at %v, not at %v, %s", mv.Needed, mv.Letter, mv.Start, best, what)
	}
}

// lastUse is the last moment before a change at which its letter sounds, or the place
// of the first setting is; -1 for none.
func (j *judge) lastUse(mv pedal.Move) int {
	for _, d := range j.due {
		if d.letter == mv.Letter && d.needed == mv.Needed && d.from == mv.From {
			return d.after
		}
	}
	return -1
}

// latest is the latest start that is free.
func (j *judge) latest(mv pedal.Move, free func(time.Duration) bool) time.Duration {
	best := mv.Start
	candidates := []time.Duration{mv.WindowEnd}
	for _, o := range j.plan.Moves {
		candidates = append(candidates, o.Start-j.r.Foot)
	}
	for _, s := range candidates {
		if free(s) {
			best = max(best, s)
		}
	}
	return best
}

// A span of time in which nothing sounds.
type span struct{ from, to time.Duration }

// lastRest is the last rest of the player's in which a change may start.
func (j *judge) lastRest(first, last, due time.Duration) (rest span, ok bool) {
	for _, s := range j.rests() {
		from, to := max(s.from, first), min(s.to-j.r.Move, last)
		if from <= to && s.from < due {
			rest, ok = s, true
		}
	}
	return rest, ok
}

// rests are the gaps that hold a whole measure or last two seconds.
func (j *judge) rests() (list []span) {
	gap := func(from, to time.Duration) {
		whole := slices.ContainsFunc(j.p.Measures, func(m pedal.Measure) bool { return m.At >= from && m.Until <= to && m.At < m.Until })
		if whole || to-from >= 2*time.Second {
			list = append(list, span{from, to})
		}
	}
	until := j.p.Moments[0].At
	end := j.p.Moments[len(j.p.Moments)-1].At
	for _, m := range j.p.Measures {
		end = max(end, m.Until)
	}
	for _, m := range j.p.Moments {
		if len(m.Strikes) == 0 {
			continue
		}
		if m.At > until {
			gap(until, m.At)
		}
		until = max(until, m.At)
		for _, s := range m.Strikes {
			until = max(until, s.Until)
		}
	}
	if end > until {
		gap(until, end)
	}
	return list
}
