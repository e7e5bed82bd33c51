// Package keys compares the keys in which a passage can be played on the harp.
//
//	for _, shift := range keys.Shifts(fifths, 6) {
//		plan, err := pedal.Solve(ctx, shift.Passage(p), options)
//		…
//	}
//
// A [Shift] is an interval, up or down, spelt: D flat and C sharp, C flat and B are
// different harps. The passage is moved by the interval throughout, double
// accidentals as they come; the planner takes them as it takes all others.
package keys
