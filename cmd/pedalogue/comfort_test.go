package main

import (
	"slices"
	"testing"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/part"
)

// In the real scores no change that is not rushed stands at its own note where a beat
// was free for it, or while the player plays where a rest was free, or off the beat
// where a beat was free. Free is meant as a player would see it who leaves all other
// changes where they are: the letter may go, and the foot has started nothing within a
// foot time. Where a full setting at a repeat makes a change in one pass that it need
// not make in another, it stands there. Marks that serve several passes are judged in the first, by the places
// that lie in the windows of all.
func TestChangesAreComfortable(t *testing.T) {
	if testing.Short() {
		t.Skip("it plans all real scores")
	}
	count := map[string]int{}
	for _, s := range largestScores(t, 1<<20) {
		p, err := firstPart(s)
		if err != nil {
			continue // which other tests are about
		}
		done, err := p.Plan(t.Context(), part.Wishes{})
		if err != nil {
			t.Errorf("%s: %v", s.name, err)
			continue
		}
		j := &judge{p: p.Passage, plan: done.Plan, times: pedal.Options{}.Times(), places: p.Places}
		j.listen()
		for i, mv := range done.Plan.Moves {
			switch fault := j.fault(i); {
			case mv.Rushed:
				count["rushed"]++
			case p.Places.Of(mv.Place) != done.Page.Moves[i]:
				count["by a full setting that stands before"]++
			case fault != "":
				at := p.Places.Of(mv.Needed)
				t.Errorf("%s, measure %s: %v to %v at %v, needed at %v: %s", s.name, p.Score.Measures[at.Measure].Number,
					mv.Letter, mv.To.Sign(), mv.Start, j.at(mv.Needed), fault)
			default:
				count[j.kind(mv)]++
			}
		}
	}
	t.Log(count)
}

// A judge knows when a place is free.
type judge struct {
	p      *pedal.Passage
	plan   *pedal.Plan
	times  pedal.Times
	places *part.Places
	rests  [][2]time.Duration
}

func (j *judge) at(moment int) time.Duration {
	return j.p.Moments[min(moment, len(j.p.Moments)-1)].At
}

// listen finds the rests: gaps of two seconds, or of a whole measure.
func (j *judge) listen() {
	var end time.Duration
	for _, m := range j.p.Moments {
		if len(m.Strikes) == 0 {
			continue
		}
		whole := slices.ContainsFunc(j.p.Measures, func(k pedal.Measure) bool { return k.At >= end && k.Until <= m.At })
		if m.At-end >= 2*time.Second || whole && m.At > end {
			j.rests = append(j.rests, [2]time.Duration{end, m.At})
		}
		for _, s := range m.Strikes {
			end = max(end, s.Until)
		}
	}
}

// last is the first and last start in the last rest that has one in a window.
func (j *judge) last(from, to time.Duration) (lo, hi time.Duration, ok bool) {
	for _, r := range j.rests {
		if first, last := max(from, r[0]), min(to, r[1]-j.times.Move); first <= last {
			lo, hi, ok = first, last, true
		}
	}
	return lo, hi, ok
}

// kind tells how a move stands.
func (j *judge) kind(mv pedal.Move) string {
	lo, hi, ok := j.last(mv.WindowStart, mv.WindowEnd)
	switch {
	case j.on(mv.Start, true) && ok && mv.Start >= lo && mv.Start <= hi:
		return "in a rest"
	case j.on(mv.Start, true):
		return "on a beat"
	case j.on(mv.Start, false):
		return "with a note"
	}
	return "as late as can be"
}

// on tells whether a beat, or else an attack, is at a second.
func (j *judge) on(at time.Duration, beat bool) bool {
	return slices.ContainsFunc(j.p.Moments, func(m pedal.Moment) bool {
		return m.At == at && (beat && m.Beat || !beat && len(m.Strikes) > 0)
	})
}

// fault says what is uncomfortable about move i; "" for nothing.
func (j *judge) fault(i int) string {
	mv := j.plan.Moves[i]
	from, sign, room := mv.WindowStart, j.sign(mv), true // behind the sign
	if sign >= 0 {
		if at := j.p.Measures[sign].At; at > mv.WindowEnd {
			sign, room = -1, false
		} else {
			from = max(from, at)
		}
	}
	lo, hi, rest := j.last(from, mv.WindowEnd)
	inRest := rest && mv.Start >= lo && mv.Start <= hi && j.on(mv.Start, true)
	for k, m := range j.p.Moments[:min(mv.Needed, len(j.p.Moments))] {
		if !m.Beat || m.At == mv.Start || m.At < from || m.At > mv.WindowEnd || sign >= 0 && k < j.p.Measures[sign].First || !j.free(i, m.At) || sign >= 0 && !j.everyPass(mv, k) {
			continue
		}
		switch here := rest && m.At >= lo && m.At <= hi; {
		case here && !inRest:
			return "made while the player plays, though a rest is free"
		case here && m.At < mv.Start:
			return "not at the first beat of the rest"
		case mv.Place == mv.Needed && room:
			return "marked at its own note, though a beat is free"
		case !j.on(mv.Start, true):
			return "made off the beat, though one is free"
		case !inRest && m.At > mv.Start:
			return "not on the last beat"
		}
	}
	return ""
}

// sign is the last measure that begins with a repeat sign or a jump, up to a move's
// need; -1 if there is none.
func (j *judge) sign(mv pedal.Move) int {
	for k := j.p.Moments[min(mv.Needed, len(j.p.Moments)-1)].Measure; k >= 0; k-- {
		if j.p.Measures[k].Sign {
			return k
		}
	}
	return -1
}

// free tells whether move i could start at a second, the others being where they are.
func (j *judge) free(i int, at time.Duration) bool {
	for k, o := range j.plan.Moves {
		if k != i && !o.Rushed && o.Letter.Foot() == j.plan.Moves[i].Letter.Foot() && at < o.Start+j.times.Foot && o.Start < at+j.times.Foot {
			return false
		}
	}
	return true
}

// everyPass tells whether a moment is within the window of a move in all passes, and
// this is the first of them.
func (j *judge) everyPass(mv pedal.Move, moment int) bool {
	if mv.Needed == len(j.p.Moments) {
		return true
	}
	for _, o := range j.plan.Moves {
		if o.Letter != mv.Letter || o.To != mv.To || o.Needed == len(j.p.Moments) || j.places.Of(o.Needed) != j.places.Of(mv.Needed) {
			continue
		}
		if at := moment + o.Needed - mv.Needed; !o.Rushed && (o.Needed < mv.Needed || j.at(at) < o.WindowStart || j.at(at) > o.WindowEnd) {
			return false
		}
	}
	return true
}
