// Package revise changes music before it is planned: it leaves notes out, moves
// them by an octave, rolls chords, and whatever else an arranger does to make a
// passage lie on the harp.
//
//	ops := []revise.Op{{Do: revise.LeaveOut, Note: 7}, {Do: revise.Octave, Note: 3, Octaves: 1}}
//	changed, err := revise.Apply(music, ops)
//	…
//	plan, err := pedal.Solve(ctx, changed.Music.Passage, options)
//	found, err := finding.All(changed.Music, plan, judged)
//	lost := revise.LossOf(music, ops)
//
// An [Op] is done to a printed note, and so in every pass in which it is played. [Apply]
// leaves the music that it is given as it is. Notes keep their indexes, those
// that are left out too: they stay in Passage.Notes and are struck no more. Moments
// keep theirs but where grace notes are added; Revised.Moments leads from the old to the new.
//
// [LossOf] tells what operations cost the music, in the order in which an arranger
// minds: the melody, the bass, what the harmony loses, then the number of notes
// [TROTTER] [BLI 2] [HLP]; its doc comment has the words. Whether the result can be
// played is for the planner and for package finding to judge.
package revise
