package pedaltest

import (
	"cmp"
	"math/bits"
	"slices"
	"time"

	"pedalogue/pedal"
)

// Rules are the choices that the contract leaves to the user, with every default
// filled in. Times are those of section 5 of the contract: how long a move takes,
// how far apart the starts of one foot lie, how long a string must have sounded.
type Rules struct {
	Mode                     pedal.Mode
	ChangePrice, SwitchPrice int           // weigh in mode Balanced only
	Move, Foot, Sounding     time.Duration // Foot is 0 where timing is off; then the others say nothing
	Harp                     pedal.Instrument
	Start, End               *pedal.Setting // nil for any
}

// Vector lists a cost in the order of the mode, most important first. Two costs
// of the same mode compare by their vectors. Switches are in it only where the mode
// weighs them.
func (r *Rules) Vector(c Cost) []int {
	switch r.Mode {
	case pedal.Free:
		return []int{c.Unsounded, c.Held, c.Rushed, c.Changes, c.Respelt, c.Notches}
	case pedal.Balanced:
		weighed := r.ChangePrice*c.Changes + r.SwitchPrice*c.Switches + c.Respelt
		return []int{c.Unsounded, c.Held, c.Rushed, weighed, c.Changes, c.Switches, c.Notches}
	}
	return []int{c.Unsounded, c.Held, c.Rushed, c.Respelt, c.Changes, c.Notches}
}

// A Cost counts what section 3 of the contract counts.
type Cost struct {
	Unsounded, Held, Rushed, Respelt, Switches, Changes, Notches int
}

// heights are the natural strings above the C below them, in semitones.
var heights = map[pedal.Letter]int{pedal.C: 0, pedal.D: 2, pedal.E: 4, pedal.F: 5, pedal.G: 7, pedal.A: 9, pedal.B: 11}

// stringsOf lists every string that may sound a pitch, in any mode. The octave of
// a string and that of the pitch may differ by one: B♯3 is C4.
func stringsOf(pitch pedal.Pitch, harp pedal.Instrument) (list []pedal.String) {
	if pitch.Cents%100 != 0 {
		return nil
	}
	height := 12*pitch.Octave + heights[pitch.Letter] + pitch.Cents/100
	reach := 2 + max(pitch.Cents, -pitch.Cents)/1200
	for octave := pitch.Octave - reach; octave <= pitch.Octave+reach; octave++ {
		for l := range pedal.Letter(pedal.Letters) {
			pos := height - 12*octave - heights[l]
			if pos >= -1 && pos <= 1 && harp.Has(pedal.StringName{Letter: l, Octave: octave}) {
				list = append(list, pedal.String{Letter: l, Position: pedal.Position(pos), Octave: octave, OK: true})
			}
		}
	}
	return list
}

// simple reports whether the written string has a position for the pitch.
func simple(p pedal.Pitch) bool { return p.Cents == -100 || p.Cents == 0 || p.Cents == 100 }

// own reports whether the string is the one that the pitch is written on.
func own(s pedal.String, p pedal.Pitch) bool { return s.Letter == p.Letter }

// ways lists the strings that notes may be played on that are spelt alike.
func (r *Rules) ways(notes []pedal.Note, tuned map[pedal.StringName]pedal.Position) []pedal.String {
	pitch, wanted, fixed := notes[0].Pitch, pedal.AllLetters, false
	for _, n := range notes {
		fixed = fixed || n.Fixed
		if n.On != 0 {
			wanted &= n.On
		}
	}
	list := stringsOf(pitch, r.Harp)
	// Mode Written leaves a written string only where the player rejects it, or wants
	// what the harp does not have.
	asWritten := r.Mode == pedal.Written && simple(pitch) && (wanted == pedal.AllLetters ||
		slices.ContainsFunc(list, func(s pedal.String) bool { return own(s, pitch) && wanted.Has(s.Letter) }))
	return slices.DeleteFunc(list, func(s pedal.String) bool {
		switch {
		case !wanted.Has(s.Letter):
			return true
		case own(s, pitch):
			return false
		case fixed || asWritten:
			return true
		}
		name := pedal.StringName{Letter: s.Letter, Octave: s.Octave}
		at, known := tuned[name]
		return !r.Harp.Disced(name) && (!known || at != s.Position)
	})
}

// tuning is how strings without discs are tuned: as the first note written on
// them wants, else as the first note wants that has no other string.
func (r *Rules) tuning(p *pedal.Passage) map[pedal.StringName]pedal.Position {
	written, only := map[pedal.StringName]pedal.Position{}, map[pedal.StringName]pedal.Position{}
	first := func(m map[pedal.StringName]pedal.Position, s pedal.String) {
		name := pedal.StringName{Letter: s.Letter, Octave: s.Octave}
		if _, known := m[name]; !known && r.Harp.Has(name) && !r.Harp.Disced(name) {
			m[name] = s.Position
		}
	}
	for _, m := range p.Moments {
		for _, strike := range m.Strikes {
			pitch := p.Notes[strike.Note].Pitch
			list := stringsOf(pitch, r.Harp)
			for _, s := range list {
				if own(s, pitch) {
					first(written, s)
				}
			}
			if len(list) == 1 {
				first(only, list[0])
			}
		}
	}
	for name, pos := range only {
		if _, known := written[name]; !known {
			written[name] = pos
		}
	}
	return written
}

// A tone is what one string sounds at one moment: strikes of the same letter,
// alteration and octave. The longest lasts.
type tone struct {
	moment int
	pitch  pedal.Pitch
	group  int           // of notes that are spelt alike; index into the groups
	end    int64         // of the longest strike, in ticks
	until  time.Duration // the same in seconds
	silent bool          // none of its notes sounds; they ask for their pedal
}

// tones lists the tones of a passage in playing order, and the groups of notes
// that are spelt alike, since they are ever one tone, by their first tone; of each
// its notes in ascending order.
func tones(p *pedal.Passage) (list []tone, groups [][]int) {
	parent := make([]int, len(p.Notes))
	for i := range parent {
		parent[i] = i
	}
	root := func(i int) int {
		for parent[i] != i {
			i = parent[i]
		}
		return i
	}
	var notes []int // a note of each tone
	struck := make([]bool, len(p.Notes))
	for i, m := range p.Moments {
		from := len(list)
		for _, s := range m.Strikes {
			struck[s.Note] = true
			pitch := p.Notes[s.Note].Pitch
			k := slices.IndexFunc(list[from:], func(t tone) bool { return t.pitch == pitch })
			if k < 0 {
				list, notes = append(list, tone{i, pitch, 0, s.End, s.Until, p.Notes[s.Note].Silent}), append(notes, s.Note)
				continue
			}
			t := &list[from+k]
			t.silent = t.silent && p.Notes[s.Note].Silent
			t.end, t.until = max(t.end, s.End), max(t.until, s.Until)
			parent[root(s.Note)] = root(notes[from+k])
		}
	}
	number := map[int]int{}
	for i := range list {
		g, known := number[root(notes[i])]
		if !known {
			g = len(groups)
			number[root(notes[i])] = g
			groups = append(groups, nil)
		}
		list[i].group = g
	}
	for i := range p.Notes {
		if struck[i] {
			g := number[root(i)]
			groups[g] = append(groups[g], i)
		}
	}
	return list, groups
}

// measureOf is the place in the playing order of a moment's measure.
func measureOf(p *pedal.Passage, moment int) int {
	if p.Measures == nil {
		return 0
	}
	return p.Moments[moment].Measure
}

// A job is a change as one foot sees it: the first and the last time at which it
// may start.
type job struct{ first, last time.Duration }

// mostInTime is how many jobs of one foot find a start in their window, at best,
// with the starts a foot time apart. It tries every set of jobs: the earliest that
// the last job of a set can start follows from the sets that are smaller by one.
func mostInTime(jobs []job, foot time.Duration) int {
	const never = time.Duration(1<<63 - 1)
	jobs = slices.DeleteFunc(slices.Clone(jobs), func(j job) bool { return j.first > j.last })
	if inTurn(jobs, foot) {
		return len(jobs)
	}
	free := make([]time.Duration, 1<<len(jobs)) // when the foot is free again after a set
	most := 0
	for set := 1; set < len(free); set++ {
		free[set] = never
		for i, j := range jobs {
			before := set &^ (1 << i)
			if before == set || free[before] == never {
				continue
			}
			start := j.first
			if before != 0 {
				start = max(start, free[before])
			}
			if start <= j.last {
				free[set] = min(free[set], start+foot)
			}
		}
		if free[set] != never {
			most = max(most, bits.OnesCount(uint(set)))
		}
	}
	return most
}

// inTurn reports whether all jobs find a start if they are done in the order of
// their last starts; if not, another order may do.
func inTurn(jobs []job, foot time.Duration) bool {
	slices.SortFunc(jobs, func(a, b job) int { return cmp.Compare(a.last, b.last) })
	var free time.Duration
	for i, j := range jobs {
		start := j.first
		if i > 0 {
			start = max(start, free)
		}
		if start > j.last {
			return false
		}
		free = start + foot
	}
	return true
}

// pick is the notes of some numbers.
func pick(p *pedal.Passage, numbers []int) (notes []pedal.Note) {
	for _, n := range numbers {
		notes = append(notes, p.Notes[n])
	}
	return notes
}
