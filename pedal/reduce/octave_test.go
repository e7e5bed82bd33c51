package reduce

import (
	"strings"
	"testing"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
)

// musicOf reads moments parted by "|", each of notes such as "G♯4/2:30": a pitch, a staff (1
// unless it is told) and a length in ticks of 0.1 s (1 unless it is told); "+5" waits so many
// ticks before the next moment, which comes after 1 otherwise.
func musicOf(t *testing.T, text string) *finding.Music {
	t.Helper()
	b := pedal.Builder{Tick: 100 * time.Millisecond, Beat: 2}
	number := func(s string, or int64) int64 {
		if s == "" {
			return or
		}
		n := int64(0)
		for _, c := range s {
			n = 10*n + int64(c-'0')
		}
		return n
	}
	var staves []int
	for moment := range strings.SplitSeq(text, "|") {
		wait := int64(1)
		for word := range strings.FieldsSeq(moment) {
			if rest, ok := strings.CutPrefix(word, "+"); ok {
				wait = number(rest, 1)
				continue
			}
			name, length, _ := strings.Cut(word, ":")
			pitch, staff, _ := strings.Cut(name, "/")
			b.Strike(number(length, 1), pitch)
			staves = append(staves, int(number(staff, 1)))
		}
		b.Wait(wait)
	}
	p, err := b.Passage()
	if err != nil {
		t.Fatal(err)
	}
	for i := range p.Notes {
		p.Notes[i].Staff = staves[i]
	}
	return &finding.Music{Passage: p}
}

// A note moves first to where it is hidden best.
func TestOctaves(t *testing.T) {
	for _, tt := range []struct {
		why, music string
		note       int
		down       bool
	}{
		{"alone it may rise", "C4", 0, false},
		{"the melody rises, though there is room below", "C2/2 C5", 1, false},
		{"the melody rises, though a higher note on staff 2 would hide it below", "C2/2 C5 E6/2", 1, false},
		{"an inner note rises where the melody stays above it", "C2/2 G3/2 C6", 1, false},
		{"an octave below the melody it would be that note itself: it falls", "C2/2 C5/2 C6", 1, true},
		{"an inner note near the melody falls above the bass", "C2/2 E4 G4", 1, true},
		{"with room on neither side it falls below the bass rather than rise above the melody", "C4/2 E4 G4", 1, true},
		{"the bass rises where the melody stays above it", "C3/2 G5", 0, false},
		{"the bass near the melody falls", "C3/2 E3", 0, true},
		{"the highest that is not the melody falls into the chord", "C2/2 C4 G4/2", 2, true},
		{"and rises where it would fall below all", "C4 G4/2", 1, false},
		{"a held note above lets it rise", "C6:30 | E4/2", 1, false},
		{"a held note below lets it fall", "C2/2:30 | E4/2", 1, true},
		{"between held notes, nearer to the upper one", "C2/2:30 G4:30 | +2 E4", 2, true},
		{"one that has ended holds nothing up", "C2/2:3 | +5 | E4/2", 1, false},
		{"one that ends as it begins does not sound with it", "C2/2:3 | +2 | E4/2", 1, false},
		{"what is struck later counts for nothing", "E4/2:30 | C2/2", 0, false},
		{"what was struck more than 4 s before is not looked for", "C2/2:90 +50 | E4/2", 1, false},
		{"nor a string that is pedalled and not written", "E4/2 C2/2 ", 0, false},
	} {
		m := musicOf(t, tt.music)
		if strings.HasPrefix(tt.why, "nor a string") {
			m.Passage.Notes[1].Implied = true
		}
		r := &run{music: m, draft: newDraft(m)}
		want := [2]int{1, -1}
		if tt.down {
			want = [2]int{-1, 1}
		}
		if got := r.octaves(tt.note); got != want {
			t.Errorf("%s: %s: note %d moves by %v, want %v", tt.why, tt.music, tt.note, got, want)
		}
	}
}
