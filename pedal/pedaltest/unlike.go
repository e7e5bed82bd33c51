package pedaltest

import (
	"fmt"
	"slices"
	"strings"
)

// unlike checks how many measures, as they are played, are not played on the same
// strings as the first with the same written notes. Notes of one pitch, place and
// length are one; a pedal that is asked for without a note is written too.
func (j *judge) unlike() {
	firsts := map[string]string{}
	count := 0
	for k := range j.p.Measures {
		written, played := j.written(k)
		if played == "" {
			continue
		}
		first, known := firsts[written]
		if !known {
			firsts[written] = played
		} else if first != played {
			count++
		}
	}
	if count != j.plan.Unlike {
		j.fault("%d measures are unlike the first of their kind, not %d", count, j.plan.Unlike)
	}
}

// written is what is written in a measure, and what the notes that begin in it are
// played on.
func (j *judge) written(k int) (notes, strung string) {
	measure := j.p.Measures[k]
	var written, played []string
	graces := 0
	for _, m := range j.p.Moments {
		if m.Grace {
			graces++
		} else {
			graces = 0
		}
		for _, s := range m.Strikes {
			note := j.p.Notes[s.Note]
			if note.Implied {
				continue
			}
			from, to, tied := m.Onset-measure.Onset, s.End-measure.Onset, ""
			switch {
			case m.Measure > k || m.Measure < k && s.End <= measure.Onset:
				continue
			case m.Measure < k:
				from, tied = 0, "~"
			}
			if s.End > measure.End {
				to, tied = measure.End-measure.Onset, tied+"~~"
			}
			text := fmt.Sprintf("%d.%d %v to %d%s", from, graces, note.Pitch, to, tied)
			written = append(written, text)
			if m.Measure == k {
				played = append(played, fmt.Sprintf("%s on %v", text, j.plan.Strings[s.Note]))
			}
		}
	}
	slices.Sort(written)
	slices.Sort(played)
	return strings.Join(slices.Compact(written), ", "), strings.Join(slices.Compact(played), ", ")
}
