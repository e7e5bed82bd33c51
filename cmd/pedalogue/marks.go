package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal"
)

// A side is where the changes are written.
type side string

const (
	sideBelow   side = "below"
	sideAbove   side = "above"
	sideBetween side = "between"
)

// A printedMark is a mark as it stands on the page: it holds in every pass.
type printedMark struct {
	measure int
	at      int // index into the written moments of the measure
	full    bool
	setting pedal.Setting                   // of a full setting
	changes map[pedal.Letter]pedal.Position // of a list of changes
}

// A page is all marks of one player, in written order.
type page struct {
	bridge *bridge
	marks  []printedMark
}

// layOut puts the changes of a plan on the page. A change stands where the foot
// moves; but what is printed once holds in every pass, so a change is never
// printed on the far side of a repeat sign or jump from the note that needs it,
// and where passes differ it stands at the latest of their places.
func layOut(b *bridge, plan *pedal.Plan) (*page, error) {
	p := &page{bridge: b}
	p.addSetting(plan.Start)
	places := map[changeKey]int{}
	var keys []changeKey
	straight := b.straightRuns()
	for _, m := range plan.Moves {
		needed, place := b.moments[m.Needed], b.moments[m.Place]
		k := changeKey{needed.measure, b.writtenIndex(m.Needed), m.Letter, m.To}
		at := b.linear(place.measure, b.writtenIndex(m.Place))
		if first := b.linear(straight[needed.measure], 0); at < first || place.step != needed.step-(needed.measure-place.measure) {
			at = first
		}
		at = min(at, b.linear(k.measure, k.at))
		if before, known := places[k]; !known {
			keys = append(keys, k)
			places[k] = at
		} else {
			places[k] = max(before, at)
		}
	}
	for _, k := range keys {
		p.addChange(places[k], k)
	}
	slices.SortStableFunc(p.marks, func(a, c printedMark) int {
		return cmp.Or(cmp.Compare(a.measure, c.measure), cmp.Compare(a.at, c.at))
	})
	return p, p.check(plan)
}

// A changeKey is one change as it is printed: the written moment that needs it,
// the pedal and where it goes.
type changeKey struct {
	measure int
	at      int // index into the written moments of the measure
	letter  pedal.Letter
	to      pedal.Position
}

// writtenIndex is the index of a moment among those of its written measure.
func (b *bridge) writtenIndex(moment int) int { return moment - b.stepStarts[b.moments[moment].step] }

// linear numbers the written moments of all measures.
func (b *bridge) linear(measure, at int) int { return b.measureStarts[measure] + at }

// straightRuns gives for each measure the first measure of the stretch around
// it that is always played straight on.
func (b *bridge) straightRuns() []int {
	n := len(b.score.Measures)
	broken := make([]bool, n) // something else than k-1 leads to k, or k-1 leads elsewhere
	order := b.score.Order
	for i := range order {
		if i > 0 && order[i] != order[i-1]+1 {
			broken[order[i]] = true
			if order[i-1]+1 < n {
				broken[order[i-1]+1] = true
			}
		}
	}
	if end := order[len(order)-1] + 1; end < n {
		broken[end] = true // the music may end before it
	}
	starts := make([]int, n)
	for k := 1; k < n; k++ {
		starts[k] = starts[k-1]
		if broken[k] {
			starts[k] = k
		}
	}
	return starts
}

// addSetting puts the first full setting at the start; in a part that changes
// its instrument, at the first measure that the harp plays.
func (p *page) addSetting(s pedal.Setting) {
	m := printedMark{full: true, setting: s, measure: p.bridge.score.Order[0]}
	if p.bridge.changesInstrument() {
		m.measure = p.bridge.firstPlayed()
	}
	p.marks = append(p.marks, m)
}

func (p *page) addChange(linear int, k changeKey) {
	b := p.bridge
	measure, _ := slices.BinarySearch(b.measureStarts, linear+1)
	measure--
	at := linear - b.measureStarts[measure]
	for i := range p.marks {
		m := &p.marks[i]
		if !m.full && m.measure == measure && m.at == at {
			if _, twice := m.changes[k.letter]; !twice {
				m.changes[k.letter] = k.to
				return
			}
		}
	}
	p.marks = append(p.marks, printedMark{measure: measure, at: at, changes: map[pedal.Letter]pedal.Position{k.letter: k.to}})
}

// check follows the marks in playing order as a player would, and compares the
// pedals with the plan at every moment that sounds.
func (p *page) check(plan *pedal.Plan) error {
	b := p.bridge
	byPlace := map[[2]int][]*printedMark{}
	for i := range p.marks {
		m := &p.marks[i]
		byPlace[[2]int{m.measure, m.at}] = append(byPlace[[2]int{m.measure, m.at}], m)
	}
	now := plan.Start
	moves := 0
	for i := range b.moments {
		for _, m := range byPlace[[2]int{b.moments[i].measure, b.writtenIndex(i)}] {
			next := m.apply(now)
			for l := range now {
				if now[l] != next[l] {
					moves++
				}
			}
			now = next
		}
		for _, s := range b.passage.Moments[i].Strikes {
			str := plan.Strings[s.Note]
			if str.OK && plan.Settings[i][str.Letter] == str.Position && now[str.Letter] != str.Position {
				return fmt.Errorf("the marks leave the %v pedal at %v where the plan has %v: %s",
					str.Letter, now[str.Letter].Sign(), str.Position.Sign(), b.place(i))
			}
		}
	}
	if moves != plan.Cost.Changes {
		return fmt.Errorf("the marks make %d changes, the plan %d", moves, plan.Cost.Changes)
	}
	return nil
}

// apply returns how the pedals stand after a mark.
func (m *printedMark) apply(s pedal.Setting) pedal.Setting {
	if m.full {
		return m.setting
	}
	for l, position := range m.changes {
		s[l] = position
	}
	return s
}

// directions turns the page into directions.
func (p *page) directions(where side) []musicxml.Mark {
	b := p.bridge
	top, bottom := b.player.Parts[0], b.player.Parts[len(b.player.Parts)-1]
	var list []musicxml.Mark
	for i := range p.marks {
		m := &p.marks[i]
		w := b.written[m.measure].moments[m.at]
		base := musicxml.Mark{Measure: m.measure, Offset: w.offset, Before: -1, Part: top, Staff: 1, Placement: "above"}
		if m.full {
			beforeGrace(&base, w)
			diagram, letters := base, base
			diagram.Pedals = tunings(m.setting)
			letters.Words = settingWords(m.setting)
			list = append(list, diagram, letters)
			continue
		}
		base.Words = changeWords(m.changes)
		switch where {
		case sideBelow:
			base.Part, base.Staff, base.Placement = bottom, bottom.Staves, "below"
		case sideBetween:
			base.Placement = "below"
		}
		beforeGrace(&base, w)
		list = append(list, base)
	}
	return list
}

// beforeGrace puts the mark of a grace moment before its first note.
func beforeGrace(m *musicxml.Mark, w written) {
	if w.grace.part != nil {
		m.Part, m.Before = w.grace.part, w.grace.index
		m.Staff = min(m.Staff, m.Part.Staves)
	}
}

// tunings writes a setting in the order of the pedals.
func tunings(s pedal.Setting) []musicxml.KeyStep {
	var list []musicxml.KeyStep
	for l, position := range s {
		list = append(list, musicxml.KeyStep{Step: pedal.Letter(l).String()[0], Alter: musicxml.NewFrac(int64(position), 1)})
	}
	return list
}

// settingWords writes a full setting as letters on two lines, the right foot
// over the left, a bare letter being natural [EIN-notating].
func settingWords(s pedal.Setting) string {
	var right, left []string
	for l, position := range s {
		word := pedal.Letter(l).String()
		if position != pedal.Natural {
			word += position.Sign()
		}
		if pedal.Letter(l).Foot() == pedal.Left {
			left = append(left, word)
		} else {
			right = append(right, word)
		}
	}
	return strings.Join(right, between) + "\n" + strings.Join(left, between)
}

// between parts the pedals of one line: a no-break space, since programs that
// look for printed jumps take "D C" for da capo.
const between = "\u00a0"

// changeWords writes changes with their new signs, the right foot over the left
// [EIN-notating].
func changeWords(changes map[pedal.Letter]pedal.Position) string {
	var lines [2][]string
	for l := range pedal.Letter(pedal.Letters) {
		if position, ok := changes[l]; ok {
			lines[l.Foot()] = append(lines[l.Foot()], l.String()+position.Sign())
		}
	}
	var text []string
	for _, f := range []pedal.Foot{pedal.Right, pedal.Left} {
		if len(lines[f]) > 0 {
			text = append(text, strings.Join(lines[f], between))
		}
	}
	return strings.Join(text, "\n")
}
