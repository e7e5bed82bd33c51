package part_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/internal/trial"
	"pedalogue/pedal/part"
	"pedalogue/pedal/part/parttest"
)

// tightMusic is short music on few letters, so that pedals move much and notes
// are respelt, with repeats, endings, jumps, marks of others and places for full
// settings wherever they fall.
func tightMusic(r *rand.Rand) []string {
	letters := []string{"CD", "BC", "DEF", "FGA", "ABCD"}[r.IntN(5)]
	pitch := func() string {
		return string(letters[r.IntN(len(letters))]) + []string{"", "#", "b", "b", "#"}[r.IntN(5)] + fmt.Sprint(4+r.IntN(2))
	}
	pick := func(oneIn int, text string) string {
		if r.IntN(oneIn) == 0 {
			return text + " "
		}
		return ""
	}
	measures := make([]string, 2+r.IntN(5))
	for i := range measures {
		var b strings.Builder
		b.WriteString(pick(4, "{fwd}") + pick(6, "{1}") + pick(6, "{2}") + pick(4, "{reh=A}") + pick(9, fmt.Sprintf("{reh=@%c♯}", letters[0])) +
			pick(8, fmt.Sprintf("{key=%d}", r.IntN(9)-4)))
		for range 1 + r.IntN(4) {
			b.WriteString(pick(14, "<gliss>") + pick(14, "</gliss>") + pick(12, "<tie>") + pick(12, "</tie>"))
			b.WriteString([]string{"R:4 ", pitch() + ":4 ", pitch() + "+" + pitch() + ":4 ", pitch() + ":2 ", pitch() + ":12 "}[r.IntN(5)])
		}
		b.WriteString(pick(4, "{back}") + pick(6, "{/1}") + pick(6, "{/2}") + pick(8, "{dc}") + pick(8, "{fine}") + pick(5, "{double}"))
		measures[i] = b.String()
	}
	return measures
}

// Whatever is asked for, marking does not end in an error of ours: the marks hold
// in every pass and make the plan's changes.
func TestTightMusicIsMarked(t *testing.T) {
	failed := 0
	for seed := range trial.Size[uint64](800, 1500, 4000) {
		r := rand.New(rand.NewPCG(seed, 15))
		music := tightMusic(r)
		w := part.Wishes{
			Options:  pedal.Options{Mode: pedal.Modes()[r.IntN(4)], FootTime: []time.Duration{-1, 0, 2 * time.Second}[r.IntN(3)]},
			Sections: part.Sections{StartOnly: r.IntN(5) == 0, Every: r.IntN(3)},
			Obey:     r.IntN(4) == 0,
		}
		for _, at := range []**pedal.Setting{&w.Options.Start, &w.Options.End} {
			if r.IntN(6) == 0 {
				*at = new(pedal.Setting)
				for l := range *at {
					(*at)[l] = pedal.Position(r.IntN(3) - 1)
				}
			}
		}
		_, score := parttest.Read(t, parttest.ComposeMarks(music...))
		p, err := part.New(score, score.Players()[0], part.Options{WrittenOnly: r.IntN(4) == 0})
		if err != nil {
			t.Fatal(err)
		}
		done, err := p.Plan(t.Context(), w)
		if err == nil {
			_, _, err = done.Edits(t.Context(), musicDocument(t, music), part.Style{})
		}
		if err != nil {
			failed++
			t.Errorf("seed %d, %v: %v\n%+v\n%s", seed, w.Options.Mode, err, w, strings.Join(music, "\n"))
			if failed == 8 {
				t.FailNow()
			}
		}
	}
}

func musicDocument(t *testing.T, music []string) *musicxml.Document {
	doc, _ := parttest.Read(t, parttest.ComposeMarks(music...))
	return doc
}
