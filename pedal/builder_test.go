package pedal

import (
	"slices"
	"strings"
	"testing"
	"time"
)

func TestParsePitch(t *testing.T) {
	for text, want := range map[string]Pitch{
		"C4": {C, 0, 4}, "C♯4": {C, 100, 4}, "C#4": {C, 100, 4}, "Bb3": {B, -100, 3}, "B♭3": {B, -100, 3}, "E♮5": {E, 0, 5}, "En5": {E, 0, 5},
		"F𝄪4": {F, 200, 4}, "Fx4": {F, 200, 4}, "F##4": {F, 200, 4}, "G𝄫2": {G, -200, 2}, "Gbb2": {G, -200, 2}, "A♯♯♯4": {A, 300, 4},
		"B-1": {B, 0, -1}, "C(0.5)5": {C, 50, 5}, "C(-1.25)10": {C, -125, 10},
	} {
		got, err := ParsePitch(text)
		if err != nil || got != want {
			t.Errorf("%q: %+v, %v, want %+v", text, got, err, want)
		}
		if again, err := ParsePitch(got.String()); err != nil || again != got {
			t.Errorf("%q is written %q, which reads %+v, %v", text, got, again, err)
		}
	}
	for _, text := range []string{"", "C", "4", "c4", "H4", "C♯", "C 4", "C4♯", "C(4", "C()4", "C(NaN)4", "C(1e9)4", "C4.5", "C99999999", "D99999999999999999999"} {
		if p, err := ParsePitch(text); err == nil || !strings.Contains(err.Error(), "is not a pitch") {
			t.Errorf("%q: %+v, %v, want an error", text, p, err)
		}
	}
}

// A measure with a grace note, played again after another one in another tempo.
func TestBuilder(t *testing.T) {
	b := Builder{Tick: 250 * time.Millisecond, Beat: 2}
	b.Grace("B4")
	c := b.Strike(6, "C4", "C5") // over the barline
	b.Wait(1)
	b.Strike(1, "D5")
	b.Wait(3)
	b.Bar()
	b.Tick *= 2
	b.Wait(4)
	b.Again(0, 0)
	p, err := b.Passage()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.check(); err != nil {
		t.Fatal(err)
	}
	type moment struct {
		onset                 int64
		at                    time.Duration
		beat, grace, restart  bool
		measure, notes, first int
	}
	ms := func(n int) time.Duration { return time.Duration(n) * time.Millisecond }
	want := []moment{
		{0, 0, false, true, false, 0, 1, 0}, {0, 0, true, false, false, 0, 2, 1}, {1, ms(250), false, false, false, 0, 1, 3}, {2, ms(500), true, false, false, 0, 0, 0},
		{4, ms(1000), true, false, false, 1, 0, 0}, {6, ms(2000), true, false, false, 1, 0, 0},
		{8, ms(3000), false, true, true, 2, 1, 0}, {8, ms(3000), true, false, false, 2, 2, 1}, {9, ms(3250), false, false, false, 2, 1, 3}, {10, ms(3500), true, false, false, 2, 0, 0},
	}
	var got []moment
	for _, m := range p.Moments {
		x := moment{m.Onset, m.At, m.Beat, m.Grace, m.Restart, m.Measure, len(m.Strikes), 0}
		if len(m.Strikes) > 0 {
			x.first = m.Strikes[0].Note
		}
		got = append(got, x)
	}
	if !slices.Equal(got, want) {
		t.Errorf("moments\n%+v, want\n%+v", got, want)
	}
	if s := p.Moments[1].Strikes[0]; c != 1 || s != (Strike{1, 6, ms(2000)}) {
		t.Errorf("C4 is note %d, struck as %+v: want note 1, to tick 6, a second into the second measure", c, s)
	}
	if s := p.Moments[7].Strikes[1]; s != (Strike{2, 14, ms(4500)}) {
		t.Errorf("C5 is struck again as %+v: want the same note, to tick 14, past the last barline by its own tempo", s)
	}
	wantMeasures := []Measure{
		{Written: 0, End: 4, Until: ms(1000), Sign: true},
		{Written: 1, First: 4, Onset: 4, At: ms(1000), End: 8, Until: ms(3000), Sign: true},
		{Written: 0, First: 6, Onset: 8, At: ms(3000), End: 12, Until: ms(4000), Sign: true},
	}
	if !slices.Equal(p.Measures, wantMeasures) {
		t.Errorf("measures\n%+v, want\n%+v", p.Measures, wantMeasures)
	}
}

func TestBuilderTellsMistakes(t *testing.T) {
	for name, build := range map[string]func(*Builder){
		"no tick":                 func(b *Builder) { b.Tick = 0; b.Strike(1, "C4") },
		"beats that run back":     func(b *Builder) { b.Beat = -1; b.Strike(1, "C4") },
		"no pitch":                func(b *Builder) { b.Strike(1, "H4"); b.Strike(1, "C4") },
		"a note of negative time": func(b *Builder) { b.Strike(-1, "C4") },
		"a wait backwards":        func(b *Builder) { b.Wait(-1) },
		"no such measure":         func(b *Builder) { b.Strike(1, "C4"); b.Again(0, 1) },
		"measures back to front":  func(b *Builder) { b.Wait(1); b.Bar(); b.Wait(1); b.Again(1, 0) },
	} {
		b := Builder{Tick: time.Second}
		build(&b)
		if _, err := b.Passage(); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if p, err := new(Builder).Passage(); err != nil || len(p.Moments) > 0 {
		t.Errorf("nothing put down: %+v, %v", p, err)
	}
}
