package reduce_test

import (
	"cmp"
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/reduce"
	"pedalogue/pedal/revise"
)

// vector orders losses as the package comment has it, written anew for the tests.
func vector(l revise.Loss) [7]int {
	return [7]int{l.Melody, l.Bass, l.PitchClasses, l.Notes - l.Doubled, l.Moved, 2*l.Rolled + l.Doubled, l.Hands}
}

func less(a, b [7]int) int { return slices.Compare(a[:], b[:]) }

// grave counts what must not be left: all that reduce treats.
func grave(t *testing.T, m *finding.Music) int {
	t.Helper()
	plan, err := pedal.Solve(t.Context(), m.Passage, pedal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	found, err := finding.All(m, plan, finding.Options{})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, f := range found {
		if slices.Contains(reduce.Kinds(), f.Kind) && (f.Severity >= finding.Warning || f.Kind == "one-string-twice") {
			n++
		}
	}
	return n
}

// A deed is one way to treat a note: what is done, nil to keep it.
type deed []revise.Op

// cheapest tries every combination of deeds, those that cost least first, and returns
// the loss of the first with which nothing is found. ok is false if there is none.
func cheapest(t *testing.T, m *finding.Music, deeds [][]deed, hopeless func([]revise.Op) bool) (best [7]int, ops []revise.Op, ok bool) {
	t.Helper()
	byLoss := map[[7]int][][]revise.Op{}
	var walk func(i int, ops []revise.Op)
	ledger := revise.NewLedger(m)
	walk = func(i int, ops []revise.Op) {
		if i < len(deeds) {
			for _, d := range deeds[i] {
				walk(i+1, append(ops[:len(ops):len(ops)], d...))
			}
			return
		}
		ops = rolledFrom(m, ops)
		if hopeless == nil || !hopeless(ops) {
			v := vector(ledger.Of(ops))
			byLoss[v] = append(byLoss[v], ops)
		}
	}
	walk(0, nil)
	var order [][7]int
	for v := range byLoss {
		order = append(order, v)
	}
	slices.SortFunc(order, less)
	for _, v := range order {
		for _, ops := range byLoss[v] {
			r, err := revise.Apply(m, ops)
			if err == nil && grave(t, r.Music) == 0 {
				return v, ops, true
			}
		}
	}
	return best, nil, false
}

// rolledFrom lets a roll of note -1 be one of the first note of the first moment that is
// neither left out nor a grace note.
func rolledFrom(m *finding.Music, ops []revise.Op) []revise.Op {
	i := slices.IndexFunc(ops, func(o revise.Op) bool { return o.Do == revise.Roll })
	if i < 0 {
		return ops
	}
	ops = slices.Clone(ops)
	for _, s := range m.Passage.Moments[0].Strikes {
		if !slices.ContainsFunc(ops, func(o revise.Op) bool { return o.Note == s.Note && (o.Do == revise.LeaveOut || o.Do == revise.Grace) }) {
			ops[i].Note = s.Note
			break
		}
	}
	return ops
}

// told writes music down for messages.
func told(m *finding.Music) string {
	s := ""
	for _, mo := range m.Passage.Moments {
		s += fmt.Sprintf("%v:", mo.At)
		for _, st := range mo.Strikes {
			n := m.Passage.Notes[st.Note]
			s += fmt.Sprintf(" %v/%d", n.Pitch, n.Staff)
		}
		s += "; "
	}
	return s
}

// randomPitch is a pitch between two octaves, with some signs.
func randomPitch(rng *rand.Rand, low, high int) string {
	return string("CDEFGAB"[rng.IntN(7)]) + []string{"", "", "", "", "♯", "♭"}[rng.IntN(6)] + string(rune('0'+low+rng.IntN(high-low+1)))
}

// chordOf is one chord, struck on a beat, on two staves, followed by another after a
// time.
func chordOf(t *testing.T, rng *rand.Rand, size int) *finding.Music {
	t.Helper()
	b := pedal.Builder{Tick: time.Duration(100+rng.IntN(500)) * time.Millisecond, Beat: 2}
	var names []string
	for len(names) < size {
		if p := randomPitch(rng, 2, 5); !slices.Contains(names, p) {
			names = append(names, p)
		}
	}
	b.Strike(1, names...)
	b.Wait(1)
	b.Strike(1, "D4")
	b.Wait(1)
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

// long asks for the whole trial, which takes some minutes: go test -timeout 0
// ./pedal/reduce -long.
var long = flag.Bool("long", false, "try chords of up to ten notes, and ten times as many windows")

// Chords of up to ten notes are reduced at the least cost: every combination is tried.
func TestChordsAgainstAllWays(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 1))
	cases, most := 20, 8
	if *long {
		cases, most = 60, 10
	}
	reduced := 0
	for range cases {
		m := chordOf(t, rng, 3+rng.IntN(most-2))
		if grave(t, m) == 0 {
			continue
		}
		reduced++
		size := len(m.Passage.Notes) - 1
		deeds := make([][]deed, 0, size+1)
		low := 0
		for n := range size {
			if cmp.Compare(height(m, n), height(m, low)) < 0 {
				low = n
			}
		}
		for n := range size {
			list := []deed{nil, {{Do: revise.LeaveOut, Note: n}}, {{Do: revise.Octave, Note: n, Octaves: 1}}, {{Do: revise.Octave, Note: n, Octaves: -1}}}
			if n == low && size > 1 {
				list = append(list, deed{{Do: revise.Grace, Note: n}})
			}
			deeds = append(deeds, list)
		}
		deeds = append(deeds, []deed{nil, {{Do: revise.Roll, Note: -1}}})
		want, ops, ok := cheapest(t, m, deeds, func(ops []revise.Op) bool { return !together(m, size, ops) })
		done, err := reduce.Music(t.Context(), m, reduce.Options{})
		if err != nil {
			t.Fatal(err)
		}
		got := vector(revise.LossOf(m, done.Ops))
		if !ok || got != want || len(done.Unsolved) > 0 {
			t.Errorf("%s\ncosts %v by %s\n want %v by %s; unsolved %v", told(m), got, revise.Sentence(m, done.Ops), want, revise.Sentence(m, ops), done.Unsolved)
		}
	}
	t.Logf("%d of %d chords had to be reduced", reduced, cases)
	if reduced < cases/4 {
		t.Error("too few chords had to be reduced for the test to mean anything")
	}
}

func height(m *finding.Music, n int) int {
	p := m.Passage.Notes[n].Pitch
	return 1200*p.Octave + 100*p.Letter.Semitones() + p.Cents
}

// together tells whether operations can be done together in one chord: eight pitches at
// most (two notes of one pitch can be one string), two notes never on one string by a move, a
// roll of what is there, with time.
func together(m *finding.Music, size int, ops []revise.Op) bool {
	gone, at := map[int]bool{}, map[pedal.Pitch]int{}
	roll := -2
	moved := map[int]int{}
	for _, op := range ops {
		switch op.Do {
		case revise.LeaveOut, revise.Grace:
			gone[op.Note] = true
		case revise.Octave:
			moved[op.Note] = op.Octaves
		case revise.Roll:
			roll = op.Note
		}
	}
	pitches := map[int]bool{}
	for n := range size {
		if gone[n] {
			continue
		}
		p := m.Passage.Notes[n].Pitch
		p.Octave += moved[n]
		pitches[p.Height()] = true
		if at[p]++; at[p] > 1 && len(moved) > 0 {
			return false
		}
	}
	if roll == -1 || roll >= 0 && (gone[roll] || time.Duration(len(pitches))*50*time.Millisecond > m.Passage.Moments[1].At) {
		return false
	}
	return len(pitches) <= 8
}

// windowOf is a few moments that come fast.
func windowOf(t *testing.T, rng *rand.Rand) *finding.Music {
	t.Helper()
	b := pedal.Builder{Tick: time.Duration(60+rng.IntN(200)) * time.Millisecond, Beat: 2}
	notes := 0
	var staves []int
	var last []string
	for range 2 + rng.IntN(3) {
		size := 1 + rng.IntN(2)
		if notes += size; notes > 6 {
			break
		}
		var names []string
		for len(names) < size {
			p := randomPitch(rng, 3, 5)
			if len(last) > 0 && rng.IntN(2) == 0 {
				p = last[rng.IntN(len(last))]
			}
			if !slices.Contains(names, p) {
				names = append(names, p)
			}
		}
		b.Strike(1, names...)
		b.Wait(1)
		last = names
		for range names {
			staves = append(staves, 1+rng.IntN(2))
		}
	}
	p, err := b.Passage()
	if err != nil {
		t.Fatal(err)
	}
	for i := range p.Notes {
		p.Notes[i].Staff = staves[i]
	}
	return &finding.Music{Passage: p}
}

// mayBeGrace tells whether a note is the lowest of a chord and may come 0.1 s before it: then
// nothing else is plucked, and no note of its pitch in the 0.2 s before.
func mayBeGrace(m *finding.Music, note int) bool {
	all := m.Passage.Moments
	for i := range all {
		if len(all[i].Strikes) < 2 || !slices.ContainsFunc(all[i].Strikes, func(s pedal.Strike) bool { return s.Note == note }) {
			continue
		}
		for _, s := range all[i].Strikes {
			if height(m, s.Note) < height(m, note) || height(m, s.Note) == height(m, note) && s.Note < note {
				return false
			}
		}
		at := all[i].At - 100*time.Millisecond
		for _, before := range all[:i] {
			for _, s := range before.Strikes {
				if before.At > at || height(m, s.Note) == height(m, note) && before.At > at-200*time.Millisecond {
					return false
				}
			}
		}
		return true
	}
	return false
}

// Windows of up to four moments are reduced at the least cost.
func TestWindowsAgainstAllWays(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 2))
	cases := 60
	if *long {
		cases = 600
	}
	reduced := 0
	for range cases {
		m := windowOf(t, rng)
		if grave(t, m) == 0 {
			continue
		}
		reduced++
		plan, err := pedal.Solve(t.Context(), m.Passage, pedal.Options{})
		if err != nil {
			t.Fatal(err)
		}
		var deeds [][]deed
		for n := range m.Passage.Notes {
			staff := 3 - m.Passage.Notes[n].Staff
			list := []deed{nil, {{Do: revise.LeaveOut, Note: n}}, {{Do: revise.Octave, Note: n, Octaves: 1}}, {{Do: revise.Octave, Note: n, Octaves: -1}},
				{{Do: revise.OtherHand, Note: n, Staff: staff}}}
			for l := range pedal.Letter(pedal.Letters) {
				op := revise.Op{Do: revise.OtherString, Note: n, Letter: l, Renamed: true}
				if l == m.Passage.Notes[n].Pitch.Letter && l == plan.Strings[n].Letter {
					continue // as it is
				}
				if _, err := revise.Apply(m, []revise.Op{op}); err == nil {
					list = append(list, deed{op})
				}
			}
			if mayBeGrace(m, n) {
				list = append(list, deed{{Do: revise.Grace, Note: n}})
			}
			deeds = append(deeds, list)
		}
		want, ops, ok := cheapest(t, m, deeds, nil)
		done, err := reduce.Music(t.Context(), m, reduce.Options{})
		if err != nil {
			t.Fatal(err)
		}
		got := vector(revise.LossOf(m, done.Ops))
		if !ok || got != want || len(done.Unsolved) > 0 {
			t.Errorf("%s\ncosts %v by %s\n want %v by %s; unsolved %v", told(m), got, revise.Sentence(m, done.Ops), want, revise.Sentence(m, ops), done.Unsolved)
		}
	}
	t.Logf("%d of %d windows had to be reduced", reduced, cases)
	if reduced < cases/4 {
		t.Error("too few windows had to be reduced for the test to mean anything")
	}
}
