package finding

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/internal/words"
)

// A piece is music for a test. Notes are words, one step each, a "|" before the
// first of a measure; "/" divides the staves, "+" joins a chord, "-" is a rest:
//
//	"C4+E4/C3 - | B3:2"
//
// After a pitch (b, #, x, bb, q for a quarter tone up) may stand: ":n" it lasts
// n steps; "~" rolled; "]" not to be rolled; "o" harmonic; "tr" trill; "*n" a
// tremolo of n plucks.
type piece struct {
	notes string
	step  time.Duration // 0 stands for a second
	beat  int           // steps in a beat; 0 stands for 1
	grace bool          // the moments are grace notes
}

const ticks = 60 // in a step

// music lays the piece out.
func (x piece) music(t *testing.T) *Music {
	t.Helper()
	step := x.step
	if step == 0 {
		step = time.Second
	}
	p := &pedal.Passage{Measures: []pedal.Measure{{}}}
	music := &Music{Passage: p}
	i := 0
	for word := range strings.FieldsSeq(x.notes) {
		if word == "|" {
			p.Measures = append(p.Measures, pedal.Measure{Written: len(p.Measures), First: i})
			continue
		}
		m := pedal.Moment{Onset: int64(i * ticks), At: time.Duration(i) * step, Beat: i%max(1, x.beat) == 0, Grace: x.grace, Measure: len(p.Measures) - 1}
		for s, staff := range strings.Split(word, "/") {
			for note := range strings.SplitSeq(staff, "+") {
				if note == "-" || note == "" {
					continue
				}
				n, signs, steps := parseNote(t, note)
				n.Staff = s + 1
				m.Strikes = append(m.Strikes, pedal.Strike{Note: len(p.Notes), End: int64((i + steps) * ticks), Until: time.Duration(i+steps) * step})
				p.Notes, music.Signs = append(p.Notes, n), append(music.Signs, signs)
			}
		}
		p.Moments = append(p.Moments, m)
		i++
	}
	return music
}

func parseNote(t *testing.T, text string) (n pedal.Note, signs Signs, steps int) {
	t.Helper()
	l, ok := pedal.ParseLetter(text[:1])
	end := strings.IndexAny(text, "0123456789")
	if !ok || end < 0 {
		t.Fatalf("%q is no note", text)
	}
	n.Pitch = pedal.Pitch{Letter: l, Cents: map[string]int{"": 0, "b": -100, "#": 100, "x": 200, "bb": -200, "###": 300, "q": 50}[text[1:end]], Octave: int(text[end] - '0')}
	steps = 1
	for rest := text[end+1:]; rest != ""; {
		value := 0
		if len(rest) > 1 {
			value, _ = strconv.Atoi(rest[1:2])
		}
		switch {
		case rest[0] == ':':
			steps, rest = value, rest[2:]
		case rest[0] == '*':
			signs.Plucks, rest = value, rest[2:]
		case rest[0] == '~':
			signs.Roll, rest = Rolled, rest[1:]
		case rest[0] == ']':
			signs.Roll, rest = Together, rest[1:]
		case rest[0] == 'o':
			signs.Harmonic, rest = true, rest[1:]
		case strings.HasPrefix(rest, "tr"):
			signs.Trill, rest = true, rest[2:]
		default:
			t.Fatalf("%q is no sign of a note", rest)
		}
	}
	return n, signs, steps
}

// A check is one case of a table.
type check struct {
	name   string
	source string // where the expectation comes from
	piece
	plan pedal.Options
	// change may change what the notes do not say.
	change func(m *Music, o *Options)
	want   []string // all findings, each "kind@moment"
	text   string   // in the text of the first finding
	remedy string   // the remedy of the first finding; "" for none
	tempo  string   // at which tempo the first finding goes; "" for none
}

func findIn(t *testing.T, c check) (*pedal.Passage, []Finding) {
	t.Helper()
	m := c.music(t)
	p, o := m.Passage, Options{Plan: c.plan}
	if c.change != nil {
		c.change(m, &o)
	}
	plan, err := pedal.Solve(context.Background(), p, o.Plan)
	if err != nil {
		t.Fatal(err)
	}
	if err := pedal.Verify(p, o.Plan, plan); err != nil {
		t.Fatal(err)
	}
	found, err := All(m, plan, o)
	if err != nil {
		t.Fatal(err)
	}
	return p, found
}

// checks are the tables of all families.
func checks() []check {
	return slices.Concat(clashChecks(), pedalChecks(), stringChecks(), handChecks(), moveChecks(),
		repetitionChecks(), harmonicChecks(), glissandoChecks(), ringingChecks())
}

func TestFindings(t *testing.T) {
	names := map[string]bool{}
	for _, c := range checks() {
		if c.name == "" || c.source == "" || names[c.name] {
			t.Errorf("the case %q has no name of its own or no source", c.name)
		}
		names[c.name] = true
		t.Run(c.name, func(t *testing.T) {
			p, found := findIn(t, c)
			got := []string{}
			for _, f := range found {
				got = append(got, string(f.Kind)+"@"+strconv.Itoa(f.Moment))
				wellFormed(t, p, f)
			}
			if !slices.Equal(got, slices.Concat([]string{}, c.want)) {
				t.Errorf("%s (%s): found %v, want %v", c.notes, c.source, got, c.want)
				for _, f := range found {
					t.Log(f.Text, "|", f.Remedy)
				}
				return
			}
			if len(found) == 0 {
				return
			}
			if !strings.Contains(found[0].Text, c.text) {
				t.Errorf("the text is %q, want %q in it", found[0].Text, c.text)
			}
			if found[0].Remedy != c.remedy || found[0].Tempo != c.tempo {
				t.Errorf("the remedy is %q, at a tempo %q; want %q, %q", found[0].Remedy, found[0].Tempo, c.remedy, c.tempo)
			}
		})
	}
}

// wellFormed checks what holds for every finding.
func wellFormed(t *testing.T, p *pedal.Passage, f Finding) {
	t.Helper()
	for _, s := range []string{f.Text, f.Remedy} {
		if strings.Contains(s, "%!") || strings.Contains(s, "  ") || strings.Contains(s, " ,") {
			t.Errorf("badly put: %q", s)
		}
		if s != "" && (!strings.HasSuffix(s, ".") || words.Upper(s) != s) {
			t.Errorf("not a sentence: %q", s)
		}
	}
	if f.Last < f.Moment || f.Last >= len(p.Moments) {
		t.Errorf("it goes from moment %d to %d", f.Moment, f.Last)
	}
	if f.Text == "" || f.Moment < 0 || f.Moment >= len(p.Moments) || f.Severity < Note {
		t.Errorf("incomplete: %+v", f)
	}
	for i, n := range f.Notes {
		if n < 0 || n >= len(p.Notes) || i > 0 && p.Notes[n].Pitch.Height() < p.Notes[f.Notes[i-1]].Pitch.Height() {
			t.Errorf("notes out of range or order: %v", f.Notes)
		}
	}
}

// Every kind is met in some table, so that a new kind cannot go untested.
func TestEveryKindIsTested(t *testing.T) {
	tested := map[string]bool{}
	for _, c := range checks() {
		for _, w := range c.want {
			kind, _, _ := strings.Cut(w, "@")
			tested[kind] = true
		}
	}
	for _, r := range Rules() {
		if !tested[string(r.Kind)] {
			t.Errorf("no case finds a %s", r.Kind)
		}
	}
}
