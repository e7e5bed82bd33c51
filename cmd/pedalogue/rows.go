package main

import (
	"cmp"
	"slices"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/report"
)

// reportPart turns a plan into the rows of the report.
func reportPart(b *bridge, plan *pedal.Plan, page *page, choices [4]pedal.Cost, set settings) report.Part {
	part := report.Part{
		ID: b.player.ID(), Name: b.player.Name,
		Measures: len(b.score.Measures),
		Options:  set.reported(),
		Start:    plan.Start,
		Cost:     report.Cost(plan.Cost),
		Proof:    report.Proof{Minimal: plan.Proof.Minimal, Covers: plan.Proof.Covers, Bound: report.Cost(plan.Proof.Bound)},
		Respelt:  b.respelt(plan),
		Findings: b.findings(page.asMarked(plan), set),
		Bars:     b.bars(plan, page),
	}
	for _, p := range b.player.Parts {
		part.Staves += p.Staves
	}
	part.Notes, part.Moments = b.count()
	for i, mode := range pedal.Modes() {
		part.Choices = append(part.Choices, report.Choice{Respell: mode.String(), Cost: report.Cost(choices[i])})
	}
	part.Changes = make([]report.Change, 0, len(plan.Moves))
	for _, i := range page.inOrder(plan) {
		m := plan.Moves[i]
		part.Changes = append(part.Changes, report.Change{
			Pedal: m.Letter, From: m.From, To: m.To, Foot: m.Letter.Foot(), Pass: b.moments[b.within(m.Needed)].pass,
			Marked: b.reportedPlace(page.moves[i]), Needed: b.reported(b.within(m.Needed)),
			Window: [2]report.Seconds{inSeconds(m.WindowStart), inSeconds(m.WindowEnd)},
			At:     [2]report.Seconds{inSeconds(m.Start), inSeconds(m.End)},
			Rushed: m.Rushed,
		})
	}
	return part
}

// count counts the written notes attacked and the moments in which there are
// any, in playing order.
func (b *bridge) count() (notes, moments int) {
	for _, m := range b.passage.Moments {
		written := 0
		for _, s := range m.Strikes {
			if !b.passage.Notes[s.Note].Implied {
				written++
			}
		}
		notes += written
		if written > 0 {
			moments++
		}
	}
	return notes, moments
}

// reported is the place of a moment as the report writes it.
func (b *bridge) reported(moment int) report.Place {
	o := b.moments[moment]
	return report.Place{Measure: b.score.Measures[o.measure].Number, Index: o.measure, Offset: o.offset.String()}
}

// reportedPlace is a written place as the report writes it.
func (b *bridge) reportedPlace(p place) report.Place {
	return report.Place{Measure: b.score.Measures[p.measure].Number, Index: p.measure, Offset: b.written[p.measure].moments[p.at].offset.String()}
}

// respelt lists the printed notes that are played on another string, in the order
// in which they are read.
func (b *bridge) respelt(plan *pedal.Plan) []report.Respelt {
	var moved []int // indexes into passage.Notes
	for i, n := range b.passage.Notes {
		if s := plan.Strings[i]; s.OK && !n.Implied && s.Letter != n.Pitch.Letter {
			moved = append(moved, i)
		}
	}
	slices.SortStableFunc(moved, func(x, y int) int {
		a, c := b.notes[x].note(), b.notes[y].note()
		return cmp.Or(cmp.Compare(a.Measure, c.Measure), a.Onset.Cmp(c.Onset), cmp.Compare(b.passage.Notes[x].Staff, b.passage.Notes[y].Staff))
	})
	list := make([]report.Respelt, len(moved))
	for row, i := range moved {
		n, note := b.passage.Notes[i], b.notes[i].note()
		measure := b.score.Measures[note.Measure]
		list[row] = report.Respelt{
			Place: report.Place{Measure: measure.Number, Index: note.Measure, Offset: note.Onset.Sub(measure.Start).String()},
			Staff: n.Staff, Written: n.Pitch.String(), Played: stringName(plan.Strings[i]),
		}
	}
	return list
}

// stringName writes the string that plays a note, with its position.
func stringName(s pedal.String) string {
	return pedal.Pitch{Letter: s.Letter, Cents: 100 * int(s.Position), Octave: s.Octave}.String()
}

// bars lists the measures in playing order for the charts.
func (b *bridge) bars(plan *pedal.Plan, page *page) []report.Bar {
	sections := map[int]string{}
	for _, m := range page.marks {
		if m.full() && sections[m.measure] == "" {
			sections[m.measure] = m.reason
		}
	}
	order := b.score.Order
	list := make([]report.Bar, len(order))
	for step, k := range order {
		first := b.stepStarts[step]
		m := &b.score.Measures[k]
		list[step] = report.Bar{
			Place: report.Place{Measure: m.Number, Index: k, Offset: "0"}, Pass: b.moments[first].pass,
			Length: m.Length.String(), Beat: countedBeat(m.Beat).String(),
			Setting: plan.Settings[first], Sounds: b.sounds(plan, step), Section: sections[k],
			Start: inSeconds(b.passage.Moments[first].At),
		}
		if step > 0 && k != order[step-1]+1 {
			list[step].Repeat = "jump"
			if k <= order[step-1] {
				list[step].Repeat, list[step-1].Repeat = "start", "end"
			}
		}
	}
	return list
}

// countedBeat is the beat by which places are counted: as the time signature
// writes it, not the dotted beat of compound time.
func countedBeat(beat musicxml.Frac) musicxml.Frac {
	if beat.Num() == 3 && beat.Den() > 1 {
		return musicxml.NewFrac(1, beat.Den())
	}
	return beat
}

// sounds lists the pitch classes struck in a measure of the playing order, as
// they are played, in the order of the scale.
func (b *bridge) sounds(plan *pedal.Plan, step int) []string {
	last := len(b.moments)
	if step+1 < len(b.stepStarts) {
		last = b.stepStarts[step+1]
	}
	var classes []string
	for _, m := range b.passage.Moments[b.stepStarts[step]:last] {
		for _, s := range m.Strikes {
			str := plan.Strings[s.Note]
			if !str.OK {
				continue
			}
			name := str.Letter.String()
			if str.Position != pedal.Natural {
				name += str.Position.Sign()
			}
			if !slices.Contains(classes, name) {
				classes = append(classes, name)
			}
		}
	}
	slices.SortFunc(classes, func(a, c string) int {
		return cmp.Or(cmp.Compare(stepIndex(a[0]), stepIndex(c[0])), cmp.Compare(a, c))
	})
	return classes
}
