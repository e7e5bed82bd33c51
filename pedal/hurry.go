package pedal

import (
	"cmp"
	"slices"
	"time"
)

// A Hurry judges the changes that a plan rushes: whether a foot can make them at all,
// and what would help. It is good for asking about few of them; each answer looks at
// what the feet do within some seconds.
type Hurry struct {
	p      *Passage
	pace   Times
	moves  []Move
	known  bool    // where each pedal stands at first, though no note has told yet
	start  Setting // the same
	uses   [Letters][]hurryUse
	jobs   [2][]hurryJob // of each foot, in the order of need, as far as they can be made
	cannot map[int]bool  // moves that no foot can make, by their index
}

// A hurryUse is a note on a letter, or the first setting played again.
type hurryUse struct {
	at     Dropped // the strike; -1 for the first setting
	pos    Position
	attack time.Duration
	end    time.Duration
}

// A hurryJob is a change that a foot is asked for.
type hurryJob struct {
	move   int // the index of the plan's move, if it has it
	letter Letter
	to     Position
	moment int // that needs it
	due    time.Duration
	// It starts at floor at the soonest, and where notes have sounded since the letter
	// was last set, when they may go: see Times.opens.
	floor, attack, end time.Duration
	notes              bool
}

// near is how far from a change it is looked for what is in its way: many times as
// long as a foot with four pedals can be busy.
const near = 8 * time.Second

// NewHurry judges a plan that is one of the passage's with these options.
func NewHurry(p *Passage, o Options, plan *Plan) *Hurry {
	h := &Hurry{p: p, pace: o.Times(), moves: plan.Moves, known: o.Start != nil, start: plan.Start, cannot: map[int]bool{}}
	harp := o.Instrument.OrDefault()
	lost := make(map[Dropped]bool, len(plan.Unsounded))
	for _, d := range plan.Unsounded {
		lost[d] = true
	}
	for i := range p.Moments {
		m := &p.Moments[i]
		if i > 0 && m.Restart {
			h.known = true
			for l := range h.uses {
				h.uses[l] = append(h.uses[l], hurryUse{Dropped{i, -1}, plan.Start[l], m.At, m.At})
			}
		}
		for j, s := range m.Strikes {
			str := plan.Strings[s.Note]
			if str.OK && !lost[Dropped{i, j}] && harp.Disced(StringName{str.Letter, str.Octave}) {
				h.uses[str.Letter] = append(h.uses[str.Letter], hurryUse{Dropped{i, j}, str.Position, m.At, s.Until})
			}
		}
	}
	if h.pace.Foot > 0 {
		h.judge()
	}
	return h
}

// judge finds out which changes cannot be made: first those that are not rushed can,
// then, in the order of need, each for which there is a place beside them.
func (h *Hurry) judge() {
	type need struct {
		moment int
		letter Letter
		to     Position
	}
	byNeed := map[need]int{} // moves
	for i, mv := range h.moves {
		byNeed[need{mv.Needed, mv.Letter, mv.To}] = i
	}
	var rushed [2][]hurryJob
	for l := range Letter(Letters) {
		for _, j := range h.follow(l, h.uses[l]) {
			f := l.Foot()
			if j.move = byNeed[need{j.moment, l, j.to}]; h.moves[j.move].Rushed {
				rushed[f] = append(rushed[f], j)
			} else {
				h.jobs[f] = append(h.jobs[f], j)
			}
		}
	}
	for f := range h.jobs {
		for _, i := range h.judgeFoot(f, rushed[f]) {
			h.cannot[i] = true
		}
	}
}

// judgeFoot finds out which of a foot's rushed changes cannot be made, by their moves,
// and adds the others to its jobs.
func (h *Hurry) judgeFoot(f int, rushed []hurryJob) (cannot []int) {
	sortJobs(h.jobs[f])
	sortJobs(rushed)
	for _, j := range rushed {
		all := append(nearJobs(h.jobs[f], j.due), j)
		if h.made(all, j.due, asWritten) < len(all) {
			cannot = append(cannot, j.move)
			continue
		}
		h.jobs[f] = append(h.jobs[f], j)
		sortJobs(h.jobs[f])
	}
	return cannot
}

func sortJobs(list []hurryJob) {
	slices.SortStableFunc(list, func(a, b hurryJob) int {
		return cmp.Or(cmp.Compare(a.moment, b.moment), cmp.Compare(a.letter, b.letter))
	})
}

// nearJobs are those of a sorted list that are due near a time. The list can be
// appended to.
func nearJobs(list []hurryJob, due time.Duration) []hurryJob {
	at := func(t time.Duration) int {
		i, _ := slices.BinarySearchFunc(list, t, func(j hurryJob, t time.Duration) int { return cmp.Compare(j.due, t) })
		return i
	}
	return slices.Clone(list[at(due-near):at(due+near)])
}

// follow lists the changes that a letter's uses ask for.
func (h *Hurry) follow(l Letter, uses []hurryUse) (list []hurryJob) {
	pos, known := h.start[l], h.known
	var now hurryJob
	if len(h.p.Moments) > 0 {
		now.floor = h.p.Moments[0].At
	}
	for _, u := range uses {
		if known && u.pos != pos {
			now.letter, now.to, now.moment, now.due = l, u.pos, u.at.Moment, u.attack
			list = append(list, now)
			now = hurryJob{floor: now.floor}
		}
		pos, known = u.pos, true
		if u.at.Strike < 0 {
			now.floor = u.attack
			continue
		}
		now.notes, now.attack, now.end = true, u.attack, max(now.end, u.end)
	}
	return list
}

// A pulse is a tempo, as a share of what is written: num/den.
type pulse struct{ num, den int64 }

var asWritten = pulse{1, 1}

// made is how many of a foot's changes near a time can be made at a tempo, if the foot
// starts one after another, each as soon as the move before it is done. Times are
// counted from near before that time, in nanoseconds by num, so that all are whole. It
// sorts the list.
func (h *Hurry) made(jobs []hurryJob, around time.Duration, at pulse) int {
	scaled := func(t time.Duration) time.Duration { return max(0, t-around+near) * time.Duration(at.den) }
	own := func(t time.Duration) time.Duration { return t * time.Duration(at.num) } // the player's times stay what they are
	pace := Times{own(h.pace.Foot), own(h.pace.Move), own(h.pace.Sounding)}
	sortJobs(jobs)
	var tasks []*task
	for _, j := range jobs {
		t := &task{Move: Move{Letter: j.letter}, due: scaled(j.due)}
		if t.WindowStart = scaled(j.floor); j.notes {
			t.WindowStart = max(t.WindowStart, pace.opens(scaled(j.attack), scaled(j.end), t.due))
		}
		if t.WindowEnd = t.due - pace.Move; t.WindowStart <= t.WindowEnd {
			tasks = append(tasks, t)
		}
	}
	if pace.Move == 0 {
		return len(tasks)
	}
	return len(inTime(tasks, pace.Move))
}

// Cannot tells whether no foot can make a move, given by its index in Plan.Moves: not
// even the time of a move is there, or there is no place for it beside those that can
// be made, even if the foot could move once every move time.
func (h *Hurry) Cannot(move int) bool { return h.cannot[move] }

// CanAt tells whether a move that no foot can make could be made, and those near it
// still, if all were played at another tempo: num/den times what is written. Both are
// a million at most.
func (h *Hurry) CanAt(move int, num, den int64) bool {
	j, ok := h.job(move)
	if !ok {
		return false
	}
	all := append(nearJobs(h.jobs[j.letter.Foot()], j.due), j)
	return h.made(all, j.due, pulse{num, den}) == len(all)
}

// job is what the foot is asked for by a move that it cannot make.
func (h *Hurry) job(move int) (hurryJob, bool) {
	mv := h.moves[move]
	for _, j := range h.follow(mv.Letter, h.uses[mv.Letter]) {
		if j.moment == mv.Needed && j.to == mv.To {
			j.move = move
			return j, true
		}
	}
	return hurryJob{}, false
}

// CanWithout tells whether a move that no foot can make could be made, and those near
// it still, but for another move, which is given up.
func (h *Hurry) CanWithout(move, other int) bool {
	j, ok := h.job(move)
	if !ok {
		return false
	}
	all := append(nearJobs(h.jobs[j.letter.Foot()], j.due), j)
	all = slices.DeleteFunc(all, func(j hurryJob) bool { return j.move == other })
	return h.made(all, j.due, asWritten) == len(all)
}

// Frees tells whether the feet could make one more of all changes near a move that
// they are asked for and cannot make now, if some strikes were left out, or were
// played on another string, which is given for all of them; the zero String leaves
// them out.
func (h *Hurry) Frees(move int, strikes []Dropped, on String) bool {
	j, ok := h.job(move)
	if !ok {
		return false
	}
	changed := h.uses
	for l := range changed {
		changed[l] = slices.DeleteFunc(slices.Clone(changed[l]), func(u hurryUse) bool { return slices.Contains(strikes, u.at) })
	}
	if on.OK {
		for _, s := range strikes {
			m := &h.p.Moments[s.Moment]
			list := &changed[on.Letter]
			i, _ := slices.BinarySearchFunc(*list, s.Moment+1, func(u hurryUse, moment int) int { return cmp.Compare(u.at.Moment, moment) })
			*list = slices.Insert(*list, i, hurryUse{s, on.Position, m.At, m.Strikes[s.Strike].Until})
		}
	}
	return h.missing(&changed, j.due) < h.missing(&h.uses, j.due)
}

// missing is how many changes near a time cannot be made.
func (h *Hurry) missing(uses *[Letters][]hurryUse, around time.Duration) (n int) {
	var feet [2][]hurryJob
	for l := range Letter(Letters) {
		feet[l.Foot()] = append(feet[l.Foot()], h.follow(l, uses[l])...)
	}
	for _, jobs := range feet {
		sortJobs(jobs)
		jobs = nearJobs(jobs, around)
		n += len(jobs) - h.made(jobs, around, asWritten)
	}
	return n
}
