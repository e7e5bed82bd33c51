package musicxml

import (
	"slices"
	"strings"
)

// A line is a line or space of a staff.
type line struct {
	step   byte
	octave int
}

func lineOf(p Pitch) line { return line{p.Step, p.Octave} }

// staffKeys are the key signatures of each staff of a part, in the order of time.
type staffKeys map[int][]Key

// keysByStaff sorts the key signatures of a part by the staves for which they hold.
func keysByStaff(p *Part, keys []Key) staffKeys {
	all := staffKeys{}
	for staff := 1; staff <= p.Staves; staff++ {
		var list []Key
		for _, k := range keys {
			if k.Staff == 0 || k.Staff == staff {
				list = append(list, k)
			}
		}
		slices.SortStableFunc(list, func(a, b Key) int { return a.Onset.Cmp(b.Onset) })
		all[staff] = list
	}
	return all
}

// at returns the index, in the list of its staff, of the key signature in force at
// a note, -1 before the first one. A grace note at the end of a measure stands before
// the key signature of the next one.
func (s staffKeys) at(n *Note) int {
	list := s[n.Staff]
	i, _ := slices.BinarySearchFunc(list, n, func(k Key, n *Note) int {
		if k.Measure > n.Measure || n.Onset.Less(k.Onset) {
			return 1
		}
		return -1
	})
	return i - 1
}

// Alter is the alteration that a key signature gives a step, in semitones.
func (k *Key) Alter(step byte) Frac {
	if k.Steps != nil {
		for _, s := range k.Steps {
			if s.Step == step {
				return s.Alter
			}
		}
		return Frac{}
	}
	place := strings.IndexByte("FCGDAEB", step) // the order of the sharps
	switch {
	case k.Fifths > place:
		return NewFrac(1, 1)
	case -k.Fifths > 6-place:
		return NewFrac(-1, 1)
	}
	return Frac{}
}

// continuations tells which notes of a part are tied to one in an earlier measure.
func (p *Part) continuations() map[int]bool {
	continued := map[int]bool{}
	for i := range p.Notes {
		if to := p.Notes[i].TiedTo; to >= 0 && p.Notes[to].Measure != p.Notes[i].Measure {
			continued[to] = true
		}
	}
	return continued
}

// pitched lists the notes on a staff of a measure that have a pitch, in the order in
// which they are read.
func (p *Part) pitched(at measureStaff) []int {
	first, notes := p.NotesOf(at.measure)
	var list []int
	for i := range notes {
		n := &notes[i]
		if n.Staff == at.staff && n.hasPitch() {
			list = append(list, first+i)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return p.Notes[a].Onset.Cmp(p.Notes[b].Onset) })
	return list
}

// needsSign tells which of the notes of one staff and measure need an accidental, by
// what they are called: an accidental holds for its line or space until the end of
// the measure, and a note tied over the barline needs none; common practice.
func (p *Part) needsSign(notes []int, pitch func(int) Pitch, keys staffKeys, continued map[int]bool) map[int]bool {
	type sign struct{ alter, onset Frac }
	inForce := map[line]sign{}
	needed := map[int]bool{}
	for _, i := range notes {
		n := &p.Notes[i]
		if n.Hidden || continued[i] {
			continue
		}
		is := pitch(i)
		var alter, since Frac
		if k := keys.at(n); k >= 0 {
			key := &keys[n.Staff][k]
			alter, since = key.Alter(is.Step), key.Onset
		}
		now, ok := inForce[lineOf(is)]
		if !ok || now.onset.Less(since) {
			now.alter = alter
		}
		needed[i] = now.alter.Cmp(is.Alter) != 0
		inForce[lineOf(is)] = sign{is.Alter, n.Onset}
	}
	return needed
}

// signName is the accidental-value of an alteration, "" if it has none of the
// usual ones. Source: MusicXML 4.0, accidental-value.
func signName(alter Frac) string {
	if alter.Den() != 1 {
		return ""
	}
	switch alter.Num() {
	case -2:
		return "flat-flat"
	case -1:
		return "flat"
	case 0:
		return "natural"
	case 1:
		return "sharp"
	case 2:
		return "double-sharp"
	}
	return ""
}
