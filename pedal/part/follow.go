package part

import (
	"fmt"
	"iter"

	"pedalogue/pedal"
)

// A Followed is how the pedals stand at a moment for a player who does what the
// marks say.
type Followed struct {
	Setting pedal.Setting
	Marks   [pedal.Letters]int // which mark has set the pedal last, by its index; -1 for none
	Moments [pedal.Letters]int // the moment at which it did; -1 for none
	Moved   int                // how often a pedal has moved so far
}

// Follow follows marks in playing order, whoever made them, from a first setting
// on. For each moment it yields how the pedals stand when its notes are attacked;
// the value is the same each time, and holds until the next. Marks at one place
// are read in the order in which they are given.
func Follow(places *Places, start pedal.Setting, marks []Mark) iter.Seq2[int, *Followed] {
	at := make(map[Place][]int, len(marks))
	for i, m := range marks {
		at[m.Place] = append(at[m.Place], i)
	}
	return func(yield func(int, *Followed) bool) {
		f := &Followed{Setting: start}
		for l := range f.Marks {
			f.Marks[l], f.Moments[l] = -1, -1
		}
		for moment := range places.steps {
			for _, i := range at[places.Of(moment)] {
				f.read(&marks[i], i, moment)
			}
			if !yield(moment, f) {
				return
			}
		}
	}
}

// read does what a mark says.
func (f *Followed) read(m *Mark, index, moment int) {
	for l, position := range m.Pedals {
		if f.Setting[l] != position {
			f.Setting[l] = position
			f.Moved++
		}
		f.Marks[l], f.Moments[l] = index, moment
	}
}

// check follows the marks in playing order as a player would, and compares the
// pedals with what the plan needs at every moment.
func (p *Page) check() error {
	moved := 0
	for i, now := range Follow(p.part.Places, p.Plan.Start, p.Marks) {
		moved = now.Moved
		for l, s := range p.pedals {
			if t := s[s.at(i)]; i <= t.last && now.Setting[l] != t.position {
				return &pedal.Error{Moment: i, Err: fmt.Errorf("the marks leave the %v pedal at %s where the plan has %s",
					pedal.Letter(l), now.Setting[l].Sign(), t.position.Sign())}
			}
		}
	}
	if p.Closing != nil {
		moved += len(p.Closing.Pedals)
	}
	if moved != p.Plan.Cost.Changes {
		return fmt.Errorf("the marks make %d changes, the plan %d", moved, p.Plan.Cost.Changes)
	}
	return nil
}
