package pedal

import (
	"math/bits"
	"time"
)

// A gain says which letters a chord does well to ask for, flat, natural and sharp,
// though its tones need not be on them: low bits, as of packed settings.
//
// To be asked for a pedal earlier than need be can gain time, since notes may be let
// go a foot time before a need and no sooner; and a note that is let go anyway no
// longer delays the changes after it. So a tone on a letter that its chord asks for
// already, by another octave, may be better off on its other string. It never is
// unless the pedal moves for it, while a note played on it before lasts to less
// than a foot time before the chord, and it then stands where a later chord
// wants it or lets go a note that a later change must let go. To try all others
// would be lost work in every chord with octaves.
type gain [3]uint16

// has tells whether a letter may gain where a packed setting has it.
func (g gain) has(req uint16) bool {
	flat, natural, sharp := apart(req)
	return (flat&g[0] | natural&g[1] | sharp&g[2]) != 0
}

// all tells whether all letters may gain where a packed setting has them.
func (g gain) all(req uint16) bool {
	flat, natural, sharp := apart(req)
	return flat&^g[0]|natural&^g[1]|sharp&^g[2] == 0
}

// A past is what chords before one may have done to the letters.
type past struct {
	fresh   uint16         // low bits of the letters with a note that may last to less than a foot time before
	release [Letters]int32 // the last chord that a note of the letter may reach, + 1
}

// pasts returns the pasts of all chords, with these ways open for each class.
func (m *music) pasts(open []uint8) []past {
	list := make([]past, len(m.chords))
	var now past
	until := [Letters]time.Duration{}
	for l := range until {
		until[l] = longAgo
	}
	for k := range m.chords {
		now.fresh = 0
		for l, u := range until {
			if u > m.at(k)-m.pace.Foot {
				now.fresh |= 1 << (2 * l)
			}
		}
		list[k] = now
		for _, t := range m.chords[k].tones {
			c := m.classes[t.class]
			for w := range int(c.n) {
				if l := c.ways[w].Letter; open[t.class]>>w&1 != 0 && c.ways[w].mask != 0 {
					until[l] = max(until[l], t.until)
					now.release[l] = max(now.release[l], t.release)
				}
			}
		}
	}
	return list
}

// gain returns what the chord after a past, and before what next mentions, may
// gain.
func (p *past) gain(next *mentions) (g gain) {
	for f := p.fresh; f != 0; f &= f - 1 {
		low := f & -f
		l := bits.TrailingZeros16(f) / 2
		e := &next.elsewhere[l]
		held := p.release[l] > min(e[1], e[2], e[3])
		for pos := range g {
			if held || next.alive[pos]&low != 0 {
				g[pos] |= low
			}
		}
	}
	return g
}

// gains tells whether a reading of chord k that asks for more letters than it need
// may gain by each of them from a state before the chord.
func (s *search) gains(k int, from *front, e *entry, rd *reading) bool {
	due := s.m.at(k) - s.m.pace.Foot
	for x := rd.extra; x != 0; x &= x - 1 {
		l := Letter(bits.TrailingZeros16(x) / 2)
		now, asked := e.pos>>(2*l)&3, rd.req>>(2*l)&3
		if now == unset || now == asked {
			return false
		}
		f := l.Foot()
		first, _ := f.span()
		foot, i := &from.feet[f][e.feet[f]], l-first
		if foot.ready>>i&1 != 0 || foot.free[i] <= due {
			return false
		}
		low := uint16(1) << (2 * l)
		after := s.ahead[k]
		if after.alive[asked-1]&low == 0 && (e.held&low == 0 || e.release[l] <= after.elsewhere[l][now]) {
			return false
		}
	}
	return true
}
