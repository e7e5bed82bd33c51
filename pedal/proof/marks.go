package proof

import (
	"fmt"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/part"
)

// before is the setting before what stands at a moment's place is read.
func (j *judge) before(moment int) pedal.Setting {
	if moment == 0 {
		return j.p.Key
	}
	return j.settings[moment-1]
}

// playings are the moments at which a mark is read.
func (j *judge) playings(m *part.Mark) []int { return j.Part.Places.Playings(m.Place) }

// idleMarks puts down the changes that change nothing in any pass, and those that change
// what no note hears before the pedal is marked again. What a pedal that was never set is
// told is something.
func (j *judge) idleMarks() {
	for i := range j.Marks {
		m := &j.Marks[i]
		played := j.playings(m)
		if m.Full || len(m.Pedals) == 0 || len(played) == 0 {
			continue
		}
		var moved, twice []pedal.Letter // for no note; by another mark at the same place
		first := pedal.Letter(pedal.Letters)
		idle := true
		for l := range pedal.Letter(pedal.Letters) {
			position, ok := m.Pedals[l]
			if !ok {
				continue
			}
			first = min(first, l)
			switch {
			case j.isOverruled(i, l, played):
				twice = append(twice, l)
			case j.isIdle(l, position, played):
			case !j.deferred[deferral{i, l}] && j.isUnheard(l, played):
				moved = append(moved, l)
			default:
				idle = false
			}
		}
		if !idle {
			continue
		}
		if told := slices.Concat(moved, twice); len(told) > 0 {
			first = told[0]
		}
		f := Fault{
			Kind: IdleMark, Moment: played[0], OfPedal: len(m.Pedals) == 1, Pedal: first, Mark: i,
			Stands: m.Pedals[first], Needed: m.Pedals[first],
		}
		if len(twice) > 0 && len(moved) == 0 {
			f.Needed = j.settings[played[0]][first]
		} else if len(moved) > 0 && j.setBefore(first, played[0]-1) >= 0 {
			f.Needed = j.before(played[0])[first]
		}
		f.Text, f.Remedy = j.idleText(m, moved, twice, j.undoes(m, played[0]))
		j.add(key{IdleMark, played[0], first, -1}, f)
	}
}

// isIdle tells whether a pedal stands in a position already whenever a mark there is read.
func (j *judge) isIdle(l pedal.Letter, position pedal.Position, played []int) bool {
	for _, i := range played {
		if j.setBefore(l, i-1) < 0 || j.before(i)[l] != position {
			return false
		}
	}
	return true
}

// isOverruled tells whether another mark of changes at the same place is the one that is
// followed: it comes behind, and says the same or something else.
func (j *judge) isOverruled(mark int, l pedal.Letter, played []int) bool {
	if j.deferred[deferral{mark, l}] {
		return false
	}
	for _, i := range played {
		at := j.setBefore(l, i)
		if at < 0 || j.sets[l][at].moment != i || j.sets[l][at].mark == mark || j.Marks[j.sets[l][at].mark].Place != j.Marks[mark].Place {
			return false
		}
	}
	return true
}

// isUnheard tells whether no note is played on the strings of a pedal from the places of
// a mark on until it is marked again.
func (j *judge) isUnheard(l pedal.Letter, played []int) bool {
	for _, i := range played {
		until := len(j.p.Moments)
		at := j.setBefore(l, i)
		for next := at + 1; at >= 0 && next < len(j.sets[l]); next++ {
			s := j.sets[l][next]
			if s.to == j.sets[l][at].to {
				continue // it is said again
			}
			if until = s.moment; j.Marks[s.mark].Full {
				return false // the setting contradicts it, which is told
			}
			break
		}
		if use := j.nextUse(l, i); use < len(j.uses[l]) && j.uses[l][use].moment < until {
			return false
		}
		if sweep, _ := slices.BinarySearch(j.sweeps, i); sweep < len(j.sweeps) && j.sweeps[sweep] < until {
			return false
		}
	}
	return true
}

// undoes tells whether a mark that changes nothing undoes a change that is missing: the
// last note before it on its strings wants the pedal elsewhere.
func (j *judge) undoes(m *part.Mark, moment int) bool {
	for l, position := range m.Pedals {
		if l >= pedal.Letters {
			continue
		}
		if i := j.nextUse(l, moment) - 1; i >= 0 && !j.uses[l][i].right && j.uses[l][i].position != position {
			return true
		}
	}
	return false
}

// contradictions puts down the full settings that say otherwise than a change before
// them, without a change beside them that says it too. A setting after a repeat or jump
// contradicts nothing; neither does one that agrees with the notes after it, where the
// change before has done its work.
func (j *judge) contradictions() {
	changed := map[part.Place][pedal.Letters]bool{}
	for i := range j.Marks {
		if m := &j.Marks[i]; !m.Full {
			letters := changed[m.Place]
			for l := range m.Pedals {
				if l < pedal.Letters {
					letters[l] = true
				}
			}
			changed[m.Place] = letters
		}
	}
	j.besideEach()
	for i := range j.Marks {
		m := &j.Marks[i]
		played := j.playings(m)
		if !m.Full || m.Prepared || len(played) == 0 {
			continue // what is to be prepared is no restatement
		}
		for l := range pedal.Letter(pedal.Letters) {
			if !changed[m.Place][l] {
				j.contradiction(i, l, played[0])
			}
		}
	}
}

// besideEach puts down the pedals in which two settings at one place differ, such as a
// diagram and the letters beside it: the second one is followed.
func (j *judge) besideEach() {
	for i := 1; i < len(j.Marks); i++ {
		a, b := &j.Marks[i-1], &j.Marks[i]
		played := j.playings(b)
		if !a.Full || !b.Full || a.Place != b.Place || len(played) == 0 {
			continue
		}
		for l := range pedal.Letter(pedal.Letters) {
			if a.Pedals[l] == b.Pedals[l] {
				continue
			}
			f := Fault{
				Kind: SettingContradicts, Severity: Note, Moment: played[0], OfPedal: true, Pedal: l, Stands: b.Pedals[l], Needed: b.Pedals[l], Mark: i,
				Text: fmt.Sprintf("Two settings in %s differ: one says %s, the other %s.", j.where(b.Place), sign(l, a.Pedals[l]), sign(l, b.Pedals[l])),
			}
			if next := j.nextUse(l, played[0]); next < len(j.uses[l]) && j.setBefore(l, j.uses[l][next].moment) == j.setBefore(l, played[0]) {
				f.Severity, f.Needed = Warning, j.uses[l][next].position
				f.Text += fmt.Sprintf(" The notes after it want %s.", sign(l, f.Needed))
				if f.Needed == a.Pedals[l] {
					f.Mark, f.Stands = i, b.Pedals[l]
				} else {
					f.Mark, f.Stands = i-1, a.Pedals[l]
				}
			}
			j.add(key{SettingContradicts, played[0], l, i}, f)
		}
	}
}

// contradiction puts down a pedal of a full setting if it contradicts.
func (j *judge) contradiction(mark int, l pedal.Letter, moment int) {
	was, says := j.before(moment)[l], j.Marks[mark].Pedals[l]
	last := j.setBefore(l, moment-1)
	if was == says || last < 0 {
		return
	}
	change := j.sets[l][last]
	if j.Marks[change.mark].Full || j.lastJump(moment) > change.moment {
		return
	}
	f := Fault{
		Kind: SettingContradicts, Severity: Warning, Moment: moment, OfPedal: true, Pedal: l, Stands: says, Needed: says, Mark: mark,
	}
	next := j.nextUse(l, moment)
	depends := next < len(j.uses[l]) && j.setBefore(l, j.uses[l][next].moment) <= last+1
	agrees := "no note depends on it"
	switch {
	case !depends:
		f.Severity = Note
	case j.uses[l][next].position == says:
		if used := j.nextUse(l, change.moment); used < next && j.uses[l][used].moment < moment {
			return
		}
		agrees = "the notes after it agree with the setting"
	default:
		u := j.uses[l][next]
		f.Moment, f.Needed = u.moment, u.position
		if u.note >= 0 {
			f.Notes, f.Staff = []int{u.note}, j.p.Notes[u.note].Staff
		}
		if agrees = "the notes after it agree with neither"; u.position == was {
			agrees = "the notes after it agree with the change"
		}
	}
	f.Text, f.Remedy = j.contradictionText(&f, change, agrees)
	j.add(key{SettingContradicts, moment, l, -1}, f)
}

// glissandi puts down those before which no full setting stands that still holds, or
// that is near.
func (j *judge) glissandi() {
	done := map[int]bool{}
	for _, g := range j.Part.Glissandi {
		if len(g.Swept) == 0 {
			continue
		}
		moment, ok := j.struckFirst(g.Swept[0])
		if !ok || done[moment] || j.isSet(moment) {
			continue
		}
		done[moment] = true
		f := Fault{Kind: GlissandoAlone, Severity: Warning, Moment: moment, Staff: j.p.Notes[g.Swept[0]].Staff, Mark: -1}
		if !g.Held {
			f.Notes = []int{g.Note}
		}
		f.Text, f.Remedy = j.glissandoText(moment)
		j.add(key{GlissandoAlone, moment, 0, -1}, f)
	}
}

// struckFirst is the moment at which a note is struck first.
func (j *judge) struckFirst(note int) (int, bool) {
	for i := range j.p.Moments {
		for _, s := range j.p.Moments[i].Strikes {
			if s.Note == note {
				return i, true
			}
		}
	}
	return 0, false
}

// isSet tells whether the last full setting before a moment still holds there, or
// stands in the same measure or the one played before it.
func (j *judge) isSet(moment int) bool {
	last := -1
	var setting pedal.Setting
	for i := range j.Marks {
		m := &j.Marks[i]
		if !m.Full {
			continue
		}
		for _, at := range j.playings(m) {
			if at <= moment && at >= last {
				last, setting = at, m.Setting()
			}
		}
	}
	return last >= 0 && (setting == j.settings[moment] || j.p.Moments[moment].Measure-j.p.Moments[last].Measure <= 1)
}
