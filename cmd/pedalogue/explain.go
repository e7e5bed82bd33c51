package main

import (
	"cmp"
	"context"
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
	known := runs.Explanation{Hint: cmp.Or(placed.Hint, limitHints[placed.Limit])}
	for _, a := range []struct{ key, value string }{
		{"file", placed.File}, {"part", placed.Part}, {"measure", placed.Measure}, {"beat", placed.Beat}, {"hint", known.Hint},
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

// limitHints say for each limit of the reader how to raise it.
var limitHints = map[string]string{
	"Bytes":  "if the file can be trusted, allow more with --max-size",
	"Depth":  "--max-depth raises the limit",
	"Played": "--max-played raises the limit",
}

// readWithHints reads a score. Where the reader has decided something, it adds to the
// warning how to decide otherwise.
func readWithHints(ctx context.Context, doc *musicxml.Document, options musicxml.Options) (*musicxml.Score, error) {
	score, err := musicxml.Read(ctx, doc, options)
	if err != nil {
		return nil, err
	}
	for i := range score.Warnings {
		switch w := &score.Warnings[i]; {
		case w.Code == "harp-split-into-parts":
			w.Text += "; --part " + w.Part + " takes one of them alone"
		case w.Code == "cue-notes" && options.Cues == musicxml.CuesAuto:
			w.Text += "; --cues play or skip reads all of them one way"
		}
	}
	return score, nil
}
