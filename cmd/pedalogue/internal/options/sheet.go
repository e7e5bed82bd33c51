package options

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/report"
)

// Sheet defines the options of sheets for the stand.
func Sheet(f *pflag.FlagSet, into *report.SheetOptions) (take func() error) {
	from := f.String("from", "", "begin it at `MEASURE`, or MEASURE:PASS for another playing than the first: the setting there, and what comes next")
	f.BoolVar(&into.Music, "sheet-music", false, "draw the measure of each change on it, in the pages of --report html and, for many scores, sheet")
	return func() (err error) {
		into.From, err = rehearsalStart(*from)
		return err
	}
}

// rehearsalStart reads where a sheet begins: "33" or "33:2"; nil for "".
func rehearsalStart(text string) (*report.RehearsalStart, error) {
	if text == "" {
		return nil, nil
	}
	measure, pass, found := strings.Cut(text, ":")
	start := &report.RehearsalStart{Measure: strings.TrimSpace(measure), Pass: 1}
	if found {
		n, err := strconv.Atoi(strings.TrimSpace(pass))
		if err != nil || n < 1 {
			return nil, fmt.Errorf("--from: %q is not which playing of the measure, from 1", pass)
		}
		start.Pass = n
	}
	if start.Measure == "" {
		return nil, fmt.Errorf("--from: %q names no measure", text)
	}
	return start, nil
}
