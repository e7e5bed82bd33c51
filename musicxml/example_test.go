package musicxml_test

import (
	"context"
	"fmt"
	"log"
	"os"

	"pedalogue/musicxml"
)

// List the notes of a score's harp.
func Example() {
	ctx := context.Background()
	data, err := os.ReadFile("../testdata/landing.musicxml")
	if err != nil {
		log.Fatal(err)
	}
	doc, err := musicxml.Open(ctx, "landing.musicxml", data, musicxml.Limits{})
	if err != nil {
		log.Fatal(err)
	}
	score, err := musicxml.Read(ctx, doc, musicxml.Options{})
	if err != nil {
		log.Fatal(err)
	}
	part := score.Players()[0].Parts[0]
	for i := range part.Notes {
		n := &part.Notes[i]
		if !part.HarpNote(n) || n.Measure > 0 {
			continue
		}
		m := score.Measures[n.Measure]
		fmt.Printf("measure %s, %v quarters in: %v on staff %d, until %v\n", m.Number, n.Onset.Sub(m.Start), n.Pitch, n.Staff, n.Ends())
	}
	// Output:
	// measure 1, 0 quarters in: G4 on staff 1, until 2
	// measure 1, 2 quarters in: F4 on staff 1, until 5/2
	// measure 1, 5/2 quarters in: Eb4 on staff 1, until 3
	// measure 1, 3 quarters in: F4 on staff 1, until 7/2
	// measure 1, 7/2 quarters in: Eb4 on staff 1, until 4
}
