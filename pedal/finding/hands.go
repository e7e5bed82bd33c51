package finding

import (
	"fmt"
	"slices"

	"pedalogue/pedal"
	"pedalogue/pedal/internal/words"
)

// fingers is how many strings one hand plucks at once: the fifth finger is too
// short [EIN-hand] [BLI 2].
const fingers = 4

// The limits of a hand that several kinds share.
const (
	handSpan Kind = "wide-chord"
	rightLow Kind = "right-hand-low"
	rollTime Kind = "no-time-to-roll"
)

// handRules are about the notes of one moment in the hands.
func handRules() []Rule {
	return []Rule{
		{
			Kind: "too-many-notes", Severity: Warning, Limit: 2 * fingers, Unit: Count,
			Means:  "more strings in a chord than fingers, rolled or not: something must be left out",
			Source: "four fingers a hand, eight notes in all [EIN-hand] [BLI 2] [RK]", find: tooManyNotes,
		}, {
			Kind: handSpan, Severity: Warning, Limit: 10, Unit: Interval,
			Means:  "no way to share the chord gives each hand four notes at most within the limit; the player will break it",
			Source: "a tenth is safe [EIN-hand] [JOH] [HLP]; wider is broken [EIN-arp]", find: wideChords,
		}, {
			Kind: "wide-chord-unbroken", Severity: Error,
			Means:  "the same as wide-chord, under a bracket that forbids to roll the chord: it cannot be played so",
			Source: "[EIN-arp]", find: wideUnbroken,
		}, {
			Kind: "wide-roll", Severity: Warning, Limit: 12, Unit: Interval,
			Means:  "no way to share a rolled chord gives each hand four notes at most within the limit, which is wider than for a chord struck together",
			Source: "rolled chords may span more than a tenth, but slower [EIN-hand]; how much more is common practice", find: wideRolls,
		}, {
			Kind: rollTime, Severity: Warning, Limit: 50, Unit: Seconds,
			Means:  "a rolled chord has less than the limit for each of its notes before a hand plays on",
			Source: "rolled chords take time [EIN-hand]; the seconds are common practice", find: hastyRolls,
		}, {
			Kind: "share-chord", Severity: Note,
			Means:  "a chord of one voice asks more of a hand than it can hold, but shared otherwise it fits both",
			Source: "staves are not hands [EIN-general] [PHI-notation]", find: shareChords,
		}, {
			Kind: "crossed-hands", Severity: Note,
			Means:  "the notes of two staves lie between each other, so that the hands do not take what their staves show; told where it begins",
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
	if !m.rolls(moment) {
		return m.chords[moment]
	}
	g := make(grip, 0, len(strokes))
	for _, t := range strokes {
		if !m.rolledOn(strokes, t.staff) && (len(g) == 0 || g[len(g)-1].rank != t.rank) {
			g = append(g, t)
		}
	}
	return g
}

// rolls tells whether an arpeggio sign stands at a moment.
func (m *played) rolls(moment int) bool {
	return slices.ContainsFunc(m.strokes[moment], func(t stroke) bool { return m.signs(t.note).Roll == Rolled })
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
	for i, g := range m.chords {
		if len(g) <= int(s.limit()) {
			continue
		}
		text := "%s notes are wanted at once, and the hands have %s fingers to pluck with."
		if m.rolls(i) {
			text = "%s notes are in the rolled chord, and the hands have %s fingers to place on it."
		}
		s.add(i, notesOf(g), fmt.Sprintf(text, words.Upper(number(len(g))), number(2*fingers)), "")
	}
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
		if m.fitsAsWritten(g) {
			text += " It is the plan's other strings that make it so wide: as written it lies in two hands."
		}
		s.add(i, notesOf(g), text+caution, "")
	}
}

// fitsAsWritten tells whether a grip would fit if each note were on its written string.
func (m *played) fitsAsWritten(g grip) bool {
	home := slices.Clone(g)
	for i := range home {
		p := m.p.Notes[home[i].note].Pitch
		home[i].rank = rank(p.Letter, p.Octave)
	}
	slices.SortStableFunc(home, func(a, b stroke) int { return a.rank - b.rank })
	return len(chordOf(home).splits(m.span)) > 0
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

// shared says which strings each hand takes.
func (m *played) shared(g grip, k int) string {
	switch k {
	case 0:
		return "Take all of it with the right hand."
	case len(g):
		return "Take all of it with the left hand."
	}
	return fmt.Sprintf("Take %s with the left hand and %s with the right.", words.Joined(m.written(g[:k])), words.Joined(m.written(g[k:])))
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
			m.writtenName(g[k].note), pedal.StringAt(low))+caution, "")
	}
}
