package proof

import (
	"cmp"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/spelling"
)

// A judge follows marks and gathers what is wrong.
type judge struct {
	*Task
	p    *pedal.Passage
	pace pedal.Times
	ways [][]pedal.String // of each note

	settings []pedal.Setting // at each moment
	sets     [pedal.Letters][]set
	uses     [pedal.Letters][]use // in playing order, right or wrong
	sweeps   []int                // moments at which glissandi sweep strings that are not judged
	wrong    []tone
	others   []tone // on their other string, and nothing says so
	named    map[int][]pedal.Letter
	gliss    map[int]bool // notes that glissandi sweep
	told     map[line]pedal.Letter
	deferred map[deferral]bool // pedals that marks ask to prepare and a later note needs

	out Proof
}

// A set is a pedal being set by what stands at one place.
type set struct {
	moment, mark int // the last mark there that names it
	before, to   pedal.Position
	first        bool // none has named it before
}

// A use is a note on the strings of a letter, or one that would need them.
type use struct {
	moment, note int
	position     pedal.Position
	right        bool
	reset        bool  // no note: the place of the first setting is played again, and the setting there moves the pedal
	end          int64 // when it ends, on the clock of Moment.Onset
}

// A tone is a note at a moment, and what it wants.
type tone struct {
	moment, note int
	on           pedal.String // that gives it, or would
	stands       pedal.Position
	planned      bool
	of           pedal.Letter // of an other-string: where it would be as written
}

// A line is a line or space of a staff with its sign.
type line struct {
	staff int
	pitch pedal.Pitch
}

// Judge follows the marks of a task and tells what is wrong. The proof does not depend
// on anything but the task.
func Judge(t *Task) *Proof { return &judged(t, nil).out }

// judged is a judge who is done. ways are the strings of each note; nil if they are
// still to be found.
func judged(t *Task, ways [][]pedal.String) *judge {
	if ways == nil {
		ways = t.Part.Passage.Ways(t.Options.Instrument)
		holdStrings(t.Part.Passage, ways)
	}
	j := &judge{
		Task: t, p: t.Part.Passage, pace: t.Options.Times(), ways: ways,
		gliss: map[int]bool{}, told: map[line]pedal.Letter{}, deferred: map[deferral]bool{},
	}
	j.out.keys = map[key]bool{}
	for _, g := range t.Part.Glissandi {
		for _, n := range g.Swept {
			j.gliss[n] = true
		}
	}
	j.nameStrings()
	j.follow()
	j.wrongNotes()
	j.otherStrings()
	j.stringNames()
	j.heldNotes()
	j.feet()
	j.idleMarks()
	j.contradictions()
	j.glissandi()
	slices.SortStableFunc(j.out.Faults, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.Moment, b.Moment), cmp.Compare(b.Severity, a.Severity))
	})
	return j
}

// holdStrings leaves each note the strings that are wanted for it, where it has any.
func holdStrings(p *pedal.Passage, ways [][]pedal.String) {
	for i, list := range ways {
		on := func(s pedal.String) bool { return p.Notes[i].On.Has(s.Letter) }
		if slices.ContainsFunc(list, on) {
			ways[i] = slices.DeleteFunc(slices.Clone(list), func(s pedal.String) bool { return !on(s) })
		}
	}
}

// add puts a fault down. Its key tells whether it was planned.
func (j *judge) add(k key, f Fault) {
	j.out.keys[k] = true
	if f.Planned = f.Planned || j.Planned != nil && j.Planned.keys[k]; f.Planned {
		f.Severity = Note
	}
	j.out.Faults = append(j.out.Faults, f)
}

// planned tells whether the marks of the plan alone have a fault too.
func (j *judge) planned(k key) bool { return j.Planned != nil && j.Planned.keys[k] }

// follow follows the marks and strikes every note.
func (j *judge) follow() {
	start := j.p.Key
	before, moved, travelled := start, 0, 0
	j.settings = make([]pedal.Setting, len(j.p.Moments))
	var last [pedal.Letters]part.Set
	names := switches{p: j.p, spelt: map[pedal.Pitch]spelt{}}
	marks, of := j.made()
	for i, now := range part.Follow(j.Part.Places, start, marks) {
		for l, s := range now.Last {
			if s != last[l] {
				j.setAt(pedal.Letter(l), set{i, of[s.Mark], before[l], now.Setting[l], !last[l].OK})
			}
		}
		before, last, j.settings[i] = now.Setting, now.Last, now.Setting
		moved, travelled = now.Moved, now.Travelled
		j.strike(i, &names)
	}
	j.out.Cost.Switches, j.out.Settings = names.count, j.settings
	j.out.Cost.Changes, j.out.Cost.Notches = moved, travelled
	for l := range j.sets {
		// The first position of a pedal is free.
		if s := j.sets[l]; len(s) > 0 && s[0].before != s[0].to && !j.usedBefore(pedal.Letter(l), s[0].moment) {
			j.out.Cost.Changes--
			j.out.Cost.Notches -= distance(s[0].before, s[0].to)
		}
	}
}

func distance(a, b pedal.Position) int { return max(int(a-b), int(b-a)) }

// setAt notes that a pedal is set. Where the first setting is met again, whatever it
// moves is needed there.
func (j *judge) setAt(l pedal.Letter, s set) {
	j.sets[l] = append(j.sets[l], s)
	if m := &j.p.Moments[s.moment]; m.Restart && s.before != s.to && len(j.uses[l]) > 0 {
		j.uses[l] = append(j.uses[l], use{moment: s.moment, note: -1, position: s.to, right: true, reset: true, end: m.Onset})
	}
}

// usedBefore tells whether a letter is used before a moment.
func (j *judge) usedBefore(l pedal.Letter, moment int) bool {
	return len(j.uses[l]) > 0 && j.uses[l][0].moment < moment
}

// strike plays what a moment attacks; notes of one pitch are one tone.
func (j *judge) strike(i int, names *switches) {
	strikes := j.p.Moments[i].Strikes
	heard := map[pedal.Pitch]pedal.String{}
	var done []pedal.Pitch
	for _, s := range strikes {
		n := &j.p.Notes[s.Note]
		if n.Silent || j.gliss[s.Note] && j.Plan == nil && !j.swept[s.Note] && 100*int(j.settings[i][n.Pitch.Letter]) != n.Pitch.Cents {
			j.sweeps = append(j.sweeps, i)
			continue // what a glissando sweeps without a plan is what the pedals give
		}
		again := slices.Contains(done, n.Pitch)
		done = append(done, n.Pitch)
		if len(j.ways[s.Note]) == 0 {
			if !again {
				j.out.Cost.Unsounded++
			}
			continue
		}
		on, right := j.choose(i, s.Note)
		if right {
			heard[n.Pitch] = on
		}
		if !again {
			j.count(i, s.Note, on, right)
		}
		if j.disced(on) {
			j.uses[on.Letter] = append(j.uses[on.Letter], use{moment: i, note: s.Note, position: on.Position, right: right, end: s.End})
		}
	}
	names.at(i, heard)
}

// count counts a tone, and puts down what is wrong with it.
func (j *judge) count(i, note int, on pedal.String, right bool) {
	pitch := j.p.Notes[note].Pitch
	t := tone{moment: i, note: note, on: on, stands: j.settings[i][on.Letter]}
	if !right {
		j.out.Cost.Unsounded++
		j.out.Wrong++
		j.wrong = append(j.wrong, t)
		return
	}
	if on.Letter != pitch.Letter {
		j.out.Cost.Respelt++
	}
	j.tell(t)
}

// tell notes where a text names the string of a note, and whether a note on its other
// string is told.
func (j *judge) tell(t tone) {
	n := &j.p.Notes[t.note]
	if n.Implied {
		return
	}
	at := line{n.Staff, n.Pitch}
	if slices.Contains(j.named[t.note], t.on.Letter) {
		j.told[at] = t.on.Letter
		return
	}
	written := len(j.ways[t.note]) > 0 && j.ways[t.note][0].Letter == n.Pitch.Letter
	switch told, ok := j.told[at]; {
	case t.on.Letter == n.Pitch.Letter:
		delete(j.told, at)
	case ok && told == t.on.Letter, !written:
	default:
		t.of = n.Pitch.Letter
		j.others = append(j.others, t)
	}
}

// choose is the string that gives a note at a moment; without one that does, the one
// that should.
func (j *judge) choose(i, note int) (on pedal.String, right bool) {
	ways := j.ways[note]
	wish := ways[0]
	if j.Plan != nil {
		if s := j.Plan.Strings[note]; s.OK && slices.Contains(ways, s) {
			wish = s
		}
	}
	var ready []pedal.String
	for _, w := range ways {
		if !j.disced(w) || j.settings[i][w.Letter] == w.Position {
			ready = append(ready, w)
		}
	}
	if len(ready) == 0 {
		return wish, false
	}
	for _, w := range ready {
		if slices.Contains(j.named[note], w.Letter) {
			return w, true
		}
	}
	if slices.Contains(ready, wish) {
		return wish, true
	}
	return ready[0], true
}

// disced tells whether a pedal reaches a string.
func (j *judge) disced(s pedal.String) bool {
	return j.Options.Instrument.Disced(pedal.StringName{Letter: s.Letter, Octave: s.Octave})
}

// nameStrings finds out which strings texts name for notes.
func (j *judge) nameStrings() {
	j.named = map[int][]pedal.Letter{}
	for i := range j.Readings {
		r := &j.Readings[i]
		notes := j.notesAt(r)
		for _, t := range r.Strings {
			for _, n := range j.meant(notes, t) {
				j.named[n] = append(j.named[n], t.Letter)
			}
		}
	}
}

// meant are the notes that a text gives a string. Of several that it could mean, those
// which the plan has on that string, if there are any.
func (j *judge) meant(notes []int, t spelling.Tuning) []int {
	var could, planned []int
	for _, n := range notes {
		if !j.sameTone(n, t.Letter, t.Position) {
			continue
		}
		could = append(could, n)
		if j.Plan != nil && j.Plan.Strings[n].OK && j.Plan.Strings[n].Letter == t.Letter {
			planned = append(planned, n)
		}
	}
	if len(planned) > 0 {
		return planned
	}
	return could
}

// notesAt are the printed notes over or under which a text stands that names strings.
func (j *judge) notesAt(r *part.Reading) (list []int) {
	if len(r.Strings) == 0 {
		return nil
	}
	played := j.Part.Places.Playings(j.Part.PlaceOf(&r.Standing))
	if len(played) == 0 {
		return nil
	}
	staff := j.Part.StaffOf(&r.Standing)
	for _, s := range j.p.Moments[played[0]].Strikes {
		if n := &j.p.Notes[s.Note]; !n.Implied && n.Staff == staff {
			list = append(list, s.Note)
		}
	}
	return list
}

// sameTone tells whether a note is of the pitch class of a pedal in a position.
func (j *judge) sameTone(note int, l pedal.Letter, position pedal.Position) bool {
	pitch := j.p.Notes[note].Pitch
	return (100*(l.Semitones()+int(position))-100*pitch.Letter.Semitones()-pitch.Cents)%1200 == 0
}

// setBefore is the last time that a pedal was set up to a moment, as an index into its
// sets; -1 for none.
func (j *judge) setBefore(l pedal.Letter, moment int) int {
	i, found := slices.BinarySearchFunc(j.sets[l], moment, func(s set, m int) int { return cmp.Compare(s.moment, m) })
	if found {
		return i
	}
	return i - 1
}

// nextUse is the first use of a letter from a moment on, as an index into its uses.
func (j *judge) nextUse(l pedal.Letter, moment int) int {
	i, _ := slices.BinarySearchFunc(j.uses[l], moment, func(u use, m int) int { return cmp.Compare(u.moment, m) })
	return i
}
