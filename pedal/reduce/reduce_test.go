package reduce_test

import (
	"slices"
	"testing"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/reduce"
	"pedalogue/pedal/revise"
)

// struck is chords of some ticks each, on staves by their octave: 1 from octave 4 up.
func struck(t *testing.T, tick time.Duration, chords ...[]string) *finding.Music {
	t.Helper()
	b := pedal.Builder{Tick: tick, Beat: 2}
	for _, c := range chords {
		b.Strike(1, c...)
		b.Wait(1)
	}
	p, err := b.Passage()
	if err != nil {
		t.Fatal(err)
	}
	for i := range p.Notes {
		p.Notes[i].Staff = 2
		if p.Notes[i].Pitch.Octave >= 4 {
			p.Notes[i].Staff = 1
		}
	}
	return &finding.Music{Passage: p}
}

func chords(list ...string) (out [][]string) {
	for _, c := range list {
		var notes []string
		for len(c) > 0 {
			n := 2
			if len(c) > 2 && c[1] != ' ' && (c[1] == '#' || c[1] == 'b') {
				n = 3
			}
			notes = append(notes, c[:n])
			c = c[n:]
			if len(c) > 0 && c[0] == ' ' {
				c = c[1:]
			}
		}
		out = append(out, notes)
	}
	return out
}

func TestMusic(t *testing.T) {
	const second = time.Second
	for _, tt := range []struct {
		why    string
		tick   time.Duration
		chords []string
		o      reduce.Options
		want   string
		loss   revise.Loss
		kinds  []finding.Kind
	}{
		{"nothing to do", second, []string{"C3 G3 C4 E4", "D4"}, reduce.Options{}, "", revise.Loss{}, nil},
		{"nine notes: a doubled inner one goes", second, []string{"C2 G2 C3 E3 G3 C4 E4 G4 C5", "D4"}, reduce.Options{},
			"Leave out G3.", revise.Loss{Notes: 1, Doubled: 1}, []finding.Kind{"too-many-notes"}},
		{"an eleventh in each hand: rolled where there is time", second, []string{"C2 F3 G4 C6", "D4"}, reduce.Options{},
			"Roll the chord.", revise.Loss{Rolled: 1}, []finding.Kind{"wide-chord"}},
		{"the same without time: a note of each hand leaps", 100 * time.Millisecond, []string{"C2 F3 G4 C6", "E3"}, reduce.Options{},
			"Play F3 as F2 and G4 as G5.", revise.Loss{Moved: 2}, []finding.Kind{"wide-chord"}},
		{"a roll that is dear", second, []string{"C2 C3 E3 E4 G4 G5 C6 E6", "D4"}, reduce.Options{RollPrice: 9}, "Leave out E4 and G4.", revise.Loss{Notes: 2, Doubled: 2}, nil},
		{"beyond the strings", second, []string{"A0 A2", "D4"}, reduce.Options{}, "Leave out A0.", revise.Loss{Bass: 1, Notes: 1, Doubled: 1}, []finding.Kind{"out-of-compass"}},
		{"the low C in two tunings: as most want it", second, []string{"C1 G3", "C#1 G3", "C#1 G3"}, reduce.Options{}, "", revise.Loss{}, []finding.Kind{"two-tunings"}},
		{"a lowest string D, tuned otherwise than a C♯ below the harp wants it", second, []string{"D1 D3", "C#1 C#3", "C#1 C#3", "D3"},
			reduce.Options{Judge: finding.Options{Plan: pedal.Options{Instrument: pedal.SemiGrand46()}}}, "", revise.Loss{}, []finding.Kind{"two-tunings"}},
		{"one string for both staves", second, []string{"C4 E4 C4"}, reduce.Options{}, "Leave out C4.", revise.Loss{Notes: 1, Doubled: 1}, []finding.Kind{"one-string-twice"}},
		{"no strings for three neighbours", second, []string{"G4 G#4 A4", "D4"}, reduce.Options{}, "", revise.Loss{}, []finding.Kind{"string-clash"}},
	} {
		m := struck(t, tt.tick, chords(tt.chords...)...)
		if tt.kinds != nil && tt.kinds[0] == "one-string-twice" {
			m.Passage.Notes[0].Staff = 2
		}
		done, err := reduce.Music(t.Context(), m, tt.o)
		if err != nil {
			t.Fatal(err)
		}
		text := revise.Sentence(m, done.Ops)
		if tt.want != "" && text != tt.want || len(done.Unsolved) > 0 {
			t.Errorf("%s: %q, want %q; unsolved %v", tt.why, text, tt.want, done.Unsolved)
		}
		if tt.want != "" && len(done.Reductions) == 1 && done.Reductions[0].Loss != tt.loss {
			t.Errorf("%s: loses %+v, want %+v", tt.why, done.Reductions[0].Loss, tt.loss)
		}
		for _, r := range done.Reductions {
			if tt.kinds != nil && !slices.Equal(r.For, tt.kinds) || !r.Verified {
				t.Errorf("%s: for %v, verified %v; want for %v", tt.why, r.For, r.Verified, tt.kinds)
			}
		}
		if grave(t, done.Revised.Music) > 0 {
			t.Errorf("%s: something is left", tt.why)
		}
	}
}

// What must stay stays, even if a place cannot be solved then.
func TestKeep(t *testing.T) {
	m := struck(t, time.Second, chords("A0 A2", "D4")...)
	done, err := reduce.Music(t.Context(), m, reduce.Options{KeepBass: true})
	if err != nil {
		t.Fatal(err)
	}
	if len(done.Ops) > 0 || len(done.Unsolved) != 1 {
		t.Errorf("the bass is kept by %v, unsolved %v", done.Ops, done.Unsolved)
	}
	for _, harp := range []pedal.Instrument{pedal.SemiGrand46(), pedal.Concert47()} {
		low := struck(t, time.Second, chords("D1 D3", "Db1 D4", "Db1 D4")...)
		done, err = reduce.Music(t.Context(), low, reduce.Options{Keep: func(n int) bool { return n == 0 }, Judge: finding.Options{Plan: pedal.Options{Instrument: harp}}})
		if err != nil {
			t.Fatal(err)
		}
		if len(done.Unsolved) > 0 {
			t.Errorf("two notes that want another tuning than one that is kept: %v, unsolved %v", done.Ops, done.Unsolved)
		}
	}
	fast := struck(t, 100*time.Millisecond, chords("C5", "C5", "C5", "C5")...)
	done, err = reduce.Music(t.Context(), fast, reduce.Options{KeepMelody: true, Keep: func(int) bool { return false }})
	if err != nil {
		t.Fatal(err)
	}
	for _, op := range done.Ops {
		if op.Do != revise.OtherString {
			t.Errorf("the melody is kept by %v", op)
		}
	}
}
