// Package part knows both what a score says and what pedals do. It makes of one
// player's part of a score the passage that is planned, lays the plan out as marks
// and puts those into the score:
//
//	p, err := part.New(score, score.Players()[0], part.Options{})
//	done, err := p.Plan(ctx, part.Wishes{})
//	edits, _, err := done.Edits(ctx, doc, part.Style{})
//	copied, err := doc.Splice(ctx, edits)
//
// # Places
//
// Music is printed once and may be played several times. A moment is one point of
// the playing order, a Place one point of the written music; Places leads from one
// to the other. What is printed at a place holds in every pass, so the changes of
// a plan are printed where all passes can read them, never on the far side of a
// repeat sign or jump from the note that needs them. Follow reads marks as a player
// does, in playing order, and tells how the pedals stand at every moment; no page
// leaves this package that was not followed so.
//
// # Files
//
// build.go, layout.go, implied.go and clock.go make the passage; places.go is the
// index arithmetic. plan.go plans, with obey.go where marks that stand are to hold,
// and pinned.go where a player has decided something (pin.go reads that). page.go
// puts the plan on the page: strips.go says when each pedal may move, sections.go
// where full settings stand, changes.go where changes do, drawn.go what of a rest is
// drawn; follow.go checks it. directions.go and respell.go write the page down,
// edits.go puts it into the score. standing.go reads the marks by others, heed.go
// tells which of them a plan does not heed.
package part
