package options

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/report"
)

// Sheet defines the option of where sheets for the stand begin.
func Sheet(f *pflag.FlagSet, into **report.RehearsalStart) (take func() error) {
	from := f.String("from", "", "begin the sheet for the stand at `MEASURE`, or MEASURE:PASS for another playing than the first: the setting there, and what comes next")
	return func() error {
		if *from == "" {
			return nil
		}
		measure, pass, found := strings.Cut(*from, ":")
		start := &report.RehearsalStart{Measure: strings.TrimSpace(measure), Pass: 1}
		if found {
			n, err := strconv.Atoi(strings.TrimSpace(pass))
			if err != nil || n < 1 {
				return fmt.Errorf("--from: %q is not which playing of the measure, from 1", pass)
			}
			start.Pass = n
		}
		if start.Measure == "" {
			return fmt.Errorf("--from: %q names no measure", *from)
		}
		*into = start
		return nil
	}
}
