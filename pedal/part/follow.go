package part

import (
	"fmt"
	"iter"

	"pedalogue/pedal"
)

// A Followed is how the pedals stand at a moment for a player who does what the
// marks say.
type Followed struct {
	Setting   pedal.Setting      // of all pedals
	Last      [pedal.Letters]Set // for each pedal, how it was set last
	Moved     int                // how often a pedal has moved so far
	Travelled int                // by how many notches, all moves together
}

// A Set is a pedal being set by a mark, whether or not that moves it. The zero
// value is none: no mark has named the pedal yet, so it stands as it did at first.
type Set struct {
	OK     bool // whether a mark has set it
	Mark   int  // index of the mark
	Moment int  // at which it was read, an index into Passage.Moments
}

// Follow follows marks in playing order, whoever made them, from a first setting
// on. For each moment it yields its index and how the pedals stand when its notes
// are attacked; the value is the same each time, and holds until the next. Marks at
// one place are read in the order in which they are given; those after all moments
// of a measure, before what is played next. A mark outside the score is never read.
func Follow(places *Places, start pedal.Setting, marks []Mark) iter.Seq2[int, *Followed] {
	at := make(map[Place][]int, len(marks))
	for i, m := range marks {
		at[m.Place] = append(at[m.Place], i)
	}
	return func(yield func(int, *Followed) bool) {
		f := &Followed{Setting: start}
		for moment, step := range places.steps {
			if moment == places.starts[step] && step > 0 {
				f.read(marks, at[Place{places.order[step-1], places.size(step - 1)}], moment)
			}
			f.read(marks, at[places.Of(moment)], moment)
			if !yield(moment, f) {
				return
			}
		}
	}
}

// read does what marks say, which are given by their indexes.
func (f *Followed) read(marks []Mark, indexes []int, moment int) {
	for _, i := range indexes {
		for l, position := range marks[i].Pedals {
			if l >= pedal.Letters {
				continue
			}
			if was := f.Setting[l]; was != position {
				f.Setting[l] = position
				f.Moved++
				f.Travelled += max(int(position-was), int(was-position))
			}
			f.Last[l] = Set{OK: true, Mark: i, Moment: moment}
		}
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
