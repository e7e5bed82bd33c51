package options

import (
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/spf13/pflag"

	"pedalogue/pedal"
)

// typed are the settings of options that were typed.
func typed(t testing.TB, args ...string) Settings {
	t.Helper()
	var s Settings
	f, take := shapingFlags(&s)
	if err := f.Parse(args); err != nil {
		t.Fatal(args, err)
	}
	if err := take(); err != nil {
		t.Fatal(args, err)
	}
	return s
}

// meant is what settings mean, whichever options were typed, as far as it shapes
// plans and marks.
func meant(s Settings) Settings {
	o := &s.Wants.Plan.Options
	times := o.Times()
	o.FootTime, o.MoveTime, o.SoundingTime = times.Foot, times.Move, times.Sounding
	o.ChangePrice = max(o.ChangePrice, 1)
	if o.SwitchPrice < 0 {
		o.SwitchPrice = 0
	}
	return s
}

// values are values of the options that shape plans, each another one than the default.
var values = map[string][]string{
	"part":          {"P1", "Harp", "2", "P1+P2", "Harfe für Zwei", "it's", "''", "a=b c", "x'", "--", "<&>\"%", " ", "a\nb", "\xff", "1 part=P2"},
	"cues":          {"play", "skip"},
	"respell":       {"written", "needed", "free"},
	"change-price":  {"1", "4", "1000000"},
	"switch-price":  {"0", "1", "1000000"},
	"foot-time":     {"0", "0.25", "0.1", "1", "0.000000001"},
	"move-time":     {"0", "0.05", "0.3"},
	"sounding-time": {"0", "0.2", "1.5"},
	"tempo":         {"60", "96.5", "0.000000000000001", "66.6666666666666"},
	"implied":       {"off"},
	"strings":       {"46", "44", "48", "all", "D2-C6"},
	"start":         {"D C B♭ | E♭ F G A♭", "D C B E F G A", "D# Cb Bn E F G A"},
	"end":           {"D C B♭ | E♭ F G A♭"},
	"effort":        {"0.5", "3"},
	"spell":         {"12-20: F♭=E", "33@2½: F♯; all: C♭!=B", "x;//1: F♯", "1: F♯;//1: F♯", "'a' 3: written", "3: C♯5=D, A♯=B"},
	"side":          {"above", "between"},
	"settings":      {"start", "every=8"},
	"setting-as":    {"letters", "diagram"},
	"existing":      {"obey", "replace"},
	"respell-notes": {"rewrite", "none"},
	"language":      {"fr", "de"},
}

// A stamp says what the settings were, for every option and many together.
func TestStamp(t *testing.T) {
	try := func(args ...string) {
		t.Helper()
		var s Settings
		f, take := shapingFlags(&s)
		if f.Parse(args) != nil || take() != nil {
			return // not together: a move longer than the foot time, a pin that is none
		}
		stamp := s.Stamp()
		again, err := ParseStamp(stamp)
		if err != nil {
			t.Fatalf("%q is stamped %q: %v", args, stamp, err)
		}
		if !reflect.DeepEqual(meant(s), meant(again)) {
			t.Errorf("%q is stamped %q, which is\n%+v, not\n%+v", args, stamp, meant(again), meant(s))
		}
		if twice := again.Stamp(); twice != stamp {
			t.Errorf("%q is stamped %q, and that %q", args, stamp, twice)
		}
	}
	try()
	for _, o := range shaping {
		for _, v := range values[o.name] {
			try("--" + o.name + "=" + v)
			if s := typed(t, args(o.name, v)...); s.Stamp() == "1" {
				t.Errorf("--%s %q leaves no trace", o.name, v)
			}
		}
		if len(values[o.name]) == 0 {
			t.Errorf("--%s is not tried", o.name)
		}
	}
	r := rand.New(rand.NewSource(1))
	for range 2000 {
		var args []string
		for _, o := range shaping {
			if r.Intn(3) == 0 {
				args = append(args, "--"+o.name+"="+values[o.name][r.Intn(len(values[o.name]))])
			}
		}
		try(args...)
	}
}

// args are an option, and what it cannot be without.
func args(name, value string) []string {
	list := []string{"--" + name + "=" + value}
	if name == "spell" && strings.HasPrefix(value, "x;") {
		list[0] = "--spell=" + strings.TrimPrefix(value, "x")
	}
	return list
}

// The text is what it is in copies that are out in the world.
func TestStampText(t *testing.T) {
	file := filepath.Join(t.TempDir(), "pins")
	if err := os.WriteFile(file, []byte("// mine\n7: written\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ args, want, reason string }{
		{"", "1", "all is as it is by default"},
		{"--foot-time=0.5|--move-time=0.2|--tempo=|--strings=C1-G7|--change-price=6|--respell=balanced", "1", "defaults that are typed are no other options"},
		{"--max-size=1G|--max-depth=7|--max-played=3", "1", "a file must not lift limits"},
		{"--foot-time=0|--move-time=0", "1 foot-time=0", "without feet there are no moves"},
		{"--foot-time=0.1", "1 foot-time=0.1", "the move time makes way"},
		{"--tempo=96.50", "1 tempo=96.5", "numbers are written one way"},
		{"--strings=44", "1 strings=D1-E7", "a harp is its compass"},
		{"--start=A B C D E F G", "1 start='D C B | E F G A'", "settings are written one way"},
		{"--spell=1: F♯|--spell=2: G♯; 3: A|--spell-file=" + file, "1 spell='1: F♯; 2: G♯; 3: A; 7: written'", "pins are in one list"},
		{"--part=it's|--respell=free|--settings=every=4", "1 part='it''s' respell=free settings=every=4", "in one order"},
		{"--settings=every=4|--respell=free|--part=it's", "1 part='it''s' respell=free settings=every=4", "whatever was typed first"},
	} {
		var args []string
		if tt.args != "" {
			args = strings.Split(tt.args, "|")
		}
		if s := typed(t, args...); s.Stamp() != tt.want {
			t.Errorf("%s: %s is stamped %q, not %q", tt.reason, tt.args, s.Stamp(), tt.want)
		}
	}
}

// What a stamp leaves out stands for what it was when the version was made: where one
// of these changes, the version does, and ParseStamp knows the defaults of both.
func TestStampDefaults(t *testing.T) {
	const first = `part="" cues="auto" respell="balanced" change-price="6" switch-price="2" foot-time="0.5" move-time="0.2" sounding-time="0.1" ` +
		`tempo="" implied="on" strings="47" start="" end="" effort="0" spell="" side="below" settings="sections" setting-as="both" existing="keep" ` +
		`respell-notes="text" language="en"`
	f, _ := shapingFlags(&Settings{})
	var list []string
	for _, o := range shaping {
		list = append(list, fmt.Sprintf("%s=%q", o.name, f.Lookup(o.name).DefValue))
	}
	if got := strings.Join(list, " "); got != first || stampVersion != "1" {
		t.Errorf("the defaults are\n%s, not\n%s", got, first)
	}
	if h := pedal.Concert47().String(); h != "C1-G7" {
		t.Errorf("47 strings are %s", h)
	}
}

// Every option of reading, planning and marks is in the stamp, or here with the reason
// why it is not.
func TestStampIsWhole(t *testing.T) {
	out := map[string]string{
		"max-size": "a limit", "max-depth": "a limit", "max-played": "a limit",
		"spell-file": "its pins are those of spell",
	}
	f, _ := shapingFlags(&Settings{})
	for _, o := range shaping {
		out[o.name] = "in it"
	}
	f.VisitAll(func(flag *pflag.Flag) {
		if out[flag.Name] == "" {
			t.Errorf("--%s is not in the stamp of marked copies", flag.Name)
		}
	})
}

// What is no stamp is refused, whoever wrote it.
func TestParseStampErrors(t *testing.T) {
	for _, text := range []string{
		"", "2", "1part=P1", "1 part", "1 part='P1", "1 part='P1'x", "1 part=P1 part=P2", "1 max-size=1G", "1 spell-file=/etc/passwd", "1 help=true",
		"1 respell=never", "1 tempo=fast", "1 foot-time=0.5 move-time=0.6", "1 spell=1", "1 settings=every=0", "1 start=D", "1  part=P1", "1 =x",
		"1 beside=", "1 beside=XY", "1 beside=ab12 beside=ab12",
	} {
		if s, err := ParseStamp(text); err == nil || !reflect.DeepEqual(s, Settings{}) {
			t.Errorf("%q is read as %+v, %v", text, s, err)
		}
	}
}

// Whatever a file says, what is understood is written again as what it is.
func FuzzStamp(f *testing.F) {
	for _, o := range shaping {
		for _, v := range values[o.name] {
			var s Settings
			flags, take := shapingFlags(&s)
			if flags.Parse([]string{"--" + o.name + "=" + v}) == nil && take() == nil {
				f.Add(s.Stamp())
			}
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseStamp(text)
		if err != nil {
			return
		}
		again, err := ParseStamp(s.Stamp())
		if err != nil || !reflect.DeepEqual(meant(s), meant(again)) {
			t.Errorf("%q is\n%+v, and %q is\n%+v, %v", text, meant(s), s.Stamp(), meant(again), err)
		}
	})
}
