package pedal

import (
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// The oracle knows the rules and no algorithm: it tries every string for every
// note and every way to leave strikes out, lets each pedal move when it must,
// and counts.
type oracle struct {
	p    *Passage
	o    Options
	best []int // the cheapest vector so far, in the order of the mode
	cost Cost

	strings []String // of each note; the zero String for none
	left    map[Dropped]bool
	merged  int // strikes that are one tone with another
}

func bruteForce(p *Passage, o Options) Cost {
	or := &oracle{p: p, o: o, strings: make([]String, len(p.Notes)), left: map[Dropped]bool{}}
	for _, m := range p.Moments {
		tones := map[Pitch]bool{}
		for _, s := range m.Strikes {
			tones[p.Notes[s.Note].Pitch] = true
		}
		or.merged += len(m.Strikes) - len(tones)
	}
	or.spell(0)
	return or.cost
}

// spell tries every string for note n and those after it.
func (or *oracle) spell(n int) {
	if n == len(or.p.Notes) {
		or.leave(0, 0)
		return
	}
	note := or.p.Notes[n]
	or.strings[n] = String{}
	or.spell(n + 1)
	for l := range Letter(Letters) {
		for pos := Flat; pos <= Sharp; pos++ {
			for octave := note.Pitch.Octave - 1; octave <= note.Pitch.Octave+1; octave++ {
				height := 100 * (12*octave + l.Semitones() + int(pos))
				if height != 100*(12*note.Pitch.Octave+note.Pitch.Letter.Semitones())+note.Pitch.Cents {
					continue
				}
				own := l == note.Pitch.Letter
				simple := note.Pitch.Cents >= -100 && note.Pitch.Cents <= 100
				if !own && (note.Fixed || or.o.Mode == Written && simple) {
					continue
				}
				or.strings[n] = String{Letter: l, Octave: octave, Position: pos, OK: true}
				or.spell(n + 1)
			}
		}
	}
	or.strings[n] = String{}
}

// leave tries to leave out every set of strikes from a place on.
func (or *oracle) leave(moment, strike int) {
	if moment == len(or.p.Moments) {
		or.play()
		return
	}
	if strike == len(or.p.Moments[moment].Strikes) {
		or.leave(moment+1, 0)
		return
	}
	if or.best != nil && len(or.left)-or.merged > or.best[0] {
		return
	}
	at := Dropped{moment, strike}
	if or.strings[or.p.Moments[moment].Strikes[strike].Note].OK {
		or.leave(moment, strike+1)
	}
	or.left[at] = true
	or.leave(moment, strike+1)
	delete(or.left, at)
}

// play counts what the strings and strikes chosen cost, if they can be played.
func (or *oracle) play() {
	type job struct{ open, last time.Duration } // between which it starts
	pace := or.o.Times()
	var cost Cost
	var jobs [2][]job
	for l := range Letter(Letters) {
		pos, known := Position(0), false
		var attack, until time.Duration
		var end int64
		if or.o.Start != nil {
			pos, known = or.o.Start[l], true
			attack, until, end = or.p.Moments[0].At, or.p.Moments[0].At, or.p.Moments[0].Onset
		}
		for i, m := range or.p.Moments {
			var asked []Position
			var longest int64
			var last time.Duration
			for s, strike := range m.Strikes {
				if str := or.strings[strike.Note]; str.Letter == l && str.OK && !or.left[Dropped{i, s}] {
					asked = append(asked, str.Position)
					longest, last = max(longest, strike.End), max(last, strike.Until)
				}
			}
			if len(asked) == 0 {
				continue
			}
			if slices.Min(asked) != slices.Max(asked) {
				return // one pedal cannot stand in two places
			}
			if known && pos != asked[0] {
				cost.Changes++
				cost.Notches += max(int(pos-asked[0]), int(asked[0]-pos))
				if end > m.Onset {
					cost.Held++
				}
				jobs[l.Foot()] = append(jobs[l.Foot()], job{min(until, max(attack+pace.Sounding, m.At-pace.Foot)), m.At - pace.Move})
				end, until = 0, 0
			}
			pos, known, attack = asked[0], true, m.At
			end, until = max(end, longest), max(until, last)
		}
		if or.o.End != nil && known && pos != or.o.End[l] {
			cost.Changes++
			cost.Notches += max(int(pos-or.o.End[l]), int(or.o.End[l]-pos))
		}
	}
	for i, m := range or.p.Moments {
		for _, a := range m.Strikes {
			for _, b := range m.Strikes {
				if or.p.Notes[a.Note].Pitch == or.p.Notes[b.Note].Pitch && or.strings[a.Note] != or.strings[b.Note] {
					return // notes that are ever one tone are spelt alike
				}
			}
		}
		sounding, silent := map[Pitch]String{}, map[Pitch]bool{}
		for s, strike := range m.Strikes {
			pitch := or.p.Notes[strike.Note].Pitch
			if or.left[Dropped{i, s}] {
				silent[pitch] = true
				continue
			}
			sounding[pitch] = or.strings[strike.Note]
		}
		cost.Unsounded += len(silent)
		for pitch, str := range sounding {
			if silent[pitch] {
				return
			}
			if str.Letter != pitch.Letter {
				cost.Respelt++
			}
		}
	}
	cost.Switches = or.switches()
	v := cost.vector(or.o.Mode, or.o.prices())
	if or.best != nil && slices.Compare(v[:2], or.best[:2]) > 0 {
		return
	}
	if foot := pace.Foot; foot > 0 {
		for _, list := range jobs {
			slices.SortFunc(list, func(a, b job) int { return cmp.Compare(a.open, b.open) })
			var most func(left []job, free time.Duration) int
			most = func(left []job, free time.Duration) int {
				n := 0
				for i, j := range left {
					if start := max(free, j.open); start <= j.last {
						rest := slices.Delete(slices.Clone(left), i, i+1)
						n = max(n, 1+most(rest, start+foot))
					}
				}
				return n
			}
			cost.Rushed += len(list) - most(list, -time.Hour)
		}
	}
	v = cost.vector(or.o.Mode, or.o.prices())
	if or.best == nil || slices.Compare(v[:], or.best) < 0 {
		or.best, or.cost = slices.Clone(v[:]), cost
	}
}

// switches counts them from the text of the rules: name by name, over all its
// moments.
func (or *oracle) switches() (count int) {
	type sound struct {
		measure int
		letters map[Letter]bool
	}
	sounds := map[name][]sound{}
	for i, m := range or.p.Moments {
		letters := map[name]map[Letter]bool{}
		for s, strike := range m.Strikes {
			pitch := or.p.Notes[strike.Note].Pitch
			n := name{pitch.Letter, pitch.Cents}
			if or.left[Dropped{i, s}] {
				continue
			}
			if letters[n] == nil {
				letters[n] = map[Letter]bool{}
			}
			letters[n][or.strings[strike.Note].Letter] = true
		}
		for n, l := range letters {
			sounds[n] = append(sounds[n], sound{m.Measure, l})
		}
	}
	for n, list := range sounds {
		for i, now := range list {
			var before map[Letter]bool
			if i > 0 && now.measure <= list[i-1].measure+2 {
				before = list[i-1].letters
			} else if n.cents >= -100 && n.cents <= 100 {
				before = map[Letter]bool{n.letter: true}
			}
			for l := range now.letters {
				if !before[l] {
					count++
				}
			}
			if before == nil {
				count-- // a double sharp or flat begins where it likes
			}
			count += len(now.letters) - 1
		}
	}
	return count
}

// randomPassage is a short passage with everything that can go wrong in it:
// clashes, double accidentals, held notes, grace notes, repeats, unisons, octaves,
// measures.
func randomPassage(r *rand.Rand, notes, moments int) *Passage {
	p := &Passage{}
	letters := r.Perm(Letters)[:2+r.IntN(3)]
	octaves := 1 + 2*r.IntN(2)
	for i := range notes {
		pitch := Pitch{Letter(letters[r.IntN(len(letters))]), 100 * (r.IntN(3) - 1), 4}
		if octaves > 1 && i > 0 && r.IntN(2) == 0 {
			pitch = p.Notes[r.IntN(i)].Pitch // doubled
		}
		pitch.Octave = 4 - octaves/2 + r.IntN(octaves)
		if r.IntN(12) == 0 {
			pitch.Cents = []int{-200, 200, 50}[r.IntN(3)]
		}
		p.Notes = append(p.Notes, Note{Pitch: pitch, Fixed: r.IntN(16) == 0})
	}
	tick := time.Duration(100+r.IntN(300)) * time.Millisecond
	randomMoments(r, p, moments, tick)
	strike := func(n int) {
		m := &p.Moments[r.IntN(moments)]
		for _, s := range m.Strikes {
			if s.Note == n {
				return
			}
		}
		end := m.Onset + int64([]int{0, 1, 1, 2, 4}[r.IntN(5)])
		m.Strikes = append(m.Strikes, Strike{Note: n, End: end, Until: time.Duration(end) * tick})
	}
	for n := range notes {
		strike(n)
		if r.IntN(3) == 0 {
			strike(n)
		}
	}
	return p
}

// randomMoments puts moments into a passage, and them into measures.
func randomMoments(r *rand.Rand, p *Passage, moments int, tick time.Duration) {
	at, measure := int64(0), 0
	for i := range moments {
		if i > 0 {
			at += int64([]int{0, 1, 1, 2, 3}[r.IntN(5)])
			measure += []int{0, 0, 1, 1, 2, 3}[r.IntN(6)]
		}
		p.Moments = append(p.Moments, Moment{Onset: at, At: time.Duration(at) * tick, Beat: r.IntN(2) == 0, Measure: measure})
	}
	if r.IntN(4) > 0 {
		p.Measures = make([]Measure, measure+1)
		return
	}
	for i := range p.Moments {
		p.Moments[i].Measure = 0
	}
}

// randomNames is a passage in which a few names that can be on two strings come
// again and again, in several octaves and measures.
func randomNames(r *rand.Rand, notes, moments int) *Passage {
	p := &Passage{}
	names := [][]name{
		{{C, -100}, {B, 0}, {C, 0}, {B, -100}},
		{{C, 100}, {D, -100}, {D, 0}, {C, 0}},
		{{F, 100}, {G, -100}, {F, 0}, {G, 0}},
		{{E, 0}, {F, -100}, {F, 0}, {E, 100}},
		{{B, 200}, {C, 100}, {D, 0}, {B, 0}},
		{{A, 200}, {B, 0}, {C, -100}, {C, 0}},
	}[r.IntN(6)]
	tick := time.Duration(100+r.IntN(300)) * time.Millisecond
	randomMoments(r, p, moments, tick)
	for n := range notes {
		called := names[min(r.IntN(4), r.IntN(4))]
		p.Notes = append(p.Notes, Note{Pitch: Pitch{called.letter, called.cents, 3 + r.IntN(3)}})
		m := &p.Moments[r.IntN(moments)]
		end := m.Onset + int64(r.IntN(3))
		m.Strikes = append(m.Strikes, Strike{Note: n, End: end, Until: time.Duration(end) * tick})
	}
	return p
}

func randomSetting(r *rand.Rand) *Setting {
	var s Setting
	for l := range s {
		s[l] = Position(r.IntN(3) - 1)
	}
	return &s
}

// TestOracle compares plans with the cheapest of all plans there are.
func TestOracle(t *testing.T) {
	seeds := uint64(1500)
	if testing.Short() {
		seeds = 300
	}
	for seed := range seeds {
		r := rand.New(rand.NewPCG(seed, 1))
		p := randomPassage(r, 3+r.IntN(4), 2+r.IntN(4))
		if seed%2 == 1 {
			p = randomNames(r, 5+r.IntN(4), 4+r.IntN(4))
		}
		for _, mode := range Modes() {
			o := Options{Mode: mode, Instrument: AllStrings(), ChangePrice: r.IntN(4), SwitchPrice: r.IntN(4) - 1}
			switch r.IntN(4) {
			case 0:
				o.FootTime = -1
			case 1: // any, so that none is always of no account
				o.FootTime = time.Duration(1+r.IntN(8)) * 100 * time.Millisecond
				o.MoveTime = min(o.FootTime, time.Duration(r.IntN(8)-1)*100*time.Millisecond)
				o.SoundingTime = time.Duration(r.IntN(5)-1) * 100 * time.Millisecond
			}
			if r.IntN(4) == 0 {
				o.Start = randomSetting(r)
			}
			if r.IntN(4) == 0 {
				o.End = randomSetting(r)
			}
			plan, err := Solve(context.Background(), p, o)
			if err != nil {
				t.Fatalf("seed %d, %v: %v", seed, mode, err)
			}
			if err := Verify(p, o, plan); err != nil {
				t.Errorf("seed %d, %v: %v", seed, mode, err)
			}
			want := bruteForce(p, o)
			if mode != Balanced {
				want.Switches = plan.Cost.Switches // of the plan chosen
			}
			if plan.Cost != want {
				t.Errorf("seed %d, %v, times %v: cost %+v, want %+v\n%s", seed, mode, o.Times(), plan.Cost, want, describe(p, o))
			}
			if !plan.Proof.Minimal || plan.Proof.Bound != want {
				t.Errorf("seed %d, %v: proof %+v, want all of %+v", seed, mode, plan.Proof, want)
			}
			if t.Failed() {
				return
			}
		}
	}
}

// octavePassage asks for two pedals of one foot in short time, after a chord with
// octaves that could ask for one of them earlier: a note of it on its other string,
// the others where they are.
func octavePassage(r *rand.Rand) *Passage {
	pair := [][2]Pitch{
		{{C, 100, 4}, {D, -100, 4}}, {{B, 0, 3}, {C, -100, 4}}, {{E, 0, 4}, {F, -100, 4}},
		{{F, 100, 4}, {G, -100, 4}}, {{C, 0, 4}, {B, 100, 3}}, {{G, 100, 4}, {A, -100, 4}},
	}[r.IntN(6)]
	if r.IntN(2) == 0 {
		pair[0], pair[1] = pair[1], pair[0]
	}
	other := pair[1]
	var mates []Letter
	for l := range Letter(Letters) {
		if l.Foot() == other.Letter.Foot() && l != other.Letter && l != pair[0].Letter {
			mates = append(mates, l)
		}
	}
	mate := Pitch{mates[r.IntN(len(mates))], 0, 4}
	away := func(p Pitch) Pitch { // the same letter elsewhere
		for c := p.Cents; p.Cents == c; {
			p.Cents = 100 * (r.IntN(3) - 1)
		}
		return p
	}
	p := &Passage{}
	tick := time.Duration(100+r.IntN(20)*10) * time.Millisecond
	at := int64(0)
	moment := func(gap int) *Moment {
		if len(p.Moments) > 0 {
			at += int64(gap)
		}
		p.Moments = append(p.Moments, Moment{Onset: at, At: time.Duration(at) * tick})
		return &p.Moments[len(p.Moments)-1]
	}
	strike := func(m *Moment, pitch Pitch, fixed bool, length int) {
		end := m.Onset + int64(length)
		m.Strikes = append(m.Strikes, Strike{Note: len(p.Notes), End: end, Until: time.Duration(end) * tick})
		p.Notes = append(p.Notes, Note{Pitch: pitch, Fixed: fixed})
	}
	first := 1 + r.IntN(10)
	m := moment(0)
	strike(m, away(other), true, first-r.IntN(2)+r.IntN(3))
	strike(m, mate, true, first-r.IntN(2)+r.IntN(3))
	m = moment(first)
	for _, oct := range r.Perm(3)[:2] {
		q := pair[0]
		q.Octave += oct - 1
		strike(m, q, false, []int{0, 1, 2, 4, 20}[r.IntN(5)])
	}
	last := []func(*Moment){
		func(m *Moment) { strike(m, other, true, r.IntN(3)) },
		func(m *Moment) { strike(m, away(mate), true, r.IntN(3)) },
		func(m *Moment) { q := away(other); q.Octave++; strike(m, q, r.IntN(2) == 0, r.IntN(3)) },
		func(m *Moment) { q := pair[0]; q.Octave++; strike(m, q, true, r.IntN(3)) },
	}
	for i, k := range r.Perm(4)[:2+r.IntN(3)] {
		if i == 0 || r.IntN(4) > 0 {
			m = moment(1 + r.IntN(5))
		}
		last[k](m)
	}
	return p
}

// TestOctaves compares plans with the cheapest there are where one of several
// octaves has to be respelt to gain time.
func TestOctaves(t *testing.T) {
	seeds := uint64(3000)
	if testing.Short() {
		seeds = 400
	}
	for seed := range seeds {
		r := rand.New(rand.NewPCG(seed, 77))
		p := octavePassage(r)
		for _, mode := range []Mode{Needed, Balanced, Free} {
			o := Options{Mode: mode, Instrument: AllStrings(), ChangePrice: r.IntN(4)}
			plan := mustSolve(t, p, o)
			if want := bruteForce(p, o); plan.Cost != want || !plan.Proof.Minimal {
				t.Fatalf("seed %d, %v: cost %+v, minimal %v, want %+v\n%s", seed, mode, plan.Cost, plan.Proof.Minimal, want, describe(p, o))
			}
		}
	}
}

// describe writes a passage so that a failure can be read.
func describe(p *Passage, o Options) string {
	text := fmt.Sprintf("start %v end %v\n", o.Start, o.End)
	for _, m := range p.Moments {
		text += fmt.Sprintf("%d (%v, measure %d):", m.Onset, m.At, m.Measure)
		for _, s := range m.Strikes {
			n := p.Notes[s.Note]
			text += fmt.Sprintf(" #%d=%v to %d", s.Note, n.Pitch, s.End)
			if n.Fixed {
				text += " fixed"
			}
		}
		text += "\n"
	}
	return text
}
