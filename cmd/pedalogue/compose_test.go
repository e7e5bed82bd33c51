package main

import (
	"context"
	"testing"

	"github.com/spf13/pflag"

	"pedalogue/musicxml"
	"pedalogue/pedal/part/parttest"
)

var (
	compose      = parttest.Compose
	composeMarks = parttest.ComposeMarks
	randomMusic  = parttest.Random
)

// readScore reads a composed score.
func readScore(t *testing.T, measures ...string) (*musicxml.Document, *musicxml.Score) {
	t.Helper()
	doc := opened(t, "test.musicxml", compose(measures...))
	score, err := musicxml.Read(context.Background(), doc, musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return doc, score
}

// defaultSettings are those of a command line without options.
func defaultSettings() settings {
	var s settings
	f := pflag.NewFlagSet("mark", pflag.ContinueOnError)
	for _, take := range []func() error{planFlags(f, &s.wants), markFlags(f, &s.wants)} {
		if err := take(); err != nil {
			panic(err) // the defaults are ours
		}
	}
	return s
}
