// Package extract makes a score of one player's part.
//
//	x, err := extract.New(ctx, doc, score)
//	part, err := x.Part(ctx, player, read, extract.Options{Cues: 8})
//
// The part is cut out by offsets: the other parts go, all else stays byte for byte.
// What other parts say to everybody and the part does not say itself is put in: tempo,
// with dashes and brackets as far as they go, rehearsal marks, repeats, endings and
// jumps, double bars, fermatas over rests; one at whose time the part neither plays nor
// shows a rest goes over the barline, if it lasts to that, or else is left out. It is
// read back: the notes, the playing order and the tempo of the part are those of the
// score, or there is an error.
//
// [Part.Rests] puts the measures without notes together; it comes last, when all signs that
// part them are known. The package knows nothing of pedalling.
//
// walk.go reads the document again for what all parts say to everybody, directions.go
// and barlines.go; tempo.go knows which words are about tempo. carry.go and lines.go
// choose what the part lacks, put.go, fill.go and pauses.go print it, cut.go takes the
// others out, extract.go does all and compares. cues.go, cuenotes.go and cueclef.go add
// cues, rests.go makes multi-measure
// rests, turns.go ends pages, join.go and staff.go make one part of a harp's two.
package extract
