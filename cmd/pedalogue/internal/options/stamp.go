package options

import (
	"cmp"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
)

// A stamp is the text in a marked copy that says with which options it was made, so
// that it can be planned again with them: a version, which stands for what the options
// are by default, and those that are not so, in the order of shaping, as they are typed
// but for the dashes. Values with anything else than plainValue are in apostrophes,
// where two apostrophes are one.
//
//	1 part=P2 respell=needed start='D C Bb | Eb F G Ab' spell='12-20: Fb=E; 33: F#'
//
// Behind them stand the prints of the pedal marks by others that stand beside ours, "beside",
// where there are any: what is not among them has come later.
//
// Limits are not in it: what a file says about itself must not lift them. Neither is
// what only the report knows, such as the severities of findings.
const stampVersion = "1"

// plainValue is what stands in a value without apostrophes.
const plainValue = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789.,:;+-=#_/"

const besideName = "beside"

// shaping are the options that decide on the plan and the marks beside the score, with
// how each is written: "" where it is as it is by default.
var shaping = []struct {
	name  string
	write func(*Settings) string
}{
	{"part", func(s *Settings) string { return s.Read.Part }},
	{"cues", func(s *Settings) string { return s.Read.Cues.String() }},
	{"respell", func(s *Settings) string { return s.Wants.Plan.Options.Mode.String() }},
	{"change-price", func(s *Settings) string { return price(s.Wants.Plan.Options.ChangePrice, pedal.DefaultChangePrice) }},
	{"switch-price", func(s *Settings) string { return price(s.Wants.Plan.Options.SwitchPrice, pedal.DefaultSwitchPrice) }},
	{"foot-time", func(s *Settings) string { return s.times().foot }},
	{"move-time", func(s *Settings) string { return s.times().move }},
	{"sounding-time", func(s *Settings) string { return s.times().sounding }},
	{"tempo", func(s *Settings) string { return number(s.Wants.Part.Tempo) }},
	{"implied", func(s *Settings) string { return onOff(!s.Wants.Part.WrittenOnly) }},
	{"strings", func(s *Settings) string { return harp(s.Wants.Plan.Options.Instrument) }},
	{"start", func(s *Settings) string { return setting(s.Wants.Plan.Options.Start) }},
	{"end", func(s *Settings) string { return setting(s.Wants.Plan.Options.End) }},
	{"effort", func(s *Settings) string { return seconds(s.Wants.Plan.Options.Effort) }},
	{"spell", func(s *Settings) string { return pins(s.Wants.Plan.Pins) }},
	{"side", func(s *Settings) string { return s.Wants.Style.Side.String() }},
	{"settings", func(s *Settings) string { return s.Wants.Plan.Sections.String() }},
	{"setting-as", func(s *Settings) string { return s.Wants.Style.Form.String() }},
	{"existing", existing},
	{"respell-notes", func(s *Settings) string { return s.Wants.Style.Respelt.String() }},
	{"language", func(s *Settings) string { return s.Wants.Style.Language.String() }},
}

// Stamp is the stamp of the settings. It is the same for settings that plan the same
// by what the options mean, whichever were typed.
func (s *Settings) Stamp() string {
	f, _ := shapingFlags(&Settings{})
	words := []string{stampVersion}
	for _, o := range shaping {
		value := o.write(s)
		if value == "" || value == f.Lookup(o.name).DefValue {
			continue
		}
		if strings.Trim(value, plainValue) != "" {
			value = "'" + strings.ReplaceAll(value, "'", "''") + "'"
		}
		words = append(words, o.name+"="+value)
	}
	if s.Beside != "" {
		words = append(words, besideName+"="+s.Beside)
	}
	return strings.Join(words, " ")
}

// ParseStamp returns the settings that a stamp tells; what it does not tell is as it
// is by default. The error says what is not understood, which is a stamp of another
// version, for one.
func ParseStamp(text string) (Settings, error) {
	var s Settings
	f, take := shapingFlags(&s)
	var names []string
	for _, o := range shaping {
		names = append(names, o.name)
	}
	version, rest, _ := strings.Cut(text, " ")
	if version != stampVersion {
		return Settings{}, fmt.Errorf("options written in a way %q that is not known here", version)
	}
	for rest != "" {
		var name, value string
		var err error
		if name, value, rest, err = cutOption(rest); err != nil {
			return Settings{}, err
		}
		if name == besideName && s.Beside == "" && value != "" && strings.Trim(value, "0123456789abcdef") == "" {
			s.Beside = value
			continue
		}
		if !slices.Contains(names, name) || f.Changed(name) {
			return Settings{}, fmt.Errorf("%q is no option that shapes a plan, or stands twice", name)
		}
		if err := f.Set(name, value); err != nil {
			return Settings{}, fmt.Errorf("--%s: %w", name, err)
		}
	}
	if err := take(); err != nil {
		return Settings{}, err
	}
	return s, nil
}

// cutOption reads the first option of a stamp.
func cutOption(text string) (name, value, rest string, err error) {
	name, rest, ok := strings.Cut(text, "=")
	if !ok {
		return "", "", "", fmt.Errorf("%q is no option with its value", text)
	}
	if !strings.HasPrefix(rest, "'") {
		value, rest, _ = strings.Cut(rest, " ")
		return name, value, rest, nil
	}
	var b strings.Builder
	for rest = rest[1:]; ; {
		inside, behind, closed := strings.Cut(rest, "'")
		if !closed {
			return "", "", "", fmt.Errorf("the value of %s has no end", name)
		}
		b.WriteString(inside)
		if rest, ok = strings.CutPrefix(behind, "'"); ok {
			b.WriteByte('\'')
			continue
		}
		if behind != "" && behind[0] != ' ' {
			return "", "", "", fmt.Errorf("behind the value of %s stands %q", name, behind)
		}
		return name, b.String(), strings.TrimPrefix(behind, " "), nil
	}
}

// shapingFlags are flags with all that shapes plans and marks, among others; take
// checks them and takes them over into s.
func shapingFlags(s *Settings) (f *pflag.FlagSet, take func() error) {
	f = pflag.NewFlagSet("", pflag.ContinueOnError)
	takes := []func() error{Read(f, &s.Read), Plan(f, &s.Wants), Pins(f, &s.Wants), Marks(f, &s.Wants), Existing(f, &s.Wants)}
	return f, func() error {
		var errs []error
		for _, t := range takes {
			if t != nil {
				errs = append(errs, t())
			}
		}
		return errors.Join(errs...)
	}
}

// price is a price in the options of the planner, where 0 stands for the default and
// a negative one for none.
func price(p, otherwise int) string {
	switch {
	case p == 0:
		p = otherwise
	case p < 0:
		p = 0
	}
	return fmt.Sprint(p)
}

type shownTimes struct{ foot, move, sounding string }

// times are the times that a plan reckons with, each "" where it is what the others
// bring with them.
func (s *Settings) times() (shown shownTimes) {
	is := s.Wants.Plan.Options.Times()
	if is.Foot == 0 {
		return shownTimes{foot: "0"}
	}
	would := pedal.Options{FootTime: is.Foot}.Times()
	tell := func(t, otherwise time.Duration) string {
		if t == otherwise {
			return ""
		}
		return cmp.Or(seconds(t), "0")
	}
	return shownTimes{tell(is.Foot, pedal.DefaultFootTime), tell(is.Move, would.Move), tell(is.Sounding, would.Sounding)}
}

// number writes a number as the option that it was read from; "" for 0.
func number(f musicxml.Frac) string {
	if f.Sign() == 0 {
		return ""
	}
	q := big.NewRat(f.Num(), f.Den())
	digits, _ := q.FloatPrec()
	return q.FloatString(digits)
}

func seconds(t time.Duration) string { return number(musicxml.NewFrac(int64(t), int64(time.Second))) }

func onOff(on bool) string {
	if on {
		return "on"
	}
	return "off"
}

// harp is the compass of a harp; "" for that of the default.
func harp(h pedal.Instrument) string {
	if text := h.String(); text != pedal.Concert47().String() {
		return text
	}
	return ""
}

// setting is a setting in ASCII; "" for none.
func setting(s *pedal.Setting) string {
	if s == nil {
		return ""
	}
	return strings.NewReplacer("♭", "b", "♯", "#").Replace(s.String())
}

// pins are pins as they were given, one behind another.
func pins(list []part.Pin) string {
	var texts []string
	for _, p := range list {
		texts = append(texts, p.Text)
	}
	text := strings.Join(texts, "; ")
	if strings.HasPrefix(text, "//") {
		text = ";" + text // or it would be passed over
	}
	return text
}

func existing(s *Settings) string {
	switch {
	case s.Wants.Plan.Obey:
		return "obey"
	case s.Wants.Style.Replace:
		return "replace"
	}
	return "keep"
}

// Taken returns the settings with the part named by its id, as every copy of the
// score has it, where an option has chosen one.
func (s Settings) Taken(score *musicxml.Score) Settings {
	players := score.Players()
	if s.Read.Part == "" || len(players) != 1 {
		return s
	}
	ids := []string{}
	for _, p := range players[0].Parts {
		ids = append(ids, p.ID)
	}
	if !slices.ContainsFunc(ids, func(id string) bool { return id == "" || strings.Contains(id, "+") || strings.TrimSpace(id) != id }) {
		s.Read.Part = strings.Join(ids, "+")
	}
	return s
}
