// Package rows turns a planned part into the rows of the report: it is the only
// one that knows both how a part is planned and what a report holds.
package rows

import (
	"cmp"
	"context"
	"slices"
	"time"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/part"
	"pedalogue/report"
)

// Wants are what the user wants of a part and of the report on it.
type Wants struct {
	Part      part.Options
	Plan      part.Wishes
	Style     part.Style
	Judgement Judgement
	Untried   bool // remedies are not looked for
}

// options are the wants as the report names them.
func (w *Wants) options() report.Options {
	plan := w.Plan.Options
	o := report.Options{
		Respell: plan.Mode.String(), ChangePrice: plan.ChangePrice, SwitchPrice: max(plan.SwitchPrice, 0),
		Implied: !w.Part.WrittenOnly, Strings: plan.Instrument.String(),
	}
	for _, p := range w.Plan.Pins {
		o.Pins = append(o.Pins, p.Text)
	}
	t := plan.Times()
	o.FootTime, o.MoveTime, o.SoundingTime = t.Foot.Seconds(), t.Move.Seconds(), t.Sounding.Seconds()
	return o
}

// A rower makes the rows of one part.
type rower struct {
	part  *part.Part
	done  *part.Planned
	wants *Wants
	found []finding.Finding // what package finding has found
}

// Part turns a planned part into its report. The sign changes are those that its
// edits bring with them. An error is that of the context, or one of ours.
func Part(ctx context.Context, done *part.Planned, signs []musicxml.SignChange, w *Wants) (report.Part, error) {
	r := &rower{part: done.Part, done: done, wants: w}
	plan, player := done.Plan, done.Part.Player
	findings, err := r.findings(ctx)
	if err != nil {
		return report.Part{}, err
	}
	row := report.Part{
		ID: player.ID(), Name: player.Name,
		Measures: len(r.part.Score.Measures),
		Options:  w.options(),
		Start:    plan.Start,
		Cost:     report.Cost(plan.Cost),
		Unlike:   plan.Unlike,
		Proof:    report.Proof{Minimal: plan.Proof.Minimal, Covers: plan.Proof.Covers, Bound: report.Cost(plan.Proof.Bound)},
		Changes:  r.changes(),
		Respelt:  r.respelt(),
		Findings: r.ranked(append(append(findings, r.standing()...), r.signs(signs)...)),
		Lies:     r.lies(),
		Bars:     r.bars(),
	}
	row.Options.Held = r.part.Held()
	if len(w.Plan.Pins) > 0 {
		row.PinsCost = more(plan.Cost, done.WithoutPins)
	}
	for _, p := range player.Parts {
		row.Staves += p.Staves
	}
	row.Notes, row.Moments = r.part.Counted()
	for _, c := range done.Curve {
		row.Curve = append(row.Curve, report.Point{
			ChangePrice: c.ChangePrice, Changes: c.Cost.Changes, Respelt: c.Cost.Respelt, Switches: c.Cost.Switches, Proved: c.Proved,
		})
	}
	for i, mode := range pedal.Modes() {
		row.Choices = append(row.Choices, report.Choice{Respell: mode.String(), Cost: report.Cost(done.Choices[i])})
	}
	return row, nil
}

// more is what a cost is more than another, each count for itself.
func more(c, d pedal.Cost) *report.Cost {
	return &report.Cost{
		Unsounded: c.Unsounded - d.Unsounded, Held: c.Held - d.Held, Rushed: c.Rushed - d.Rushed, Respelt: c.Respelt - d.Respelt,
		Switches: c.Switches - d.Switches, Changes: c.Changes - d.Changes, Notches: c.Notches - d.Notches,
	}
}

// changes lists the moves of the plan in the order in which a player reads them.
func (r *rower) changes() []report.Change {
	list := make([]report.Change, 0, len(r.done.Plan.Moves))
	for _, i := range r.done.Page.InOrder() {
		m := r.done.Plan.Moves[i]
		list = append(list, report.Change{
			Pedal: m.Letter, From: m.From, To: m.To, Foot: m.Letter.Foot(), Pass: r.part.Places.Pass(m.Needed),
			Marked: Place(r.part, r.done.Page.Moves[i]), Needed: r.moment(m.Needed),
			Window: [2]report.Seconds{seconds(m.WindowStart), seconds(m.WindowEnd)},
			At:     [2]report.Seconds{seconds(m.Start), seconds(m.End)},
			Rushed: m.Rushed,
		})
	}
	return list
}

func seconds(d time.Duration) report.Seconds { return report.Seconds(d.Seconds()) }

// moment is the place of a moment as the report writes it.
func (r *rower) moment(i int) report.Place { return Place(r.part, r.part.Places.Of(i)) }

// Place is a written place of a part as reports write it.
func Place(p *part.Part, at part.Place) report.Place {
	return report.Place{Measure: p.Score.Measures[at.Measure].Number, Index: at.Measure, Offset: p.Offset(at).String()}
}

// PlaceIn is where in a measure of a score, by its index, something stands, as reports
// write it. The onset is of the score.
func PlaceIn(s *musicxml.Score, measure int, onset musicxml.Frac) report.Place {
	m := &s.Measures[measure]
	return report.Place{Measure: m.Number, Index: measure, Offset: onset.Sub(m.Start).String()}
}

// respelt lists the printed notes that are played on another string, in the order
// in which they are read.
func (r *rower) respelt() []report.Respelt {
	p, plan := r.part.Passage, r.done.Plan
	var moved []int // indexes into Passage.Notes
	for i, n := range p.Notes {
		if s := plan.Strings[i]; s.OK && !n.Implied && s.Letter != n.Pitch.Letter {
			moved = append(moved, i)
		}
	}
	slices.SortStableFunc(moved, func(x, y int) int {
		a, c := r.part.Note(x), r.part.Note(y)
		return cmp.Or(cmp.Compare(a.Measure, c.Measure), a.Onset.Cmp(c.Onset), cmp.Compare(p.Notes[x].Staff, p.Notes[y].Staff))
	})
	list := make([]report.Respelt, len(moved))
	for row, i := range moved {
		n, note := p.Notes[i], r.part.Note(i)
		list[row] = report.Respelt{
			Place: PlaceIn(r.part.Score, note.Measure, note.Onset),
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
func (r *rower) bars() []report.Bar {
	sections := map[int]string{}
	for i := range r.done.Page.Marks {
		if m := &r.done.Page.Marks[i]; m.Full && sections[m.Measure] == "" {
			sections[m.Measure] = m.Section
		}
	}
	played := r.part.Passage.Measures
	list := make([]report.Bar, len(played))
	for step, p := range played {
		k := p.Written
		list[step] = Bar(r.part, step, r.done.Plan.Settings[p.First])
		list[step].Sounds, list[step].Section = r.sounds(step), sections[k]
		if step > 0 && k != played[step-1].Written+1 {
			list[step].Repeat = "jump"
			if k <= played[step-1].Written {
				list[step].Repeat, list[step-1].Repeat = "start", "end"
			}
		}
	}
	return list
}

// Bar is a measure of the playing order, by its step from 0, as the charts of all
// reports have it, with the setting in which it begins.
func Bar(p *part.Part, step int, setting pedal.Setting) report.Bar {
	played := p.Passage.Measures[step]
	m := &p.Score.Measures[played.Written]
	return report.Bar{
		Place: PlaceIn(p.Score, played.Written, m.Start), Pass: p.Places.Pass(played.First),
		Length: m.Length.String(), Beat: part.CountedBeat(m.Beat).String(), Setting: setting,
		Start: seconds(p.Passage.Moments[played.First].At),
	}
}

// sounds lists the pitch classes struck in a measure of the playing order, as
// they are played, in the order of the scale.
func (r *rower) sounds(step int) []string {
	p := r.part.Passage
	end := len(p.Moments)
	if step+1 < len(p.Measures) {
		end = p.Measures[step+1].First
	}
	var classes []string
	for _, m := range p.Moments[p.Measures[step].First:end] {
		for _, s := range m.Strikes {
			str := r.done.Plan.Strings[s.Note]
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
		return cmp.Or(cmp.Compare(scaleStep(a), scaleStep(c)), cmp.Compare(a, c))
	})
	return classes
}

// scaleStep is the place of a pitch class in the scale of C, from 0.
func scaleStep(class string) int {
	l, _ := pedal.ParseLetter(class[:1])
	return l.Semitones()
}
