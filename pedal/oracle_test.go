package pedal

import (
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"pedalogue/pedal/internal/trial"
)

// The oracle knows the rules and no algorithm: it tries every string, and silence,
// for every note and every first setting that may matter, lets each pedal move when
// it must, and counts.
type oracle struct {
	p    *Passage
	o    Options
	best []int // the cheapest vector so far, in the order of the mode
	cost Cost

	strings []String // of each note; the zero String for silence
	again   bool     // the place of the first setting is played again
}

func bruteForce(p *Passage, o Options) Cost {
	or := &oracle{p: p, o: o, strings: make([]String, len(p.Notes))}
	for i, m := range p.Moments {
		or.again = or.again || i > 0 && m.Restart
	}
	or.spell(0)
	return or.cost
}

// spell tries every string for note n and those after it.
func (or *oracle) spell(n int) {
	if n == len(or.p.Notes) {
		or.play()
		return
	}
	note := or.p.Notes[n]
	or.strings[n] = String{}
	for l := range Letter(Letters) {
		for pos := Flat; pos <= Sharp; pos++ {
			for octave := note.Pitch.Octave - 1; octave <= note.Pitch.Octave+1; octave++ {
				height := 100 * (12*octave + l.Semitones() + int(pos))
				if height != 100*(12*note.Pitch.Octave+note.Pitch.Letter.Semitones())+note.Pitch.Cents {
					continue
				}
				own := l == note.Pitch.Letter
				simple := note.Pitch.Cents >= -100 && note.Pitch.Cents <= 100
				free := note.On == 0 || note.On.Has(note.Pitch.Letter)
				if !own && (note.Fixed || or.o.Mode == Written && simple && free) || note.On != 0 && !note.On.Has(l) {
					continue
				}
				or.strings[n] = String{Letter: l, Octave: octave, Position: pos, OK: true}
				or.spell(n + 1)
			}
		}
	}
	or.strings[n] = String{}
	or.spell(n + 1)
}

// play counts what the strings chosen cost, if they can be played.
func (or *oracle) play() {
	var cost Cost
	for _, m := range or.p.Moments {
		tones := map[Pitch]String{}
		for _, s := range m.Strikes {
			str, pitch := or.strings[s.Note], or.p.Notes[s.Note].Pitch
			if other, known := tones[pitch]; known && other != str {
				return // notes that are ever one tone are spelt alike
			}
			tones[pitch] = str
		}
		for pitch, str := range tones {
			switch {
			case !str.OK:
				cost.Unsounded++
			case str.Letter != pitch.Letter:
				cost.Respelt++
			}
		}
	}
	cost.Switches = or.switches()
	if or.best != nil && cost.Unsounded > or.best[0] {
		return
	}
	for _, foot := range []Foot{Left, Right} {
		ways := or.foot(foot)
		if len(ways) == 0 {
			return
		}
		best := slices.MinFunc(ways, func(a, b journey) int { return slices.Compare(a.vector(), b.vector()) })
		cost.Held += best.held
		cost.Rushed += best.rushed
		cost.Changes += best.changes
		cost.Notches += best.notches
	}
	v := cost.vector(or.o.Mode, or.o.prices())
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
	for _, m := range or.p.Moments {
		letters := map[name]map[Letter]bool{}
		for _, strike := range m.Strikes {
			pitch := or.p.Notes[strike.Note].Pitch
			n := name{pitch.Letter, pitch.Cents}
			if !or.strings[strike.Note].OK || or.p.Notes[strike.Note].Silent {
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

// A journey is what the pedals of a foot do.
type journey struct {
	held, rushed, changes, notches int
	jobs                           []job
}

func (j journey) vector() []int { return []int{j.held, j.rushed, j.changes, j.notches} }

// A job is a change: the first and the last time at which it may start.
type job struct{ open, last time.Duration }

// foot lists what the pedals of a foot may do, from each first setting; nothing if
// they cannot give what is asked for.
func (or *oracle) foot(f Foot) []journey {
	all := []journey{{}}
	for l := range Letter(Letters) {
		if l.Foot() != f {
			continue
		}
		firsts := []*Position{nil} // that of the first note
		switch {
		case or.o.Start != nil:
			firsts = []*Position{&or.o.Start[l]}
		case or.again:
			flat, natural, sharp := Flat, Natural, Sharp
			firsts = []*Position{&flat, &natural, &sharp}
		}
		var more []journey
		for _, first := range firsts {
			j, ok := or.pedal(l, first)
			if !ok {
				return nil
			}
			for _, before := range all {
				more = append(more, journey{
					before.held + j.held, 0, before.changes + j.changes, before.notches + j.notches, slices.Concat(before.jobs, j.jobs),
				})
			}
		}
		all = more
	}
	least := slices.MinFunc(all, func(a, b journey) int { return cmp.Compare(a.held, b.held) }).held
	all = slices.DeleteFunc(all, func(j journey) bool { return j.held > least })
	if or.o.Times().Foot == 0 {
		return all
	}
	for i := range all {
		all[i].rushed = len(all[i].jobs) - mostMade(all[i].jobs, or.o.Times().Foot)
	}
	return all
}

// pedal follows one pedal from its first position, or from that of its first note.
func (or *oracle) pedal(l Letter, first *Position) (j journey, ok bool) {
	start, pace := or.p.Moments[0], or.o.Times()
	pos, known := Position(0), first != nil
	attack, until, end := start.At, start.At, start.Onset
	floor := start.At
	if known {
		pos = *first
	}
	to := func(next Position, m Moment) {
		if known && next != pos {
			j.changes++
			j.notches += max(int(next-pos), int(pos-next))
			if end > m.Onset {
				j.held++
			}
			j.jobs = append(j.jobs, job{max(floor, min(until, max(attack+pace.Sounding, m.At-pace.Foot))), m.At - pace.Move})
			end, until, attack = 0, floor, floor
		}
		pos, known = next, true
	}
	for i, m := range or.p.Moments {
		if i > 0 && m.Restart && first != nil {
			to(*first, m)
			floor = m.At
		}
		for _, strike := range m.Strikes {
			str := or.strings[strike.Note]
			if !str.OK || str.Letter != l {
				continue
			}
			to(str.Position, m)
			attack, end, until = m.At, max(end, strike.End), max(until, strike.Until)
		}
		for _, strike := range m.Strikes {
			if str := or.strings[strike.Note]; str.OK && str.Letter == l && str.Position != pos {
				return j, false // one pedal cannot stand in two places
			}
		}
	}
	if or.o.End != nil && known && pos != or.o.End[l] {
		j.changes++
		j.notches += max(int(pos-or.o.End[l]), int(or.o.End[l]-pos))
	}
	return j, true
}

// mostMade is how many jobs one foot can do, in the best order.
func mostMade(jobs []job, foot time.Duration) int {
	var most func(left []job, free time.Duration) int
	most = func(left []job, free time.Duration) int {
		n := 0
		for i, j := range left {
			if start := max(free, j.open); start <= j.last {
				n = max(n, 1+most(slices.Delete(slices.Clone(left), i, i+1), start+foot))
			}
		}
		return n
	}
	return most(jobs, -time.Hour)
}

// randomPassage is a short passage with everything that can go wrong in it:
// clashes, double accidentals, held notes, grace notes, repeats, unisons, octaves,
// measures, and the first place again.
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
	for range r.IntN(3) * r.IntN(2) {
		p.Moments[r.IntN(moments)].Restart = true
	}
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
		for k := range measure + 1 {
			first := slices.IndexFunc(p.Moments, func(m Moment) bool { return m.Measure >= k })
			p.Measures = append(p.Measures, Measure{Written: k, First: first, Onset: p.Moments[first].Onset, End: p.Moments[first].Onset})
		}
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

// wish lets the player want some notes on one of their strings, as far as their
// unisons want the same, and makes others silent.
func wish(r *rand.Rand, p *Passage) {
	on := map[Pitch]LetterSet{}
	for i := range p.Notes {
		n := &p.Notes[i]
		ways := waysOf(AllStrings(), n.Pitch, nil)
		if r.IntN(8) == 0 && len(ways) > 0 && !n.Fixed && on[n.Pitch] == 0 {
			on[n.Pitch] = SetOf(ways[r.IntN(len(ways))].Letter, G)
		}
	}
	for i := range p.Notes {
		n := &p.Notes[i]
		if fixed := slices.ContainsFunc(p.Notes, func(o Note) bool { return o.Fixed && o.Pitch == n.Pitch }); !fixed {
			n.On = on[n.Pitch]
		}
		n.Silent = n.Fixed && r.IntN(3) == 0
	}
}

// TestOracle compares plans with the cheapest of all plans there are.
func TestOracle(t *testing.T) {
	for seed := range trial.Size[uint64](300, 800, 1500) {
		r := rand.New(rand.NewPCG(seed, 1))
		p := randomPassage(r, 3+r.IntN(4), 2+r.IntN(4))
		if seed%2 == 1 {
			p = randomNames(r, 5+r.IntN(4), 4+r.IntN(4))
		}
		if seed%4 > 1 {
			wish(r, p)
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
	for seed := range trial.Size[uint64](400, 1000, 3000) {
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

// repeatedPassage is a few printed measures, played with repeats, endings and from
// the beginning again.
func repeatedPassage(r *rand.Rand) *Passage {
	order := [][]int{
		{0, 0}, {0, 1, 0, 1}, {0, 1, 0, 2}, {0, 1, 1, 2}, {0, 0, 0}, {0, 1, 0, 1, 0}, {0, 1, 1, 0, 2}, {0, 1, 2, 0, 1}, {0, 1, 0, 2, 0},
	}[r.IntN(9)]
	p := &Passage{Key: *randomSetting(r)}
	tick := time.Duration(100+r.IntN(8)*50) * time.Millisecond
	letters := r.Perm(Letters)[:2+r.IntN(3)]
	type printed struct{ note, at, length int }
	measures := make([][]printed, slices.Max(order)+1)
	for i := range measures {
		for range 1 + r.IntN(2+2/len(measures)) {
			pitch := Pitch{Letter(letters[r.IntN(len(letters))]), 100 * (r.IntN(3) - 1), 3 + r.IntN(2)}
			if r.IntN(16) == 0 {
				pitch.Cents = []int{-200, 200, 50}[r.IntN(3)]
			}
			measures[i] = append(measures[i], printed{len(p.Notes), r.IntN(3), []int{0, 1, 1, 2, 3, 5}[r.IntN(6)]})
			p.Notes = append(p.Notes, Note{Pitch: pitch, Fixed: r.IntN(8) == 0})
		}
	}
	for pass, k := range order {
		for at := range 3 {
			onset := int64(3*pass + at)
			m := Moment{Onset: onset, At: time.Duration(onset) * tick, Beat: at == 0, Measure: pass, Restart: k == 0 && at == 0 && pass > 0}
			for _, n := range measures[k] {
				if n.at == at {
					end := onset + int64(n.length)
					m.Strikes = append(m.Strikes, Strike{n.note, end, time.Duration(end) * tick})
				}
			}
			if at == 0 {
				end := onset + 3
				p.Measures = append(p.Measures, Measure{
					Written: k, First: len(p.Moments), Onset: onset, At: m.At, End: end, Until: time.Duration(end) * tick, Sign: pass > 0 && k != order[pass-1]+1,
				})
			}
			if at == 0 || len(m.Strikes) > 0 {
				p.Moments = append(p.Moments, m)
			}
		}
	}
	return p
}

// TestPrintable compares plans of music with repeats with the cheapest of all plans
// that can be printed.
func TestPrintable(t *testing.T) {
	firsts := 0 // plans whose first setting is not that of the first notes
	for seed := range trial.Size[uint64](150, 500, 1200) {
		r := rand.New(rand.NewPCG(seed, 5))
		p := repeatedPassage(r)
		for _, mode := range Modes() {
			o := Options{Mode: mode, Instrument: AllStrings(), ChangePrice: r.IntN(4), SwitchPrice: r.IntN(4) - 1, FootTime: -time.Duration(r.IntN(2))}
			o.SoundingTime = time.Duration(r.IntN(3)) * 150 * time.Millisecond
			if r.IntN(8) == 0 {
				o.Start = randomSetting(r)
			}
			if r.IntN(8) == 0 {
				o.End = randomSetting(r)
			}
			plan := mustSolve(t, p, o)
			want := bruteForce(p, o)
			if mode != Balanced {
				want.Switches = plan.Cost.Switches // of the plan chosen
			}
			if plan.Cost != want || plan.Proof.Bound != want {
				t.Errorf("seed %d, %v: cost %+v, bound %+v, want %+v\n%s", seed, mode, plan.Cost, plan.Proof.Bound, want, describe(p, o))
			}
			for _, mv := range plan.Moves {
				if o.Start == nil && !slices.ContainsFunc(plan.Moves, func(o Move) bool { return o.Letter == mv.Letter && o.Needed < mv.Needed }) &&
					!used(p, plan, mv.Letter, mv.Needed) {
					firsts++
				}
			}
			if t.Failed() {
				return
			}
		}
	}
	if firsts == 0 {
		t.Error("every pedal begins where its first note needs it: the passages are too easy")
	}
}

// used tells whether a plan plays a letter before a moment.
func used(p *Passage, plan *Plan, l Letter, moment int) bool {
	for _, m := range p.Moments[:moment] {
		for _, s := range m.Strikes {
			if str := plan.Strings[s.Note]; str.OK && str.Letter == l {
				return true
			}
		}
	}
	return false
}

// describe writes a passage so that a failure can be read.
func describe(p *Passage, o Options) string {
	text := fmt.Sprintf("start %v end %v\n", o.Start, o.End)
	for _, m := range p.Moments {
		text += fmt.Sprintf("%d (%v, measure %d):", m.Onset, m.At, m.Measure)
		if m.Restart {
			text += " restart"
		}
		for _, s := range m.Strikes {
			n := p.Notes[s.Note]
			text += fmt.Sprintf(" #%d=%v to %d", s.Note, n.Pitch, s.End)
			if n.Fixed {
				text += fmt.Sprintf(" fixed, silent %v", n.Silent)
			}
			if n.On != 0 {
				text += fmt.Sprintf(" on %07b", n.On)
			}
		}
		text += "\n"
	}
	return text
}
