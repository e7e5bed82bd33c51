package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"pedalogue/pedal"
)

// randomMusic is chromatic music with repeats, endings, jumps, rests, rehearsal
// marks, key changes, grace notes, tremolos and glissandi, wherever they fall.
func randomMusic(seed uint64) []string {
	r := rand.New(rand.NewPCG(seed, 7))
	pitch := func() string {
		return string("CDEFGAB"[r.IntN(7)]) + []string{"", "", "#", "b", "##"}[r.IntN(5)] + fmt.Sprint(3+r.IntN(3))
	}
	pick := func(oneIn int, text string) string {
		if r.IntN(oneIn) == 0 {
			return text + " "
		}
		return ""
	}
	measures := make([]string, 4+r.IntN(9))
	for i := range measures {
		var b strings.Builder
		b.WriteString(pick(4, "{fwd}") + pick(6, "{1}") + pick(6, "{2}") + pick(6, "{reh=A}") + pick(6, fmt.Sprintf("{key=%d}", r.IntN(9)-4)))
		for staff := range 2 {
			if staff == 1 {
				b.WriteString("| ")
			}
			for range 4 {
				b.WriteString(pick(9, "g."+pitch()) + pick(12, "<trill>") + pick(14, "<gliss>") + pick(14, "</gliss>") + pick(12, "<trem>") + pick(12, "</trem>"))
				b.WriteString([]string{"R:4 ", pitch() + ":4 ", pitch() + "+" + pitch() + ":4 ", pitch() + ":4 "}[r.IntN(4)])
			}
		}
		b.WriteString(pick(5, "{back}") + pick(6, "{/1}") + pick(6, "{/2}") + pick(12, "{dc}") + pick(12, "{fine}") + pick(6, "{double}"))
		measures[i] = b.String()
	}
	return measures
}

// Whatever the music, its marks hold in every pass: there is a plan, it fits the
// music, and its page makes the plan's changes and no others.
func TestRandomMusicIsMarked(t *testing.T) {
	for seed := range uint64(120) {
		music := randomMusic(seed)
		for i, mode := range pedal.Modes() {
			set := defaultSettings()
			set.plan.Mode = mode
			set.places = settingsChoice{sections: seed%3 != 0, every: int(seed % 5)}
			if seed%2 == 0 {
				set.plan.FootTime = -1
			}
			if int(seed)%4 != i {
				continue // one mode a seed
			}
			if _, err := markScore(context.Background(), "random.musicxml", compose(music...), set); err != nil {
				t.Errorf("seed %d, %v: %v\n%s", seed, mode, err, strings.Join(music, "\n"))
			}
		}
	}
}
