package part

import (
	"cmp"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/spelling"
)

// An Unheeded mark stands in the score and is not what is played.
type Unheeded struct {
	Mark   *Standing // of Part.Standing
	Moment int       // of the first pass in which it is not
	Pedals []Instead // in the order of the mark; never empty
}

// An Instead is a pedal that a plan has in another position than a mark.
type Instead struct {
	Marked spelling.Tuning // as the mark has it
	Has    pedal.Position  // as the plan has it
}

// NotKept lists the marks in the score where a plan of this part does not leave the
// pedals as they say, in written order.
func (p *Part) NotKept(plan *pedal.Plan) []Unheeded {
	return p.unheeded(func(at int, l pedal.Letter) (pedal.Position, bool) { return plan.Settings[at][l], true })
}

// Differing lists the marks in the score that are not what the notes after them
// need, as a plan of this part plays them, in written order.
func (p *Part) Differing(plan *pedal.Plan) []Unheeded {
	uses, named := p.uses(plan), p.named()
	return p.unheeded(func(at int, l pedal.Letter) (pedal.Position, bool) { return uses.after(at, l, named) })
}

// Beside lists the marks in the score that stand beside a full setting of ours which
// has a pedal otherwise, and are not among those that Differing lists, in written
// order.
func (done *Planned) Beside() []Unheeded {
	p := done.Part
	settings := map[Place]*Mark{}
	for i := range done.Page.Marks {
		if m := &done.Page.Marks[i]; m.Full {
			settings[m.Place] = m
		}
	}
	told := map[*Standing]bool{}
	for _, u := range p.Differing(done.Plan) {
		told[u.Mark] = true
	}
	return slices.DeleteFunc(p.unheeded(func(at int, l pedal.Letter) (pedal.Position, bool) {
		m := settings[p.Places.Of(at)]
		if m == nil {
			return 0, false
		}
		return m.Pedals[l], true
	}), func(u Unheeded) bool { return told[u.Mark] })
}

// unheeded lists the marks that are not heeded; position is what the plan has of
// a letter from a moment on.
func (p *Part) unheeded(position func(at int, l pedal.Letter) (pedal.Position, bool)) []Unheeded {
	var list []Unheeded
	for i := range p.Standing {
		m := &p.Standing[i]
		for _, at := range p.momentsOf(m) {
			var wrong []Instead
			for _, t := range m.Pedals {
				if got, ok := position(at, t.Letter); ok && got != t.Position {
					wrong = append(wrong, Instead{t, got})
				}
			}
			if len(wrong) > 0 {
				list = append(list, Unheeded{m, at, wrong})
				break
			}
		}
	}
	return list
}

// named lists by moment what marks say.
func (p *Part) named() map[int][]spelling.Tuning {
	all := map[int][]spelling.Tuning{}
	for i := range p.Standing {
		m := &p.Standing[i]
		for _, at := range p.momentsOf(m) {
			all[at] = append(all[at], m.Pedals...)
		}
	}
	return all
}

// A use is a note on the strings of a letter.
type use struct {
	moment   int
	position pedal.Position
}

// A stringUse is the notes on the strings of each letter, in playing order.
type stringUse [pedal.Letters][]use

// uses lists what a plan plays.
func (p *Part) uses(plan *pedal.Plan) stringUse {
	silent := silentIn(plan)
	var all stringUse
	for i, m := range p.Passage.Moments {
		for j, s := range m.Strikes {
			if str := plan.Strings[s.Note]; str.OK && !silent[pedal.Dropped{Moment: i, Strike: j}] {
				all[str.Letter] = append(all[str.Letter], use{i, str.Position})
			}
		}
	}
	return all
}

// after is the position of a letter's first use from a moment on; ok is false if
// there is none before another mark names the letter: a change is printed ahead
// of the note that needs it.
func (u stringUse) after(moment int, l pedal.Letter, named map[int][]spelling.Tuning) (position pedal.Position, ok bool) {
	i, _ := slices.BinarySearchFunc(u[l], moment, func(x use, m int) int { return cmp.Compare(x.moment, m) })
	if i == len(u[l]) {
		return 0, false
	}
	for at := moment + 1; at <= u[l][i].moment; at++ {
		if slices.ContainsFunc(named[at], func(t spelling.Tuning) bool { return t.Letter == l }) {
			return 0, false
		}
	}
	return u[l][i].position, true
}
