package pedaltest

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pedalogue/pedal"
)

// A program is a passage as an integer program. It shares no idea with the search:
// at every moment each pedal stands somewhere (p) and is changed (c) or not, travels
// notches (n), lets notes go (h), is late (q) or begins to move at a time (t). A
// group of notes that are spelt alike is given a string (x) or none. A name is
// spelt on letters (y), sounds (o) and switches (w).
type program struct {
	lp
	p      *pedal.Passage
	r      Rules
	tones  []tone
	groups []group
	again  bool // the place of the first setting is played more than once

	unsounded, held, rushed, respelt, switches, changes, notches map[string]int
}

// Optimum is what the cheapest plan that can be printed costs, by a general-purpose
// solver. It skips the test if neither cbc nor glpsol is installed. It takes no
// Start and no End, and Switches say nothing in a mode that does not weigh them.
func Optimum(t testing.TB, p *pedal.Passage, r Rules) Cost {
	t.Helper()
	if r.Start != nil || r.End != nil {
		t.Fatal("the integer program knows no start and no end")
	}
	b := newBrute(p, r)
	g := &program{p: p, r: r, tones: b.tones, groups: b.groups, again: b.again}
	for _, m := range []*map[string]int{&g.unsounded, &g.held, &g.rushed, &g.respelt, &g.switches, &g.changes, &g.notches} {
		*m = map[string]int{}
	}
	g.spellings()
	g.pedals()
	if r.Foot > 0 {
		g.feet()
	}
	if r.Mode == pedal.Balanced {
		for _, list := range b.names {
			g.name(list)
		}
	}
	return g.solve(t)
}

// x is the variable of a way of a group.
func (g *program) x(group, way int) string { return g.bin("x_%d_%d", group, way) }

// spellings gives each group one string or none, and demands its positions.
func (g *program) spellings() {
	for i, group := range g.groups {
		out := g.bin("u_%d", i)
		g.unsounded[out] = len(group.tones)
		row := out
		for w, way := range group.ways {
			x := g.x(i, w)
			row += " + " + x
			if !own(way, g.p.Notes[group.notes[0]].Pitch) {
				g.respelt[x] = len(group.tones)
			}
			for _, t := range group.tones {
				if g.disced(way) {
					g.row("%s - %s <= 0", x, g.stands(g.tones[t].moment, way.Letter, way.Position))
				}
			}
		}
		g.row("%s = 1", row)
	}
}

func (g *program) disced(s pedal.String) bool {
	return g.r.Harp.Disced(pedal.StringName{Letter: s.Letter, Octave: s.Octave})
}

func (g *program) stands(moment int, l pedal.Letter, pos pedal.Position) string {
	return g.bin("p_%d_%d_%d", moment, l, pos+1)
}

// c is the variable of a change.
func (g *program) c(moment int, l pedal.Letter) string { return g.bin("c_%d_%d", moment, l) }

// A claim is a tone that may sound on a letter that a pedal reaches, and the
// variable that says so.
type claim struct {
	tone
	x string
}

// claims lists the claims on a letter in playing order.
func (g *program) claims(l pedal.Letter) (list []claim) {
	for _, t := range g.tones {
		for w, way := range g.groups[t.group].ways {
			if way.Letter == l && g.disced(way) {
				list = append(list, claim{t, g.x(t.group, w)})
			}
		}
	}
	return list
}

// pedals says how pedals stand, change and let notes go: they change where a note
// needs it, or where the first setting is played again.
func (g *program) pedals() {
	for l := range pedal.Letter(pedal.Letters) {
		claims := g.claims(l)
		for k, m := range g.p.Moments {
			flat, natural, sharp := g.stands(k, l, pedal.Flat), g.stands(k, l, pedal.Natural), g.stands(k, l, pedal.Sharp)
			g.row("%s + %s + %s = 1", flat, natural, sharp)
			if k == 0 {
				continue
			}
			c, n := g.c(k, l), fmt.Sprintf("n_%d_%d", k, l)
			g.changes[c], g.notches[n] = 1, 1
			for pos := pedal.Flat; pos <= pedal.Sharp; pos++ {
				g.row("%s - %s + %s >= 0", c, g.stands(k, l, pos), g.stands(k-1, l, pos))
				if m.Restart {
					g.row("%s - %s = 0", g.stands(k, l, pos), g.stands(0, l, pos))
				}
			}
			before, beforeFlat := g.stands(k-1, l, pedal.Sharp), g.stands(k-1, l, pedal.Flat)
			g.row("%s - %s + %s + %s - %s >= 0", n, sharp, flat, before, beforeFlat)
			g.row("%s + %s - %s - %s + %s >= 0", n, sharp, flat, before, beforeFlat)
			asked := c
			for _, a := range claims {
				if a.moment == k {
					asked += " - " + a.x
				}
			}
			if !m.Restart {
				g.row("%s <= 0", asked)
			}
			h := g.bin("h_%d_%d", k, l)
			g.held[h] = 1
			for _, a := range claims {
				if a.moment < k && a.end > m.Onset {
					g.row("%s - %s - %s%s >= -1", h, c, a.x, g.between(a.moment, k, l, "+"))
				}
			}
		}
	}
}

// between sums the changes of a letter after one moment and before another.
func (g *program) between(from, to int, l pedal.Letter, sign string) string {
	var b strings.Builder
	for k := from + 1; k < to; k++ {
		fmt.Fprintf(&b, " %s %s", sign, g.c(k, l))
	}
	return b.String()
}

// A visit is a change that a foot may have to make.
type visit struct {
	moment      int
	letter      pedal.Letter
	first, last time.Duration // the widest window that it may have
	t, c, q     string
}

// feet gives each change a time in its window, or calls it late, and keeps the
// changes of a foot apart.
func (g *program) feet() {
	var visits [2][]visit
	for l := range pedal.Letter(pedal.Letters) {
		claims := g.claims(l)
		for k := 1; k < len(g.p.Moments); k++ {
			m := g.p.Moments[k]
			if !m.Restart && !slices.ContainsFunc(claims, func(a claim) bool { return a.moment == k }) {
				continue
			}
			v := visit{moment: k, letter: l, first: g.floor(k), last: m.At - g.r.Move, c: g.c(k, l)}
			v.q, v.t = g.bin("q_%d_%d", k, l), fmt.Sprintf("t_%d_%d", k, l)
			g.rushed[v.q] = 1
			g.row("%s - %s <= 0", v.q, v.c)
			if v.last < v.first {
				g.row("%s - %s = 0", v.q, v.c)
				continue
			}
			g.row("%s >= %s", v.t, milliseconds(v.first))
			g.row("%s <= %s", v.t, milliseconds(v.last))
			g.windows(v, claims)
			visits[l.Foot()] = append(visits[l.Foot()], v)
		}
	}
	for _, list := range visits {
		for i, a := range list {
			for _, b := range list[:i] {
				g.apart(a, b)
			}
		}
	}
}

// floor is the time of the last playing of the first place before a moment.
func (g *program) floor(k int) time.Duration {
	for i := k - 1; i > 0; i-- {
		if g.p.Moments[i].Restart {
			return g.p.Moments[i].At
		}
	}
	return g.p.Moments[0].At
}

// windows keeps a change behind the notes on its letter since it was last set: one
// tone lasts longest, one, maybe the same, is the latest.
func (g *program) windows(v visit, claims []claim) {
	due := g.p.Moments[v.moment].At
	opens := func(longest, latest claim) time.Duration {
		return min(longest.until, max(latest.moment0(g.p)+g.r.Sounding, due-g.r.Foot))
	}
	for i, a := range claims {
		for k, b := range claims {
			if a.moment >= v.moment || b.moment >= v.moment {
				continue
			}
			first := opens(a, b)
			if i != k && first <= max(opens(a, a), opens(b, b)) || first <= v.first {
				continue // another row says as much
			}
			guards := []string{v.c, a.x}
			if i != k && a.x != b.x {
				guards = append(guards, b.x)
			}
			free := g.between(min(a.moment, b.moment), v.moment, v.letter, "+")
			if first > v.last { // late, if there is nothing between
				g.row("%s - %s%s >= %d", v.q, strings.Join(guards, " - "), free, 1-len(guards))
				continue
			}
			wide := milliseconds(first - v.first)
			row := v.t
			for _, x := range guards {
				row += fmt.Sprintf(" - %s %s", wide, x)
			}
			for k := min(a.moment, b.moment) + 1; k < v.moment; k++ {
				row += fmt.Sprintf(" + %s %s", wide, g.c(k, v.letter))
			}
			g.row("%s + %s %s >= %s", row, wide, v.q, milliseconds(first-time.Duration(len(guards))*(first-v.first)))
		}
	}
}

// moment0 is when the tone is attacked.
func (c claim) moment0(p *pedal.Passage) time.Duration { return p.Moments[c.moment].At }

// apart keeps two changes of a foot a foot time apart, if both are in time.
func (g *program) apart(a, b visit) {
	foot := g.r.Foot
	if a.first-b.last >= foot || b.first-a.last >= foot {
		return
	}
	order := g.bin("a_%d_%d_%d_%d", a.moment, a.letter, b.moment, b.letter)
	// a after b where order is 1, before it where it is 0; slack where one is not there
	for _, way := range []struct {
		late, early visit
		sign        string
		constant    int
	}{{a, b, "-", 1}, {b, a, "+", 0}} {
		most := way.early.last - way.late.first + foot
		wide := milliseconds(most)
		// late.t - early.t >= foot - most (1-order + 1-c + 1-c + q + q)
		right := foot - time.Duration(2+way.constant)*most
		g.row("%s - %s %s %s %s - %s %s - %s %s + %s %s + %s %s >= %s", way.late.t, way.early.t, way.sign, wide, order,
			wide, a.c, wide, b.c, wide, a.q, wide, b.q, milliseconds(right))
	}
}

// name counts the switches of one name.
func (g *program) name(list []int) {
	type sound struct {
		moment  int
		on      string // whether it sounds
		letters [pedal.Letters]string
	}
	var sounds []sound
	pitch := g.tones[list[0]].pitch
	for len(list) > 0 {
		s := sound{moment: g.tones[list[0]].moment}
		var by [pedal.Letters][]string
		var all []string
		id := list[0]
		for len(list) > 0 && g.tones[list[0]].moment == s.moment {
			t := g.tones[list[0]]
			for w, way := range g.groups[t.group].ways {
				by[way.Letter] = append(by[way.Letter], g.x(t.group, w))
				all = append(all, g.x(t.group, w))
			}
			list = list[1:]
		}
		if len(all) == 0 {
			continue
		}
		s.on = g.either(fmt.Sprintf("o_%d", id), all)
		extra := fmt.Sprintf("e_%d", id)
		row := extra
		for l, xs := range by {
			if len(xs) > 0 {
				s.letters[l] = g.either(fmt.Sprintf("y_%d_%d", id, l), xs)
				row += " - " + s.letters[l]
			}
		}
		g.row("%s >= -1", row)
		g.switches[extra] = 1
		sounds = append(sounds, s)
	}
	for i, s := range sounds {
		var silent strings.Builder // what sounds between
		switchOf := func(l int) string {
			w := fmt.Sprintf("w_%d_%d_%d_%d", s.moment, pitch.Letter, pitch.Cents+1000, l)
			g.switches[w] = 1
			return w
		}
		for k := i - 1; k >= 0 && measureOf(g.p, s.moment)-measureOf(g.p, sounds[k].moment) <= 2; k-- {
			for l, y := range s.letters {
				if y == "" {
					continue
				}
				row := switchOf(l) + " - " + y + " - " + sounds[k].on + silent.String()
				if before := sounds[k].letters[l]; before != "" {
					row += " + " + before
				}
				g.row("%s >= -1", row)
			}
			silent.WriteString(" + " + sounds[k].on)
		}
		free := ""
		for l, y := range s.letters {
			switch {
			case y == "" || simple(pitch) && pedal.Letter(l) == pitch.Letter:
			case simple(pitch):
				g.row("%s - %s%s >= 0", switchOf(l), y, silent.String())
			default:
				free += fmt.Sprintf(" + %s - %s", switchOf(l), y)
			}
		}
		if free != "" {
			g.row("%s%s >= -1", strings.TrimPrefix(free, " + "), silent.String())
		}
	}
}

// either is a variable that is 1 where one of others is, and else 0.
func (g *program) either(name string, others []string) string {
	v := g.bin("%s", name)
	for _, o := range others {
		g.row("%s - %s >= 0", v, o)
	}
	g.row("%s - %s <= 0", v, strings.Join(others, " - "))
	return v
}

// solve finds the least cost, one after another in the order of the mode.
func (g *program) solve(t testing.TB) Cost {
	weighed := map[string]int{}
	for name, n := range g.respelt {
		weighed[name] += n
	}
	for name := range g.changes {
		weighed[name] += g.r.ChangePrice
	}
	for name := range g.switches {
		if g.r.SwitchPrice > 0 {
			weighed[name] += g.r.SwitchPrice
		}
	}
	order := []map[string]int{g.unsounded, g.held, g.rushed}
	switch g.r.Mode {
	case pedal.Free:
		order = append(order, g.changes, g.respelt)
	case pedal.Balanced:
		order = append(order, weighed, g.changes, g.switches)
	default:
		order = append(order, g.respelt, g.changes)
	}
	found := make([]int, len(order)+1)
	for i, costs := range append(order, g.notches) {
		if sum := sumOf(costs); sum != "" {
			found[i] = g.minimise(t, sum)
			g.row("%s <= %d", sum, found[i])
		}
	}
	c := Cost{Unsounded: found[0], Held: found[1], Rushed: found[2], Notches: found[len(found)-1]}
	switch g.r.Mode {
	case pedal.Free:
		c.Changes, c.Respelt = found[3], found[4]
	case pedal.Balanced:
		c.Changes, c.Switches = found[4], found[5]
		c.Respelt = found[3] - g.r.ChangePrice*c.Changes - g.r.SwitchPrice*c.Switches
	default:
		c.Respelt, c.Changes = found[3], found[4]
	}
	return c
}

// milliseconds writes a time to the nanosecond.
func milliseconds(d time.Duration) string {
	sign := ""
	if d < 0 {
		sign, d = "-", -d
	}
	return fmt.Sprintf("%s%d.%06d", sign, d/time.Millisecond, d%time.Millisecond)
}
