package spelling_test

import (
	"fmt"

	"pedalogue/pedal"
	"pedalogue/pedal/spelling"
)

// Write changes in the words of a language, and read a setting that is printed.
func Example() {
	fmt.Println(spelling.French.Changes(map[pedal.Letter]pedal.Position{pedal.B: pedal.Flat}))
	mark, ok := spelling.Parse("D Cis H E Fis Gis A")
	fmt.Println(ok, mark.Full, mark.Language, mark.Setting())
	// Output:
	// Si♭
	// true true de D C♯ B | E F♯ G♯ A
}
