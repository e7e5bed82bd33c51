package pedal

import (
	"cmp"
	"slices"
	"time"
)

// forever stands for the time of what happens after the music.
const forever = time.Duration(1<<63 - 1)

// closing is when the harp must stand in Options.End: a foot has the time for
// all its pedals after the last note has ended.
func closing(p *Passage, foot time.Duration) (end time.Duration) {
	for _, m := range p.Moments {
		end = max(end, m.At)
		for _, s := range m.Strikes {
			end = max(end, s.Until)
		}
	}
	return end + 4*foot
}

// A use is what a letter has done since its pedal was last set.
type use struct {
	pos    Position
	set    bool
	moment int           // the last moment that sounded it; -1 if none
	at     time.Duration // of that moment
	end    int64         // when the last of its tones ends, in ticks
	until  time.Duration // the same in seconds
}

// A task is a move on its way to its place.
type task struct {
	Move
	after int           // the letter's last use: the move stands later than this
	due   time.Duration // of the moment that needs it
	back  bool          // the first setting needs it where its place is played again
}

// A draftPlan is a plan whose moves have their times but not their places.
type draftPlan struct {
	*Plan
	sol   *solution
	tasks []task // in playing order
}

// outline writes out a solution as far as it tells what the plan costs: the moves
// and their times.
func (m *music) outline(sol *solution) *draftPlan {
	plan := &Plan{}
	d := &draftPlan{plan, sol, m.follow(sol, plan)}
	byFoot := [2][]*task{}
	for i := range d.tasks {
		f := d.tasks[i].Letter.Foot()
		byFoot[f] = append(byFoot[f], &d.tasks[i])
	}
	for _, list := range byFoot {
		m.schedule(list)
	}
	for i := range d.tasks {
		plan.Cost.Changes++
		plan.Cost.Notches += d.tasks[i].notches()
		if d.tasks[i].Rushed {
			plan.Cost.Rushed++
		}
	}
	plan.Cost.Held, plan.Cost.Switches = len(plan.Held), m.switches(sol)
	return d
}

// finish completes a plan: strings, places and settings.
func (m *music) finish(d *draftPlan) {
	plan, tasks := d.Plan, d.tasks
	plan.Unlike = m.likes().unlike(m.playing(d.sol))
	plan.Strings = make([]String, len(m.p.Notes))
	for k := range m.chords {
		if !m.chords[k].restart {
			m.strikes(k, d.sol, plan)
		}
	}
	m.settle(tasks)
	slices.SortStableFunc(tasks, func(a, b task) int {
		if c := cmp.Or(cmp.Compare(a.Place, b.Place), cmp.Compare(a.Needed, b.Needed)); c != 0 || a.back == b.back {
			return cmp.Or(c, cmp.Compare(a.Letter, b.Letter))
		}
		if a.back {
			return -1
		}
		return 1
	})
	plan.Settings = make([]Setting, len(m.p.Moments))
	now, next := plan.Start, 0
	for i := range plan.Settings {
		for ; next < len(tasks) && tasks[next].Place <= i; next++ {
			now[tasks[next].Letter] = tasks[next].To
		}
		plan.Settings[i] = now
	}
	for i := range tasks {
		plan.Moves = append(plan.Moves, tasks[i].Move)
	}
}

func (mv Move) notches() int { return max(int(mv.To-mv.From), int(mv.From-mv.To)) }

// follow plays the solution through and lists the changes that it needs, in
// playing order. It fills in Start, Held and the costs that moves do not tell.
func (m *music) follow(sol *solution, plan *Plan) []task {
	p := m.p
	var uses [Letters]use
	plan.Start = p.Key
	if m.o.End != nil {
		plan.Start = *m.o.End
	}
	for l := range uses {
		uses[l].moment = -1
		pos := sol.home >> (2 * l) & 3
		if pos == unset {
			continue
		}
		plan.Start[l] = Position(pos) - 2
		if len(p.Moments) > 0 {
			at := p.Moments[0].At
			uses[l] = use{pos: plan.Start[l], set: true, moment: -1, at: at, end: p.Moments[0].Onset, until: at}
		}
	}
	tasks := make([]task, 0, len(m.chords)/4)
	for _, ch := range m.chords {
		i := int(ch.moment)
		at := p.Moments[i].At
		if ch.restart {
			tasks = m.restart(i, &uses, plan, tasks)
			continue
		}
		ways := sol.ways[ch.first:]
		for ti, t := range ch.tones {
			w := ways[ti]
			if w < 0 {
				plan.Cost.Unsounded++
				continue
			}
			way := &m.classes[t.class].ways[w]
			if way.respelt {
				plan.Cost.Respelt++
			}
			if way.mask == 0 {
				continue
			}
			u := &uses[way.Letter]
			switch {
			case !u.set:
				*u = use{pos: way.Position, set: true, end: t.end, until: t.until}
				plan.Start[way.Letter] = way.Position
			case u.pos != way.Position:
				tasks = append(tasks, m.move(way.Letter, u, way.Position, i, plan))
				*u = use{pos: way.Position, set: true, end: t.end, until: t.until}
			default:
				u.end, u.until = max(u.end, t.end), max(u.until, t.until)
			}
			u.moment, u.at = i, at
		}
	}
	if m.o.End != nil {
		for l := range uses {
			if u := &uses[l]; u.set && u.pos != m.o.End[l] {
				task := m.task(Letter(l), u, len(p.Moments))
				task.To = m.o.End[l]
				tasks = append(tasks, task)
			}
		}
	}
	slices.SortStableFunc(plan.Held, func(a, b Release) int {
		return cmp.Or(cmp.Compare(a.Moment, b.Moment), cmp.Compare(a.Letter, b.Letter))
	})
	return tasks
}

// restart brings the pedals back to the first setting for a moment. No change that
// is needed later begins before it, as if all strings had just sounded for long
// enough and ended.
func (m *music) restart(moment int, uses *[Letters]use, plan *Plan, tasks []task) []task {
	at, onset := m.p.Moments[moment].At, m.p.Moments[moment].Onset
	for l := range uses {
		u := &uses[l]
		if !u.set {
			continue
		}
		if first := plan.Start[l]; u.pos != first {
			t := m.move(Letter(l), u, first, moment, plan)
			t.back = true
			tasks = append(tasks, t)
			*u = use{pos: first, set: true}
		}
		u.moment, u.at = moment, max(u.at, at-m.pace.Sounding)
		u.end, u.until = max(u.end, onset), max(u.until, at)
	}
	return tasks
}

// move is the change of a letter's pedal to a position that a moment needs; if that
// lets a note go, it is put down as held.
func (m *music) move(l Letter, u *use, to Position, needed int, plan *Plan) task {
	t := m.task(l, u, needed)
	t.To = to
	if u.end > m.p.Moments[needed].Onset {
		plan.Held = append(plan.Held, Release{needed, l})
	}
	return t
}

// task is a change of a letter's pedal for a moment.
func (m *music) task(l Letter, u *use, needed int) task {
	d := m.closing
	if needed < len(m.p.Moments) {
		d = m.p.Moments[needed].At
	}
	return task{
		Move:  Move{Letter: l, From: u.pos, Needed: needed, WindowStart: m.pace.opens(u.at, u.until, d), WindowEnd: d - m.pace.Move},
		after: u.moment,
		due:   d,
	}
}

// strikes hands the ways of a chord's tones on to its strikes.
func (m *music) strikes(k int, sol *solution, plan *Plan) {
	ch := &m.chords[k]
	for si, s := range m.p.Moments[ch.moment].Strikes {
		c := m.class[s.Note]
		ti := slices.IndexFunc(ch.tones, func(t tone) bool { return t.class == c })
		if w := sol.ways[int(ch.first)+ti]; w >= 0 {
			plan.Strings[s.Note] = m.classes[c].ways[w].String
		} else {
			plan.Unsounded = append(plan.Unsounded, Dropped{int(ch.moment), si})
		}
	}
}
