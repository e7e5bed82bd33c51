package finding

import (
	"fmt"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/internal/words"
)

// hurry judges the plan's rushed changes; made when it is first asked for.
func (m *played) hurry() *pedal.Hurry {
	if m.judged == nil {
		m.judged = pedal.NewHurry(m.p, m.o.Plan, m.plan)
	}
	return m.judged
}

// rushedChanges are those that no foot can make.
func rushedChanges(m *played, s *sink) {
	for i, mv := range m.plan.Moves {
		if !mv.Rushed || !m.hurry().Cannot(i) {
			continue
		}
		move := m.o.Plan.Times().Move
		notes, text := m.needers(mv), ""
		if free := mv.WindowEnd + move - mv.WindowStart; free < move {
			has := "has only " + below(free, move)
			if free < 10*time.Millisecond {
				has = "has no time"
			}
			text = fmt.Sprintf("At this tempo the %v foot cannot make the change to %s: it %s, and a move takes %s.",
				mv.Letter.Foot(), m.wanted(mv), has, seconds(move))
		} else {
			names, more, within := m.crowd(i)
			notes = append(notes, more...)
			text = fmt.Sprintf("At this tempo the %v foot cannot make the changes to %s within %s, even without a pause: a move takes %s.",
				mv.Letter.Foot(), words.Joined(names), seconds(within), seconds(move))
		}
		s.add(mv.Needed, notes, text, "")
		if !m.o.NoTempo {
			s.list[len(s.list)-1].Tempo = m.slower(i)
		}
	}
}

// oneFoot are the changes that a foot can make, but not as slowly as it wants to.
func oneFoot(m *played, s *sink) {
	for i, mv := range m.plan.Moves {
		if !mv.Rushed || m.hurry().Cannot(i) {
			continue
		}
		names, notes, within := m.crowd(i)
		s.add(mv.Needed, append(notes, m.needers(mv)...), fmt.Sprintf("The %v foot is wanted for %s within %s; it moves one pedal at a time, the next one %s later at the soonest.",
			mv.Letter.Foot(), words.Joined(names), seconds(within), seconds(m.footTime())), "")
	}
}

// crowd names what a foot is wanted for about a rushed move, that first, and tells
// which notes need the others and within which time.
func (m *played) crowd(i int) (names []string, notes []int, within time.Duration) {
	mv := m.plan.Moves[i]
	names = []string{m.wanted(mv)}
	first := mv.WindowStart
	for _, j := range m.rivals(i) {
		o := m.plan.Moves[j]
		names = append(names, m.wanted(o))
		notes = append(notes, m.needers(o)...)
		if o.Rushed {
			first = min(first, max(o.WindowStart, first-m.footTime()))
		} else {
			first = min(first, o.Start)
		}
	}
	return unique(names), notes, m.at(mv.Needed) - first
}

// rivals are the other moves of the same foot that are in a move's way, as indexes
// into the plan's moves: those made within a foot time of its window, and rushed ones
// with a window there.
func (m *played) rivals(i int) []int {
	mv, foot := m.plan.Moves[i], m.footTime()
	var list []int
	for j, o := range m.plan.Moves {
		if j == i || o.Letter.Foot() != mv.Letter.Foot() {
			continue
		}
		from, to := o.Start, o.Start
		if o.Rushed {
			from, to = o.WindowStart, o.WindowEnd
		}
		if from < mv.WindowEnd+foot && to+foot > mv.WindowStart && from <= to || o.Needed == mv.Needed {
			list = append(list, j)
		}
	}
	return list
}

// slowest is the slowest tempo that is worth a proposal, in quarter notes a minute.
const slowest = 20

// slower proposes the fastest tempo, in whole quarter notes a minute, at which a
// move could be made; "" if there is none.
func (m *played) slower(i int) string {
	at := m.at(m.plan.Moves[i].Needed)
	const most = 1_000_000
	var now *Tempo
	for k := range m.music.Tempos {
		if t := &m.music.Tempos[k]; now == nil || t.From <= at {
			now = t
		}
	}
	if now == nil || now.Num <= 0 || now.Den <= 0 || now.Num > most || now.Den > 1000 {
		if percent, ok := fastest(25, 99, func(percent int64) bool { return m.hurry().CanAt(i, percent, 100) }); ok {
			return fmt.Sprintf("play at %d %% of the tempo", percent)
		}
		return ""
	}
	if t, ok := fastest(slowest, min((now.Num-1)/now.Den, most/now.Den), func(t int64) bool { return m.hurry().CanAt(i, t*now.Den, now.Num) }); ok {
		return fmt.Sprintf("play at %d quarter notes a minute", t)
	}
	return ""
}

// fastest is the greatest number from low to high at which something can be done, if what
// can be done at one can be done at all that are less.
func fastest(low, high int64, can func(n int64) bool) (n int64, ok bool) {
	if low > high || !can(low) {
		return 0, false
	}
	for low < high {
		if middle := low + (high-low+1)/2; can(middle) {
			low = middle
		} else {
			high = middle - 1
		}
	}
	return low, true
}
