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
	takeNotes := noteFlags(f, s)
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
		return takeNotes()
	}
}

// A planned is what is to be done to a score for one player.
type planned struct {
	player   musicxml.Player
	part     report.Part
	marks    []musicxml.Mark
	respelt  []musicxml.Respelling
	removals []musicxml.DirectionPart // marks by others
}

// planPlayer plans the pedals of one harp and lays the marks out.
func planPlayer(ctx context.Context, score *musicxml.Score, player musicxml.Player, set settings) (*planned, error) {
	b, err := newBridge(score, player, set.implied, set.tempo)
	if err != nil {
		return nil, err
	}
	plan, choices, err := b.solveAll(ctx, set.plan)
	if err != nil {
		return nil, err
	}
	if set.existing == existingObey {
		if plan, err = b.obey(ctx, plan, set.plan); err != nil {
			return nil, err
		}
	}
	plan, p, err := b.fit(ctx, plan, set.plan, b.sections(set.places))
	if err != nil {
		return nil, err
	}
	done := &planned{player: player, part: reportPart(b, plan, p, choices, set), marks: p.directions(set.style)}
	done.addNotes(b, plan, set)
	done.addExisting(b, plan, set)
	return done, nil
}

// internal says that a fault is ours and not the score's.
func internal(err error) error {
	var fault *pedal.Error
	if errors.As(err, &fault) {
		return &pedal.Error{Moment: fault.Moment, Err: fmt.Errorf("internal error: %w", fault.Err)}
	}
	return fmt.Errorf("internal error: %w", err)
}

// solveAll plans the passage in every mode. It returns the plan of the mode that
// is asked for, which has been replayed against the passage, and what each mode
// costs.
func (b *bridge) solveAll(ctx context.Context, o pedal.Options) (*pedal.Plan, [4]pedal.Cost, error) {
	var costs [4]pedal.Cost
	plans, err := pedal.Plans(ctx, b.passage, o)
	if err != nil {
		return nil, costs, b.located(err)
	}
	var chosen *pedal.Plan
	for i, mode := range pedal.Modes() {
		costs[i] = plans[i].Cost
		if mode == o.Mode {
			chosen = plans[i]
		}
	}
	if err := pedal.Verify(b.passage, o, chosen); err != nil {
		return nil, costs, b.located(internal(err))
	}
	return chosen, costs, nil
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
