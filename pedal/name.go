package pedal

import "math/bits"

// A name is a letter with its alteration, whatever the octave.
type name struct {
	letter Letter
	cents  int
}

func (p Pitch) inAnyOctave() name { return name{p.Letter, p.Cents} }

// home is the bit of the letter on which a name is at home; 0 for names that no
// pedal can set, which have none.
func (n name) home() uint8 {
	if n.cents < -100 || n.cents > 100 {
		return 0
	}
	return 1 << n.letter
}

// remembered is in how many measures after the one in which a name has sounded its
// spelling is still in the player's mind.
const remembered = 2

// switched counts the switches of a name whose letters, as bits, were these before
// and are those now. Where it had none, any first one is free.
func switched(before, now uint8) int {
	n := bits.OnesCount8(now&^before) + bits.OnesCount8(now) - 1
	if before == 0 {
		n--
	}
	return n
}

// switches counts the switches of a solution.
func (m *music) switches(sol *solution) (count int) {
	type memory struct {
		letters uint8
		measure int
	}
	last, now := make([]memory, len(m.names)), make([]uint8, len(m.names))
	var sounding []int32
	for k := range m.chords {
		ch := &m.chords[k]
		sounding = sounding[:0]
		for ti := range ch.tones {
			w := sol.ways[int(ch.first)+ti]
			if w < 0 || ch.tones[ti].silent {
				continue
			}
			c := m.classes[ch.tones[ti].class]
			if now[c.name] == 0 {
				sounding = append(sounding, c.name)
			}
			now[c.name] |= 1 << c.ways[w].Letter
		}
		measure := m.p.measure(int(ch.moment))
		for _, n := range sounding {
			before := m.names[n].home()
			if l := &last[n]; l.letters != 0 && measure-l.measure <= remembered {
				before = l.letters
			}
			count += switched(before, now[n])
			last[n], now[n] = memory{now[n], measure}, 0
		}
	}
	return count
}

// measure is the measure of the playing order in which a moment lies.
func (p *Passage) measure(moment int) int {
	if len(p.Measures) == 0 {
		return 0
	}
	return p.Moments[moment].Measure
}
