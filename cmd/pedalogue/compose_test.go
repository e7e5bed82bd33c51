package main

import (
	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/pedal/part/parttest"
)

var (
	compose      = parttest.Compose
	composeMarks = parttest.ComposeMarks
	randomMusic  = parttest.Random
)

// defaultSettings are those of a command line without options.
func defaultSettings() options.Settings {
	var s options.Settings
	f := pflag.NewFlagSet("mark", pflag.ContinueOnError)
	for _, take := range []func() error{options.Plan(f, &s.Wants), options.Marks(f, &s.Wants)} {
		if err := take(); err != nil {
			panic(err) // the defaults are ours
		}
	}
	return s
}
