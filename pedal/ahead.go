package pedal

// Mentions say, for each letter and position (flat, natural, sharp), which chord
// to come can first ask for it; a number past the last chord if none can.
type mentions struct {
	at    [Letters][3]int32
	alive uint32 // positions that may still be of use; see look
}

// other is the first chord that can ask a letter for another position than the
// one, packed, at which it stands.
func (m *mentions) other(l Letter, pos uint16) int32 {
	first := int32(1<<31 - 1)
	for p, k := range m.at[l] {
		if uint16(p+1) != pos {
			first = min(first, k)
		}
	}
	return first
}

// isAlive tells whether a packed position may still be of use.
func (m *mentions) isAlive(l Letter, pos uint16) bool { return m.alive>>(3*uint16(l)+pos-1)&1 != 0 }

// look finds out for each chord what the music after it can ask for. A position
// is alive if some chord to come can ask for the letter there, before a chord
// of which every reading asks for the letter; for then it is moved anyway,
// wherever it stood, or asked for where it is.
func (s *search) look() {
	n := len(s.m.chords)
	if cap(s.ahead) < n {
		s.ahead = make([]mentions, n)
	}
	s.ahead = s.ahead[:n]
	var next mentions
	for l := range next.at {
		next.at[l] = [3]int32{int32(n), int32(n), int32(n)}
	}
	if s.m.o.End != nil {
		next.alive = 1<<21 - 1
	}
	for k := n - 1; k >= 0; k-- {
		s.ahead[k] = next
		list, complete := s.reader.expand(&s.m.chords[k], 0, 0)
		if len(list) == 0 || !complete {
			// A clash: anything may be asked for.
			next.alive = 1<<21 - 1
			for l := range next.at {
				next.at[l] = [3]int32{int32(k), int32(k), int32(k)}
			}
			continue
		}
		always, asked := uint16(0x3fff), uint32(0)
		for i := range list {
			always &= list[i].mask
			for l := range Letters {
				if p := list[i].req & list[i].mask >> (2 * l) & 3; p != unset {
					asked |= 1 << (3*uint16(l) + p - 1)
					next.at[l][p-1] = int32(k)
				}
			}
		}
		for l := range Letters {
			if always>>(2*l)&3 != 0 {
				next.alive &^= 7 << (3 * l)
			}
		}
		next.alive |= asked
	}
}
