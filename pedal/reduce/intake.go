package reduce

import (
	"cmp"
	"slices"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// chordAt takes a moment in.
func (r *run) chordAt(moment int) *chord {
	c := &chord{r: r, moment: moment, refused: map[string]bool{}, span: r.limit("wide-chord"), rollSpan: r.limit("wide-roll"),
		most: r.limit("too-many-notes")}
	p := r.music.Passage
	mo := &p.Moments[moment]
	next := time.Duration(1 << 62)
	for i := moment + 1; i < len(p.Moments); i++ {
		if len(p.Moments[i].Strikes) > 0 && !p.Moments[i].Grace {
			next = p.Moments[i].At
			break
		}
	}
	before := -time.Duration(1 << 62)
	for i := moment - 1; i >= 0; i-- {
		if len(p.Moments[i].Strikes) > 0 {
			before = p.Moments[i].At
			break
		}
	}
	c.time = next - mo.At
	c.roll = !mo.Grace
	rolled := map[int]bool{}
	for _, n := range r.draft.at(moment) {
		switch r.signs(n).Roll {
		case finding.Together:
			c.roll = false
		case finding.Rolled:
			rolled[p.Notes[n].Staff] = true
			c.roll = false
		}
		if r.pinned(n) {
			c.roll = false
		}
	}
	_, all := r.draft.rolls[moment]
	c.roll = c.roll && !all
	c.fixed = r.draft.of(moment, nil)
	c.bindImplied()
	for _, n := range r.draft.at(moment) {
		if !r.gone(n) && !r.ahead(moment, n) {
			c.notes = append(c.notes, c.noteOf(n, all || rolled[p.Notes[n].Staff]))
		}
	}
	c.order(!mo.Grace && mo.At-before >= GraceTime)
	for i := range c.notes {
		c.notes[i].twice = slices.ContainsFunc(c.notes[:i], func(o chordNote) bool { return r.heightOf(o.note) == r.heightOf(c.notes[i].note) })
	}
	c.taken, c.on = make([]choice, len(c.notes)), make([]pedal.String, len(c.notes))
	return c
}

// bindImplied notes the pedals that notes want which are not written out.
func (c *chord) bindImplied() {
	p := c.r.music.Passage
	for _, s := range p.Moments[c.moment].Strikes {
		if n := &p.Notes[s.Note]; n.Implied || n.Silent {
			if str := c.r.plan.Strings[s.Note]; str.OK {
				c.bound[str.Letter] = &str.Position
			}
		}
	}
}

// noteOf takes a note in.
func (c *chord) noteOf(n int, rolled bool) chordNote {
	r := c.r
	note := r.music.Passage.Notes[n]
	was := note.Pitch
	for _, op := range r.draft.notes[n] {
		if op.Do == revise.Octave {
			note.Pitch.Octave += op.Octaves
		}
	}
	in := chordNote{note: n, staff: note.Staff, class: classOf(was), melody: r.draft.ledger.Melody(n), bass: r.draft.ledger.Bass(n), rolled: rolled}
	in.can[keep] = true
	if !r.small() {
		in.planned = r.plan.Strings[n] // which the plan has chosen for more than this moment
	}
	in.order = [choices]choice{keep, leave, up, down, early}
	if r.octaves(n)[0] < 0 {
		in.order = [choices]choice{keep, leave, down, up, early}
	}
	if r.mayChange(n) && len(r.draft.notes[n]) == 0 {
		in.can[leave], in.can[up], in.can[down] = true, true, true
	}
	for _, ch := range []choice{keep, up, down} {
		pitch := note.Pitch
		switch ch {
		case up:
			pitch.Octave++
		case down:
			pitch.Octave--
		}
		in.strings[ch] = r.stringsOf(n, pitch, ch == keep)
		if ch != keep && !slices.ContainsFunc(in.strings[ch], in.stays) {
			in.can[ch] = false
		}
	}
	in.turns = in.planned.OK && len(r.draft.notes[n]) == 0 && !r.pinned(n) && len(r.elsewhere(n)) > 0
	in.strings[early] = in.strings[keep]
	return in
}

// stays tells whether a string is that of the plan, or may be any.
func (n *chordNote) stays(s pedal.String) bool { return !n.planned.OK || s.Letter == n.planned.Letter }

// order puts the notes last that are minded least, and lets the lowest one come early
// if there is time.
func (c *chord) order(time bool) {
	if len(c.notes) == 0 {
		return
	}
	count := map[int]int{}
	low := 0
	for i, n := range c.notes {
		count[n.class]++
		if c.r.heightOf(n.note) < c.r.heightOf(c.notes[low].note) {
			low = i
		}
	}
	if n := &c.notes[low]; time && n.can[leave] && len(c.notes) > 1 && len(n.strings[keep]) > 0 && !c.r.justPlucked(n.note, c.moment) {
		n.can[early] = true
	}
	weight := func(n chordNote) int {
		w := 0
		if n.melody {
			w += 4
		}
		if n.bass {
			w += 2
		}
		if count[n.class] == 1 {
			w++
		}
		return w
	}
	slices.SortStableFunc(c.notes, func(a, b chordNote) int {
		return cmp.Or(cmp.Compare(weight(b), weight(a)), cmp.Compare(c.r.heightOf(a.note), c.r.heightOf(b.note)))
	})
}

// justPlucked tells whether a note, as a grace note before its moment, would be plucked
// again too soon.
func (r *run) justPlucked(note, moment int) bool {
	rank := r.plan.Strings[note].Rank()
	for i := moment - 1; i >= 0; i-- {
		apart := r.at(moment) - GraceTime - r.at(i)
		if apart >= r.soon(0) {
			return false
		}
		if apart < r.soon(rank) && slices.ContainsFunc(r.plucksAt(i), func(o int) bool { return r.plan.Strings[o].Rank() == rank }) {
			return true
		}
	}
	return false
}
