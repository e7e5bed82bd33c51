package pedal

import "time"

// Ways returns for each note of the passage the strings of a harp on which it sounds,
// each with the position that it needs, the written string first: those from which a
// plan of mode Free chooses, pins aside. A string without discs is among them where it
// is tuned so, as an Instrument tells. A note that no string sounds has none.
func (p *Passage) Ways(h Instrument) [][]String {
	h = h.OrDefault()
	tuned := tuning(h, p)
	type kind struct {
		Pitch
		fixed bool
	}
	known := map[kind][]String{}
	ways := make([][]String, len(p.Notes))
	for i, n := range p.Notes {
		k := kind{n.Pitch, n.Fixed}
		list, ok := known[k]
		if !ok {
			for _, w := range waysOf(h, n.Pitch, tuned) {
				if !n.Fixed || w.Letter == n.Pitch.Letter {
					list = append(list, w.String)
				}
			}
			known[k] = list
		}
		ways[i] = list
	}
	return ways
}

// A Wish is a change that a foot is asked for, by whatever asks for it.
type Wish struct {
	Letter Letter
	Opens  time.Duration // when the letter's notes may go; on the clock of Moment.At
	Due    time.Duration // of the note that needs it; the same
}

// Opens is when a letter may first be moved for a note at second due, given when it was
// last attacked and when the last of its notes ends.
func (t Times) Opens(attack, end, due time.Duration) time.Duration { return t.opens(attack, end, due) }

// Hurried tells which of some changes a foot must rush: as few as there must be; and
// which of these no foot can make, even if it moved without a pause. The wishes of each
// letter come in the order of time, and no window of a letter, from Opens to a move time
// before Due, begins before the one before it is due.
func (t Times) Hurried(wishes []Wish) (rushed, cannot []bool) {
	rushed, cannot = make([]bool, len(wishes)), make([]bool, len(wishes))
	if t.Foot == 0 {
		return rushed, cannot
	}
	tasks := make([]task, len(wishes))
	var feet [2][]*task
	for i, w := range wishes {
		tasks[i] = task{Move: Move{Letter: w.Letter, WindowStart: w.Opens, WindowEnd: w.Due - t.Move}, due: w.Due}
		f := w.Letter.Foot()
		feet[f] = append(feet[f], &tasks[i])
	}
	m := &music{pace: t}
	for _, list := range feet {
		m.schedule(list)
	}
	h := &Hurry{pace: t}
	var late [2][]hurryJob
	for i, w := range wishes {
		j := hurryJob{move: i, letter: w.Letter, moment: i, due: w.Due, floor: w.Opens}
		if rushed[i] = tasks[i].Rushed; rushed[i] {
			late[w.Letter.Foot()] = append(late[w.Letter.Foot()], j)
		} else {
			h.jobs[w.Letter.Foot()] = append(h.jobs[w.Letter.Foot()], j)
		}
	}
	for f := range late {
		for _, i := range h.judgeFoot(f, late[f]) {
			cannot[i] = true
		}
	}
	return rushed, cannot
}
