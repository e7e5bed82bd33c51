// Package spelling writes pedals in words, as they are printed in a score, and
// reads such words:
//
//	spelling.German.Word(pedal.F, pedal.Sharp, false)   // "Fis"
//	spelling.French.Changes(changes)                    // "Si♭"
//	mark, ok := spelling.Parse("D C♯ B♭ | E F♯ G A")    // mark.Full, mark.Setting()
//
// It knows three languages, signs as Unicode, SMuFL glyphs or words, settings of
// all seven pedals in letters or as a diagram's glyphs, and changes. Keys such as
// [EVELIN] name the sources.
package spelling
