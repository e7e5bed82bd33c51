package main

import (
	"errors"
	"log/slog"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/musicxml"
)

// explained is what is known about an error beside its text: what to do about it,
// and for the log its place.
func explained(err error) runs.Explanation {
	var fault *store.Error
	var placed *musicxml.Error
	switch {
	case errors.As(err, &fault):
		placed = &musicxml.Error{File: fault.File, Hint: fault.Hint}
	case !errors.As(err, &placed):
		return runs.Explanation{}
	}
	known := runs.Explanation{Hint: placed.Hint}
	for _, a := range []struct{ key, value string }{
		{"file", placed.File}, {"part", placed.Part}, {"measure", placed.Measure}, {"beat", placed.Beat}, {"hint", placed.Hint},
	} {
		if a.value != "" {
			known.Attrs = append(known.Attrs, slog.String(a.key, a.value))
		}
	}
	if placed.Line > 0 {
		known.Attrs = append(known.Attrs, slog.Int("line", placed.Line))
	}
	return known
}

// complainOf writes an error as the program's message, and its hint.
func complainOf(s runs.Streams, err error) { runs.Complain(s.Err, err, explained(err).Hint) }
