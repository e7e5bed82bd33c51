package pedal

// Mentions say, for each letter and position (flat, natural, sharp), which chord
// to come can first ask for it; a number past the last chord if none can.
type mentions struct {
	at [Letters][3]int32
	// Low bits of the letters for which flat, natural and sharp may still be of use:
	// some chord to come can ask for the letter there, before a chord of which
	// every reading asks for the letter; for then it is moved anyway, wherever it
	// stood, or asked for where it is.
	alive [3]uint16
}

// other is the first chord that can ask a letter for another position than the
// one, packed, at which it stands.
func (m *mentions) other(l Letter, pos uint16) int32 {
	at := &m.at[l]
	switch pos {
	case 1:
		return min(at[1], at[2])
	case 2:
		return min(at[0], at[2])
	case 3:
		return min(at[0], at[1])
	}
	return min(at[0], at[1], at[2])
}

// wanted returns the low bit of each letter that is not set, or that stands
// where it may still be of use.
func (m *mentions) wanted(pos uint16) (low uint16) {
	flat, natural, sharp := apart(pos)
	return lowBits&^set(pos) | flat&m.alive[0] | natural&m.alive[1] | sharp&m.alive[2]
}

// last are the mentions after n chords.
func (s *search) last(n int) (m mentions) {
	for l := range m.at {
		m.at[l] = [3]int32{int32(n), int32(n), int32(n)}
	}
	if s.m.o.End != nil {
		m.alive = [3]uint16{lowBits, lowBits, lowBits}
	}
	return m
}

// before turns the mentions after chord k into those before it.
func (m *mentions) before(k int, l *listing) {
	if !l.complete { // anything may be asked for
		m.alive = [3]uint16{lowBits, lowBits, lowBits}
		for l := range m.at {
			m.at[l] = [3]int32{int32(k), int32(k), int32(k)}
		}
		return
	}
	for p, asked := range l.asked {
		m.alive[p] = m.alive[p]&^l.always | asked
		for l := range m.at {
			if asked>>(2*l)&1 != 0 {
				m.at[l][p] = int32(k)
			}
		}
	}
}

// look brings the mentions up to date after the readings of some chords, given
// from the last to the first, have changed.
func (s *search) look(changed []int32) {
	for _, c := range changed {
		for k := int(c); k > 0; k-- {
			m := s.ahead[k]
			m.before(k, s.now[k].listing)
			if m == s.ahead[k-1] {
				break
			}
			s.version[k-1] = s.memory.number(k-1, &s.ahead[k-1], &m)
			s.ahead[k-1] = m
		}
	}
}
