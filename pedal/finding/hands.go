package finding

import (
	"fmt"
	"slices"

	"pedalogue/pedal"
)

// fingers is how many strings one hand plucks at once: the fifth finger is too
// short [EIN-hand] [BLI 2].
const fingers = 4

// The limits of a hand that several kinds share.
const (
	handSpan Kind = "wide-chord"
	rightLow Kind = "right-hand-low"
)

// handRules are about the notes of one moment in the hands.
func handRules() []Rule {
	return []Rule{
		{
			Kind: "too-many-notes", Severity: Error, Limit: 2 * fingers, Unit: Count,
			Means:  "more strings at once than fingers, in a chord that is not rolled",
			Source: "four fingers a hand, eight notes in all [EIN-hand] [BLI 2] [RK]", find: tooManyNotes,
		}, {
			Kind: handSpan, Severity: Warning, Limit: 10, Unit: Interval,
			Means:  "no way to share the chord gives each hand four notes at most within the limit; the player will break it",
			Source: "a tenth is safe [EIN-hand] [JOH] [HLP]; wider is broken [EIN-arp]", find: wideChords,
		}, {
			Kind: "wide-chord-unbroken", Severity: Warning,
			Means:  "the same as wide-chord, under a bracket that forbids to roll the chord",
			Source: "[EIN-arp]", find: wideUnbroken,
		}, {
			Kind: "share-chord", Severity: Note,
			Means:  "one staff asks more of a hand than it can hold, but shared otherwise the chord fits both",
			Source: "staves are not hands [EIN-general] [PHI-notation]", find: shareChords,
		}, {
			Kind: "crossed-hands", Severity: Note,
			Means:  "the staves cross within one chord",
			Source: "common practice", find: crossedHands,
		}, {
			Kind: "one-string-twice", Severity: Note,
			Means:  "both staves want the same string at once",
			Source: "common practice", find: oneStringTwice,
		}, {
			Kind: rightLow, Severity: Warning, Limit: Limit(rank(pedal.C, 3)), Unit: String,
			Means:  "both hands are needed so low that the right one plays below the limit",
			Source: "the right hand cannot go far below C3 [GOSS-TAG] [EIN-position] [JOH]", find: rightHandLow,
		},
	}
}

// A grip is the strings that both hands must take at once, from low to high,
// each once.
type grip []stroke

// gripAt is the grip of a moment. The notes of a rolled chord are left out: the
// hands take them one after the other [EIN-hand].
func (m *played) gripAt(moment int) grip {
	strokes := m.strokes[moment]
	if len(strokes) < 2 {
		return nil
	}
	rolled := false
	for _, t := range strokes {
		rolled = rolled || m.signs(t.note).Roll == Rolled
	}
	g := make(grip, 0, len(strokes))
	for _, t := range strokes {
		if rolled && m.rolledOn(strokes, t.staff) || len(g) > 0 && g[len(g)-1].rank == t.rank {
			continue
		}
		g = append(g, t)
	}
	return g
}

// rolledOn tells whether a note on the staff has an arpeggio sign.
func (m *played) rolledOn(strokes []stroke, staff int) bool {
	return slices.ContainsFunc(strokes, func(t stroke) bool {
		return t.staff == staff && m.signs(t.note).Roll == Rolled
	})
}

// span is the interval's number from the lowest to the highest string.
func (g grip) span() int {
	if len(g) == 0 {
		return 0
	}
	return g[len(g)-1].rank - g[0].rank + 1
}

// fits tells whether the lowest k strings lie in the left hand and the others in
// the right.
func (g grip) fits(k, span int) bool {
	return k <= fingers && len(g)-k <= fingers && g[:k].span() <= span && g[k:].span() <= span
}

// splits lists the ways to share the strings between the hands, as the number
// of strings for the left, the most even first. Only hands that lie side by side
// are tried: if any sharing fits, then so does the one that gives the left hand
// as many strings, but the lowest.
func (g grip) splits(span int) []int {
	var list []int
	for k := range len(g) + 1 {
		if g.fits(k, span) {
			list = append(list, k)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return abs(2*a-len(g)) - abs(2*b-len(g)) })
	return list
}

func abs(n int) int { return max(n, -n) }

// best picks the split that keeps the right hand high enough, if there is one.
func (m *played) best(g grip) (k int, ok bool) {
	all := g.splits(m.span)
	for _, k := range all {
		if k == len(g) || g[k].rank >= m.low {
			return k, true
		}
	}
	if len(all) == 0 {
		return 0, false
	}
	return slices.Max(all), true
}

func tooManyNotes(m *played, s *sink) {
	for i := range m.strokes {
		g := m.grips[i]
		if len(g) <= int(s.limit()) {
			continue
		}
		s.add(i, notesOf(g), fmt.Sprintf("%s notes are wanted at once, and the hands have %s fingers to pluck with.",
			upper(number(len(g))), number(2*fingers)), m.thinned(g))
	}
}

// thinned offers to leave out inner notes that are doubled in another octave,
// if what remains lies in the hands.
func (m *played) thinned(g grip) string {
	rest := slices.Clone(g)
	var out []stroke
	for len(rest.splits(m.span)) == 0 {
		drop := -1
		for i := 1; i+1 < len(rest); i++ {
			doubled := slices.ContainsFunc(rest, func(t stroke) bool { return t.rank != rest[i].rank && (t.rank-rest[i].rank)%7 == 0 })
			if doubled && (drop < 0 || abs(2*i-len(rest)) < abs(2*drop-len(rest))) {
				drop = i
			}
		}
		if drop < 0 {
			return ""
		}
		out = append(out, rest[drop])
		rest = slices.Delete(rest, drop, drop+1)
	}
	slices.SortFunc(out, func(a, b stroke) int { return a.rank - b.rank })
	return fmt.Sprintf("Leave out %s, doubled in another octave; the rest lies in two hands.", joined(m.written(out)))
}

func wideChords(m *played, s *sink)   { wide(m, s, false) }
func wideUnbroken(m *played, s *sink) { wide(m, s, true) }

// wide finds the chords that do not lie in two hands, bracketed or not.
func wide(m *played, s *sink, bracketed bool) {
	for i := range m.strokes {
		g := m.grips[i]
		if len(g) == 0 || len(g) > 2*fingers || m.bracketed(g) != bracketed || len(g.splits(m.span)) > 0 {
			continue
		}
		text := fmt.Sprintf("However the chord is shared, one hand has %s to reach or more than four notes to pluck; %s.", interval(m.leastSpan(g)),
			map[bool]string{false: "the player will break it", true: "the bracket forbids to break it"}[bracketed])
		if m.leastSpan(g) <= m.span {
			text = "However the chord is shared, one hand has more than four notes to pluck."
		}
		s.add(i, notesOf(g), text+caution, m.moved(i, g, bracketed))
	}
}

func (m *played) bracketed(g grip) bool {
	return slices.ContainsFunc(g, func(t stroke) bool { return m.signs(t.note).Roll == Together })
}

// leastSpan is the wider hand of the closest way to share the strings.
func (m *played) leastSpan(g grip) int {
	least := g.span()
	for k := max(0, len(g)-fingers); k <= min(fingers, len(g)); k++ {
		least = min(least, max(g[:k].span(), g[k:].span()))
	}
	return least
}

// moved offers to roll the chord where that is allowed, and the move of one note
// by an octave that brings it into the hands. The letter stays, so its pedal
// stands right.
func (m *played) moved(moment int, g grip, bracketed bool) string {
	for i := range g {
		for _, octave := range [2]int{7, -7} {
			to := g[i].rank + octave
			if to < 0 || !m.harp.Disced(stringAt(to)) {
				continue
			}
			rest := slices.Delete(slices.Clone(g), i, i+1)
			name := m.p.Notes[g[i].note].Pitch
			doubled := m.plucked(moment, to)
			if !doubled {
				at, _ := slices.BinarySearchFunc(rest, to, func(t stroke, to int) int { return t.rank - to })
				rest = slices.Insert(rest, at, stroke{note: g[i].note, rank: to})
			}
			if len(rest.splits(m.span)) == 0 {
				continue
			}
			act := fmt.Sprintf("leave out %v, doubled an octave away", name)
			if !doubled {
				higher := name
				higher.Octave += octave / 7
				act = fmt.Sprintf("play %v as %v", name, higher)
			}
			if bracketed {
				return upper(act) + "."
			}
			return "Roll it, or " + act + "."
		}
	}
	if bracketed {
		return ""
	}
	return "Roll it."
}

// byStaff tells how the staves share a grip: the strings of the upper staff and
// those of all staves below.
func byStaff(g grip) (upper, lower grip) {
	for _, t := range g {
		if t.staff <= 1 {
			upper = append(upper, t)
		} else {
			lower = append(lower, t)
		}
	}
	return upper, lower
}

// shared says which strings each hand takes.
func (m *played) shared(g grip, k int) string {
	switch k {
	case 0:
		return "Take all of it with the right hand."
	case len(g):
		return "Take all of it with the left hand."
	}
	return fmt.Sprintf("Take %s with the left hand and %s with the right.", joined(m.written(g[:k])), joined(m.written(g[k:])))
}

func shareChords(m *played, s *sink) {
	if m.staves < 2 {
		return
	}
	for i := range m.strokes {
		g := m.grips[i]
		if len(g) < 2 {
			continue
		}
		k, ok := m.best(g)
		if !ok {
			continue
		}
		up, low := byStaff(g)
		for _, hand := range []struct {
			g    grip
			name string
		}{{up, "upper"}, {low, "lower"}} {
			switch {
			case len(hand.g) > fingers:
				s.add(i, notesOf(hand.g), fmt.Sprintf("The %s staff has %s notes at once, more than one hand plucks.", hand.name, number(len(hand.g))), m.shared(g, k))
			case hand.g.span() > m.span:
				s.add(i, notesOf(hand.g), fmt.Sprintf("The %s staff has %s to reach at once, more than one hand does.", hand.name, interval(hand.g.span())), m.shared(g, k))
			}
		}
	}
}

func crossedHands(m *played, s *sink) {
	for i := range m.strokes {
		g := m.grips[i]
		if len(g) < 2 {
			continue
		}
		up, low := byStaff(g)
		if len(up) == 0 || len(low) == 0 || up[0].rank > low[len(low)-1].rank {
			continue
		}
		remedy := ""
		if k, ok := m.best(g); ok {
			remedy = m.shared(g, k)
		}
		top, bottom := low[len(low)-1], up[0]
		s.add(i, []int{bottom.note, top.note}, fmt.Sprintf("The staves cross: %s in the upper one lies below %s in the lower one.",
			m.writtenName(bottom.note), m.writtenName(top.note)), remedy)
	}
}

func oneStringTwice(m *played, s *sink) {
	for i, strokes := range m.strokes {
		var notes []int
		var names []string
		for j := 1; j < len(strokes); j++ {
			a, b := strokes[j-1], strokes[j]
			if a.rank == b.rank && (a.staff <= 1) != (b.staff <= 1) {
				notes, names = append(notes, a.note, b.note), append(names, m.writtenName(a.note))
			}
		}
		if names = unique(names); len(names) > 0 {
			s.add(i, notes, fmt.Sprintf("Both staves want %s at once; %s.", joined(names),
				plural(len(names), "it is one string, which one hand plucks", "each is one string, which one hand plucks")), "")
		}
	}
}

func rightHandLow(m *played, s *sink) {
	low := int(s.limit())
	for i := range m.strokes {
		g := m.grips[i]
		k, ok := m.best(g)
		if !ok || k == len(g) || g[k].rank >= low {
			continue
		}
		s.add(i, notesOf(g[k:]), fmt.Sprintf("Both hands are needed so low that the right one plays %s, below %v.",
			m.writtenName(g[k].note), stringAt(low))+caution, "")
	}
}
