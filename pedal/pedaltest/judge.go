package pedaltest

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"pedalogue/pedal"
)

// Judge reckons every number of a plan anew from what the plan decides: its strings,
// its first setting and when its feet move. It returns all that is wrong, nil if
// nothing is. It does not tell whether the plan is the cheapest, nor, but for the
// windows, whether its changes are well placed.
func Judge(p *pedal.Passage, o pedal.Options, plan *pedal.Plan) error {
	j := &judge{p: p, r: RulesOf(o), plan: plan}
	if len(plan.Settings) != len(p.Moments) || len(plan.Strings) != len(p.Notes) {
		return errors.New("the plan is of another passage")
	}
	j.tones, j.groups = tones(p)
	for _, check := range []func(){j.strings, j.unsounded, j.settings, j.unused, j.changes, j.rushed, j.feet, j.unlike, j.switches, j.cost, j.proof} {
		check()
	}
	return errors.Join(j.faults...)
}

type judge struct {
	p      *pedal.Passage
	r      Rules
	plan   *pedal.Plan
	tones  []tone
	groups [][]int
	due    []due
	count  Cost
	faults []error
}

func (j *judge) fault(format string, args ...any) {
	j.faults = append(j.faults, fmt.Errorf(format, args...))
}

// stringOf is the string of a tone, and whether it has one.
func (j *judge) stringOf(t tone) (pedal.String, bool) {
	s := j.plan.Strings[j.groups[t.group][0]]
	return s, s.OK
}

// disced reports whether a pedal reaches the string.
func (j *judge) disced(s pedal.String) bool {
	return j.r.Harp.Disced(pedal.StringName{Letter: s.Letter, Octave: s.Octave})
}

// strings checks that each note is on a string that may play it, and that notes that
// are ever one tone are on one string.
func (j *judge) strings() {
	tuned := j.r.tuning(j.p)
	for _, notes := range j.groups {
		ways := j.r.ways(pick(j.p, notes), tuned)
		for _, n := range notes {
			s := j.plan.Strings[n]
			if s.OK && !slices.Contains(ways, s) {
				j.fault("note %d, %v, is on %v%d at %v", n, j.p.Notes[n].Pitch, s.Letter, s.Octave, s.Position)
			}
			if s != j.plan.Strings[notes[0]] {
				j.fault("notes %d and %d are one tone on two strings", notes[0], n)
			}
		}
	}
}

// unsounded checks the list of strikes without a string: all those of the notes
// that are left out, in every pass.
func (j *judge) unsounded() {
	var want []pedal.Dropped
	for i, m := range j.p.Moments {
		for k, s := range m.Strikes {
			if !j.plan.Strings[s.Note].OK {
				want = append(want, pedal.Dropped{Moment: i, Strike: k})
			}
		}
	}
	if !slices.Equal(want, j.plan.Unsounded) {
		j.fault("unsounded are %v, not %v", want, j.plan.Unsounded)
	}
	for _, t := range j.tones {
		switch s, ok := j.stringOf(t); {
		case !ok:
			j.count.Unsounded++
		case !own(s, t.pitch):
			j.count.Respelt++
		}
	}
}

// settings checks that the settings follow from the moves, and that every note
// finds its pedal where it needs it.
func (j *judge) settings() {
	now := j.plan.Start
	if j.r.Start != nil && now != *j.r.Start {
		j.fault("it starts at %v, not %v", now, *j.r.Start)
	}
	moves := j.plan.Moves
	for i := range j.p.Moments {
		for ; len(moves) > 0 && moves[0].Place <= i; moves = moves[1:] {
			mv := moves[0]
			if mv.Place < i || now[mv.Letter] != mv.From || mv.From == mv.To {
				j.fault("the %v pedal cannot go from %v to %v before moment %d", mv.Letter, mv.From, mv.To, i)
			}
			now[mv.Letter] = mv.To
		}
		if j.plan.Settings[i] != now {
			j.fault("moment %d: the moves lead to %v, the setting is %v", i, now, j.plan.Settings[i])
		}
		if j.p.Moments[i].Restart && i > 0 && j.r.Start == nil {
			for l := range pedal.Letter(pedal.Letters) {
				if now[l] != j.plan.Start[l] {
					j.fault("moment %d: the %v pedal stands at %v where the first setting is printed, which says %v", i, l, now[l], j.plan.Start[l])
				}
			}
		}
	}
	for _, mv := range moves {
		now[mv.Letter] = mv.To
	}
	if j.r.End != nil && now != *j.r.End {
		j.fault("it ends at %v, not %v", now, *j.r.End)
	}
	for _, t := range j.tones {
		if s, ok := j.stringOf(t); ok && j.disced(s) && j.plan.Settings[t.moment][s.Letter] != s.Position {
			j.fault("moment %d: %v needs %v at %v", t.moment, t.pitch, s.Letter, s.Position)
		}
	}
}

// unused checks that a pedal that no note needs stands as the key signature has it.
func (j *judge) unused() {
	if j.r.Start != nil || j.r.End != nil {
		return
	}
	var used [pedal.Letters]bool
	for _, t := range j.tones {
		if s, ok := j.stringOf(t); ok && j.disced(s) {
			used[s.Letter] = true
		}
	}
	for l := range pedal.Letter(pedal.Letters) {
		if !used[l] && j.plan.Start[l] != j.p.Key[l] {
			j.fault("no note needs the %v pedal, which stands at %v", l, j.plan.Start[l])
		}
	}
}

// A due is a change as it follows from the strings and the first setting.
type due struct {
	letter      pedal.Letter
	from, to    pedal.Position
	needed      int // the moment; the number of moments where only the end needs it
	after       int // the last moment before at which the letter sounds or was set; -1 for none
	first, last time.Duration
	held        bool
}

// changes finds what must be changed, and compares it with the moves.
func (j *judge) changes() {
	var held []pedal.Release
	for l := range pedal.Letter(pedal.Letters) {
		for _, d := range j.walk(l) {
			j.due = append(j.due, d)
			j.count.Changes++
			j.count.Notches += max(int(d.to-d.from), int(d.from-d.to))
			if d.held {
				held = append(held, pedal.Release{Moment: d.needed, Letter: l})
			}
		}
	}
	j.count.Held = len(held)
	slices.SortFunc(held, func(a, b pedal.Release) int {
		return cmp.Or(cmp.Compare(a.Moment, b.Moment), cmp.Compare(a.Letter, b.Letter))
	})
	if !slices.Equal(held, j.plan.Held) {
		j.fault("let go are %v, not %v", held, j.plan.Held)
	}
	moves := slices.Clone(j.plan.Moves)
	slices.SortStableFunc(moves, func(a, b pedal.Move) int {
		return cmp.Or(cmp.Compare(a.Letter, b.Letter), cmp.Compare(a.Needed, b.Needed))
	})
	if len(moves) != len(j.due) {
		j.fault("%d changes are due, %d are made", len(j.due), len(moves))
	}
	for i, d := range j.due[:min(len(moves), len(j.due))] {
		mv := moves[i]
		if mv.Letter != d.letter || mv.From != d.from || mv.To != d.to || mv.Needed != d.needed {
			j.fault("due is %+v, made is %+v", d, mv)
			return
		}
		if d.needed < len(j.p.Moments) && j.r.Foot > 0 && (mv.WindowStart != d.first || mv.WindowEnd != d.last) {
			j.fault("moment %d: the window of the %v pedal is %v to %v, not %v to %v", d.needed, d.letter, d.first, d.last, mv.WindowStart, mv.WindowEnd)
		}
	}
}

// walk follows one pedal from the first setting through what its notes need.
func (j *judge) walk(l pedal.Letter) (list []due) {
	now := j.plan.Start[l]
	floor, last := j.p.Moments[0].At, -1
	var since heldNotes
	to := func(pos pedal.Position, i int) {
		if pos != now {
			m := j.p.Moments[i]
			list = append(list, due{l, now, pos, i, last, max(floor, since.free(j.r, m.At, floor)), m.At - j.r.Move, since.any && since.end > m.Onset})
			now, since = pos, heldNotes{}
			last = i - 1
		}
	}
	for i, m := range j.p.Moments {
		if i > 0 && m.Restart {
			to(j.plan.Start[l], i)
			floor, last = m.At, max(last, i-1)
		}
		for _, t := range j.tones {
			if s, ok := j.stringOf(t); t.moment == i && ok && s.Letter == l && j.disced(s) {
				to(s.Position, i)
				since.add(m, t)
				last = i
			}
		}
	}
	if j.r.End != nil && now != j.r.End[l] {
		list = append(list, due{letter: l, from: now, to: j.r.End[l], needed: len(j.p.Moments), after: last})
	}
	return list
}

// switches counts how often names go from string to string.
func (j *judge) switches() {
	ways := map[pedal.Pitch]*nameWay{}
	for _, t := range j.tones {
		name := pedal.Pitch{Letter: t.pitch.Letter, Cents: t.pitch.Cents}
		if ways[name] == nil {
			ways[name] = &nameWay{}
		}
		if s, ok := j.stringOf(t); ok && !t.silent {
			ways[name].sound(t.moment, measureOf(j.p, t.moment), s.Letter)
		}
	}
	for name, way := range ways {
		j.count.Switches += way.count(name)
	}
}

// cost compares the counts.
func (j *judge) cost() {
	if got := CostOf(j.plan.Cost); got != j.count {
		j.fault("it costs %+v, not %+v", j.count, got)
	}
}

// proof checks that the bound is one, and is met where the plan is called minimal.
func (j *judge) proof() {
	cost, bound := j.r.Vector(j.count), j.r.Vector(CostOf(j.plan.Proof.Bound))
	if slices.Compare(bound, cost) > 0 {
		j.fault("the bound %v is above the cost %v", bound, cost)
	}
	if n := len(cost) - 1; j.plan.Proof.Minimal && !slices.Equal(bound[:n], cost[:n]) {
		j.fault("it is called minimal at %v with the bound %v", cost, bound)
	}
}
