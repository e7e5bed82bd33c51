package part

import (
	"cmp"
	"slices"
	"time"

	"pedalogue/pedal"
)

// A changeKey is one change as it is printed: the written moment that needs it,
// the pedal and where it goes.
type changeKey struct {
	needed Place
	letter pedal.Letter
	to     pedal.Position
}

// addChanges prints the changes that no full setting makes, each where the plan has
// it, which is the same place in all passes; or at a full setting further on, if that
// still shows the position before it.
func (p *Page) addChanges() {
	places, moves := p.part.Places, p.Plan.Moves
	p.Moves, p.Closing = make([]Place, len(moves)), nil
	at := map[changeKey]int{}
	var keys []changeKey
	keyOf := make([]changeKey, len(moves))
	settled := make([]bool, len(moves))
	for i, m := range moves {
		s := p.pedals[m.Letter]
		t, stands := s[s.before(m)], places.within(m.Place)
		if p.obeyed[instruction{m.Needed, m.Letter, m.To}] {
			stands = places.within(m.Needed) // one instruction stays together in one place
		}
		switch {
		case t.by <= stands:
			p.Moves[i], settled[i] = places.Of(t.by), true
			continue
		case p.closes(m):
			p.Moves[i], settled[i] = p.close(m), true
			continue
		}
		linear := places.linear(places.Of(max(stands, t.notBefore)))
		k := changeKey{places.Of(places.within(m.Needed)), m.Letter, m.To}
		keyOf[i] = k
		if before, known := at[k]; known {
			linear = max(linear, before)
		} else {
			keys = append(keys, k)
		}
		at[k] = linear
	}
	for _, k := range keys {
		at[k] = places.linear(p.part.drawn(places.at(at[k])))
		p.addChange(places.at(at[k]), k)
	}
	for i := range moves {
		if !settled[i] {
			p.Moves[i] = places.at(at[keyOf[i]])
		}
	}
}

// closes reports whether a change is wanted when all is played, and cannot stand
// at the last place as other changes do, since that is played before as well.
func (p *Page) closes(m pedal.Move) bool {
	places := p.part.Places
	last := places.within(m.Needed)
	return m.Needed > last && len(places.played[places.Of(last).Measure]) > 1
}

// close notes a change for when all is played.
func (p *Page) close(m pedal.Move) Place {
	at := p.part.Places.Of(p.part.Places.within(m.Needed))
	if p.Closing == nil {
		p.Closing = &Mark{Place: p.part.drawn(at), Pedals: map[pedal.Letter]pedal.Position{}}
	}
	p.Closing.Pedals[m.Letter] = m.To
	return at
}

// addChange prints a change at a place, in the mark that stands there if it does
// not name the pedal yet.
func (p *Page) addChange(at Place, k changeKey) {
	for i := range p.Marks {
		m := &p.Marks[i]
		if m.Full || m.Place != at {
			continue
		}
		if _, twice := m.Pedals[k.letter]; !twice {
			m.Pedals[k.letter] = k.to
			return
		}
	}
	p.Marks = append(p.Marks, Mark{Place: at, Pedals: map[pedal.Letter]pedal.Position{k.letter: k.to}})
}

// retime lets the foot make a change where its mark stands, where that is at a full
// setting and not where the plan has it, if it can.
func (p *Page) retime() {
	plan := *p.Plan
	plan.Moves = slices.Clone(plan.Moves)
	for i := range plan.Moves {
		mv := &plan.Moves[i]
		met := p.met(i)
		if mv.Rushed || met == p.part.Places.within(mv.Place) {
			continue
		}
		start := p.moments[met].At
		if start < mv.WindowStart || start > mv.WindowEnd || !p.free(plan.Moves, i, start) {
			continue
		}
		mv.Start, mv.End = start, start+mv.End-mv.Start
	}
	p.Plan = &plan
}

// free reports whether the foot of move i starts no other within a foot time.
func (p *Page) free(moves []pedal.Move, i int, start time.Duration) bool {
	for k, o := range moves {
		if k != i && !o.Rushed && o.Letter.Foot() == moves[i].Letter.Foot() && start < o.Start+p.foot && o.Start < start+p.foot {
			return false
		}
	}
	return true
}

// InOrder lists the moves of the plan, by their indexes, in the order in which a
// player reads their marks.
func (p *Page) InOrder() []int {
	moves := p.Plan.Moves
	order, read := make([]int, len(moves)), make([]int, len(moves))
	for i := range moves {
		order[i], read[i] = i, p.met(i)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(read[a], read[b]) })
	return order
}

// met is the moment at which a player meets the mark of move i of the plan.
func (p *Page) met(i int) int {
	places := p.part.Places
	return places.readAt(p.Moves[i], places.within(p.Plan.Moves[i].Needed))
}

// AsMarked is the plan as a player meets it: its moves where their marks stand, in
// that order. Those for a setting that is asked for after the music stay there.
func (p *Page) AsMarked() *pedal.Plan {
	marked := *p.Plan
	marked.Moves = slices.Clone(p.Plan.Moves)
	for i, m := range p.Plan.Moves {
		if m.Place < len(p.Plan.Settings) {
			marked.Moves[i].Place = p.met(i)
		}
	}
	slices.SortStableFunc(marked.Moves, func(a, b pedal.Move) int { return cmp.Compare(a.Place, b.Place) })
	return &marked
}
