package pedal

// A way is one string that sounds a pitch, and what it asks of the pedals.
// Settings are packed two bits a letter: 0 not yet set, else the position + 2.
type way struct {
	String
	respelt bool   // not the written string
	req     uint16 // the position asked of the letter; 0 where no pedal is asked
	mask    uint16 // the letter's two bits, or 0
}

// waysOf returns the strings that sound a pitch, the written one first. There
// are at most two: two letters a tone apart can meet, three cannot.
//
// Source: the enharmonic pairs of the double-action harp [EIN-tremolo] [JERDOL];
// D, G and A naturals have no partner.
func waysOf(h Instrument, p Pitch, tuned map[StringName]Position) []way {
	if p.Cents%100 != 0 {
		return nil
	}
	var ways []way
	height := p.Letter.Semitones() + p.Cents/100 + 12*p.Octave
	for i := range Letter(Letters) {
		l := (p.Letter + i) % Letters // the written letter first
		for pos := Flat; pos <= Sharp; pos++ {
			natural := height - int(pos) - l.Semitones()
			octave := floorDiv(natural, 12)
			name := StringName{l, octave}
			if natural != 12*octave || !h.Has(name) {
				continue
			}
			w := way{String: String{Letter: l, Octave: octave, Position: pos, OK: true}, respelt: l != p.Letter}
			if h.Disced(name) {
				w.req, w.mask = uint16(pos+2)<<(2*l), 3<<(2*l)
			} else if at, ok := tuned[name]; w.respelt && !(ok && at == pos) {
				continue
			}
			ways = append(ways, w)
		}
	}
	return ways
}

func floorDiv(a, b int) int {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}

// tuning says how the strings without discs are tuned: as the first note that is
// written on each wants it, else as the first note wants it that has no other
// string. Respelling never asks for a string to be tuned anew.
func tuning(h Instrument, p *Passage) map[StringName]Position {
	h = h.OrDefault()
	if len(h.Undisced) == 0 {
		return nil
	}
	tuned := make(map[StringName]Position)
	var orphans []Pitch
	for _, m := range p.Moments {
		for _, s := range m.Strikes {
			pitch := p.Notes[s.Note].Pitch
			name := StringName{pitch.Letter, pitch.Octave}
			if !pitch.settable() || !h.Has(name) {
				if pitch.Cents%100 == 0 {
					orphans = append(orphans, pitch)
				}
				continue
			}
			if _, ok := tuned[name]; !ok && !h.Disced(name) {
				tuned[name] = Position(pitch.Cents / 100)
			}
		}
	}
	for _, pitch := range orphans {
		tuneFor(h, pitch, tuned)
	}
	return tuned
}

// tuneFor tunes a string for a pitch that no string sounds so far.
func tuneFor(h Instrument, pitch Pitch, tuned map[StringName]Position) {
	if len(waysOf(h, pitch, tuned)) > 0 {
		return
	}
	for _, name := range h.Undisced {
		if _, ok := tuned[name]; ok || name.Letter == pitch.Letter {
			continue
		}
		for pos := Flat; pos <= Sharp; pos++ {
			if name.Letter.Semitones()+12*name.Octave+int(pos) == pitch.Letter.Semitones()+12*pitch.Octave+pitch.Cents/100 {
				tuned[name] = pos
				return
			}
		}
	}
}

// settable tells whether the pitch is a flat, a natural or a sharp, which its
// own letter's pedal can set.
func (p Pitch) settable() bool { return p.Cents == -100 || p.Cents == 0 || p.Cents == 100 }
