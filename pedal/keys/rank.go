package keys

import (
	"cmp"
	"slices"

	"pedalogue/pedal"
)

// A Row is what the music comes to in one key.
type Row struct {
	Shift
	Cost    pedal.Cost // of the plan in that key
	Outside int        // notes beyond the strings, and on undisced strings that want a second tuning; see Outside
	// Errors, Warnings and Notes are how many findings of each severity there are.
	Errors, Warnings, Notes int
}

// Sort puts those rows first that suit the harp best: by unsounded notes, notes
// outside, held and rushed changes, errors, the rest of the cost in the order of the
// mode, warnings, the flatter key, since flat keys ring best [GOSS-66] [PHI-tips],
// then fewer semitones up or down, and down before up.
func Sort(rows []Row, o pedal.Options) {
	slices.SortStableFunc(rows, func(a, b Row) int {
		return cmp.Or(
			cmp.Compare(a.Cost.Unsounded, b.Cost.Unsounded), cmp.Compare(a.Outside, b.Outside),
			cmp.Compare(a.Cost.Held, b.Cost.Held), cmp.Compare(a.Cost.Rushed, b.Cost.Rushed), cmp.Compare(a.Errors, b.Errors),
			o.Compare(a.Cost, b.Cost), cmp.Compare(a.Warnings, b.Warnings), cmp.Compare(a.Fifths, b.Fifths),
			cmp.Compare(max(a.Semitones, -a.Semitones), max(b.Semitones, -b.Semitones)), cmp.Compare(a.Semitones, b.Semitones),
			cmp.Compare(a.Steps, b.Steps))
	})
}

// Outside counts the tones of a planned passage, in playing order, that lie beyond
// the strings of the harp, and those on a string without discs that want it tuned
// otherwise than the first one there did. Microtones are not counted.
func Outside(p *pedal.Passage, plan *pedal.Plan, h pedal.Instrument) int {
	count := 0
	tuned := map[pedal.StringName]pedal.Position{}
	var seen []pedal.Pitch
	for _, m := range p.Moments {
		seen = seen[:0]
		for _, strike := range m.Strikes {
			pitch := p.Notes[strike.Note].Pitch
			if slices.Contains(seen, pitch) {
				continue
			}
			seen = append(seen, pitch)
			s := plan.Strings[strike.Note]
			if !s.OK {
				if outside(pitch, h) {
					count++
				}
				continue
			}
			name := pedal.StringName{Letter: s.Letter, Octave: s.Octave}
			if h.Disced(name) {
				continue
			}
			if at, known := tuned[name]; !known {
				tuned[name] = s.Position
			} else if at != s.Position {
				count++
			}
		}
	}
	return count
}

// outside tells whether no string that a pedal reaches sounds a pitch that some
// string would sound on a harp without ends: it lies beyond the strings, or on one
// without discs that is tuned otherwise.
func outside(p pedal.Pitch, h pedal.Instrument) bool {
	if p.Cents%100 != 0 {
		return false
	}
	for l := range pedal.Letter(pedal.Letters) {
		for octave := p.Octave - 1; octave <= p.Octave+1; octave++ {
			cents := p.Height() - pedal.Pitch{Letter: l, Octave: octave}.Height()
			if cents >= -100 && cents <= 100 && h.Disced(pedal.StringName{Letter: l, Octave: octave}) {
				return false
			}
		}
	}
	return true
}
