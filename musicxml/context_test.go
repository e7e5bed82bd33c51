package musicxml

import (
	"context"
	"errors"
	"strings"
	"testing"
)

// ctx is the context of tests that need none of their own.
var ctx = context.Background()

// A patience is a context that ends when it has been looked at often enough.
type patience struct {
	context.Context
	left int
}

func (p *patience) Err() error {
	if p.left--; p.left < 0 {
		return context.Canceled
	}
	return nil
}

// longScore is one measure of n notes for a harp.
func longScore(n int) string {
	return harpScore(quarters + strings.Repeat(plain1("C4", "E4", "G4", "F#4"), n/4))
}

// Every phase looks at its context at the start, and again and again in a long
// score: where it ends after a few looks the phase ends too, with its error.
func TestContextIsHeard(t *testing.T) {
	text := longScore(8000)
	packed := zipOf(t, containerFor("s.xml"), file("s.xml", text+strings.Repeat(" ", 2<<20)))
	d := documentOf(t, text)
	score, err := Read(ctx, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := score.Parts[0]
	var marks []Mark
	var respelt []Respelling
	var parts []DirectionPart
	for i := range p.Notes {
		marks = append(marks, Mark{Part: p, Offset: p.Notes[i].Onset, Before: -1, Staff: 1, Words: "F♯"})
		respelt = append(respelt, Respelling{p, i, Pitch{Step: 'B', Alter: NewFrac(1, 1), Octave: 3}})
	}
	edits, err := score.Edits(ctx, d, marks)
	if err != nil {
		t.Fatal(err)
	}
	copied, err := d.Splice(ctx, edits)
	if err != nil {
		t.Fatal(err)
	}
	marked := documentOf(t, string(copied))
	zipped, err := Open(ctx, "x.mxl", packed, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	parts = append(parts, DirectionPart{Start: p.Notes[len(p.Notes)-1].Start})
	for name, phase := range map[string]func(context.Context) error{
		"open":       func(c context.Context) error { _, err := Open(c, "x", packed, Limits{}); return err },
		"read":       func(c context.Context) error { _, err := Read(c, d, Options{}); return err },
		"place":      func(c context.Context) error { _, err := score.Edits(c, d, marks); return err },
		"remove":     func(c context.Context) error { _, err := score.Remove(c, d, parts); return err },
		"respell":    func(c context.Context) error { _, _, err := score.Respell(c, d, respelt); return err },
		"splice":     func(c context.Context) error { _, err := d.Splice(c, edits); return err },
		"splice zip": func(c context.Context) error { _, err := zipped.Splice(c, []Edit{{0, 0, " "}}); return err },
		"strip":      func(c context.Context) error { _, err := marked.Stripped(c); return err },
	} {
		for _, looks := range []int{0, 2} {
			if err := phase(&patience{ctx, looks}); !errors.Is(err, context.Canceled) {
				t.Errorf("%s goes on after %d looks: %v", name, looks, err)
			}
		}
		if err := phase(&patience{ctx, 1 << 20}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Placing a mark takes no longer in a long measure than in a short one: this test
// would not end otherwise.
func TestMarksInLongMeasure(t *testing.T) {
	d := documentOf(t, longScore(50_000))
	score, err := Read(ctx, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := score.Parts[0]
	half := NewFrac(1, 2)
	var marks []Mark
	for i := range p.Notes {
		at := p.Notes[i].Onset
		if i%2 == 1 {
			at = at.Add(half)
		}
		marks = append(marks, Mark{Part: p, Offset: at, Before: -1, Staff: 1 + i%3/2, Words: "F♯"})
	}
	edits, err := score.Edits(ctx, d, marks)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range edits {
		if e.Start != p.Notes[i].Start || strings.Contains(e.New, "<offset>0.5<") != (i%2 == 1) {
			t.Fatalf("mark %d goes to %d, want %d: %s", i, e.Start, p.Notes[i].Start, e.New)
		}
	}
	if _, err := d.Splice(ctx, edits); err != nil {
		t.Fatal(err)
	}
}
