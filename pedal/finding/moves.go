package finding

import (
	"fmt"
	"strconv"
	"time"

	"pedalogue/pedal/internal/words"
)

// moveRules are about hands on their way from one moment to the next.
func moveRules() []Rule {
	return []Rule{
		{
			Kind: "leap", Severity: Warning, Limit: 150, Unit: Seconds,
			Means:  "a hand must leap in less than the limit for each octave between its notes, and the other hand cannot help at either end",
			Source: "leaps need time to place the fingers [HLP] [MILLS]; the seconds are common practice", find: leaps,
		}, {
			Kind: "five-in-hand", Severity: Warning, Limit: 200, Unit: Seconds,
			Means:  "five notes of one hand in a beat, up or down, less than the limit apart: hands are placed by fours",
			Source: "[UBC] [HOLDEN] [WEEKS]; the seconds are common practice", find: fives,
		}, {
			Kind: "run-in-one-hand", Severity: Warning, Limit: 150, Unit: Seconds,
			Means:  "one hand has a run less than the limit from note to note that takes three placings of four fingers or more, or two at twice that speed, while the other hand plays",
			Source: "hands are placed by fours [UBC] [HOLDEN]; often two hands are needed for one fast line [MILLS] [HLP]; the seconds are common practice", find: longRuns,
		}, {
			Kind: "no-tempo", Severity: Note,
			Means:  "the score gives no tempo, or none at its start, and what was assumed; --tempo gives one",
			Source: "", find: noTempo,
		}, {
			Kind: "damper-pedal", Severity: Note,
			Means:  "the score has marks for a piano's damper pedal",
			Source: "a harp has no damper pedal [BLI 5] [MXL]", find: damperMarks,
		},
	}
}

// A reach is what a hand plucks at a moment.
type reach struct {
	moment    int
	at        time.Duration
	low, high int // ranks
	notes     []stroke
}

// reaches lists what a staff plucks, moment by moment, grace notes left out.
func (m *played) reaches(staff int) []reach {
	var list []reach
	for i, strokes := range m.strokes {
		if m.p.Moments[i].Grace {
			continue
		}
		var notes []stroke
		for _, t := range strokes {
			if max(t.staff, 1) == staff {
				notes = append(notes, t)
			}
		}
		if len(notes) > 0 {
			list = append(list, m.reachOf(i, notes))
		}
	}
	return list
}

func (m *played) reachOf(moment int, notes []stroke) reach {
	return reach{moment, m.at(moment), notes[0].rank, notes[len(notes)-1].rank, notes}
}

// gap is how many strings lie between two reaches; 0 or less where they meet.
func gap(a, b reach) int { return max(b.low-a.high, a.low-b.high) }

// hasty tells whether a hand has less than the limit for each octave of its way.
// A way on which the hand still reaches both ends is no leap.
func (m *played) hasty(a, b reach, octave time.Duration) bool {
	if max(a.high, b.high)-min(a.low, b.low)+1 <= m.span {
		return false
	}
	way := gap(a, b)
	return way >= 7 && shown(b.at-a.at) < shown(octave*time.Duration(way)/7)
}

// leaps finds the ways of a staff's hand that are too hasty, however the hands share
// what is plucked about them.
func leaps(m *played, s *sink) {
	if m.staves < 2 {
		return
	}
	octave := s.limit().duration()
	for staff := 1; staff <= m.staves; staff++ {
		hand := m.reaches(staff)
		for i := 1; i < len(hand); i++ {
			from, to := hand[i-1], hand[i]
			if !m.hasty(from, to, octave) || m.sharedWay(from.moment, to.moment, octave) {
				continue
			}
			s.add(to.moment, append(notesOf(from.notes), notesOf(to.notes)...),
				fmt.Sprintf("One hand has %s to leap %s, from %s to %s, and the other is busy.",
					seconds(to.at-from.at), leapWidth(gap(from, to)), words.Joined(m.written(from.notes)), words.Joined(m.written(to.notes)))+caution, "")
		}
	}
}

// leapWidth is a distance in strings in words: "two octaves".
func leapWidth(strings int) string {
	if strings%7 == 0 || strings < 14 {
		return interval(strings + 1)
	}
	return "more than " + number(strings/7) + " octaves"
}

// A way is how both hands get through some moments.
type way struct {
	m       *played
	octave  time.Duration
	moments []int
	splits  [][]int // of each moment
	taken   []int   // how each moment is shared, where there is a way through
	dead    map[wayState]bool
}

// A wayState is how far a way has come, and where it has left each hand: after which
// moment, and as which part of it.
type wayState struct{ next, left, leftSplit, right, rightSplit int }

// sharedWay tells whether the hands can share all that is plucked from one moment
// before a way to one moment after it so that neither leaps too hastily. Hands lie side by side at
// each moment.
func (m *played) sharedWay(from, to int, octave time.Duration) bool {
	return m.wayAbout(from, to, octave).through(wayState{left: -1, right: -1})
}

// wayAbout is the ways on which the hands may share what is plucked from one moment
// before a way to one moment after it, those first on which few notes change hands.
func (m *played) wayAbout(from, to int, octave time.Duration) *way {
	w := &way{m: m, octave: octave, dead: map[wayState]bool{}}
	first := m.pluckedFrom(from-1, -1)
	last := m.pluckedFrom(to+1, 1)
	for i := max(first, 0); i <= min(last, len(m.chords)-1); i++ {
		g := m.chords[i]
		if len(g) == 0 || m.p.Moments[i].Grace {
			continue
		}
		splits := m.sparing(g)
		if len(splits) == 0 { // it is broken, from the left hand to the right
			splits = []int{len(g) / 2}
		}
		w.moments, w.splits = append(w.moments, i), append(w.splits, splits)
	}
	w.taken = make([]int, len(w.moments))
	return w
}

// pluckedFrom is the next moment in a direction at which something is plucked without
// grace.
func (m *played) pluckedFrom(moment, step int) int {
	for moment >= 0 && moment < len(m.chords) && (len(m.chords[moment]) == 0 || m.p.Moments[moment].Grace) {
		moment += step
	}
	return moment
}

func (w *way) through(s wayState) bool {
	if s.next == len(w.moments) {
		return true
	}
	if w.dead[s] {
		return false
	}
	moment := w.moments[s.next]
	g := w.m.chords[moment]
	for _, k := range w.splits[s.next] {
		to := wayState{s.next + 1, s.left, s.leftSplit, s.right, s.rightSplit}
		if k > 0 {
			if s.left >= 0 && w.m.hasty(w.m.reachOf(s.left, w.m.chords[s.left][:s.leftSplit]), w.m.reachOf(moment, g[:k]), w.octave) {
				continue
			}
			to.left, to.leftSplit = moment, k
		}
		if k < len(g) {
			if s.right >= 0 && w.m.hasty(w.m.reachOf(s.right, w.m.chords[s.right][s.rightSplit:]), w.m.reachOf(moment, g[k:]), w.octave) {
				continue
			}
			to.right, to.rightSplit = moment, k
		}
		if w.through(to) {
			w.taken[s.next] = k
			return true
		}
	}
	w.dead[s] = true
	return false
}

func damperMarks(m *played, s *sink) {
	n := len(m.music.Dampers)
	if n == 0 {
		return
	}
	text := "A piano's damper pedal is marked here; a harp has none, and its strings ring until they are damped."
	if n > 1 {
		text = fmt.Sprintf("A piano's damper pedal is marked %s from here on; a harp has none, and its strings ring until they are damped.", times(n))
	}
	s.add(m.music.Dampers[0], nil, text, "Leave the marks out; let ring where the pedal goes down, and damp where it comes up.")
}

func noTempo(m *played, s *sink) {
	if m.music.Untimed == 0 {
		return
	}
	for i := range m.music.Untimed {
		if len(m.strokes[i]) == 0 {
			continue
		}
		where := "The score gives no tempo"
		if m.music.Untimed < len(m.strokes) {
			where = "The score gives no tempo for its beginning"
		}
		assumed := "a usual one was"
		if len(m.music.Tempos) > 0 {
			t := m.music.Tempos[0]
			assumed = strconv.FormatInt(t.Num/max(1, t.Den), 10) + " quarter notes a minute were"
		}
		s.add(i, nil, where+"; "+assumed+" assumed. Which changes are rushed depends on it.", "Give the tempo with --tempo.")
		s.upTo(i)
		return
	}
}
