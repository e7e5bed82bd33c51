package main

import (
	"flag"
	"fmt"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/options"
)

// everyWay has all combinations of the options that shape marks tried, not each pair of
// values once; it takes hours.
var everyWay = flag.Bool("every-way", false, "mark and strip with all combinations of the options that shape marks")

// A factor is an option that shapes plan or marks, with values that matter; "" leaves it out.
type factor struct {
	option string
	values []string
}

// markFactors shape the marks of one plan, planFactors the plan.
var (
	markFactors = []factor{
		{"side", []string{"below", "above", "between"}},
		{"settings", []string{"sections", "start", "every=3"}},
		{"setting-as", []string{"both", "letters", "diagram"}},
		{"existing", []string{"keep", "obey", "replace"}},
		{"respell-notes", []string{"text", "rewrite", "none"}},
		{"language", []string{"en", "fr", "de"}},
	}
	planFactors = []factor{
		{"respell", []string{"balanced", "written", "needed", "free"}},
		{"foot-time", []string{"0", "0.5"}},
		{"implied", []string{"on", "off"}},
		{"cues", []string{"auto", "play", "skip"}},
		{"tempo", []string{"", "200"}},
		{"start", []string{"", "'D C B | E F G A'"}},
		{"end", []string{"", "'D Cb B | Eb F G A'"}},
		{"spell", []string{"", "'2: A'"}},
	}
)

// pairs lists rows of values, an index for each factor, in which each two values of two
// factors meet in one row at least.
func pairs(factors []factor) [][]int {
	type pair struct{ f, v, g, w int }
	open := map[pair]bool{}
	var order []pair
	for f := range factors {
		for g := f + 1; g < len(factors); g++ {
			for v := range factors[f].values {
				for w := range factors[g].values {
					open[pair{f, v, g, w}] = true
					order = append(order, pair{f, v, g, w})
				}
			}
		}
	}
	meets := func(row []int, f, v int) (list []pair) {
		for g, w := range row {
			p := pair{f, v, g, w}
			if g < f {
				p = pair{g, w, f, v}
			}
			if w >= 0 && open[p] {
				list = append(list, p)
			}
		}
		return list
	}
	var rows [][]int
	for _, first := range order {
		if !open[first] {
			continue
		}
		row := make([]int, len(factors))
		for f := range row {
			row[f] = -1
		}
		row[first.f], row[first.g] = first.v, first.w
		delete(open, first)
		for f := range factors {
			if row[f] >= 0 {
				continue
			}
			best := len(rows) % len(factors[f].values)
			for v := range factors[f].values {
				if len(meets(row, f, v)) > len(meets(row, f, best)) {
					best = v
				}
			}
			for _, p := range meets(row, f, best) {
				delete(open, p)
			}
			row[f] = best
		}
		rows = append(rows, row)
	}
	return rows
}

// product lists all rows of values.
func product(factors []factor) [][]int {
	rows := [][]int{nil}
	for _, f := range factors {
		var longer [][]int
		for _, row := range rows {
			for v := range f.values {
				longer = append(longer, append(row[:len(row):len(row)], v))
			}
		}
		rows = longer
	}
	return rows
}

// stampOf writes a row as a marked copy tells its options.
func stampOf(factors []factor, row []int) string {
	words := []string{"1"}
	for f, v := range row {
		if value := factors[f].values[v]; value != "" {
			words = append(words, factors[f].option+"="+value)
		}
	}
	return strings.Join(words, " ")
}

// Each two values of two options stand in one row; this would not be so if a row were
// left out.
func TestPairs(t *testing.T) {
	factors := append(planFactors[:len(planFactors):len(planFactors)], markFactors...)
	rows := pairs(factors)
	for f := range factors {
		for g := f + 1; g < len(factors); g++ {
			for v := range factors[f].values {
				for w := range factors[g].values {
					met := false
					for _, row := range rows {
						met = met || row[f] == v && row[g] == w
					}
					if !met {
						t.Errorf("%s=%s and %s=%s do not meet", factors[f].option, factors[f].values[v], factors[g].option, factors[g].values[w])
					}
				}
			}
		}
	}
	if all := len(product(markFactors)); all != 729 || len(rows) > 40 {
		t.Errorf("%d rows, of %d combinations of marks", len(rows), all)
	}
}

// allKinds is a score with something of everything that marks have to do with: marks by
// others, one of them in the way, repeats with endings, ornaments, tremolos, grace notes,
// ties, notes that must be respelt, a rest of several measures, keys and rehearsal marks.
func allKinds() []byte {
	return composeMarks("{tempo=80} {reh=@D_C_B_|_E_F_G_A} C4+E4:4 g.D#5 D5:4 <trem> B4:4 </trem> Cb5:4 | C#3:16",
		"{reh=A} {fwd} {reh=@F♯} F#4:4 C4+C#4:4 <tie> Gb4:8 | R:16", "{1} </tie> Gb4:4 F#4:4 <trill> Db5:4 Eb5:4 | Fb3:8 E3:8 {/1}", "{2} Db5:4 C#5:4 Fbb4:8 {/2} | E#3:16",
		"R:16", "R:16", "R:16", "{reh=B} R:16", "{key=-3} Ab4:4 {reh=@B♮} Bb4:4 <gliss> C3:4 </gliss> Eb5:4", "{double} Ab4:4 G#4:4 Ab4:4 G#4:4 | F#2:16", "F4:16")
}

// Marked twice a score is what it is marked once, stripped it is what it was: with each
// two values of two options.
func TestMarkAndStripPairwise(t *testing.T) {
	factors := append(planFactors[:len(planFactors):len(planFactors)], markFactors...)
	rows := pairs(factors)
	if *everyWay {
		rows = nil
		for _, plan := range pairs(planFactors) {
			for _, marks := range product(markFactors) {
				rows = append(rows, append(plan[:len(plan):len(plan)], marks...))
			}
		}
	}
	own := map[string][]byte{"all kinds": allKinds()}
	for _, path := range []string{"demo.musicxml", "../../testdata/landing.musicxml"} {
		own[path] = []byte(readFile(t, path))
	}
	for i, row := range rows {
		t.Run(fmt.Sprintf("%d %s", i, stampOf(factors, row)), func(t *testing.T) {
			t.Parallel()
			set := settingsOf(t, stampOf(factors, row))
			for name, data := range own {
				if _, _, err := marking(name, data, set); err != nil {
					t.Error(err)
				}
				checkMarkAndStrip(t, name, data, set)
			}
		})
	}
}

// The same with real scores, the marks of which are written in all pairs of ways.
func TestMarkAndStripScoresPairwise(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	rows := pairs(markFactors)
	if *everyWay {
		rows = product(markFactors)
	}
	for k, path := range sharedScores(t) {
		data := []byte(readFile(t, path))
		t.Run(path, func(t *testing.T) {
			t.Parallel()
			for i, row := range rows {
				if !*everyWay && (i+k)%len(rows) != 0 {
					continue // each score in its turn
				}
				checkMarkAndStrip(t, path, data, settingsOf(t, "1 foot-time=0 "+strings.TrimPrefix(stampOf(markFactors, row), "1 ")))
			}
		})
	}
}

func settingsOf(t *testing.T, stamp string) options.Settings {
	t.Helper()
	set, err := options.ParseStamp(stamp)
	if err != nil {
		t.Fatal(err)
	}
	return set
}
