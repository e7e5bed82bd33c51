package part_test

import (
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/part/parttest"
)

// partOf makes the part of the only player of a composed score.
func partOf(t *testing.T, o part.Options, measures ...string) *part.Part {
	t.Helper()
	_, score := parttest.Read(t, parttest.ComposeMarks(measures...))
	p, err := part.New(score, score.Players()[0], o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// planned plans a composed score without regard to the feet.
func planned(t *testing.T, w part.Wishes, measures ...string) *part.Planned {
	t.Helper()
	w.Options.FootTime = -1
	done, err := partOf(t, part.Options{}, measures...).Plan(t.Context(), w)
	if err != nil {
		t.Fatal(err)
	}
	return done
}

// written is a plan on the written strings.
func written() pedal.Options { return pedal.Options{Mode: pedal.Written} }
