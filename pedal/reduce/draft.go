package reduce

import (
	"maps"
	"slices"

	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// A draft is what has been decided so far: the operations on each note, by their
// index in the music as it was.
type draft struct {
	music  *finding.Music
	ledger *revise.Ledger
	notes  map[int][]revise.Op
	rolls  map[int]revise.Op // by the moment at which the note is struck first
	first  []int             // by note, that moment; -1 if it is never struck
}

func newDraft(m *finding.Music) *draft {
	d := &draft{music: m, ledger: revise.NewLedger(m), notes: map[int][]revise.Op{}, rolls: map[int]revise.Op{}, first: make([]int, len(m.Passage.Notes))}
	for i := range d.first {
		d.first[i] = -1
	}
	for i := range m.Passage.Moments {
		for _, s := range m.Passage.Moments[i].Strikes {
			if d.first[s.Note] < 0 {
				d.first[s.Note] = i
			}
		}
	}
	return d
}

// add decides on notes; what was decided of them before is forgotten.
func (d *draft) add(ops []revise.Op) {
	for _, op := range ops {
		if op.Do != revise.Roll {
			delete(d.notes, op.Note)
		}
	}
	for _, op := range ops {
		if op.Do == revise.Roll {
			d.rolls[d.first[op.Note]] = op
			continue
		}
		d.notes[op.Note] = append(d.notes[op.Note], op)
	}
}

// at lists the written notes that are struck at a moment, each once.
func (d *draft) at(moment int) []int {
	var list []int
	for _, s := range d.music.Passage.Moments[moment].Strikes {
		if n := &d.music.Passage.Notes[s.Note]; !n.Implied && !n.Silent && !slices.Contains(list, s.Note) {
			list = append(list, s.Note)
		}
	}
	return list
}

// ops are all operations, those of the first note first.
func (d *draft) ops() []revise.Op {
	var list []revise.Op
	for _, n := range slices.Sorted(maps.Keys(d.notes)) {
		list = append(list, d.notes[n]...)
	}
	for _, m := range slices.Sorted(maps.Keys(d.rolls)) {
		list = append(list, d.rolls[m])
	}
	return list
}

// of are the operations on notes that are struck first at a moment, but for some
// notes.
func (d *draft) of(moment int, but func(note int) bool) []revise.Op {
	var list []revise.Op
	for _, n := range d.at(moment) {
		if d.first[n] == moment && (but == nil || !but(n)) {
			list = append(list, d.notes[n]...)
		}
	}
	if op, ok := d.rolls[moment]; ok {
		list = append(list, op)
	}
	return list
}

// plus adds losses up that are of different moments.
func plus(a, b revise.Loss) revise.Loss {
	return revise.Loss{
		Melody: a.Melody + b.Melody, Bass: a.Bass + b.Bass, PitchClasses: a.PitchClasses + b.PitchClasses, Notes: a.Notes + b.Notes,
		Doubled: a.Doubled + b.Doubled, Moved: a.Moved + b.Moved, Rolled: a.Rolled + b.Rolled, Hands: a.Hands + b.Hands,
	}
}
