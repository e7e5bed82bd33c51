package musicxml

import (
	"cmp"
	"slices"
)

// around are the staves of the measures in which notes are rewritten and of those after
// them: all on which a sign may change.
func (r *rewriter) around(rewritten []measureStaff) []measureStaff {
	var all []measureStaff
	for _, at := range rewritten {
		for staff := 1; staff <= max(r.part.Staves, at.staff); staff++ {
			all = append(all, measureStaff{at.measure, staff}, measureStaff{at.measure + 1, staff})
		}
	}
	slices.SortFunc(all, measureStaff.compare)
	return slices.Compact(all)
}

// reminders are the notes that have an accidental which their measure does not need, so
// that no reader stumbles over what was rewritten:
//   - the first note on a line or space on which the measure before had another pitch
//     last, also where the one that was first, and reminded, is now elsewhere, and
//   - a note whose letter was another pitch just before in its measure, in another octave
//     or on another staff: the pedal has moved in between,
//
// where one of the two was rewritten. Otherwise all was the same before, and is not our
// doing. Common practice.
func (r *rewriter) reminders(places []measureStaff) map[int]bool {
	reminded := map[int]bool{}
	for len(places) > 0 {
		measure, n := places[0].measure, 1
		for n < len(places) && places[n].measure == measure {
			n++
		}
		var notes []int
		for _, at := range places[:n] {
			list := r.part.pitched(at)
			r.overTheBarline(at, list, reminded)
			notes = append(notes, list...)
		}
		r.otherOctaves(notes, reminded)
		places = places[n:]
	}
	return reminded
}

// overTheBarline reminds of what was on the lines and spaces of a staff in the measure
// before.
func (r *rewriter) overTheBarline(at measureStaff, notes []int, reminded map[int]bool) {
	if at.measure == 0 {
		return
	}
	last := map[line]int{}
	for _, i := range r.part.pitched(measureStaff{at.measure - 1, at.staff}) {
		if !r.part.Notes[i].Hidden {
			last[lineOf(r.pitchAfter(i))] = i
		}
	}
	left := map[line]bool{} // which notes that were rewritten have left
	for _, i := range notes {
		p := r.pitchAfter(i)
		if _, rewritten := r.pitches[i]; rewritten {
			left[lineOf(r.pitchBefore(i))] = true
		}
		before, known := last[lineOf(p)]
		if !known || r.part.Notes[i].Hidden || r.part.Notes[i].Tied && r.pitchAfter(before).Alter == p.Alter {
			continue // where it is held over, it reminds of nothing: the next one is read against it
		}
		delete(last, lineOf(p))
		if (r.rewritten(before, i) || left[lineOf(p)]) && r.differ(before, i) {
			reminded[i] = true
		}
	}
}

// otherOctaves reminds of what a letter was just before in a measure, whose notes on all
// staves are given.
func (r *rewriter) otherOctaves(notes []int, reminded map[int]bool) {
	slices.SortStableFunc(notes, r.struckBefore)
	last := map[byte]int{}
	for begin := 0; begin < len(notes); {
		end := begin // those that begin together know nothing of each other
		for end < len(notes) && r.together(notes[begin], notes[end]) {
			if before, known := last[r.pitchAfter(notes[end]).Step]; known && r.rewritten(before, notes[end]) && r.elsewhere(before, notes[end]) && r.differ(before, notes[end]) {
				reminded[notes[end]] = true
			}
			end++
		}
		for _, i := range notes[begin:end] {
			if !r.part.Notes[i].Hidden {
				last[r.pitchAfter(i).Step] = i
			}
		}
		begin = end
	}
}

// struckBefore orders notes by when they are struck, grace notes before what they lean
// on.
func (r *rewriter) struckBefore(i, j int) int {
	a, b := &r.part.Notes[i], &r.part.Notes[j]
	rank := func(n *Note) int {
		if n.Kind == Grace {
			return 0
		}
		return 1
	}
	return cmp.Or(a.Onset.Cmp(b.Onset), cmp.Compare(rank(a), rank(b)))
}

// together reports whether two notes are struck as one.
func (r *rewriter) together(i, j int) bool {
	a, b := &r.part.Notes[i], &r.part.Notes[j]
	return r.struckBefore(i, j) == 0 && (a.Kind != Grace || a.Head == b.Head)
}

// elsewhere reports whether two notes of a measure are on different lines or spaces,
// of which the rules of accidentals do not speak, below one key signature.
func (r *rewriter) elsewhere(i, j int) bool {
	a, b := &r.part.Notes[i], &r.part.Notes[j]
	keyA, keyB := r.keys.at(a), r.keys.at(b)
	sameKey := keyA < 0 && keyB < 0 || keyA >= 0 && keyB >= 0 && r.keys[a.Staff][keyA].Onset == r.keys[b.Staff][keyB].Onset
	return sameKey && (a.Staff != b.Staff || lineOf(r.pitchAfter(i)) != lineOf(r.pitchAfter(j)))
}

// rewritten reports whether one of two notes is.
func (r *rewriter) rewritten(i, j int) bool {
	_, one := r.pitches[i]
	_, other := r.pitches[j]
	return one || other
}

// differ reports whether two notes of one letter are different pitches of it, and the
// second is printed and struck.
func (r *rewriter) differ(before, i int) bool {
	return r.pitchAfter(before).Alter != r.pitchAfter(i).Alter && !r.part.Notes[i].Hidden && !r.continued[i]
}
