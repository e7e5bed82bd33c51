package pedal

import (
	"cmp"
	"container/heap"
	"slices"
	"time"
)

// schedule leaves as few changes of one foot rushed as can be, and makes the others
// as late as they can be. Where in that time they are really made is settled at the
// end (comfort.go).
func (m *music) schedule(tasks []*task) {
	foot := m.pace.Foot
	next := forever
	for _, stretch := range slices.Backward(overlapping(tasks, foot)) {
		made, ok := latest(stretch, foot)
		if !ok {
			made = inTime(stretch, foot)
			for _, t := range stretch {
				t.Start, t.Rushed = t.due, true
			}
			for _, t := range made {
				t.Rushed = false
			}
			if late, ok := latest(made, foot); ok {
				made = late
			}
		}
		for _, t := range slices.Backward(made) {
			if t.Start = min(t.WindowEnd, next); foot > 0 {
				next = t.Start - foot
			}
		}
	}
	for _, t := range tasks {
		t.End = t.Start + m.pace.Move
	}
}

// overlapping parts changes into stretches, in playing order, between which no
// change is in the way of another: from the first second at which it can start
// until the foot can start another.
func overlapping(tasks []*task, foot time.Duration) (stretches [][]*task) {
	byStart := slices.Clone(tasks)
	slices.SortStableFunc(byStart, func(a, b *task) int { return cmp.Compare(a.WindowStart, b.WindowStart) })
	for len(byStart) > 0 {
		n, end := 1, byStart[0].WindowEnd+foot
		for n < len(byStart) && byStart[n].WindowStart < end {
			end = max(end, byStart[n].WindowEnd+foot)
			n++
		}
		stretches, byStart = append(stretches, byStart[:n:n]), byStart[n:]
	}
	return stretches
}

// latest orders changes so that each can be as late as possible: going back in
// time, the foot always makes the change whose window opens last among those
// that may still start there. With windows like ours this rarely fails; ok is
// false if it does.
func latest(tasks []*task, foot time.Duration) (order []*task, ok bool) {
	byEnd := slices.Clone(tasks)
	slices.SortStableFunc(byEnd, func(a, b *task) int {
		return cmp.Or(cmp.Compare(b.WindowEnd, a.WindowEnd), cmp.Compare(b.Letter, a.Letter))
	})
	var open []*task
	now := forever
	for len(order) < len(tasks) {
		if len(open) == 0 {
			now = min(now, byEnd[0].WindowEnd)
		}
		for len(byEnd) > 0 && byEnd[0].WindowEnd >= now {
			open, byEnd = append(open, byEnd[0]), byEnd[1:]
		}
		last := 0
		for i, t := range open {
			if t.WindowStart > open[last].WindowStart {
				last = i
			}
		}
		t := open[last]
		open = slices.Delete(open, last, last+1)
		if now < t.WindowStart {
			return nil, false
		}
		now -= foot
		order = append(order, t)
	}
	slices.Reverse(order)
	return order, true
}

// inTime returns the largest set of changes that one foot can make in their
// windows, in an order in which it can make them.
//
// In general the problem is a hard one to do fast: equal jobs with releases and
// deadlines on one machine, each of which takes a foot time and may end as long
// after the last second of its window. Here no two windows of a letter overlap, so
// at any time a foot has at most four changes to choose from, and what the past means
// to the future is told by when the foot is free and which change of each
// letter it made last. A step makes one more change as early as it can be made;
// only steps that leave no room for another change before them are tried.
// A state gives way to one that is free no later and has made so many more
// changes that it can do without those which the other has still to make. So
// few states stay at any time, and the work grows linearly.
func inTime(tasks []*task, foot time.Duration) []*task {
	const rivals = 128 // the states made last, to which one may have to give way
	var s shift
	s.foot = foot
	for _, t := range tasks {
		if t.WindowEnd < t.WindowStart {
			continue
		}
		l := t.Letter
		if l.Foot() == Right {
			l -= E
		}
		s.tasks[l] = append(s.tasks[l], t)
	}
	s.made = make([]shiftState, 0, 2*len(tasks))
	s.open = shiftHeap{{parent: -1, free: -forever}}
	var recent []int // indices into made, the last of them; a ring
	best := -1
	for len(s.open) > 0 {
		now := heap.Pop(&s.open).(shiftState)
		if slices.ContainsFunc(recent, func(i int) bool { return s.beats(&s.made[i], &now) }) {
			continue
		}
		if n := len(s.made); len(recent) < rivals {
			recent = append(recent, n)
		} else {
			recent[n%rivals] = n
		}
		s.made = append(s.made, now)
		if best < 0 || now.count > s.made[best].count {
			best = len(s.made) - 1
		}
		s.expand(len(s.made) - 1)
	}
	order := make([]*task, 0, s.made[best].count)
	for i := best; s.made[i].parent >= 0; i = s.made[i].parent {
		order = append(order, s.made[i].task)
	}
	slices.Reverse(order)
	return order
}

// A shift is the work of one foot through the whole music.
type shift struct {
	foot  time.Duration
	tasks [4][]*task // for each letter of the foot, in playing order
	open  shiftHeap
	made  []shiftState
}

// A shiftState is the foot after some of its changes.
type shiftState struct {
	free   time.Duration // when the foot can start another change
	count  int           // changes made
	next   [4]int32      // for each letter the first change that is neither made nor passed over
	parent int           // index into shift.made
	task   *task         // the last change made
}

// current is the first change of a letter that can still be made.
func (s *shift) current(now *shiftState, l int) *task {
	list := s.tasks[l]
	for i := now.next[l]; int(i) < len(list); i++ {
		if list[i].WindowEnd >= now.free {
			now.next[l] = i
			return list[i]
		}
	}
	now.next[l] = int32(len(list))
	return nil
}

// expand makes one more change in every way worth while.
func (s *shift) expand(at int) {
	now := s.made[at]
	var choices [4]*task
	soonest := forever
	for l := range choices {
		if t := s.current(&now, l); t != nil {
			choices[l] = t
			soonest = min(soonest, max(now.free, t.WindowStart)+s.foot)
		}
	}
	for l, t := range choices {
		if t == nil || max(now.free, t.WindowStart) >= soonest {
			continue
		}
		to := now
		to.free = max(now.free, t.WindowStart) + s.foot
		to.count++
		to.next[l]++
		to.parent, to.task = at, t
		heap.Push(&s.open, to)
	}
}

// beats tells whether state a, free no later than b, leads to no fewer changes.
func (s *shift) beats(a, b *shiftState) bool {
	spare := a.count - b.count
	for l := range a.next {
		for i := b.next[l]; i < a.next[l]; i++ {
			if s.tasks[l][i].WindowEnd >= b.free {
				spare--
			}
		}
	}
	return spare >= 0
}

type shiftHeap []shiftState

func (h shiftHeap) Len() int { return len(h) }
func (h shiftHeap) Less(i, j int) bool {
	if h[i].free != h[j].free {
		return h[i].free < h[j].free
	}
	return h[i].count > h[j].count
}
func (h shiftHeap) Swap(i, j int) { h[i], h[j] = h[j], h[i] }
func (h *shiftHeap) Push(x any)   { *h = append(*h, x.(shiftState)) }
func (h *shiftHeap) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}
