package main

import (
	"github.com/spf13/pflag"

	"pedalogue/pedal/part/parttest"
)

var (
	compose      = parttest.Compose
	composeMarks = parttest.ComposeMarks
	randomMusic  = parttest.Random
)

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
