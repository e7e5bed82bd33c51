package part_test

import (
	"context"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
)

// Open a score, read it, plan the pedals of every harp in it, and save a copy with
// the marks.
func Example() {
	ctx := context.Background()
	mark := func(from, to string) error {
		data, err := os.ReadFile(from)
		if err != nil {
			return err
		}
		doc, err := musicxml.Open(ctx, from, data, musicxml.Limits{})
		if err != nil {
			return err
		}
		score, err := musicxml.Read(ctx, doc, musicxml.Options{})
		if err != nil {
			return err
		}
		var edits []musicxml.Edit
		for _, player := range score.Players() {
			harp, err := part.New(score, player, part.Options{})
			if err != nil {
				return err
			}
			done, err := harp.Plan(ctx, part.Wishes{})
			if err != nil {
				return err
			}
			fmt.Println(done.Plan.Start, "then changes:", done.Plan.Cost.Changes)
			more, _, err := done.Edits(ctx, doc, part.Style{})
			if err != nil {
				return err
			}
			edits = append(edits, more...)
		}
		copied, err := doc.Splice(ctx, edits)
		if err != nil {
			return err
		}
		return os.WriteFile(to, copied, 0o666)
	}
	folder, err := os.MkdirTemp("", "")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(folder)
	fmt.Println(mark("../../testdata/landing.musicxml", filepath.Join(folder, "landing.musicxml")))
	// Output:
	// D C B♭ | E♭ F G A♭ then changes: 1
	// <nil>
}

// Follow the marks that stand in a score already.
func ExampleFollow() {
	ctx := context.Background()
	const text = `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">
<measure number="1"><attributes><divisions>1</divisions></attributes>
<direction><direction-type><words>D C B♭ | E♭ F G A♭</words></direction-type></direction>
<note><pitch><step>A</step><alter>-1</alter><octave>4</octave></pitch><duration>4</duration></note></measure>
<measure number="2"><direction><direction-type><words>F♯</words></direction-type></direction>
<note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>4</duration></note></measure>
</part></score-partwise>`
	doc, err := musicxml.Open(ctx, "two.musicxml", []byte(text), musicxml.Limits{})
	if err != nil {
		log.Fatal(err)
	}
	score, err := musicxml.Read(ctx, doc, musicxml.Options{})
	if err != nil {
		log.Fatal(err)
	}
	harp, err := part.New(score, score.Players()[0], part.Options{})
	if err != nil {
		log.Fatal(err)
	}
	marks := harp.Others()
	for i, now := range part.Follow(harp.Places, pedal.Setting{}, marks) {
		if len(harp.Passage.Moments[i].Strikes) == 0 {
			continue // a beat on which nothing begins
		}
		f := now.Last[pedal.F]
		fmt.Printf("measure %s: %v, F set in measure %d\n", score.Measures[harp.Places.Of(i).Measure].Number, now.Setting, marks[f.Mark].Measure+1)
	}
	// Output:
	// measure 1: D C B♭ | E♭ F G A♭, F set in measure 1
	// measure 2: D C B♭ | E♭ F♯ G A♭, F set in measure 2
}
