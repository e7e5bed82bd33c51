package pedaltest

import (
	"cmp"
	"slices"
	"time"

	"pedalogue/pedal"
)

// rushed checks that no change is rushed that could have been in time.
func (j *judge) rushed() {
	for _, foot := range []pedal.Foot{pedal.Left, pedal.Right} {
		var jobs []job
		rushed := 0
		for _, d := range j.due {
			if d.letter.Foot() == foot && d.needed < len(j.p.Moments) {
				jobs = append(jobs, job{d.first, d.last})
			}
		}
		for _, mv := range j.plan.Moves {
			if mv.Rushed && mv.Letter.Foot() == foot {
				rushed++
			}
		}
		j.count.Rushed += rushed
		if j.r.Foot == 0 {
			if rushed > 0 {
				j.fault("%d changes are rushed, but there is no hurry", rushed)
			}
			continue
		}
		if least, known := j.leastRushed(jobs); known && least != rushed {
			j.fault("the %v foot is late %d times, and need be %d times", foot, rushed, least)
		}
	}
}

// leastRushed splits jobs where the foot is free between them, and tries every set
// of each part. It does not know for a part of more than sixteen jobs.
func (j *judge) leastRushed(jobs []job) (late int, known bool) {
	slices.SortFunc(jobs, func(a, b job) int { return cmp.Compare(a.first, b.first) })
	for len(jobs) > 0 {
		n, busy := 0, jobs[0].first
		for n < len(jobs) && (n == 0 || jobs[n].first < busy) {
			busy = max(busy, jobs[n].last+j.r.Foot)
			n++
		}
		if n > 16 {
			return 0, false
		}
		late += n - mostInTime(jobs[:n], j.r.Foot)
		jobs = jobs[n:]
	}
	return late, true
}

// feet checks that each change in time starts in its window, and that the starts of
// one foot lie far enough apart.
func (j *judge) feet() {
	if j.r.Foot == 0 {
		return
	}
	var starts [2][]time.Duration
	for _, mv := range j.plan.Moves {
		switch {
		case mv.Rushed:
			if mv.Place != mv.Needed && !j.again() { // where there is a mark for an earlier pass, it stands
				j.fault("moment %d: the %v pedal is rushed and not at the note that needs it", mv.Needed, mv.Letter)
			}
			continue
		case mv.End-mv.Start != j.r.Move:
			j.fault("moment %d: the %v pedal moves for %v", mv.Needed, mv.Letter, mv.End-mv.Start)
		case mv.Needed < len(j.p.Moments) && (mv.Start < mv.WindowStart || mv.Start > mv.WindowEnd):
			j.fault("moment %d: the %v pedal starts at %v, outside %v to %v", mv.Needed, mv.Letter, mv.Start, mv.WindowStart, mv.WindowEnd)
		}
		starts[mv.Letter.Foot()] = append(starts[mv.Letter.Foot()], mv.Start)
	}
	for foot, list := range starts {
		slices.Sort(list)
		for i := 1; i < len(list); i++ {
			if list[i]-list[i-1] < j.r.Foot {
				j.fault("the %v foot starts at %v and %v", pedal.Foot(foot), list[i-1], list[i])
			}
		}
	}
}
