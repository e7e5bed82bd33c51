// Package musicxml reads scores in MusicXML and puts marks into copies of them.
//
// [Open] finds the score document in the bytes of a file and decodes it, [Read]
// takes it in, [Score.Edits] says where marks go and [Document.Splice] writes the
// copy, in which every byte beside the insertions is the original's. The package
// knows nothing of pedalling.
//
// # Warnings
//
// What can be read in more than one way gives a [Warning]. Those about the file
// have one of the codes
//
//	encoding-doubtful     the encoding may be another than the one that is declared
//	entry-outside         an entry that would land outside its folder when unpacked
//	extension-mismatch    the name promises another form than the content has
//	no-container          a zip without META-INF/container.xml
//	not-well-formed       something that XML forbids and that is read all the same
//	path-differs          a path in the container in other letters than the entry
//	path-separator        a path in the container written with backslashes
//	zip-behind-program    a zip that stands behind a program, such as one that unpacks it
//
// those about the music
//
//	accidental-contradicts-alter  a printed accidental and alter say different things
//	backup-before-start           a backup would go before the start of the measure
//	chord-without-note            a chord note stands before any note of its measure
//	cue-notes                     cue notes, read as small print or as another player's
//	da-capo-unclear               a da capo behind measure numbers that begin again
//	edited-mark                   what somebody wrote between the comments around a mark, and stays
//	ending-missing                a pass of a repeat has no ending
//	ending-without-repeat         an ending that belongs to no repeat
//	ending-without-number         an ending does not say for which pass it is
//	endings-overlap               two endings for the same pass
//	endings-contradict            endings that leave no measure to be played
//	glissando-without-start       half a glissando or slide
//	glissando-without-stop        half a glissando or slide
//	harp-pedals-duplicate         a pedal setting that names a pedal twice
//	harp-pedals-incomplete        a pedal setting without all seven pedals
//	harp-pedals-not-a-notch       a pedal setting with a value other than -1, 0 and 1
//	harp-split-into-parts         parts that are read as one harp
//	instrument-unknown            a change to an instrument that the part-list does not have
//	jump-target-twice             several places to which a jump could lead
//	jump-from-words               a jump known only from printed words
//	jump-without-target           a jump whose target is not in the score
//	many-staves                   a part that may hold two harps
//	measure-repeat-without-notes  a "same again" measure without its notes
//	microtone                     a pitch that no pedal position gives
//	never-played                  measures that the playing order does not reach
//	no-divisions                  a duration is used before any divisions in the part
//	no-duration                   a note, backup or forward without a duration
//	number-not-read               a number that is none and changes nothing for the pedals
//	parts-disagree                signs of the playing order that contradict each other
//	parts-differ-in-length        this part has fewer measures than another
//	repeat-after-jump             a repeat that a jump leads back to
//	repeat-times                  a repeat that is to be played once
//	repeat-without-end            a forward repeat to which nothing leads back
//	repeat-inside-measure         a repeat sign in the middle of a measure
//	tie-without-start             half a tie
//	tie-without-stop              half a tie
//	transpose-left                what does not move with music that is moved to another key
//	tremolo-without-stop          half a tremolo on two notes
package musicxml
