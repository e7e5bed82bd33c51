package proof

import (
	"cmp"
	"slices"
	"time"

	"pedalogue/pedal"
)

// A tenure is what a letter has done since its pedal was last needed elsewhere.
type tenure struct {
	attack, until time.Duration
	end           int64
	notes         []int
	any           bool
}

// take adds a note to it.
func (h *tenure) take(j *judge, u use) {
	m := &j.p.Moments[u.moment]
	at, until := m.At, m.At
	if u.reset {
		at = max(h.attack, at-j.pace.Sounding) // as if it had sounded for long enough
	} else {
		for _, s := range m.Strikes {
			if s.Note == u.note {
				until = max(until, s.Until)
			}
		}
		h.notes = append(h.notes, u.note)
	}
	if !h.any {
		*h = tenure{attack: at, until: until, end: u.end, notes: h.notes, any: true}
		return
	}
	h.attack, h.until, h.end = at, max(h.until, until), max(h.end, u.end)
}

// A change is a pedal that goes from one use of its letter to another.
type change struct {
	pedal.Wish
	before tenure
	need   use
	from   pedal.Position
	set    int // which of the letter's sets makes it; -1 for none
}

// changes lists what the uses of a letter ask of its pedal.
func (j *judge) changes(l pedal.Letter) (list []change) {
	var h tenure
	var stands pedal.Position
	for i, u := range j.uses[l] {
		if !u.right {
			continue // it does not sound, whatever the foot does
		}
		if h.any && u.position != stands {
			due := j.p.Moments[u.moment].At
			list = append(list, change{
				Wish:   pedal.Wish{Letter: l, Opens: j.pace.Opens(h.attack, h.until, due), Due: due},
				before: h, need: j.uses[l][i], from: stands, set: j.setBefore(l, u.moment),
			})
			h = tenure{}
		}
		stands = u.position
		h.take(j, u)
	}
	return list
}

// heldNotes puts down the changes that let a note go that is still held: since the
// mark comes too early, or since the music asks for it.
func (j *judge) heldNotes() {
	for l := range pedal.Letter(pedal.Letters) {
		served := map[int]bool{} // sets that a change needs
		for _, c := range j.changes(l) {
			served[c.set] = true
			held := c.before.end > j.p.Moments[c.need.moment].Onset
			if held {
				j.out.Cost.Held++
			}
			if c.set < 0 {
				continue
			}
			s := j.sets[l][c.set]
			if held || j.p.Moments[s.moment].At < c.Opens {
				j.holding(l, s, c.before, c.need.moment, c.from)
			}
		}
		for i, s := range j.sets[l] {
			if s.before != s.to && !served[i] {
				j.letGo(l, s)
			}
		}
	}
}

// letGo puts down a change that no note needs, if it lets a note go.
func (j *judge) letGo(l pedal.Letter, s set) {
	var h tenure
	for i := j.nextUse(l, s.moment) - 1; i >= 0; i-- {
		u := j.uses[l][i]
		if u.position != s.before {
			break
		}
		if u.right && !u.reset {
			h.take(j, u)
		}
	}
	if h.any && h.end > j.p.Moments[s.moment].Onset {
		j.holding(l, s, h, s.moment, s.before)
	}
}

// holding puts down a change under held notes, once for a mark and not where notes are
// wrong by the same mark.
func (j *judge) holding(l pedal.Letter, s set, h tenure, need int, from pedal.Position) {
	k := key{EarlyMark, need, l, -1}
	for i := range j.out.Faults {
		if f := &j.out.Faults[i]; f.Kind == EarlyMark && f.Pedal == l && f.Mark == s.mark && f.Planned == j.planned(k) {
			j.out.keys[k] = true
			return
		}
	}
	var notes []int
	for _, n := range h.notes {
		if !slices.Contains(notes, n) {
			notes = append(notes, n)
		}
	}
	notes = notes[max(0, len(notes)-1):] // the one that sounds last
	f := Fault{
		Kind: EarlyMark, Severity: Warning, Moment: s.moment, OfPedal: true, Pedal: l, Stands: s.to, Needed: from, Notes: notes, Mark: s.mark,
	}
	for _, n := range notes {
		f.Staff = j.p.Notes[n].Staff
	}
	f.Text, f.Remedy = j.heldText(&f, need)
	j.add(k, f)
}

// feet puts down the moves that a foot has no time for.
func (j *judge) feet() {
	var all []change
	for l := range pedal.Letter(pedal.Letters) {
		all = append(all, j.changes(l)...)
	}
	slices.SortStableFunc(all, func(a, b change) int {
		return cmp.Or(cmp.Compare(a.need.moment, b.need.moment), cmp.Compare(a.Letter, b.Letter))
	})
	wishes := make([]pedal.Wish, len(all))
	for i := range all {
		wishes[i] = all[i].Wish
	}
	rushed, cannot := j.pace.Hurried(wishes)
	for i, c := range all {
		if !rushed[i] {
			continue
		}
		j.out.Cost.Rushed++
		f := Fault{
			Kind: OneFoot, Severity: Warning, Moment: c.need.moment, OfPedal: true, Pedal: c.Letter, Stands: c.from, Needed: c.need.position, Mark: -1,
		}
		if c.Due-j.pace.Move < c.Opens {
			f.Kind = RushedFoot
		}
		if cannot[i] {
			f.Severity = Error
		}
		if c.set >= 0 {
			s := j.sets[c.Letter][c.set]
			f.Mark, f.Moment = s.mark, s.moment
		}
		if !c.need.reset {
			f.Notes, f.Staff = []int{c.need.note}, j.p.Notes[c.need.note].Staff
		}
		f.Text, f.Remedy = j.feetText(&f, all, i)
		j.add(key{OneFoot, c.need.moment, c.Letter, -1}, f)
	}
}
