package finding

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"pedalogue/pedal"
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
			has := "has only " + seconds(free)
			if free < 10*time.Millisecond {
				has = "has no time"
			}
			text = fmt.Sprintf("At this tempo the %v foot cannot make the change to %s: it %s, and a move takes %s.",
				mv.Letter.Foot(), m.wanted(mv), has, seconds(move))
		} else {
			names, more, within := m.crowd(i)
			notes = append(notes, more...)
			text = fmt.Sprintf("At this tempo the %v foot cannot make the changes to %s within %s, even without a pause: a move takes %s.",
				mv.Letter.Foot(), joined(names), seconds(within), seconds(move))
		}
		s.add(mv.Needed, notes, text, m.remedy(i))
	}
}

// oneFoot are the changes that a foot can make, but not as slowly as it wants to.
func oneFoot(m *played, s *sink) {
	for i, mv := range m.plan.Moves {
		if !mv.Rushed || m.hurry().Cannot(i) {
			continue
		}
		names, notes, within := m.crowd(i)
		s.add(mv.Needed, append(notes, m.needers(mv)...), fmt.Sprintf("The %v foot is wanted for %s within %s; it moves one pedal at a time and starts one every %s.",
			mv.Letter.Foot(), joined(names), seconds(within), seconds(m.footTime())), "")
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

// remedy tells what would let a foot make a move that it cannot make: what frees it,
// and a slower tempo. All is tried out.
func (m *played) remedy(i int) string {
	var ways []string
	for _, way := range []string{m.freeing(i), m.slower(i)} {
		if way != "" {
			ways = append(ways, way)
		}
	}
	if len(ways) == 0 {
		return ""
	}
	return upper(strings.Join(ways, ", or ")) + "."
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
		for percent := int64(99); percent >= 25; percent-- {
			if m.hurry().CanAt(i, percent, 100) {
				return fmt.Sprintf("play at %d %% of the tempo", percent)
			}
		}
		return ""
	}
	for t := min((now.Num-1)/now.Den, most/now.Den); t >= slowest; t-- {
		if m.hurry().CanAt(i, t*now.Den, now.Num) {
			return fmt.Sprintf("play at %d quarter notes a minute", t)
		}
	}
	return ""
}

// freeing proposes what is to be done about a note, or about another pedal, so that a
// move can be made; "" if nothing was found.
func (m *played) freeing(i int) string {
	mv := m.plan.Moves[i]
	needed, before := m.attacked(mv.Letter, mv.Needed), m.attacked(mv.Letter, m.lastUse(mv))
	for _, strikes := range [][]pedal.Dropped{needed, before} {
		if on, ok := m.elsewhere(strikes); ok && m.hurry().Frees(i, strikes, on) {
			return fmt.Sprintf("play %s on the %v strings, where %s stands ready", m.struck(strikes, mv), on.Letter, positioned(on.Letter, on.Position))
		}
	}
	best, way := 1<<30, ""
	propose := func(notes int, text string) {
		if notes > 0 && notes < best {
			best, way = notes, text
		}
	}
	for _, strikes := range [][]pedal.Dropped{needed, before} {
		if len(strikes) < best && m.hurry().Frees(i, strikes, pedal.String{}) {
			propose(len(strikes), "leave out "+m.struck(strikes, mv))
		}
	}
	for _, j := range m.rivals(i) {
		o := m.plan.Moves[j]
		if strikes := m.attacked(o.Letter, o.Needed); len(strikes) < best && m.hurry().CanWithout(i, j) {
			propose(len(strikes), fmt.Sprintf("give up the change to %s, and with it %s", m.wanted(o), m.struck(strikes, mv)))
		}
	}
	return way
}

// attacked lists the strikes on a letter at a moment.
func (m *played) attacked(l pedal.Letter, moment int) (list []pedal.Dropped) {
	for _, u := range m.usesBetween(l, moment, moment) {
		list = append(list, pedal.Dropped{Moment: moment, Strike: u.strike})
	}
	return list
}

// lastUse is the moment of the last use of a letter before a move needs it; -1 if
// there is none.
func (m *played) lastUse(mv pedal.Move) int {
	uses := m.usesBetween(mv.Letter, 0, mv.Needed-1)
	if len(uses) == 0 {
		return -1
	}
	return uses[len(uses)-1].moment
}

// elsewhere is the other string of strikes that are all of one pitch class, if its
// pedal stands ready for them. Octaves are left open.
func (m *played) elsewhere(strikes []pedal.Dropped) (on pedal.String, ok bool) {
	for k, s := range strikes {
		note := m.p.Moments[s.Moment].Strikes[s.Strike].Note
		other, has := m.second(m.plan.Strings[note])
		if !has || m.p.Notes[note].Fixed || m.plan.Settings[s.Moment][other.Letter] != other.Position ||
			!m.harp.Disced(pedal.StringName{Letter: other.Letter, Octave: other.Octave}) {
			return pedal.String{}, false
		}
		if other.Octave = 0; k > 0 && other != on {
			return pedal.String{}, false
		}
		on = other
	}
	return on, len(strikes) > 0
}

// struck names the notes of strikes, with where they are if they are not at the move's
// need.
func (m *played) struck(strikes []pedal.Dropped, mv pedal.Move) string {
	var notes []int
	for _, s := range strikes {
		notes = append(notes, m.p.Moments[s.Moment].Strikes[s.Strike].Note)
	}
	m.sortUp(notes)
	var names []string
	for _, n := range slices.Compact(notes) {
		if m.p.Notes[n].Implied {
			names = append(names, m.called(n))
		} else {
			names = append(names, m.writtenName(n))
		}
	}
	text := joined(unique(names))
	switch at := m.at(strikes[0].Moment); {
	case at < m.at(mv.Needed) || strikes[0].Moment < mv.Needed:
		text += " before it"
	case at > m.at(mv.Needed):
		text += " after it"
	}
	return text
}
