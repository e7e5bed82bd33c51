package proof

import (
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/spelling"
)

// near is within how many measures, as they are played, a mark is late or early and
// not one for something else.
const near = 2

// wrongNotes puts down the notes that no string gives, by the pedals that would give
// them.
func (j *judge) wrongNotes() {
	var runs [pedal.Letters][2]run // of those that were not planned, and of those that were
	for _, t := range j.wrong {
		k := key{WrongPedal, t.moment, t.on.Letter, t.note}
		j.out.keys[k] = true
		k.letter = 0 // the same note, whichever string it was to be on
		j.out.keys[k] = true
		which := 0
		if t.planned = j.planned(k); t.planned {
			which = 1
		}
		r := &runs[t.on.Letter][which]
		if !j.goesOn(r, t) {
			j.close(r)
			*r = run{first: t, open: true}
		}
		r.last = t.moment
		if !slices.Contains(r.notes, t.note) {
			r.notes = append(r.notes, t.note)
		}
	}
	for l := range runs {
		for which := range runs[l] {
			j.close(&runs[l][which])
		}
	}
}

// A run is wrong notes of one pedal that are told together.
type run struct {
	open  bool
	first tone
	last  int // moment
	notes []int
}

// goesOn tells whether a wrong note goes on a run: no mark has named the pedal since,
// and no note has needed it elsewhere.
func (j *judge) goesOn(r *run, t tone) bool {
	l := t.on.Letter
	if !r.open || r.first.on.Position != t.on.Position || j.setBefore(l, r.last) != j.setBefore(l, t.moment) {
		return false
	}
	for i := j.nextUse(l, r.last+1); i < len(j.uses[l]) && j.uses[l][i].moment < t.moment; i++ {
		if j.uses[l][i].position != t.on.Position {
			return false
		}
	}
	return true
}

// close tells a run as a fault.
func (j *judge) close(r *run) {
	if !r.open {
		return
	}
	t := r.first
	l := t.on.Letter
	f := Fault{
		Severity: Error, Moment: t.moment, Staff: j.p.Notes[t.note].Staff, OfPedal: true, Pedal: l,
		Stands: t.stands, Needed: t.on.Position, Notes: r.notes, Mark: -1, Planned: t.planned,
	}
	f.Kind, f.Mark = j.classify(t)
	f.Text, f.Remedy = j.wrongText(&f, t)
	if f.Planned {
		f.Severity = Note
	}
	j.out.Faults = append(j.out.Faults, f)
}

// classify tells why a note is wrong, and which mark is to blame, -1 for none.
func (j *judge) classify(t tone) (Kind, int) {
	l := t.on.Letter
	at := j.setBefore(l, t.moment)
	switch {
	case at >= 0 && j.leftByJump(t, j.sets[l][at]):
		return RepeatStart, -1
	case at < 0 && j.leftByJump(t, set{moment: -1}):
		return RepeatStart, -1
	case at < 0:
		return NeverSet, -1
	}
	if next := at + 1; next < len(j.sets[l]) && j.comesLate(t, j.sets[l][next]) {
		return LateMark, j.sets[l][next].mark
	}
	if s := j.sets[l][at]; j.cameEarly(t, s) {
		return EarlyMark, s.mark
	}
	return WrongPedal, j.sets[l][at].mark
}

// comesLate tells whether the next mark of the pedal is the one that a note needed, and
// no note before it needs it elsewhere.
func (j *judge) comesLate(t tone, next set) bool {
	if next.to != t.on.Position || next.before == next.to || !j.isNear(t.moment, next.moment) {
		return false
	}
	l := t.on.Letter
	for i := j.nextUse(l, t.moment+1); i < len(j.uses[l]) && j.uses[l][i].moment < next.moment; i++ {
		if j.uses[l][i].position != t.on.Position {
			return false
		}
	}
	return true
}

// cameEarly tells whether the pedal stood right until a mark that a later note needs.
func (j *judge) cameEarly(t tone, s set) bool {
	if s.before != t.on.Position || s.to == s.before || !j.isNear(s.moment, t.moment) {
		return false
	}
	l := t.on.Letter
	for i := j.nextUse(l, t.moment+1); i < len(j.uses[l]) && j.setBefore(l, j.uses[l][i].moment) == j.setBefore(l, t.moment); i++ {
		if j.uses[l][i].position == s.to {
			return true
		}
	}
	return false
}

// isNear tells whether one moment comes few measures after another.
func (j *judge) isNear(from, to int) bool {
	return j.p.Moments[to].Measure-j.p.Moments[from].Measure <= near
}

// leftByJump tells whether the pedal has not been set since a repeat or jump, and would
// stand right if the music were played as it is written.
func (j *judge) leftByJump(t tone, s set) bool {
	jump := j.lastJump(t.moment)
	if jump < 0 || s.moment >= jump {
		return false
	}
	return j.written(t.on.Letter, j.Part.Places.Of(t.moment)) == t.on.Position
}

// lastJump is the moment at which what is played last went elsewhere than on, at or
// before a moment; -1 if it never has.
func (j *judge) lastJump(moment int) int {
	for k := j.p.Moments[moment].Measure; k > 0 && k < len(j.p.Measures); k-- {
		if j.p.Measures[k].Written != j.p.Measures[k-1].Written+1 {
			return j.p.Measures[k].First
		}
	}
	return -1
}

// written is how a pedal stands at a place if all marks before it are read once, in
// written order.
func (j *judge) written(l pedal.Letter, at part.Place) pedal.Position {
	position := j.p.Key[l]
	for i := range j.Marks {
		m := &j.Marks[i]
		if m.Measure > at.Measure || m.Measure == at.Measure && m.At > at.At {
			break
		}
		if p, ok := m.Pedals[l]; ok {
			position = p
		}
	}
	return position
}

// otherStrings puts down the notes that only their other string gives, once for a run.
func (j *judge) otherStrings() {
	type pair struct{ written, on pedal.Letter }
	open := map[pair]*Fault{}
	last := map[pair]int{}
	var order []*Fault
	for _, t := range j.others {
		p := pair{t.of, t.on.Letter}
		if f := open[p]; f != nil && j.setBefore(t.of, last[p]) == j.setBefore(t.of, t.moment) && j.setBefore(p.on, last[p]) == j.setBefore(p.on, t.moment) {
			last[p] = t.moment
			if !slices.Contains(f.Notes, t.note) {
				f.Notes = append(f.Notes, t.note)
			}
			continue
		}
		f := &Fault{
			Kind: OtherString, Severity: Note, Moment: t.moment, Staff: j.p.Notes[t.note].Staff, OfPedal: true, Pedal: t.of,
			Stands: j.settings[t.moment][t.of], Needed: j.ways[t.note][0].Position, Notes: []int{t.note}, Mark: -1,
		}
		f.Planned = j.Plan != nil && j.Plan.Strings[t.note] == t.on
		f.Text, f.Remedy = j.otherText(t)
		open[p], last[p] = f, t.moment
		order = append(order, f)
	}
	for _, f := range order {
		j.out.Faults = append(j.out.Faults, *f)
	}
}

// stringNames puts down the texts that name another string for a note than the one
// that gives it. In a chord with several notes of one name the text is for one of them.
func (j *judge) stringNames() {
	for i := range j.Readings {
		r := &j.Readings[i]
		notes := j.notesAt(r)
		for _, t := range r.Strings {
			j.stringName(r, notes, t)
		}
	}
}

// stringName puts down one name in a text over notes.
func (j *judge) stringName(r *part.Reading, notes []int, t spelling.Tuning) {
	for _, moment := range j.Part.Places.Playings(j.Part.PlaceOf(&r.Standing)) {
		other := -1 // a note that sounds on another string
		for _, n := range notes {
			if !j.sameTone(n, t.Letter, t.Position) || len(j.ways[n]) == 0 {
				continue // a text is for no note beyond the strings
			}
			on, right := j.choose(moment, n)
			if right && on.Letter == t.Letter {
				other = -1
				break
			}
			if right && other < 0 {
				other = n
			}
		}
		if other < 0 {
			continue
		}
		on, _ := j.choose(moment, other)
		f := Fault{
			Kind: StringNameDiffers, Severity: Note, Moment: moment, Staff: j.p.Notes[other].Staff, OfPedal: true, Pedal: t.Letter,
			Stands: j.settings[moment][t.Letter], Needed: t.Position, Notes: []int{other}, Mark: -1,
			Text: j.nameText(other, t, on), Remedy: "Strike the text out, or set the pedal that it names.",
		}
		j.out.Faults = append(j.out.Faults, f)
		return // once, for the first pass in which it is so
	}
}
