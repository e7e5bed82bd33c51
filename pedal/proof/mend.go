package proof

import (
	"maps"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/part"
)

// A Repair is marks that were mended. A mark that is not altered is as it was.
type Repair struct {
	Marks []part.Mark // in the order of Part.Following
	Of    []int       // for each mark the one of Task.Marks that it is, altered or not; -1 for one that is added
	Found *Proof      // what is still wrong
}

// Mend alters marks until no fault is left that altering them can take away, each time
// by the one alteration that leaves least wrong: a mark is written anew, moved, struck or
// added. intended are the marks of the plan that made them, nil if there is none.
// What is left in the end is nobody's fault but the music's. The search is greedy: it
// promises that each alteration makes things better, not that no fewer would do.
func Mend(t *Task, intended []part.Mark) *Repair {
	m := &mender{task: *t, intended: intended, given: map[key]bool{}}
	for i, mark := range t.Marks {
		m.items = append(m.items, item{mark, i})
	}
	m.judge(m.items)
	m.task.swept = m.tried.sweptRight()
	m.j, m.bad = m.tried, m.cost
	for range mostRepairs(&m.j.out) {
		f := m.next()
		if f == nil {
			break
		}
		if !m.improve(m.ways(f)) {
			m.given[faultKey(f)] = true
		}
	}
	r := &Repair{Found: &m.j.out}
	for _, it := range m.items {
		r.Marks, r.Of = append(r.Marks, it.Mark), append(r.Of, it.of)
	}
	return r
}

// sweptRight are the notes of glissandi that the pedals give whenever they are swept:
// what is done for other notes must leave them so.
func (j *judge) sweptRight() map[int]bool {
	right := maps.Clone(j.gliss)
	for i := range j.p.Moments {
		for _, s := range j.p.Moments[i].Strikes {
			if pitch := j.p.Notes[s.Note].Pitch; right[s.Note] && 100*int(j.settings[i][pitch.Letter]) != pitch.Cents {
				right[s.Note] = false
			}
		}
	}
	return right
}

// mostRepairs bounds the work.
func mostRepairs(p *Proof) int { return 4*len(p.Faults) + 16 }

// An item is a mark on its way to be mended.
type item struct {
	part.Mark
	of int
}

// Badness is how bad marks are, the worst first: notes that sound wrong, errors,
// warnings, notes.
type badness [4]int

type mender struct {
	task     Task
	intended []part.Mark
	items    []item
	j        *judge // of the items
	bad      badness
	given    map[key]bool // faults that are given up

	tried  *judge
	cost   badness
	played [][]pedal.String // the strings of each note
}

// A way is one alteration of a list of items, which it may change.
type way func(list []item) []item

// judge judges a list of items.
func (m *mender) judge(list []item) {
	task := m.task
	task.Marks = make([]part.Mark, len(list))
	for i := range list {
		task.Marks[i] = list[i].Mark
	}
	m.tried = judged(&task, m.played)
	m.played = m.tried.ways
	m.cost = badness{m.tried.unplanned()}
	for i := range m.tried.out.Faults {
		if f := &m.tried.out.Faults[i]; !f.Planned {
			m.cost[3-int(f.Severity)]++
		}
	}
}

// unplanned counts the wrong notes that were not planned.
func (j *judge) unplanned() (n int) {
	for _, t := range j.wrong {
		if !j.planned(key{WrongPedal, t.moment, 0, t.note}) {
			n++
		}
	}
	return n
}

func faultKey(f *Fault) key { return key{f.Kind, f.Moment, f.Pedal, 0} }

// next is the first fault that is to be mended; nil if there is none.
func (m *mender) next() *Fault {
	for i := range m.j.out.Faults {
		if f := &m.j.out.Faults[i]; f.Severity > Note && !m.given[faultKey(f)] {
			return f
		}
	}
	return nil
}

// improve takes the best of some ways, if it makes things better. Of equals, and of
// those that leave nothing but notes, it takes the first.
func (m *mender) improve(ways []way) bool {
	var best []item
	var judge *judge
	least := m.bad
	for _, w := range ways {
		list := w(slices.Clone(m.items))
		slices.SortStableFunc(list, func(a, b item) int {
			return a.Mark.Compare(b.Mark)
		})
		if m.judge(list); slices.Compare(m.cost[:], least[:]) < 0 {
			best, judge, least = list, m.tried, m.cost
			if least[0]+least[1]+least[2] == 0 {
				break
			}
		}
	}
	if best == nil {
		return false
	}
	m.items, m.j, m.bad = best, judge, least
	return true
}

// rewrite gives a mark other pedals; one without any is struck.
func rewrite(i int, pedals map[pedal.Letter]pedal.Position) way {
	return func(list []item) []item {
		if len(pedals) == 0 {
			return slices.Delete(list, i, i+1)
		}
		list[i].Prepared = false // it is printed without that word
		list[i].Pedals = pedals
		list[i].Full = len(pedals) == pedal.Letters
		return list
	}
}

// relocate moves a mark.
func relocate(i int, to part.Place) way {
	return func(list []item) []item {
		list[i].Place, list[i].Prepared = to, false
		return list
	}
}

// insert adds a mark.
func insert(at part.Place, pedals map[pedal.Letter]pedal.Position) way {
	return func(list []item) []item {
		return append(list, item{part.Mark{Place: at, Full: len(pedals) == pedal.Letters, Pedals: pedals}, -1})
	}
}

// with is the pedals of a mark with one in a position.
func with(m *part.Mark, l pedal.Letter, position pedal.Position) map[pedal.Letter]pedal.Position {
	pedals := maps.Clone(m.Pedals)
	pedals[l] = position
	return pedals
}

// without is the pedals of a mark without one.
func without(m *part.Mark, l pedal.Letter) map[pedal.Letter]pedal.Position {
	pedals := maps.Clone(m.Pedals)
	delete(pedals, l)
	return pedals
}

// ways lists what could mend a fault, what a proofreader would think of first coming
// first.
func (m *mender) ways(f *Fault) []way {
	list := m.restoring()
	switch f.Kind {
	case WrongPedal, NeverSet, LateMark, EarlyMark, RepeatStart:
		if f.Severity == Error {
			list = append(list, m.correcting(f)...)
		} else if f.Mark >= 0 {
			list = append(list, m.delaying(f)...)
		}
	case SettingContradicts:
		list = append(list, m.agreeing(f)...)
	case GlissandoAlone:
		list = append(list, m.announcing(f))
	}
	return list
}

// correcting lists what could give a wrong note its pedal.
func (m *mender) correcting(f *Fault) (list []way) {
	j, l, n := m.j, f.Pedal, f.Needed
	at := j.setBefore(l, f.Moment)
	if next := at + 1; next < len(j.sets[l]) && j.sets[l][next].to == n {
		mark := j.sets[l][next].mark // it comes too late
		if !m.items[mark].Full {
			for _, moment := range j.freeBefore(l, f.Moment) {
				list = append(list, relocate(mark, j.Part.Places.Of(moment)))
			}
		}
	}
	if at >= 0 {
		s := j.sets[l][at]
		mark := &m.items[s.mark].Mark
		if s.before == n && !mark.Full && j.isWanted(l, at) {
			for _, moment := range j.freeAfter(l, f.Moment) { // it came too early
				list = append(list, relocate(s.mark, j.Part.Places.Of(moment)))
			}
		}
		var struck, anew []way
		if !mark.Full {
			struck = []way{rewrite(s.mark, without(mark, l))}
		}
		if m.isSlip(s.mark, l) {
			anew = []way{rewrite(s.mark, with(mark, l, n))}
		}
		if s.before == n { // it does nothing but harm
			list = slices.Concat(list, struck, anew)
		} else {
			list = slices.Concat(list, anew, struck)
		}
	}
	for i := range m.items {
		mark := &m.items[i].Mark
		if mark.Full || !j.isRead(mark, f.Moment) {
			continue
		}
		for x := range pedal.Letter(pedal.Letters) { // another pedal was written instead
			if _, ok := mark.Pedals[x]; ok && x != l {
				list = append(list, rewrite(i, with(&part.Mark{Pedals: without(mark, x)}, l, n)))
			}
		}
	}
	for _, moment := range j.freeBefore(l, f.Moment) {
		list = append(list, insert(j.Part.Places.Of(moment), map[pedal.Letter]pedal.Position{l: n}))
	}
	return append(list, m.thereAndBack(f)...)
}

// isSlip tells whether a pedal of a mark may be a slip: of a setting only one letter
// is written anew, since who means another setting does not err in one.
func (m *mender) isSlip(i int, l pedal.Letter) bool {
	it := &m.items[i]
	if !it.Full || it.of < 0 {
		return true
	}
	for x, position := range m.task.Marks[it.of].Pedals {
		if x != l && it.Pedals[x] != position {
			return false
		}
	}
	return true
}

// thereAndBack lists what gives a wrong note its pedal and sets it back for a note
// after it, before the next mark of the pedal, that needs it as it stands.
func (m *mender) thereAndBack(f *Fault) (list []way) {
	j, l := m.j, f.Pedal
	at := j.setBefore(l, f.Moment)
	for i := j.nextUse(l, f.Moment+1); i < len(j.uses[l]); i++ {
		u := j.uses[l][i]
		if j.setBefore(l, u.moment) != at {
			return nil
		}
		if u.position == f.Needed {
			continue
		}
		back := insert(j.Part.Places.Of(u.moment), map[pedal.Letter]pedal.Position{l: u.position})
		for _, moment := range j.freeBefore(l, f.Moment) {
			there := insert(j.Part.Places.Of(moment), map[pedal.Letter]pedal.Position{l: f.Needed})
			list = append(list, func(items []item) []item { return back(there(items)) })
		}
		if at >= 0 && m.isSlip(j.sets[l][at].mark, l) {
			anew := rewrite(j.sets[l][at].mark, with(&m.items[j.sets[l][at].mark].Mark, l, f.Needed))
			list = append(list, func(items []item) []item { return back(anew(items)) })
		}
		return list
	}
	return nil
}

// delaying lists what could spare a held note.
func (m *mender) delaying(f *Fault) (list []way) {
	mark := &m.items[f.Mark].Mark
	if mark.Full {
		return nil
	}
	if at := m.j.setBefore(f.Pedal, f.Moment); at >= 0 && m.j.isWanted(f.Pedal, at) {
		for _, moment := range m.j.freeAfter(f.Pedal, f.Moment) {
			list = append(list, relocate(f.Mark, m.j.Part.Places.Of(moment)))
		}
	}
	return append(list, rewrite(f.Mark, without(mark, f.Pedal)))
}

// agreeing lists what could make a setting and a change agree.
func (m *mender) agreeing(f *Fault) (list []way) {
	setting := &m.items[f.Mark].Mark
	was := m.j.before(m.j.playings(setting)[0])[f.Pedal]
	for _, position := range []pedal.Position{f.Needed, was} {
		if !m.isSlip(f.Mark, f.Pedal) {
			break
		}
		list = append(list, rewrite(f.Mark, with(setting, f.Pedal, position)))
	}
	if at := m.j.setBefore(f.Pedal, m.j.playings(setting)[0]-1); at >= 0 {
		if change := m.j.sets[f.Pedal][at].mark; !m.items[change].Full {
			list = append(list, rewrite(change, without(&m.items[change].Mark, f.Pedal)))
		}
	}
	return list
}

// isWanted tells whether a note needs a pedal as it was set, before it is set again.
func (j *judge) isWanted(l pedal.Letter, at int) bool {
	s := j.sets[l][at]
	for i := j.nextUse(l, s.moment); i < len(j.uses[l]) && j.setBefore(l, j.uses[l][i].moment) == at; i++ {
		if j.uses[l][i].position == s.to {
			return true
		}
	}
	return false
}

// announcing puts a setting before a glissando: as the pedals stand.
func (m *mender) announcing(f *Fault) way {
	pedals := map[pedal.Letter]pedal.Position{}
	for l, position := range m.j.settings[f.Moment] {
		pedals[pedal.Letter(l)] = position
	}
	return insert(m.j.Part.Places.Of(f.Moment), pedals)
}

// mostPlaces is how many places are tried for a mark.
const mostPlaces = 6

// freeBefore lists moments at which a pedal may be moved for a note: its own, and those
// before it back to the last use of the letter, the beats among them first.
func (j *judge) freeBefore(l pedal.Letter, moment int) []int {
	from := 0
	if i := j.nextUse(l, moment) - 1; i >= 0 {
		from = j.uses[l][i].moment + 1
	}
	list := []int{moment}
	for i := moment - 1; i >= from && len(list) < mostPlaces; i-- {
		if j.p.Moments[i].Beat {
			list = append(list, i)
		}
	}
	return list
}

// freeAfter lists moments after one to which a mark of a pedal may go: until the next
// note that needs the pedal otherwise, the last first.
func (j *judge) freeAfter(l pedal.Letter, moment int) []int {
	stands := j.settings[moment][l]
	until := min(moment+64, len(j.p.Moments)-1)
	for i := j.nextUse(l, moment); i < len(j.uses[l]); i++ {
		if u := j.uses[l][i]; u.position == stands && u.moment > moment {
			until = u.moment
			break
		}
	}
	var list []int
	for i := until; i > moment && len(list) < mostPlaces; i-- {
		if i == until || j.p.Moments[i].Beat {
			list = append(list, i)
		}
	}
	return list
}

// isRead tells whether a mark is read within few measures before a moment.
func (j *judge) isRead(m *part.Mark, moment int) bool {
	return slices.ContainsFunc(j.playings(m), func(at int) bool { return at <= moment && j.isNear(at, moment) })
}

// restoring lists what would bring single marks back to what the plan had, and last
// all of them together: two that are in each other's way are no better one by one.
func (m *mender) restoring() (list []way) {
	if m.intended == nil {
		return nil
	}
	anew := map[int]map[pedal.Letter]pedal.Position{} // marks that stand at their place and say something else
	moved := map[int]part.Place{}
	missing, matched := m.compared(anew)
	var added []part.Mark
	for _, want := range missing {
		found := false
		for i := range m.items {
			if !matched[i] && maps.Equal(m.items[i].Pedals, want.Pedals) {
				list = append(list, relocate(i, want.Place))
				if _, taken := moved[i]; !found && !taken {
					moved[i], found = want.Place, true
				}
			}
		}
		list = append(list, insert(want.Place, want.Pedals))
		if !found {
			added = append(added, want)
		}
	}
	for i := range m.items {
		if pedals, ok := anew[i]; ok {
			list = append(list, rewrite(i, pedals))
		} else if !matched[i] {
			list = append(list, rewrite(i, nil))
		}
	}
	if len(list) < 2 {
		return list // nothing, or nothing more
	}
	return append(list, func(items []item) []item {
		var all []item
		for i, it := range items {
			if pedals, ok := anew[i]; ok {
				it.Pedals, it.Full = pedals, len(pedals) == pedal.Letters
			} else if at, ok := moved[i]; ok {
				it.Place = at
			} else if !matched[i] {
				continue
			}
			all = append(all, it)
		}
		for _, want := range added {
			all = append(all, item{want, -1})
		}
		return all
	})
}

// compared compares marks with those that were intended: it puts those that are to say
// something else into anew, and returns the intended ones that are missing, and which
// marks stand where one was intended.
func (m *mender) compared(anew map[int]map[pedal.Letter]pedal.Position) (missing []part.Mark, matched []bool) {
	matched = make([]bool, len(m.items))
	for _, want := range m.intended {
		at := -1
		for i := range m.items {
			it := &m.items[i]
			if it.Place != want.Place || it.Full != want.Full || matched[i] {
				continue
			}
			same := maps.Equal(it.Pedals, want.Pedals)
			if want.Full { // a diagram and letters are one
				if matched[i], at = true, i; !same {
					anew[i] = want.Pedals
				}
			} else if at < 0 || same {
				at = i
			}
		}
		switch {
		case at < 0:
			missing = append(missing, want)
		case !want.Full:
			if matched[at] = true; !maps.Equal(m.items[at].Pedals, want.Pedals) {
				anew[at] = want.Pedals
			}
		}
	}
	return missing, matched
}
