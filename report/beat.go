package report

import (
	"math/big"
	"strconv"

	"pedalogue/report/plain"
)

// noteValues are the names of notes by how many of them make a quarter note.
var noteValues = map[string]string{"1": "quarter", "2": "eighth", "4": "sixteenth", "8": "thirty-second", "16": "sixty-fourth"}

// tuplets are the names of what a beat is parted into, where that is no note value: "2nd
// triplet" alone would be another triplet.
var tuplets = map[int64]string{3: "triplet note", 5: "quintuplet note", 6: "sextuplet note", 7: "septuplet note", 9: "ninth"}

// spokenBeat names a place in a measure as players do: "3", "and of 3", "last
// sixteenth before 3", "between 2 and 3", and after the last beat "last sixteenth of
// the measure". The offset, the unit, which is the beat as it is counted, and the
// measure's length are in quarter notes; a length of "" is not known. Common practice.
func spokenBeat(offset, unit, length string) string {
	o, ok := new(big.Rat).SetString(offset)
	u, okUnit := new(big.Rat).SetString(unit)
	if !ok || !okUnit || u.Sign() <= 0 || o.Sign() < 0 {
		return plain.Line(offset)
	}
	o.Quo(o, u)
	whole := new(big.Int).Div(o.Num(), o.Denom())
	rest := new(big.Rat).Sub(o, new(big.Rat).SetInt(whole))
	beat := whole.Int64() + 1
	this, next := strconv.FormatInt(beat, 10), strconv.FormatInt(beat+1, 10)
	last := false // of the measure's beats
	if l, ok := new(big.Rat).SetString(length); ok {
		last = new(big.Rat).SetInt64(beat).Cmp(l.Quo(l, u)) >= 0
	}
	if rest.Sign() == 0 {
		return this
	}
	parts, at := rest.Denom().Int64(), rest.Num().Int64()
	if parts == 2 {
		return "and of " + this
	}
	name := tuplets[parts]
	if name == "" {
		per := new(big.Rat).Quo(new(big.Rat).SetInt64(parts), u) // of these notes in a quarter
		name = noteValues[per.RatString()]
	}
	switch {
	case name == "" && rest.Cmp(big.NewRat(1, 4)) < 0:
		return "just after " + this
	case name == "" && last:
		return "after " + this
	case name == "" && rest.Cmp(big.NewRat(3, 4)) > 0:
		return "just before " + next
	case name == "":
		return "between " + this + " and " + next
	case at == parts-1 && last:
		return "last " + name + " of the measure"
	case at == parts-1:
		return "last " + name + " before " + next
	}
	return ordinal(int(at)+1) + " " + name + " of " + this
}
