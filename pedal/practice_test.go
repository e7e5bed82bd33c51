package pedal

import (
	"context"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// setting reads a setting that the test knows to be good.
func setting(t *testing.T, text string) Setting {
	t.Helper()
	s, err := ParseSetting(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// notesAt adds a moment with the given pitches, each a note of its own that
// lasts for a beat of one second.
func notesAt(p *Passage, second int, pitches ...Pitch) {
	at := time.Duration(second) * time.Second
	m := Moment{Onset: int64(second), At: at, Beat: true}
	for _, pitch := range pitches {
		m.Strikes = append(m.Strikes, Strike{Note: len(p.Notes), End: int64(second) + 1, Until: at + time.Second})
		p.Notes = append(p.Notes, Note{Pitch: pitch})
	}
	p.Moments = append(p.Moments, m)
}

// scale is one octave of a setting's strings.
func scale4(s Setting) (pitches []Pitch) {
	for _, l := range []Letter{C, D, E, F, G, A, B} {
		pitches = append(pitches, Pitch{l, 100 * int(s[l]), 4})
	}
	return pitches
}

func mustSolve(t *testing.T, p *Passage, o Options) *Plan {
	t.Helper()
	plan, err := Solve(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	if err := Verify(p, o, plan); err != nil {
		t.Errorf("the plan does not hold: %v", err)
	}
	if !plan.Proof.Minimal {
		t.Errorf("not proved: %+v", plan.Proof)
	}
	return plan
}

// The fifteen keys and the harmonic minor scales of their relatives. Anchors:
// A major [EIN-notating] [INM], G harmonic minor [BAL], the order in which the
// pedals go from C flat to C sharp major [GROVE]; the rest is the key signature.
var keys = []struct{ major, setting, harmonicMinor string }{
	{"C♭", "D♭ C♭ B♭ | E♭ F♭ G♭ A♭", "D♭ C♭ B♭ | E♭ F♭ G A♭"},
	{"G♭", "D♭ C♭ B♭ | E♭ F G♭ A♭", "D C♭ B♭ | E♭ F G♭ A♭"},
	{"D♭", "D♭ C B♭ | E♭ F G♭ A♭", "D♭ C B♭ | E♭ F G♭ A"},
	{"A♭", "D♭ C B♭ | E♭ F G A♭", "D♭ C B♭ | E F G A♭"},
	{"E♭", "D C B♭ | E♭ F G A♭", "D C B | E♭ F G A♭"},
	{"B♭", "D C B♭ | E♭ F G A", "D C B♭ | E♭ F♯ G A"},
	{"F", "D C B♭ | E F G A", "D C♯ B♭ | E F G A"},
	{"C", "D C B | E F G A", "D C B | E F G♯ A"},
	{"G", "D C B | E F♯ G A", "D♯ C B | E F♯ G A"},
	{"D", "D C♯ B | E F♯ G A", "D C♯ B | E F♯ G A♯"},
	{"A", "D C♯ B | E F♯ G♯ A", "D C♯ B | E♯ F♯ G♯ A"},
	{"E", "D♯ C♯ B | E F♯ G♯ A", "D♯ C♯ B♯ | E F♯ G♯ A"},
	{"B", "D♯ C♯ B | E F♯ G♯ A♯", ""},
	{"F♯", "D♯ C♯ B | E♯ F♯ G♯ A♯", ""},
	{"C♯", "D♯ C♯ B♯ | E♯ F♯ G♯ A♯", ""},
}

func TestKeysNeedNoChange(t *testing.T) {
	for _, key := range keys {
		for _, text := range []string{key.setting, key.harmonicMinor} {
			if text == "" {
				continue // it needs a double sharp, which no pedal sets
			}
			want := setting(t, text)
			for _, mode := range Modes() {
				var p Passage
				for i, pitch := range scale4(want) {
					notesAt(&p, i, pitch)
				}
				plan := mustSolve(t, &p, Options{Mode: mode})
				if plan.Cost != (Cost{}) {
					t.Errorf("%s, %v, %v: cost %+v, want nothing", key.major, text, mode, plan.Cost)
				}
				if plan.Start != want && mode == Written {
					t.Errorf("%s: start %v, want %v", key.major, plan.Start, want)
				}
			}
		}
	}
}

// Moves from key to key. Source: arithmetic on the keys above; "all seven pedals,
// some more than one notch" for D flat to B [FACKLER-ENH]; one pedal for each
// step of the circle of fifths [HC-LOGIC]. Rounds are the successive moves of the
// busier foot.
func TestKeyToKey(t *testing.T) {
	major := map[string]string{}
	for _, k := range keys {
		major[k.major] = k.setting
	}
	for _, tt := range []struct {
		from, to                string
		pedals, notches, rounds int
	}{
		{"D♭", "B", 7, 10, 4}, {"D♭", "C♭", 2, 2, 1}, {"C", "D♭", 5, 5, 3}, {"C", "C♯", 7, 7, 4},
		{"C", "G♭", 6, 6, 3}, {"C", "F♯", 6, 6, 4}, {"E♭", "E", 7, 7, 4}, {"A♭", "A", 7, 7, 4},
		{"B♭", "B", 7, 7, 4}, {"B♭", "C♭", 5, 5, 3}, {"F", "F♯", 7, 7, 4}, {"F", "G♭", 5, 5, 3},
		{"E", "C", 4, 4, 2}, {"C", "A", 3, 3, 2}, {"C", "E♭", 3, 3, 2}, {"G♭", "D", 7, 8, 4},
		{"A♭", "E", 7, 8, 4}, {"A♭", "F♯", 7, 10, 4}, {"C", "G", 1, 1, 1}, {"B♭", "F", 1, 1, 1},
	} {
		var p Passage
		notesAt(&p, 0, scale4(setting(t, major[tt.from]))...)
		notesAt(&p, 10, scale4(setting(t, major[tt.to]))...)
		plan := mustSolve(t, &p, Options{Mode: Written})
		want := Cost{Changes: tt.pedals, Notches: tt.notches}
		if plan.Cost != want {
			t.Errorf("%s to %s: %+v, want %+v", tt.from, tt.to, plan.Cost, want)
		}
		first := 10 * time.Second
		for _, mv := range plan.Moves {
			first = min(first, mv.Start)
		}
		if got := 1 + int((10*time.Second-DefaultMoveTime-first)/DefaultFootTime); got != tt.rounds {
			t.Errorf("%s to %s: %d rounds, want %d", tt.from, tt.to, got, tt.rounds)
		}
	}
}

// Source: [EIN-tremolo], [EVELIN]: every pitch class has two strings but D, G
// and A.
func TestStringsOfPitchClasses(t *testing.T) {
	for height, want := range []string{
		"C♮ B♯", "C♯ D♭", "D♮", "D♯ E♭", "E♮ F♭", "F♮ E♯", "F♯ G♭", "G♮", "G♯ A♭", "A♮", "B♭ A♯", "B♮ C♭",
	} {
		var got []string
		pitch := spelling(height, height == 10)
		for _, w := range waysOf(AllStrings(), pitch, nil) {
			got = append(got, w.Letter.String()+w.Position.Sign())
			if h := 12*w.Octave + w.Letter.Semitones() + int(w.Position); h != 48+height {
				t.Errorf("%v: %v%d sounds %d semitones off", pitch, w.Letter, w.Octave, h-48-height)
			}
		}
		if text := strings.Join(got, " "); text != want {
			t.Errorf("pitch class %d: %s, want %s", height, text, want)
		}
	}
}

func TestSimultaneities(t *testing.T) {
	n, f, s := 0, -100, 100
	for _, tt := range []struct {
		name    string
		pitches []Pitch
		written int    // unsounded as written
		needed  int    // unsounded with respelling
		strings string // the only way to play it, "" if there are more
		source  string
	}{
		{"C and C sharp", []Pitch{{C, n, 4}, {C, s, 4}}, 1, 0, "", "[BLI 8] [BAL]"},
		{"F and F sharp", []Pitch{{F, n, 4}, {F, s, 4}}, 1, 0, "", "[BAL]"},
		{"C, C sharp, D", []Pitch{{C, n, 4}, {C, s, 4}, {D, n, 4}}, 1, 0, "B♯3 C♯4 D♮4", "[C&O-PED]"},
		{"G, G sharp, A", []Pitch{{G, n, 4}, {G, s, 4}, {A, n, 4}}, 1, 1, "", "[C&O-PED]"},
		{"D, D sharp, E", []Pitch{{D, n, 4}, {D, s, 4}, {E, n, 4}}, 1, 0, "D♮4 E♭4 F♭4", "enumeration: E is taken by E flat"},
		{"A, A sharp, B", []Pitch{{A, n, 4}, {A, s, 4}, {B, n, 4}}, 1, 0, "A♮4 B♭4 C♭5", "enumeration"},
		{"D sharp and F sharp with E flat and G flat", []Pitch{{D, s, 4}, {F, s, 4}, {E, f, 4}, {G, f, 4}}, 0, 0, "D♯4 F♯4 E♭4 G♭4", "[GOSS-STOMP]"},
		{"F double sharp", []Pitch{{F, 200, 4}}, 0, 0, "G♮4", "no pedal sets a double sharp [HC-CREATE]"},
		{"G triple flat", []Pitch{{G, -300, 4}}, 0, 0, "", "E natural or F flat"},
		{"a quarter tone", []Pitch{{C, 50, 4}}, 1, 1, "", "pedals move by semitones"},
	} {
		var p Passage
		notesAt(&p, 0, tt.pitches...)
		for mode, want := range map[Mode]int{Written: tt.written, Needed: tt.needed, Free: tt.needed} {
			plan := mustSolve(t, &p, Options{Mode: mode})
			if plan.Cost.Unsounded != want {
				t.Errorf("%s, %v: %d unsounded, want %d; %s", tt.name, mode, plan.Cost.Unsounded, want, tt.source)
			}
			var got []string
			for _, s := range plan.Strings {
				got = append(got, StringName{s.Letter, s.Octave}.String()[:1]+s.Position.Sign()+StringName{s.Letter, s.Octave}.String()[1:])
			}
			if text := strings.Join(got, " "); mode == Needed && tt.strings != "" && text != tt.strings {
				t.Errorf("%s: played on %s, want %s; %s", tt.name, text, tt.strings, tt.source)
			}
		}
	}
}

// Range and undisced strings: [HIO], [WIKI], [BLI 3], [GOSS-65].
func TestRange(t *testing.T) {
	for _, tt := range []struct {
		harp    string
		pitch   Pitch
		mode    Mode
		sounds  bool
		respelt bool
		reason  string
	}{
		{"47", Pitch{C, -100, 1}, Written, true, false, "the open lowest string [WIKI]"},
		{"47", Pitch{B, -100, 0}, Needed, false, false, "below C1 [HIO]"},
		{"47", Pitch{B, 100, 0}, Written, false, false, "no B string below C1"},
		{"47", Pitch{B, 100, 0}, Needed, true, true, "C1, tuned to natural"},
		{"47", Pitch{G, 100, 7}, Written, true, false, "the top string, tuned by hand"},
		{"47", Pitch{A, 0, 7}, Free, false, false, "above G7 [WIKI]"},
		{"48", Pitch{A, 0, 7}, Free, true, false, "the 48th string [WIKI]"},
		{"46", Pitch{C, 0, 1}, Free, false, false, "46 strings begin at D1"},
		{"44", Pitch{F, 0, 7}, Written, false, false, "44 strings end at E7 [GLOSS]"},
		{"44", Pitch{F, -100, 7}, Needed, true, true, "F flat is E"},
		{"all", Pitch{A, 0, 9}, Written, true, false, "every string"},
	} {
		harp, err := ParseInstrument(tt.harp)
		if err != nil {
			t.Fatal(err)
		}
		var p Passage
		notesAt(&p, 0, tt.pitch)
		plan := mustSolve(t, &p, Options{Mode: tt.mode, Instrument: harp})
		if got := plan.Cost.Unsounded == 0; got != tt.sounds || plan.Cost.Respelt == 1 != tt.respelt {
			t.Errorf("%v on %s: cost %+v; %s", tt.pitch, tt.harp, plan.Cost, tt.reason)
		}
	}
}

// A string without discs keeps to itself: C1 needs no pedal, and it is not tuned
// anew for a note that has a string of its own.
func TestUndiscedStrings(t *testing.T) {
	var p Passage
	notesAt(&p, 0, Pitch{C, 0, 1}, Pitch{C, 100, 4})
	notesAt(&p, 1, Pitch{C, 100, 1}, Pitch{C, 100, 4})
	if plan := mustSolve(t, &p, Options{Mode: Written}); plan.Cost != (Cost{}) {
		t.Errorf("cost %+v, want none: no pedal reaches C1 [WIKI]", plan.Cost)
	}
	var low Passage
	notesAt(&low, 0, Pitch{D, 0, 1}, Pitch{E, 0, 4})
	notesAt(&low, 9, Pitch{E, -100, 1})
	if plan := mustSolve(t, &low, Options{Mode: Free}); plan.Cost.Changes+plan.Cost.Respelt == 0 || plan.Strings[2].Letter != E {
		t.Errorf("E flat 1 goes to %v: D1 is tuned to natural", plan.Strings[2])
	}
}

func TestInstruments(t *testing.T) {
	for text, want := range map[string]struct {
		name    string
		strings int
	}{
		"47": {"C1-G7", 47}, "46": {"D1-G7", 46}, "44": {"D1-E7", 44}, "48": {"C1-A7", 48},
		"A1-E7": {"A1-E7", 40}, "C1-G7": {"C1-G7", 47},
	} {
		h, err := ParseInstrument(text)
		if err != nil || h.String() != want.name || h.Strings() != want.strings {
			t.Errorf("%s: %v with %d strings, %v; want %s with %d", text, h, h.Strings(), err, want.name, want.strings)
		}
	}
	if h := (Instrument{}); h.String() != "C1-G7" || !slices.Equal(Concert47().Undisced, []StringName{{C, 1}, {D, 1}, {G, 7}}) {
		t.Errorf("the zero value is %v without discs on %v", h, Concert47().Undisced)
	}
	if h, err := ParseInstrument("all"); err != nil || h.String() != "all" {
		t.Errorf("all: %v, %v", h, err)
	}
	for _, text := range []string{"", "45", "G7-C1", "C1", "H1-C7", "C1-G77", "c1-g7"} {
		if h, err := ParseInstrument(text); err == nil {
			t.Errorf("%q is taken for the harp %v", text, h)
		}
	}
}

func TestModeNames(t *testing.T) {
	for _, mode := range Modes() {
		if got, err := ParseMode(mode.String()); err != nil || got != mode {
			t.Errorf("%v is read as %v, %v", mode, got, err)
		}
	}
	if _, err := ParseMode("Needed"); err == nil {
		t.Error("names are in lower case")
	}
}

func TestSettingText(t *testing.T) {
	for _, tt := range []struct{ text, want, reason string }{
		{"D C B | E F G A", "D C B | E F G A", "all natural"},
		{"Db Cb Bb | Eb Fb Gb Ab", "D♭ C♭ B♭ | E♭ F♭ G♭ A♭", "all pedals up [GROVE]"},
		{"E F# G# A D C# B", "D C♯ B | E F♯ G♯ A", "right foot first, as on two lines [EIN-notating]"},
		{"D♮,C,B|E,F,G,A", "D C B | E F G A", "natural signs and commas"},
	} {
		s, err := ParseSetting(tt.text)
		if err != nil || s.String() != tt.want {
			t.Errorf("%q: %v, %v; want %s: %s", tt.text, s, err, tt.want, tt.reason)
		}
		if again, err := ParseSetting(s.String()); err != nil || again != s {
			t.Errorf("%v does not read back", s)
		}
	}
	for _, text := range []string{"", "D C B E F G", "D C B E F G A A", "D C B | E F G H", "D C Bx | E F G A"} {
		if s, err := ParseSetting(text); err == nil {
			t.Errorf("%q is taken for %v", text, s)
		}
	}
}

// The package knows no files and no outside libraries.
func TestImports(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, src, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, imp := range f.Imports {
			path := strings.Trim(imp.Path.Value, `"`)
			if strings.Contains(path, ".") || !strings.HasSuffix(name, "_test.go") && (path == "os" || path == "io" || strings.HasPrefix(path, "encoding")) {
				t.Errorf("%s imports %s", name, path)
			}
		}
	}
}
