package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"pedalogue/pedal"
)

// A page is all marks of one player as they stand in the score, in written
// order. What is printed once holds in every pass: followed in playing order,
// the marks give the plan's position of every pedal whenever a note needs it,
// and move no pedal that the plan does not move.
type page struct {
	bridge *bridge
	marks  []printedMark
	pedals [pedal.Letters]strip // what the plan asks of each pedal, in playing order
	moves  []place              // where each move of the plan is printed
	resets []reset
}

// A place is a written moment: the measure, and the moment's index in it.
type place struct{ measure, at int }

// A printedMark is a full setting or a list of changes.
type printedMark struct {
	place
	reason  string // why a full setting stands here; "" for a list of changes
	setting pedal.Setting
	changes map[pedal.Letter]pedal.Position
}

func (m *printedMark) full() bool { return m.reason != "" }

// A reset is what has to be moved before a jump back.
type reset struct {
	place
	changes map[pedal.Letter]pedal.Position
}

// A strip is the stretches of one pedal, in playing order.
type strip []stretch

// A stretch is a run of moments that need a pedal in one position. The pedal
// leaves it somewhere after its last use, and by the first use of the next one.
type stretch struct {
	position    pedal.Position
	first, last int   // moments of its first and last use
	end         int64 // tick at which its last tone ends
	// Full settings that stand between this stretch and the next fix on which
	// side of them the pedal moves.
	notBefore int // the last full setting that still has this stretch's position; -1 if none
	by        int // the first one that has the next one's; never if none
}

const never = int(^uint(0) >> 1)

// errRestated tells that a full setting at the start would move pedals that the
// plan leaves alone when the start is played again.
var errRestated = errors.New("the first setting is played again and does not hold there")

// layOut puts a plan on the page: its changes, and full settings where a player
// must see them.
func layOut(b *bridge, plan *pedal.Plan, instrument pedal.Instrument, wanted []section) (*page, error) {
	p := &page{bridge: b}
	p.readPlan(plan, instrument)
	for i, s := range wanted {
		if ok := p.addSetting(s, plan); !ok && i == 0 {
			return nil, errRestated
		}
	}
	p.addChanges(plan)
	p.crowded(plan)
	p.addResets(plan)
	p.sort()
	return p, p.check(plan)
}

// readPlan finds the stretches of every pedal.
func (p *page) readPlan(plan *pedal.Plan, instrument pedal.Instrument) {
	silent := map[pedal.Dropped]bool{}
	for _, d := range plan.Unsounded {
		silent[d] = true
	}
	for l := range p.pedals {
		p.pedals[l] = strip{{position: plan.Start[l], first: -1, last: -1, notBefore: -1, by: never}}
	}
	for i, m := range p.bridge.passage.Moments {
		for j, s := range m.Strikes {
			str := plan.Strings[s.Note]
			if !str.OK || silent[pedal.Dropped{Moment: i, Strike: j}] || !instrument.Disced(pedal.StringName{Letter: str.Letter, Octave: str.Octave}) {
				continue
			}
			p.pedals[str.Letter].use(i, str.Position, s.End)
		}
	}
	for _, m := range plan.Moves {
		if m.Needed == len(p.bridge.moments) { // where the user wants the pedal when all is played
			p.pedals[m.Letter].use(m.Needed, m.To, 0)
		}
	}
}

// use adds a use of the pedal.
func (s *strip) use(moment int, position pedal.Position, end int64) {
	last := &(*s)[len(*s)-1]
	if last.position != position {
		*s = append(*s, stretch{position: position, first: moment, last: moment, end: end, notBefore: -1, by: never})
		return
	}
	last.last = moment
	last.end = max(last.end, end)
}

// at returns the index of the stretch in which a moment lies: the last one that
// begins by it.
func (s strip) at(moment int) int {
	i, found := slices.BinarySearchFunc(s, moment, func(t stretch, m int) int { return cmp.Compare(t.first, m) })
	if found {
		return i
	}
	return i - 1
}

// allowed returns the positions that a full setting may give the pedal at a
// moment: that of the stretch there and, once the stretch is over and its
// tones have ended, that of the next one.
func (p *page) allowed(l pedal.Letter, moment int) (now, next pedal.Position, hasNow, hasNext bool) {
	s := p.pedals[l]
	i := s.at(moment)
	t := s[i]
	now, next = t.position, t.position
	hasNow = moment < t.by || moment <= t.last
	if i+1 < len(s) && moment > t.last && moment > t.notBefore && p.bridge.passage.Moments[moment].Onset >= t.end {
		next, hasNext = s[i+1].position, true
	}
	return now, next, hasNow, hasNext
}

// fits reports whether a full setting may give the pedal a position at all of
// these moments.
func (p *page) fits(l pedal.Letter, position pedal.Position, moments []int) bool {
	for _, m := range moments {
		now, next, hasNow, hasNext := p.allowed(l, m)
		if !(hasNow && now == position) && !(hasNext && next == position) {
			return false
		}
	}
	return true
}

// fix remembers that a full setting gives the pedal a position at a moment.
func (p *page) fix(l pedal.Letter, position pedal.Position, moment int) {
	s := p.pedals[l]
	i := s.at(moment)
	switch t := &s[i]; {
	case t.position != position:
		t.by = min(t.by, moment)
	case t.first == moment && i > 0:
		s[i-1].by = min(s[i-1].by, moment)
	default:
		t.notBefore = max(t.notBefore, moment)
	}
}

// addSetting puts a full setting on the page, if one can hold in every pass
// without moving a pedal that the plan leaves alone.
func (p *page) addSetting(s section, plan *pedal.Plan) bool {
	moments := p.bridge.playings(s.place)
	if len(moments) == 0 || p.settingAt(s.place) != nil {
		return true
	}
	var setting pedal.Setting
	for l := range pedal.Letter(pedal.Letters) {
		wish := plan.Settings[moments[0]][l]
		if !p.fits(l, wish, moments) {
			now, next, _, _ := p.allowed(l, moments[0])
			switch {
			case p.fits(l, now, moments):
				wish = now
			case p.fits(l, next, moments):
				wish = next
			default:
				return false
			}
		}
		setting[l] = wish
	}
	if s.ifDiffers && !p.differs(plan, moments) {
		return true
	}
	for l := range setting {
		for _, m := range moments {
			p.fix(pedal.Letter(l), setting[l], m)
		}
	}
	p.marks = append(p.marks, printedMark{place: s.place, reason: s.reason, setting: setting})
	return true
}

// differs reports whether the pedals stand differently in the passes through a
// place, or just before it.
func (p *page) differs(plan *pedal.Plan, moments []int) bool {
	for _, m := range moments {
		if plan.Settings[m] != plan.Settings[moments[0]] || m > 0 && plan.Settings[m-1] != plan.Settings[moments[0]] {
			return true
		}
	}
	return false
}

func (p *page) settingAt(at place) *printedMark {
	for i := range p.marks {
		if p.marks[i].full() && p.marks[i].place == at {
			return &p.marks[i]
		}
	}
	return nil
}

// A changeKey is one change as it is printed: the written moment that needs it,
// the pedal and where it goes.
type changeKey struct {
	needed place
	letter pedal.Letter
	to     pedal.Position
}

// addChanges prints the changes that no full setting makes. A change stands
// where the foot moves; it is never printed on the far side of a repeat sign or
// jump from the note that needs it, and where passes differ it stands at the
// latest of their places.
func (p *page) addChanges(plan *pedal.Plan) {
	b := p.bridge
	p.moves = make([]place, len(plan.Moves))
	at := map[changeKey]int{}
	var keys []changeKey
	keyOf := make([]changeKey, len(plan.Moves))
	bySetting := make([]bool, len(plan.Moves))
	straight := b.straightRuns()
	for i, m := range plan.Moves {
		s := p.pedals[m.Letter]
		t := s[max(s.at(m.Needed)-1, 0)]
		if t.by != never && t.by <= m.Needed {
			p.moves[i], bySetting[i] = b.placeOf(t.by), true
			continue
		}
		needed := b.placeOf(b.within(m.Needed))
		first := b.linear(place{straight[needed.measure], 0})
		stands, target := b.within(m.Place), b.within(m.Needed)
		linear := b.linear(b.placeOf(stands))
		if linear < first || b.moments[stands].step != b.moments[target].step-(needed.measure-b.moments[stands].measure) {
			linear = first
		}
		if t.notBefore > stands {
			linear = max(linear, b.linear(b.placeOf(t.notBefore)))
		}
		linear = min(linear, b.linear(needed))
		if x := p.tempted(plan, m, t); x >= 0 {
			if l := b.linear(b.placeOf(x)); l >= first {
				linear = min(linear, l)
			}
		}
		k := changeKey{needed, m.Letter, m.To}
		keyOf[i] = k
		if before, known := at[k]; known {
			linear = max(linear, before)
		} else {
			keys = append(keys, k)
		}
		at[k] = linear
	}
	for _, k := range keys {
		p.addChange(b.placeAt(at[k]), k)
	}
	for i := range plan.Moves {
		if !bySetting[i] {
			p.moves[i] = b.placeAt(at[keyOf[i]])
		}
	}
}

// inOrder lists the moves in the order in which a player reads their marks.
func (p *page) inOrder(plan *pedal.Plan) []int {
	order, read := make([]int, len(plan.Moves)), make([]int, len(plan.Moves))
	for i, m := range plan.Moves {
		order[i], read[i] = i, p.met(i, m)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(read[a], read[b]) })
	return order
}

// met is the moment at which a player meets the mark of move i of the plan.
func (p *page) met(i int, m pedal.Move) int {
	return p.bridge.readAt(p.moves[i], p.bridge.within(m.Needed))
}

// asMarked is the plan as a player meets it: its moves where their marks stand, in
// that order. Those for a setting that is asked for after the music stay there.
func (p *page) asMarked(plan *pedal.Plan) *pedal.Plan {
	marked := *plan
	marked.Moves = slices.Clone(plan.Moves)
	for i, m := range plan.Moves {
		if m.Place < len(plan.Settings) {
			marked.Moves[i].Place = p.met(i, m)
		}
	}
	slices.SortStableFunc(marked.Moves, func(a, b pedal.Move) int { return cmp.Compare(a.Place, b.Place) })
	return &marked
}

// tempted returns the first moment between a pedal's last use and the note that
// needs the change at which a respelt note is written on the pedal's letter in
// the old position: a player who reads it there would pluck the string that is
// about to move, so the change has to come first. It is -1 if there is none, or
// if a tone of the letter still lasts.
func (p *page) tempted(plan *pedal.Plan, m pedal.Move, t stretch) int {
	moments := p.bridge.passage.Moments
	for i := max(t.last+1, 0); i < min(m.Needed, len(moments)); i++ {
		for _, s := range moments[i].Strikes {
			pitch, str := p.bridge.passage.Notes[s.Note].Pitch, plan.Strings[s.Note]
			if str.OK && str.Letter != m.Letter && pitch.Letter == m.Letter && pitch.Cents == 100*int(m.From) && moments[i].Onset >= t.end {
				return i
			}
		}
	}
	return -1
}

func (p *page) addChange(at place, k changeKey) {
	for i := range p.marks {
		m := &p.marks[i]
		if m.full() || m.place != at {
			continue
		}
		if _, twice := m.changes[k.letter]; !twice {
			m.changes[k.letter] = k.to
			return
		}
	}
	p.marks = append(p.marks, printedMark{place: at, changes: map[pedal.Letter]pedal.Position{k.letter: k.to}})
}

// manyChanges is how many changes at one place are given as a full setting.
const manyChanges = 4

// crowded puts a full setting in the place of a long list of changes.
func (p *page) crowded(plan *pedal.Plan) {
	var crowds []section
	for i := range p.marks {
		if m := &p.marks[i]; !m.full() && len(m.changes) >= manyChanges && p.settingAt(m.place) == nil {
			crowds = append(crowds, section{place: m.place, reason: "many changes"})
		}
	}
	if len(crowds) == 0 {
		return
	}
	p.marks = slices.DeleteFunc(p.marks, func(m printedMark) bool { return !m.full() })
	for _, s := range crowds {
		p.addSetting(s, plan)
	}
	p.addChanges(plan)
}

func (p *page) sort() {
	slices.SortStableFunc(p.marks, func(a, b printedMark) int {
		return cmp.Or(cmp.Compare(a.measure, b.measure), cmp.Compare(a.at, b.at), -cmp.Compare(len(a.reason), len(b.reason)))
	})
}

// addResets notes what the marks at the target of a jump back move, so that a
// player is told before the jump.
func (p *page) addResets(plan *pedal.Plan) {
	b := p.bridge
	p.sort()
	byPlace := p.byPlace()
	now := plan.Start
	told := map[place]bool{}
	for i := range b.moments {
		before := now
		for _, m := range byPlace[b.placeOf(i)] {
			now = m.apply(now)
		}
		step := b.moments[i].step
		if now == before || i != b.stepStarts[step] || step == 0 || b.score.Order[step] > b.score.Order[step-1] {
			continue
		}
		from := b.placeOf(i - 1)
		if told[from] {
			continue
		}
		told[from] = true
		r := reset{place: from, changes: map[pedal.Letter]pedal.Position{}}
		for l := range now {
			if now[l] != before[l] {
				r.changes[pedal.Letter(l)] = now[l]
			}
		}
		p.resets = append(p.resets, r)
	}
}

func (p *page) byPlace() map[place][]*printedMark {
	all := map[place][]*printedMark{}
	for i := range p.marks {
		all[p.marks[i].place] = append(all[p.marks[i].place], &p.marks[i])
	}
	return all
}

// check follows the marks in playing order as a player would, and compares the
// pedals with what the plan needs at every moment.
func (p *page) check(plan *pedal.Plan) error {
	b := p.bridge
	byPlace := p.byPlace()
	now := plan.Start
	moves := 0
	for i := range b.moments {
		for _, m := range byPlace[b.placeOf(i)] {
			next := m.apply(now)
			for l := range now {
				if now[l] != next[l] {
					moves++
				}
			}
			now = next
		}
		for l, s := range p.pedals {
			if t := s[s.at(i)]; i <= t.last && now[l] != t.position {
				return &pedal.Error{Moment: i, Err: fmt.Errorf("the marks leave the %v pedal at %s where the plan has %s",
					pedal.Letter(l), now[l].Sign(), t.position.Sign())}
			}
		}
	}
	if moves != plan.Cost.Changes {
		return fmt.Errorf("the marks make %d changes, the plan %d", moves, plan.Cost.Changes)
	}
	return nil
}

// apply returns how the pedals stand after a mark.
func (m *printedMark) apply(s pedal.Setting) pedal.Setting {
	if m.full() {
		return m.setting
	}
	for l, position := range m.changes {
		s[l] = position
	}
	return s
}

// placeOf is the written place of a moment.
func (b *bridge) placeOf(moment int) place {
	o := b.moments[moment]
	return place{o.measure, moment - b.stepStarts[o.step]}
}

// within is the moment of an index that may lie past the last one: a pedal that
// is wanted elsewhere when all is played is moved by the final barline.
func (b *bridge) within(moment int) int { return min(moment, len(b.moments)-1) }

// linear numbers the written places of all measures.
func (b *bridge) linear(p place) int { return b.measureStarts[p.measure] + p.at }

// placeAt is the place of a number.
func (b *bridge) placeAt(linear int) place {
	measure, _ := slices.BinarySearch(b.measureStarts, linear+1)
	return place{measure - 1, linear - b.measureStarts[measure-1]}
}

// readAt is the moment at which a player on the way to another has last passed a
// place.
func (b *bridge) readAt(p place, target int) int {
	for step := b.moments[target].step; step >= 0; step-- {
		if b.score.Order[step] == p.measure {
			return b.stepStarts[step] + p.at
		}
	}
	return target
}

// playings lists the moments at which a place is played.
func (b *bridge) playings(p place) []int {
	var moments []int
	for step, k := range b.score.Order {
		if k == p.measure {
			moments = append(moments, b.stepStarts[step]+p.at)
		}
	}
	return moments
}

// broken tells for each written measure, and the end, whether something else than
// the measure before leads to it, or the measure before leads elsewhere.
func (b *bridge) broken() []bool {
	broken := make([]bool, len(b.score.Measures)+1)
	order := b.score.Order
	for i := range order {
		if i > 0 && order[i] != order[i-1]+1 {
			broken[order[i]] = true
			broken[order[i-1]+1] = true
		}
	}
	broken[order[len(order)-1]+1] = true // the music may end before it
	return broken
}

// straightRuns gives for each measure the first measure of the stretch around
// it that is always played straight on.
func (b *bridge) straightRuns() []int {
	broken := b.broken()
	starts := make([]int, len(b.score.Measures))
	for k := 1; k < len(starts); k++ {
		starts[k] = starts[k-1]
		if broken[k] {
			starts[k] = k
		}
	}
	return starts
}
