package main

import (
	"context"
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/part"
)

// Whatever the music, its marks hold in every pass: there is a plan, it fits the
// music, and its page makes the plan's changes and no others.
func TestRandomMusicIsMarked(t *testing.T) {
	for seed := range uint64(120) {
		music := randomMusic(seed)
		for i, mode := range pedal.Modes() {
			set := defaultSettings()
			set.Wants.Plan.Options.Mode = mode
			set.Wants.Plan.Sections = part.Sections{StartOnly: seed%3 == 0, Every: int(seed % 5)}
			if seed%2 == 0 {
				set.Wants.Plan.Options.FootTime = -1
			}
			if int(seed)%4 != i {
				continue // one mode a seed
			}
			if _, err := markBytes(context.Background(), "random.musicxml", compose(music...), set); err != nil {
				t.Errorf("seed %d, %v: %v\n%s", seed, mode, err, strings.Join(music, "\n"))
			}
		}
	}
}
