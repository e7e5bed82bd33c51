package pedaltest

import (
	"cmp"
	"slices"
	"time"

	"pedalogue/pedal"
)

// A Find is a cheapest plan, as far as it says something of its own: what the notes
// are played on and how the pedals stand at first. Everything else follows.
type Find struct {
	Cost    Cost
	Strings []pedal.String // of each note; the zero String if it is left out
	First   pedal.Setting  // natural where no note needs the pedal
}

// Best finds a cheapest plan of those that can be printed. It knows the rules and no
// algorithm: it tries every string, and silence, for every group of notes that are
// spelt alike, and every first setting where one is played again; the pedals
// follow. It leaves off where what is spelt so far costs more already, if it is
// sure that the rest cannot make that cheaper. A dozen notes that are played again
// and again are as many as it should be given, or some thirty once through.
func Best(p *pedal.Passage, r Rules) Find {
	b := newBrute(p, r)
	if r.Foot > 0 { // something to begin with: what is best for feet without a hurry
		calm := r
		calm.Foot = 0
		b.take(Best(p, calm))
	}
	b.spell(0, 0)
	return b.find
}

// brute is the state of the search.
type brute struct {
	p       *pedal.Passage
	r       Rules
	tones   []tone
	groups  []group
	names   [][]int             // the tones of each name, in playing order
	asked   [][pedal.Letters]at // what the chosen strings ask for, by moment and letter
	again   bool                // the place of the first setting is played more than once
	inOrder bool                // every note is played but once, and so is the place of the first setting

	best []int // the vector of the cheapest plan so far; nil before the first
	find Find
}

// A group is notes that are spelt alike.
type group struct {
	notes  []int
	tones  []int
	ways   []pedal.String
	chosen pedal.String // the zero String is silence
}

// at is what the tones of one letter ask of its pedal at one moment.
type at struct {
	tones int
	pos   pedal.Position
}

func newBrute(p *pedal.Passage, r Rules) *brute {
	b := &brute{p: p, r: r, asked: make([][pedal.Letters]at, len(p.Moments))}
	tuned := r.tuning(p)
	list, alike := tones(p)
	b.tones = list
	for _, notes := range alike {
		b.groups = append(b.groups, group{notes: notes, ways: r.ways(pick(p, notes), tuned)})
	}
	names := map[pedal.Pitch]int{}
	for i, t := range list {
		g := &b.groups[t.group]
		g.tones = append(g.tones, i)
		if t.silent {
			continue
		}
		name := pedal.Pitch{Letter: t.pitch.Letter, Cents: t.pitch.Cents}
		k, known := names[name]
		if !known {
			k = len(b.names)
			names[name] = k
			b.names = append(b.names, nil)
		}
		b.names[k] = append(b.names[k], i)
	}
	for i, m := range p.Moments {
		b.again = b.again || i > 0 && m.Restart
	}
	b.inOrder = len(list) == len(b.groups) && !b.again
	return b
}

// spell tries all strings, and silence, for group k and those after it.
func (b *brute) spell(k, unsounded int) {
	if b.best != nil && unsounded > b.best[0] {
		return
	}
	if k == len(b.groups) {
		b.play(unsounded)
		return
	}
	g := &b.groups[k]
	for _, s := range g.ways {
		g.chosen = s
		asked := b.ask(g)
		if asked == len(g.tones) && !b.hopeless(unsounded) {
			b.spell(k+1, unsounded)
		}
		b.takeBack(g, asked)
	}
	g.chosen = pedal.String{}
	b.spell(k+1, unsounded+len(g.tones))
}

// disced reports whether a pedal reaches the string.
func (b *brute) disced(s pedal.String) bool {
	return b.r.Harp.Disced(pedal.StringName{Letter: s.Letter, Octave: s.Octave})
}

// ask puts down what the tones of a group ask of their pedal, up to the first that
// cannot have it. It returns how many can.
func (b *brute) ask(g *group) int {
	if !b.disced(g.chosen) {
		return len(g.tones)
	}
	for k, t := range g.tones {
		a := &b.asked[b.tones[t].moment][g.chosen.Letter]
		if a.tones > 0 && a.pos != g.chosen.Position {
			return k
		}
		a.tones++
		a.pos = g.chosen.Position
	}
	return len(g.tones)
}

// takeBack takes back what the first n tones of a group asked.
func (b *brute) takeBack(g *group, n int) {
	if !b.disced(g.chosen) {
		return
	}
	for _, t := range g.tones[:n] {
		b.asked[b.tones[t].moment][g.chosen.Letter].tones--
	}
}

// take plays on the strings of a plan that was found before.
func (b *brute) take(f Find) {
	unsounded := 0
	for k := range b.groups {
		g := &b.groups[k]
		if g.chosen = f.Strings[g.notes[0]]; g.chosen.OK {
			b.ask(g)
		} else {
			unsounded += len(g.tones)
		}
	}
	b.play(unsounded)
	for k := range b.groups {
		g := &b.groups[k]
		if g.chosen.OK {
			b.takeBack(g, len(g.tones))
		}
		g.chosen = pedal.String{}
	}
}

// hopeless reports whether the groups spelt so far cost as much as the best plan
// does, and the others can't make that cheaper. Where groups sound one after
// another, nothing comes between what is spelt. Where they come between, a pedal
// still travels as far, as often, and lets as many notes go; but it may be asked for
// sooner, so that it is in time, and a name may be heard again before it is
// forgotten.
func (b *brute) hopeless(unsounded int) bool {
	if b.best == nil {
		return false
	}
	cost, _ := b.count(unsounded, b.inOrder)
	if !b.inOrder {
		cost.Switches = 0
	}
	return slices.Compare(b.r.Vector(cost), b.best) >= 0
}

// play takes the chosen strings if they are the cheapest so far.
func (b *brute) play(unsounded int) {
	cost, first := b.count(unsounded, true)
	v := b.r.Vector(cost)
	if b.best != nil && slices.Compare(v, b.best) >= 0 {
		return
	}
	b.best, b.find = v, Find{Cost: cost, Strings: make([]pedal.String, len(b.p.Notes)), First: first}
	for _, g := range b.groups {
		for _, n := range g.notes {
			b.find.Strings[n] = g.chosen
		}
	}
}

// count counts what the chosen strings cost with the best first setting, on request
// without the feet.
func (b *brute) count(unsounded int, timed bool) (cost Cost, first pedal.Setting) {
	cost.Unsounded, cost.Respelt = unsounded, b.respelt()
	cost.Switches = b.switches()
	for _, foot := range []pedal.Foot{pedal.Left, pedal.Right} {
		c := b.foot(foot, &first, timed)
		cost.Held += c.held
		cost.Rushed += c.rushed
		cost.Changes += c.changes
		cost.Notches += c.notches
	}
	return cost, first
}

// respelt counts the tones on other strings than their own.
func (b *brute) respelt() (n int) {
	for _, t := range b.tones {
		if s := b.groups[t.group].chosen; s.OK && !own(s, t.pitch) {
			n++
		}
	}
	return n
}

// tonesAt lists the tones of a moment.
func (b *brute) tonesAt(moment int) []tone {
	from, _ := slices.BinarySearchFunc(b.tones, moment, func(t tone, m int) int { return cmp.Compare(t.moment, m) })
	to := from
	for to < len(b.tones) && b.tones[to].moment == moment {
		to++
	}
	return b.tones[from:to]
}

// switches counts how often names go from string to string.
func (b *brute) switches() int {
	count := 0
	for _, list := range b.names {
		var n nameWay
		for _, i := range list {
			t := b.tones[i]
			if s := b.groups[t.group].chosen; s.OK {
				n.sound(t.moment, measureOf(b.p, t.moment), s.Letter)
			}
		}
		count += n.count(b.tones[list[0]].pitch)
	}
	return count
}

// A travel is what the pedals of one foot cost.
type travel struct{ held, rushed, changes, notches int }

func (t travel) vector() []int { return []int{t.held, t.rushed, t.changes, t.notches} }

// foot is what the pedals of one foot cost with the best first setting. All modes
// weigh these costs in the same order, and one foot's cost does not depend on
// where the other's pedals begin.
func (b *brute) foot(foot pedal.Foot, first *pedal.Setting, timed bool) (least travel) {
	combinations := []option{{}}
	for l := range pedal.Letter(pedal.Letters) {
		if l.Foot() != foot {
			continue
		}
		var longer []option
		for _, pos := range b.firsts(l) {
			w := b.walk(l, pos)
			for _, o := range combinations {
				o.first[l] = pos
				o.travel = travel{o.held + w.held, 0, o.changes + w.changes, o.notches + w.notches}
				o.jobs = slices.Concat(o.jobs, w.jobs)
				longer = append(longer, o)
			}
		}
		combinations = longer
	}
	for i, o := range combinations {
		if i > 0 && slices.Compare(o.vector(), least.vector()) >= 0 {
			continue // though nothing is rushed yet
		}
		if b.r.Foot > 0 && timed {
			o.rushed = len(o.jobs) - mostInTime(o.jobs, b.r.Foot)
		}
		if i > 0 && slices.Compare(o.vector(), least.vector()) >= 0 {
			continue
		}
		least = o.travel
		for l := range pedal.Letter(pedal.Letters) {
			if l.Foot() == foot {
				first[l] = o.first[l]
			}
		}
	}
	return least
}

// An option is a first setting of one foot's pedals and what comes of it.
type option struct {
	travel
	first pedal.Setting
	jobs  []job
}

// firsts lists the first positions of a pedal that are worth a try: where the
// place of the first setting is not played again, the first one that is needed.
func (b *brute) firsts(l pedal.Letter) []pedal.Position {
	if b.r.Start != nil {
		return []pedal.Position{b.r.Start[l]}
	}
	for _, a := range b.asked {
		if a[l].tones > 0 && b.again {
			return []pedal.Position{pedal.Natural, pedal.Flat, pedal.Sharp}
		}
		if a[l].tones > 0 {
			return []pedal.Position{a[l].pos}
		}
	}
	if b.r.End != nil {
		return []pedal.Position{b.r.End[l]}
	}
	return []pedal.Position{pedal.Natural}
}

// A walk is one pedal's way through the music.
type walk struct {
	held, changes, notches int
	jobs                   []job
}

// walk follows one pedal from its first position.
func (b *brute) walk(l pedal.Letter, first pedal.Position) (w walk) {
	now := first
	floor := b.p.Moments[0].At // no change needed after the last playing of the first place starts before it
	var since heldNotes
	to := func(pos pedal.Position, m pedal.Moment) {
		if pos == now {
			return
		}
		w.changes++
		w.notches += max(int(pos-now), int(now-pos))
		if since.any && since.end > m.Onset {
			w.held++
		}
		w.jobs = append(w.jobs, job{max(floor, since.free(b.r, m.At, floor)), m.At - b.r.Move})
		now, since = pos, heldNotes{}
	}
	for i, m := range b.p.Moments {
		if i > 0 && m.Restart {
			to(first, m)
			floor = m.At
		}
		if a := b.asked[i][l]; a.tones > 0 {
			to(a.pos, m)
			for _, t := range b.tonesAt(i) {
				if s := b.groups[t.group].chosen; s.OK && s.Letter == l && b.disced(s) {
					since.add(m, t)
				}
			}
		}
	}
	if b.r.End != nil && now != b.r.End[l] {
		end := b.r.End[l]
		w.changes++
		w.notches += max(int(end-now), int(now-end))
	}
	return w
}

// heldNotes are the notes on a letter since its pedal was last set.
type heldNotes struct {
	any           bool
	end           int64
	attack, until time.Duration // the latest ones
}

func (h *heldNotes) add(m pedal.Moment, t tone) {
	h.any, h.attack = true, m.At
	h.end, h.until = max(h.end, t.end), max(h.until, t.until)
}

// free is when the letter is free for a change needed at a time: from the floor on,
// if no note has sounded on it.
func (h *heldNotes) free(r Rules, due, floor time.Duration) time.Duration {
	if !h.any {
		return floor
	}
	return min(h.until, max(h.attack+r.Sounding, due-r.Foot))
}
