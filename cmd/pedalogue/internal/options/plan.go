// Package options are the options that several commands have, each group of them
// defined once: a function that defines them and returns another, which checks what
// was given and takes it over.
package options

import (
	"fmt"
	"math"
	"time"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/report"
)

// The headings of the help. Options under GroupResults and GroupMany do not
// change what is written of one score.
const (
	GroupResults  = "results"
	GroupSheet    = "sheet for the stand"
	GroupPart     = "part"
	GroupPlan     = "plan"
	GroupMarks    = "marks"
	GroupFindings = "findings"
	GroupReading  = "reading"
	GroupMany     = "many scores"
)

// Settings are the options of how a score is read and its pedals are planned.
type Settings struct {
	Read  musicxml.Options
	Wants rows.Wants
	Sheet report.SheetOptions
	// Beside are the marks by others that stood in a score when ours were made, as
	// [part.Prints] has them; "" for none. A stamp tells it, no option does.
	Beside string
}

// With makes options of a function that defines them for something that they are
// taken over into.
func With[T any](define func(f *pflag.FlagSet, into *T) (take func() error), into *T) cli.Options {
	return func(f *pflag.FlagSet) func() error { return define(f, into) }
}

// OnlyWith refuses options that say something about a copy where the option that asks
// for one is not there.
func OnlyWith(f *pflag.FlagSet, asks string, names ...string) error {
	for _, name := range names {
		if f.Changed(name) {
			return fmt.Errorf("--%s goes with --%s: without it there is no copy", name, asks)
		}
	}
	return nil
}

// Read defines the options of every command that reads scores.
func Read(f *pflag.FlagSet, o *musicxml.Options) (take func() error) {
	f.StringVar(&o.Part, "part", "", "take this part as the harp: an `ID`, a name, or a number from 1; \"P1+P2\" for one harp in two parts")
	f.Var((*cuesValue)(&o.Cues), "cues", "cue notes, printed small: `WHICH` sound is auto (those whose voice has other notes in the measure), play (all) or skip (none)")
	Size(f, &o.Limits)
	f.IntVar(&o.Limits.Depth, "max-depth", 0, "read elements that are nested up to `N` deep (default 128)")
	f.IntVar(&o.Limits.Played, "max-played", 0, "read scores of up to `N` measures, their repeats played (default 100000)")
	for _, name := range []string{"max-depth", "max-played"} {
		f.Lookup(name).DefValue = ""
	}
	return nil
}

// A cuesValue is the value of --cues.
type cuesValue musicxml.Cues

func (c *cuesValue) String() string { return musicxml.Cues(*c).String() }

func (c *cuesValue) Type() string { return "WHICH" }

func (c *cuesValue) Set(text string) error {
	cues, err := musicxml.ParseCues(text)
	*c = cuesValue(cues)
	return err
}

// Size defines the option of every command that opens documents.
func Size(f *pflag.FlagSet, l *musicxml.Limits) (take func() error) {
	f.Var(&runs.ByteSize{N: &l.Bytes}, "max-size", "largest decoded size of a score, as `SIZE` in bytes or with K, M or G (default 256M)")
	return nil
}

// Plan defines the options of the plan. It returns a function that checks
// them and takes them over when they have been read.
func Plan(f *pflag.FlagSet, w *rows.Wants) (take func() error) {
	respell := f.String("respell", pedal.Balanced.String(), "how far notes may be played on another string: `MODE` is written, needed, balanced or free")
	price := f.Int("change-price", pedal.DefaultChangePrice, "with --respell balanced, one change is worth `N` respelt notes, from 1")
	turn := f.Int("switch-price", pedal.DefaultSwitchPrice, "with --respell balanced, it is worth `N` respelt notes that a name keeps its string, from 0")
	foot := f.String("foot-time", "0.5", "`SECONDS` from the start of one change of a foot to that of its next; 0 leaves the feet out")
	move := f.String("move-time", "0.2", "`SECONDS` in which a foot brings a pedal to another position; at most the foot time")
	sounding := f.String("sounding-time", "0.1", "`SECONDS` that a string must have sounded before its pedal moves")
	tempo := f.String("tempo", "", "play the whole score at `N` quarter notes a minute, whatever its tempo marks say")
	implied := f.String("implied", "on", "count what is played without being written out, such as trills and glissandi: `SWITCH` is on or off")
	harp := f.String("strings", "47", "the `HARP`: 47, 46, 44 or 48 strings, all, or a compass such as C1-G7")
	start := f.String("start", "", "the `SETTING` in which the harp is found, such as \"D C B♭ | E♭ F G A♭\", also with b and #")
	end := f.String("end", "", "the `SETTING` in which the harp must be left")
	effort := f.String("effort", "0", "`SECONDS` after which the search for a proof stops, for each part; 0 for no limit")
	cli.Values(f, "respell", modeNames()...)
	cli.Values(f, "implied", "on", "off")
	cli.Values(f, "strings", "47", "46", "44", "48", "all")
	return func() error {
		var err error
		plan := &w.Plan.Options
		if plan.Mode, err = pedal.ParseMode(*respell); err != nil {
			return fmt.Errorf("--respell: %w", err)
		}
		if *price < 1 || *price > pedal.MaxPrice {
			return fmt.Errorf("--change-price: one change is worth 1 to %d respelt notes", pedal.MaxPrice)
		}
		if *turn < 0 || *turn > pedal.MaxPrice {
			return fmt.Errorf("--switch-price: one switch is worth 0 to %d respelt notes", pedal.MaxPrice)
		}
		plan.ChangePrice, plan.SwitchPrice = *price, *turn
		if *turn == 0 {
			plan.SwitchPrice = -1 // the planner's word for none
		}
		for _, t := range []struct {
			name, text string
			to         *time.Duration
		}{{"foot-time", *foot, &plan.FootTime}, {"move-time", *move, &plan.MoveTime}, {"sounding-time", *sounding, &plan.SoundingTime}} {
			if !f.Changed(t.name) {
				continue // the planner's default, which makes way
			}
			if *t.to, err = parseSeconds(t.text); err != nil {
				return fmt.Errorf("--%s: %w", t.name, err)
			}
			if *t.to == 0 {
				*t.to = -1 // the planner's word for none
			}
		}
		if plan.FootTime > 0 && plan.MoveTime > plan.FootTime {
			return fmt.Errorf("--move-time: %s s is longer than the %s s of --foot-time from one change to the next", *move, *foot)
		}
		if plan.Effort, err = parseSeconds(*effort); err != nil {
			return fmt.Errorf("--effort: %w", err)
		}
		if *tempo != "" {
			q, ok := musicxml.ParseDecimal(*tempo)
			if !ok || !q.OK() || q.Sign() <= 0 {
				return fmt.Errorf("--tempo: %q is not a number of quarter notes a minute", *tempo)
			}
			w.Part.Tempo = q
		}
		switch *implied {
		case "on", "off":
			w.Part.WrittenOnly = *implied == "off"
		default:
			return fmt.Errorf("--implied: %q is neither on nor off", *implied)
		}
		if plan.Instrument, err = pedal.ParseInstrument(*harp); err != nil {
			return fmt.Errorf("--strings: %w", err)
		}
		if plan.Start, err = ParseSetting(*start); err != nil {
			return fmt.Errorf("--start: %w", err)
		}
		if plan.End, err = ParseSetting(*end); err != nil {
			return fmt.Errorf("--end: %w", err)
		}
		return nil
	}
}

// modeNames are the ways of respelling.
func modeNames() []string {
	var names []string
	for _, m := range pedal.Modes() {
		names = append(names, m.String())
	}
	return names
}

// ParseSetting reads the setting that an option names; nil for "". Its errors say what
// is wrong with the text.
func ParseSetting(text string) (*pedal.Setting, error) {
	if text == "" {
		return nil, nil
	}
	s, err := pedal.ParseSetting(text)
	if err != nil {
		return nil, err
	}
	return &s, nil
}

// parseSeconds reads a decimal number of seconds, exact to the nanosecond.
func parseSeconds(text string) (time.Duration, error) {
	f, ok := musicxml.ParseDecimal(text)
	f = f.Mul(musicxml.NewFrac(int64(time.Second), 1))
	if !ok || !f.OK() || f.Sign() < 0 || f.Den() != 1 || f.Num() > math.MaxInt64/4 {
		return 0, fmt.Errorf("%q is not a number of seconds", text)
	}
	return time.Duration(f.Num()), nil
}
