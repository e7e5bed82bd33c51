package pedal

import "math/bits"

// Mentions say what the chords to come can ask of the pedals.
type mentions struct {
	// For each letter and each position at which it may stand, packed, the chord
	// that can first ask for it elsewhere; a number past the last chord if none can.
	elsewhere [Letters][4]int32
	// Low bits of the letters for which flat, natural and sharp may still be of use:
	// some chord to come can ask for the letter there, before a chord of which
	// every reading asks for the letter; for then it is moved anyway, wherever it
	// stood, or asked for where it is.
	alive [3]uint16
}

// wanted returns the low bit of each letter that is not set, or that stands
// where it may still be of use.
func (m *mentions) wanted(pos uint16) (low uint16) {
	flat, natural, sharp := apart(pos)
	return lowBits&^set(pos) | flat&m.alive[0] | natural&m.alive[1] | sharp&m.alive[2]
}

// last are the mentions after the last chord.
func (m *music) last() (after mentions) {
	n := int32(len(m.chords))
	for l := range after.elsewhere {
		after.elsewhere[l] = [4]int32{n, n, n, n}
	}
	if m.o.End != nil {
		after.alive = [3]uint16{lowBits, lowBits, lowBits}
	}
	return after
}

// before turns the mentions after chord k into those before it.
func (m *mentions) before(k int, l *listing) {
	if !l.complete {
		m.all(k)
		return
	}
	for p, asked := range l.asked {
		m.alive[p] = m.alive[p]&^l.always | l.needed[p]
		for a := asked; a != 0; a &= a - 1 {
			at := &m.elsewhere[bits.TrailingZeros16(a)/2]
			for pos := range at {
				if pos != p+1 {
					at[pos] = int32(k)
				}
			}
		}
	}
}

// all says that chord k may ask for anything.
func (m *mentions) all(k int) {
	m.alive = [3]uint16{lowBits, lowBits, lowBits}
	for l := range m.elsewhere {
		m.elsewhere[l] = [4]int32{int32(k), int32(k), int32(k), int32(k)}
	}
}

// look brings the mentions up to date after the readings of some chords, given
// from the last to the first, have changed.
func (s *search) look(changed []int32) {
	for _, c := range changed {
		for k := int(c); k > 0; k-- {
			m := *s.ahead[k]
			m.before(k, s.now[k].listing)
			if m == *s.ahead[k-1] {
				break
			}
			s.ahead[k-1] = s.memory.mentions(k-1, s.ahead[k-1], &m)
		}
	}
}
