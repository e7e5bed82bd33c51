// Package gliss finds the settings of the pedals for a glissando.
//
//	want, err := gliss.Parse("C9")           // or "C E G B♭ D", "whole tone on D♭", "D minor pentatonic"
//	answer := gliss.Find(want, pedal.Setting{}) // from all pedals at natural
//
// A glissando sweeps all seven strings of every octave. A letter that is not
// wanted is got rid of only by tuning its string onto a pitch that is: to the same
// pitch as its neighbour. So of the 2187 settings those are right whose seven
// strings sound all pitch classes wanted and no other; the sources of the facts
// that the tests check are [EIN-gliss] and [FORUM-GLISS], as in package pedal, and
// plain enumeration.
//
// Find tries all settings; that takes about as long as reading the question.
package gliss
