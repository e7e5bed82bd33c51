package finding

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"pedalogue/pedal"
)

// A played passage is music with its plan, sorted for judging.
type played struct {
	music *Music
	p     *pedal.Passage
	plan  *pedal.Plan
	o     Options
	harp  pedal.Instrument // never the zero value

	strokes [][]stroke             // for each moment, the written notes that sound, from low to high
	chords  []grip                 // for each moment, all strings that are written, each once
	grips   []grip                 // for each moment, those of them that the hands must take at once
	uses    [pedal.Letters][]use   // everything that sounds on the strings of a letter, implied notes too, in playing order
	moves   [pedal.Letters][]int   // the letter's moves in order of Place; indexes into plan.Moves
	bar     []int                  // for each moment the index of its measure in playing order; nil if unknown
	swept   map[int]int            // the strings that glissandi sweep, by note: index into Music.Glissandi
	staves  int                    // the highest staff that has a note
	lost    map[pedal.Dropped]bool // the unsounded strikes

	judged    *pedal.Hurry  // nil until it is asked for
	span, low int           // limits of the hands: handSpan and rightLow
	hardly    time.Duration // the limit of the kind hardly
}

// A stroke is a written note plucked at a moment.
type stroke struct {
	note   int // index into Passage.Notes
	strike int // index into Moment.Strikes
	rank   int // of the string, counted upwards from C0
	staff  int
	bare   bool // the string has no discs
}

// A use is a string of a letter sounding.
type use struct{ moment, strike, note int }

func newPlayed(music *Music, plan *pedal.Plan, o Options, rules []Rule) *played {
	p := music.Passage
	m := &played{music: music, p: p, plan: plan, o: o, harp: o.Plan.Instrument.OrDefault(), lost: map[pedal.Dropped]bool{}, swept: map[int]int{}}
	for _, r := range rules {
		switch r.Kind {
		case handSpan:
			m.span = int(m.limit(r))
		case rightLow:
			m.low = int(m.limit(r))
		case hardly:
			m.hardly = m.limit(r).duration()
		}
	}
	for _, d := range plan.Unsounded {
		m.lost[d] = true
	}
	for i, mv := range plan.Moves {
		m.moves[mv.Letter] = append(m.moves[mv.Letter], i)
	}
	for _, n := range p.Notes {
		m.staves = max(m.staves, n.Staff)
	}
	for i, g := range music.Glissandi {
		for _, n := range g.Swept {
			m.swept[n] = i
		}
	}
	m.countUses()
	m.strokes, m.chords, m.grips = make([][]stroke, len(p.Moments)), make([]grip, len(p.Moments)), make([]grip, len(p.Moments))
	for i := range p.Moments {
		m.strokes[i] = m.pluck(i)
		m.chords[i] = chordOf(m.strokes[i])
		m.grips[i] = m.gripAt(i)
	}
	if len(p.Measures) > 0 {
		m.bar = make([]int, len(p.Moments))
		for i := range p.Moments {
			m.bar[i] = p.Moments[i].Measure
		}
	}
	return m
}

// countUses makes room for the uses of each letter.
func (m *played) countUses() {
	var n [pedal.Letters]int
	for _, mo := range m.p.Moments {
		for _, s := range mo.Strikes {
			if str := m.plan.Strings[s.Note]; str.OK {
				n[str.Letter]++
			}
		}
	}
	for l := range m.uses {
		m.uses[l] = make([]use, 0, n[l])
	}
}

// pluck lists the strokes of a moment and notes the uses of its letters.
func (m *played) pluck(moment int) []stroke {
	strikes := m.p.Moments[moment].Strikes
	if len(strikes) == 0 {
		return nil
	}
	list := make([]stroke, 0, len(strikes))
	for j, s := range strikes {
		n, str := m.p.Notes[s.Note], m.plan.Strings[s.Note]
		if !str.OK || len(m.lost) > 0 && m.lost[pedal.Dropped{Moment: moment, Strike: j}] {
			continue
		}
		disced := m.harp.Disced(pedal.StringName{Letter: str.Letter, Octave: str.Octave})
		if disced {
			m.uses[str.Letter] = append(m.uses[str.Letter], use{moment, j, s.Note})
		}
		if n.Implied || m.ahead(strikes, s) {
			continue
		}
		list = append(list, stroke{s.Note, j, str.Rank(), n.Staff, !disced})
	}
	slices.SortStableFunc(list, func(a, b stroke) int { return cmp.Compare(a.rank, b.rank) })
	return list
}

// ahead tells whether a strike is the second half of a tremolo at the start of
// the first: both halves end together then.
func (m *played) ahead(strikes []pedal.Strike, s pedal.Strike) bool {
	if m.signs(s.Note).Tremolo != SecondHalf {
		return false
	}
	return slices.ContainsFunc(strikes, func(o pedal.Strike) bool {
		return m.signs(o.Note).Tremolo == FirstHalf && o.End == s.End
	})
}

// limit is a rule's threshold, the caller's or the default.
func (m *played) limit(r Rule) Limit {
	if l, ok := m.o.Limits[r.Kind]; ok {
		return l
	}
	return r.Limit
}

// at is when a moment is played; after the last one, when that is.
func (m *played) at(moment int) time.Duration {
	return m.p.Moments[min(moment, len(m.p.Moments)-1)].At
}

// footTime is how long it is from one change of a foot to its next; 0 where the
// feet are left out.
func (m *played) footTime() time.Duration { return m.o.Plan.Times().Foot }

// called names a note: an implied one by what asks for it.
func (m *played) called(note int) string {
	n := m.p.Notes[note]
	switch {
	case !n.Implied:
		return n.Pitch.Name()
	case m.isSwept(note):
		return "the glissando's " + n.Pitch.Name()
	case m.signs(note).Ornament:
		return "the ornament's " + n.Pitch.Name()
	default:
		return "the mark's " + n.Pitch.Name()
	}
}

// chordOf are the strings of strokes, each once.
func chordOf(strokes []stroke) grip {
	for i := 1; i < len(strokes); i++ {
		if strokes[i].rank == strokes[i-1].rank {
			return slices.CompactFunc(slices.Clone(strokes), func(a, b stroke) bool { return a.rank == b.rank })
		}
	}
	return strokes
}

// signs are those of a note.
func (m *played) signs(note int) Signs {
	if note < len(m.music.Signs) {
		return m.music.Signs[note]
	}
	return Signs{}
}

// isSwept tells whether a note is one of the strings that a glissando sweeps.
func (m *played) isSwept(note int) bool {
	_, ok := m.swept[note]
	return ok
}

// names are the strings of strokes as they are played, from low to high.
func (m *played) names(strokes []stroke) []string {
	var list []string
	for i, s := range strokes {
		if i == 0 || s.rank != strokes[i-1].rank {
			list = append(list, m.name(s.note))
		}
	}
	return list
}

// written are the pitches of strokes as they are written, from low to high.
func (m *played) written(strokes []stroke) []string {
	var list []string
	for i, s := range strokes {
		if i == 0 || s.rank != strokes[i-1].rank {
			list = append(list, m.writtenName(s.note))
		}
	}
	return list
}

// writtenName is the pitch of a note as it is written.
func (m *played) writtenName(note int) string { return m.p.Notes[note].Pitch.String() }

// name is the string that plays a note, with the written pitch where that is
// another.
func (m *played) name(note int) string {
	played, written := pitchOf(m.plan.Strings[note]), m.p.Notes[note].Pitch
	if played == written {
		return played.String()
	}
	return fmt.Sprintf("%v (written %v)", played, written)
}

func notesOf(strokes []stroke) []int {
	list := make([]int, len(strokes))
	for i, s := range strokes {
		list[i] = s.note
	}
	return list
}

// sortUp sorts notes from low to high.
func (m *played) sortUp(notes []int) {
	slices.SortFunc(notes, func(a, b int) int {
		return cmp.Or(cmp.Compare(m.p.Notes[a].Pitch.Height(), m.p.Notes[b].Pitch.Height()), cmp.Compare(a, b))
	})
}

// usesBetween are the uses of a letter at moments from first to last.
func (m *played) usesBetween(l pedal.Letter, first, last int) []use {
	all := m.uses[l]
	from, _ := slices.BinarySearchFunc(all, first, func(u use, at int) int { return cmp.Compare(u.moment, at) })
	to, _ := slices.BinarySearchFunc(all, last+1, func(u use, at int) int { return cmp.Compare(u.moment, at) })
	return all[from:to]
}

// rank counts strings upwards from C0.
func rank(l pedal.Letter, octave int) int { return pedal.StringName{Letter: l, Octave: octave}.Rank() }

// stringsFor lists the strings that sound a pitch on a harp without ends, the
// written one first.
func stringsFor(p pedal.Pitch) []pedal.String {
	if p.Cents%100 != 0 {
		return nil
	}
	var list []pedal.String
	for i := range pedal.Letter(pedal.Letters) {
		l := (p.Letter + i) % pedal.Letters
		for _, octave := range [3]int{p.Octave - 1, p.Octave, p.Octave + 1} {
			cents := p.Height() - 1200*octave - 100*l.Semitones()
			if cents >= -100 && cents <= 100 {
				list = append(list, pedal.String{Letter: l, Octave: octave, Position: pedal.Position(cents / 100), OK: true})
			}
		}
	}
	return list
}

// second is the other string that sounds what a string does; ok is false for D,
// G and A naturals [EIN-tremolo], and where the harp has no such string.
func (m *played) second(s pedal.String) (pedal.String, bool) {
	for _, o := range stringsFor(pitchOf(s)) {
		if o.Letter != s.Letter && m.harp.Has(pedal.StringName{Letter: o.Letter, Octave: o.Octave}) {
			return o, true
		}
	}
	return pedal.String{}, false
}
