package gliss

import (
	"cmp"
	"slices"
	"time"

	"pedalogue/pedal"
)

// A Return is a pedal that must be moved after a glissando.
type Return struct {
	Letter pedal.Letter   // of the pedal
	To     pedal.Position // what is needed next
	Needed int            // the moment whose note needs it; index into Passage.Moments
	Within time.Duration  // from the start of the glissando to that note
	Rushed bool           // its foot has no time for it
}

// Back lists the pedals that must leave the setting of a glissando that begins at
// a moment of a planned passage, if the music goes on as it is planned: in the
// order in which they are needed. A foot begins when the glissando has sounded for
// the sounding time, and moves one pedal in each foot time; as many changes as can
// be are made in time.
func Back(p *pedal.Passage, plan *pedal.Plan, o pedal.Options, moment int, s pedal.Setting) []Return {
	var list []Return
	var known [pedal.Letters]bool
	at := p.Moments[moment].At
	for i := moment + 1; i < len(p.Moments); i++ {
		for _, strike := range p.Moments[i].Strikes {
			str := plan.Strings[strike.Note]
			if !str.OK || known[str.Letter] || !o.Instrument.Disced(pedal.StringName{Letter: str.Letter, Octave: str.Octave}) ||
				plan.Settings[i][str.Letter] != str.Position {
				continue
			}
			known[str.Letter] = true
			if str.Position != s[str.Letter] {
				list = append(list, Return{Letter: str.Letter, To: str.Position, Needed: i, Within: p.Moments[i].At - at})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b Return) int {
		return cmp.Or(cmp.Compare(a.Needed, b.Needed), cmp.Compare(a.Letter, b.Letter))
	})
	times := o.Times()
	if times.Foot == 0 {
		return list
	}
	// All can be begun at one time and take the same: the one that is needed first
	// goes first, and one that comes too late makes way for those after it.
	free := [2]time.Duration{times.Sounding, times.Sounding}
	for i := range list {
		foot := list[i].Letter.Foot()
		if free[foot]+times.Move > list[i].Within {
			list[i].Rushed = true
			continue
		}
		free[foot] += times.Foot
	}
	return list
}
