package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/report"
)

// markFlags are the options of how marks are written. They return a function
// that checks them and takes them over when they have been read.
func markFlags(f *pflag.FlagSet, s *settings) (take func() error) {
	where := f.String("side", string(sideBelow), "where changes are written: below or above the staves, or between them")
	places := f.String("settings", "sections", "where full settings stand: `PLACES` is start, sections or every=N measures")
	form := f.String("setting-as", "both", "how full settings are written: letters, diagram (the harp-pedals element) or both")
	return func() error {
		var err error
		switch s.style.side = side(*where); s.style.side {
		case sideAbove, sideBelow, sideBetween:
		default:
			return fmt.Errorf("--side: %q is none of below, above and between", *where)
		}
		if s.places, err = parseSettings(*places); err != nil {
			return fmt.Errorf("--settings: %w", err)
		}
		if s.style.form, err = parseSettingForm(*form); err != nil {
			return fmt.Errorf("--setting-as: %w", err)
		}
		return nil
	}
}

// planPlayer plans the pedals of one harp and lays the marks out.
func planPlayer(score *musicxml.Score, player musicxml.Player, set settings) (report.Part, []musicxml.Mark, error) {
	b, err := newBridge(score, player, set.implied, set.tempo)
	if err != nil {
		return report.Part{}, nil, err
	}
	ctx := context.Background()
	plan, err := b.solve(ctx, set.plan)
	if err != nil {
		return report.Part{}, nil, err
	}
	choices, err := pedal.Choices(ctx, b.passage, set.plan)
	if err != nil {
		return report.Part{}, nil, b.located(err)
	}
	wanted := b.sections(set.places)
	p, err := layOut(b, plan, set.plan.Instrument, wanted)
	if errors.Is(err, errRestated) {
		if plan, err = b.solveRestated(ctx, plan, set.plan); err != nil {
			return report.Part{}, nil, err
		}
		p, err = layOut(b, plan, set.plan.Instrument, wanted)
	}
	if err != nil {
		return report.Part{}, nil, b.located(internal(err))
	}
	return reportPart(b, plan, p, choices, set), p.directions(set.style), nil
}

// internal says that a fault is ours and not the score's.
func internal(err error) error {
	var fault *pedal.Error
	if errors.As(err, &fault) {
		return &pedal.Error{Moment: fault.Moment, Err: fmt.Errorf("internal error: %w", fault.Err)}
	}
	return fmt.Errorf("internal error: %w", err)
}

// solve plans the passage; the plan has been replayed against it.
func (b *bridge) solve(ctx context.Context, o pedal.Options) (*pedal.Plan, error) {
	plan, err := pedal.Solve(ctx, b.passage, o)
	if err != nil {
		return nil, b.located(err)
	}
	if err := pedal.Verify(b.passage, o, plan); err != nil {
		return nil, b.located(internal(err))
	}
	return plan, nil
}

// solveRestated plans the passage so that its first setting holds again
// whenever the place where it is printed is played again: a player who follows
// the page sets it anew. That can take more changes than the music needs, so
// nothing is claimed of the plan but the bound of the first one.
func (b *bridge) solveRestated(ctx context.Context, first *pedal.Plan, o pedal.Options) (*pedal.Plan, error) {
	notes := len(b.passage.Notes)
	for l, position := range first.Start {
		b.passage.Notes = append(b.passage.Notes, pedal.Note{
			Pitch:   pedal.Pitch{Letter: pedal.Letter(l), Cents: 100 * int(position), Octave: middleOctave},
			Implied: true, Fixed: true,
		})
		b.notes = append(b.notes, noteOf{})
	}
	start := place{measure: b.firstMeasure()}
	for _, i := range b.playings(start)[1:] {
		m := &b.passage.Moments[i]
		for l := range first.Start {
			m.Strikes = append(m.Strikes, pedal.Strike{Note: notes + l, End: m.Onset, Until: m.At})
		}
	}
	o.Start = &first.Start
	plan, err := b.solve(ctx, o)
	if err != nil {
		return nil, err
	}
	plan.Proof = first.Proof
	plan.Proof.Minimal = false
	return plan, nil
}
