// Package reduce works out a harp version of music that was written for a piano: what
// to leave out, to move or to roll so that two hands of four fingers, seven pedals
// and two feet can play it, at the least cost to the music.
//
//	done, err := reduce.Music(ctx, music, reduce.Options{})
//	…
//	for _, r := range done.Reductions {
//		fmt.Println(r.Moment, r.For, revise.Sentence(music, r.Ops))
//	}
//
// What cannot be played is found by package finding on a plan of the whole part;
// [Kinds] are the kinds of findings that are treated. After the last round
// the whole part has been planned and judged again: what is still found there is in
// Result.Unsolved, with what was tried.
//
// # The cost
//
// Costs are compared one after the other, the first that differs decides:
//
//	melody         notes left out or moved: the highest attacked on staff 1, unless a higher one is held there
//	bass           the same of the lowest attacked at a beat
//	pitch classes  that a moment has no longer
//	undoubled      notes left out whose pitch class does not stay in the moment
//	moved          notes moved by an octave, or played as grace notes
//	rolled         Options.RollPrice for each chord rolled, and 1 for each doubled note left out
//	hands          notes given to the other hand
//	pedals         what the pedals cost, in the order of their mode
//
// They are those of [revise.Loss]: keep the melody, drop doublings, cut repeated
// notes [TROTTER] [BLI 2] [COMCAST]. To play a note on its other string, or to let
// it end sooner, costs nothing but pedals: a harpist plucks and moves on [HC-BRUCH].
//
// # What is exact
//
// A moment by itself is searched exhaustively, by depth first with bounds on the cost
// above: in music of more than a few moments first with the strings of the plan, then with
// all, if less is lost so and nothing else is found by it; in music of a few moments what
// leaves nothing to be mended around it is preferred. Strings that are plucked again
// too soon are treated together, as one window, by dynamic programming over its moments,
// a label for each way to have plucked the strings lately. Leaps, and changes that no foot
// can make, are tried out in the order of their cost on an excerpt that is planned with
// each, beside what the feet do before and after it (excerpt.go); what only a plan of the
// whole can show is tried, and taken back if it has not helped. Where more ways than a
// limit would have to be looked at, only those that look best are, and
// Reduction.Heuristic says so; it says so too where several windows are next to one
// another, as each is treated with the others as they stand.
//
// Of ways that cost the same a note moves by the octave that hides it better: an inner
// one not above the melody, where it can (octave.go).
//
// A note on its other string is written with that string's name and held to it
// (revise.Op.Renamed), so that the copy is planned as it was here. Strings that were chosen
// and brought changes that no foot can make are given up again (release.go).
//
// # Limits
//
// A hand has four fingers and reaches a tenth, rolled a twelfth; the limits of package
// finding hold. A roll must be over before either hand plucks again; a grace note takes
// [GraceTime], common practice.
package reduce
