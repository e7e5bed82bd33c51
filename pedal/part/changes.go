package part

import (
	"cmp"
	"slices"

	"pedalogue/pedal"
)

// A changeKey is one change as it is printed: the written moment that needs it,
// the pedal and where it goes.
type changeKey struct {
	needed Place
	letter pedal.Letter
	to     pedal.Position
}

// addChanges prints the changes that no full setting makes. A change stands
// where the foot moves; it is never printed on the far side of a repeat sign or
// jump from the note that needs it, and where passes differ it stands at the
// latest of their places.
func (p *Page) addChanges() {
	places, moves := p.part.Places, p.Plan.Moves
	p.Moves = make([]Place, len(moves))
	at := map[changeKey]int{}
	var keys []changeKey
	keyOf := make([]changeKey, len(moves))
	bySetting := make([]bool, len(moves))
	for i, m := range moves {
		s := p.pedals[m.Letter]
		t := s[max(s.at(m.Needed)-1, 0)]
		if t.by != never && t.by <= m.Needed {
			p.Moves[i], bySetting[i] = places.Of(t.by), true
			continue
		}
		k := changeKey{places.Of(places.Within(m.Needed)), m.Letter, m.To}
		linear := p.changeAt(m, t)
		keyOf[i] = k
		if before, known := at[k]; known {
			linear = max(linear, before)
		} else {
			keys = append(keys, k)
		}
		at[k] = linear
	}
	for _, k := range keys {
		p.addChange(places.at(at[k]), k)
	}
	for i := range moves {
		if !bySetting[i] {
			p.Moves[i] = places.at(at[keyOf[i]])
		}
	}
}

// changeAt is the number of the place at which a change stands for one pass. The
// pedal is in the stretch t before it.
func (p *Page) changeAt(m pedal.Move, t stretch) int {
	places := p.part.Places
	stands, target := places.Within(m.Place), places.Within(m.Needed)
	needed := places.Of(target)
	first := places.linear(Place{Measure: places.straight[needed.Measure]})
	linear := places.linear(places.Of(stands))
	if linear < first || places.Measure(stands) != places.Measure(target)-(needed.Measure-places.Of(stands).Measure) {
		linear = first
	}
	if t.notBefore > stands {
		linear = max(linear, places.linear(places.Of(t.notBefore)))
	}
	linear = min(linear, places.linear(needed))
	if x := p.tempted(m, t); x >= 0 {
		if l := places.linear(places.Of(x)); l >= first {
			linear = min(linear, l)
		}
	}
	return linear
}

// tempted returns the first moment between a pedal's last use and the note that
// needs the change at which a respelt note is written on the pedal's letter in
// the old position: a player who reads it there would pluck the string that is
// about to move, so the change has to come first. It is -1 if there is none, or
// if a tone of the letter still lasts.
func (p *Page) tempted(m pedal.Move, t stretch) int {
	for i := max(t.last+1, 0); i < min(m.Needed, len(p.moments)); i++ {
		for _, s := range p.moments[i].Strikes {
			pitch, str := p.part.Passage.Notes[s.Note].Pitch, p.Plan.Strings[s.Note]
			if str.OK && str.Letter != m.Letter && pitch.Letter == m.Letter && pitch.Cents == 100*int(m.From) && p.moments[i].Onset >= t.end {
				return i
			}
		}
	}
	return -1
}

// addChange prints a change at a place, in the mark that stands there if it does
// not name the pedal yet.
func (p *Page) addChange(at Place, k changeKey) {
	for i := range p.Marks {
		m := &p.Marks[i]
		if m.Full() || m.Place != at {
			continue
		}
		if _, twice := m.Pedals[k.letter]; !twice {
			m.Pedals[k.letter] = k.to
			return
		}
	}
	p.Marks = append(p.Marks, Mark{Place: at, Pedals: map[pedal.Letter]pedal.Position{k.letter: k.to}})
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
	return places.readAt(p.Moves[i], places.Within(p.Plan.Moves[i].Needed))
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
