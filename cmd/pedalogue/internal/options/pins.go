package options

import (
	"fmt"
	"os"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/pedal/part"
)

// Pins defines the options of what the player has decided. It returns a function
// that checks them and takes them over when they have been read.
func Pins(f *pflag.FlagSet, w *rows.Wants) (take func() error) {
	pins := f.StringArray("spell", nil, "decide on strings or pedals: `PIN` is such as \"12-20: F♭=E\" (each F♭ on the E string), "+
		"\"12: C♭!=B\" (not on it), \"all: written\", \"33: F♯\" or \"33@3: F♯\" (the pedal stands so at measure 33, or at its beat 3); "+
		"more after semicolons, or in another --spell")
	f.Lookup("spell").DefValue = ""
	files := &pinFiles{}
	f.Var(files, "spell-file", "read such pins from `FILE`, one a line; lines that begin with // are passed over")
	return func() error {
		w.Plan.Pins = nil
		for _, text := range *pins {
			list, err := part.ParsePins(text)
			if err != nil {
				return fmt.Errorf("--spell: %w", err)
			}
			w.Plan.Pins = append(w.Plan.Pins, list...)
		}
		w.Plan.Pins = append(w.Plan.Pins, files.pins...)
		return nil
	}
}

// Curve defines the option of the curve.
func Curve(f *pflag.FlagSet, w *rows.Wants) (take func() error) {
	f.BoolVar(&w.Plan.Curve, "curve", false, "show changes against respelt notes at several prices of a change, as --respell balanced would plan; takes up to twice as long as the plan")
	return nil
}

// PinFiles are an option of files with pins. Its value is what stands in them, since
// that decides on results.
type pinFiles struct {
	text string
	pins []part.Pin
}

func (p *pinFiles) String() string { return p.text }
func (p *pinFiles) Type() string   { return "file" }
func (p *pinFiles) Set(path string) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	list, err := part.ParsePins(strings.TrimPrefix(string(data), "\ufeff"))
	if err != nil {
		return err
	}
	p.text += string(data)
	p.pins = append(p.pins, list...)
	return nil
}
