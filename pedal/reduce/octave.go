package reduce

import "time"

// heldLately is how far back what is still held is looked for.
const heldLately = 4 * time.Second

// octaves lists the octaves by which a note may move, the one first that hides it
// better: within what else sounds then if it can be, else the melody up and the bass down,
// and what lies between rather below the bass than above the melody. Of ways that cost
// the same the first is taken.
func (r *run) octaves(note int) [2]int {
	up, down := [2]int{1, -1}, [2]int{-1, 1}
	top, low, others := r.beside(note)
	height := r.heightOf(note)
	const octave = 1200
	switch {
	case !others, r.draft.ledger.Melody(note):
		return up
	case height+octave < top:
		return up
	case height-octave > low, height < low:
		return down
	case height > top:
		return up
	}
	return down
}

// beside are the highest and the lowest pitch, in cents, that sound with a note beside it
// where it is played first; others is false if nothing does.
func (r *run) beside(note int) (top, low int, others bool) {
	all, at := r.music.Passage.Moments, r.draft.first[note]
	for i := at; i >= 0 && all[i].At > all[at].At-heldLately; i-- {
		for _, s := range all[i].Strikes {
			n := &r.music.Passage.Notes[s.Note]
			if s.Note == note || n.Implied || n.Silent || i < at && s.End <= all[at].Onset {
				continue
			}
			h := n.Pitch.Height()
			if !others {
				top, low, others = h, h, true
			}
			top, low = max(top, h), min(low, h)
		}
	}
	return top, low, others
}
