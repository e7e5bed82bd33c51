// Package proof reads a harp part as a proofreader does: it follows the pedal marks
// that stand in it, whoever made them, and tells where they and the notes disagree.
//
//	p, err := part.New(score, player, part.Options{})
//	marks, _ := p.Following(p.Readings(nil))
//	found := proof.Judge(&proof.Task{Part: p, Marks: marks})
//	for _, f := range found.Faults { ... }
//
// # How marks are followed
//
// In playing order, as package part does; pedals that no mark has set yet stand as the
// key signature has them. Of marks at one place settings come first. What a mark asks to
// prepare is moved for the first note that needs it, if one comes before the pedal is
// marked again, so it spoils nothing before that; else where the mark stands. A note sounds if
// one of its strings stands ready; where two do, it is played on the one that a text
// names, else on the one of the plan, else as written. A note that no setting of the
// pedals gives is no fault of the marks. The strings that a glissando sweeps are judged
// only where a plan says what they are to be: else they are what the pedals give.
//
// # What belongs together
//
// Wrong notes are told by the pedal that would give them, once for a run: it ends when
// a mark names the pedal, or a note needs it in another position.
//
// # What was planned
//
// Marks that were made by a plan may leave notes out, let notes go and rush a foot,
// since the music cannot be had otherwise. Judged by themselves they show the same
// faults; those are planned (Task.Planned).
package proof
