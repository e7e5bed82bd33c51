package main

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/part"
	"pedalogue/pedal/remedy"
	"pedalogue/pedal/revise"
)

// A judgedPart is the harp of a real score, planned and judged.
type judgedPart struct {
	name  string
	part  *part.Part
	plan  *pedal.Plan
	found []finding.Finding
}

// judgedParts plans and judges the harp of each real score, or its last part.
func judgedParts(t *testing.T) (list []judgedPart) {
	t.Helper()
	if testing.Short() {
		t.Skip("all real scores are planned")
	}
	for _, s := range largestScores(t, 1<<20) {
		p, err := firstPart(s)
		if err != nil {
			t.Log(s.name, err)
			continue
		}
		plan, err := pedal.Solve(t.Context(), p.Passage, pedal.Options{})
		if err != nil {
			t.Fatal(s.name, err)
		}
		found, err := finding.All(&p.Music, plan, finding.Options{})
		if err != nil {
			t.Fatal(s.name, err)
		}
		list = append(list, judgedPart{s.name, p, plan, found})
	}
	return list
}

// has tells whether there is a finding of one of some kinds at a moment, or over it.
func (j *judgedPart) has(moment int, kinds ...finding.Kind) bool {
	return slices.ContainsFunc(j.found, func(f finding.Finding) bool {
		return slices.Contains(kinds, f.Kind) && f.Moment <= moment && moment <= f.Last
	})
}

// A pluck is a written note that sounds, by the number of its string from C0 up.
type pluck struct{ string, note int }

// plucks are those of a moment, from low to high, each string once.
func (j *judgedPart) plucks(moment int) []pluck {
	var list []pluck
	for k, s := range j.part.Passage.Moments[moment].Strikes {
		str := j.plan.Strings[s.Note]
		half := finding.Signs{}
		if s.Note < len(j.part.Signs) {
			half = j.part.Signs[s.Note]
		}
		if !str.OK || j.part.Passage.Notes[s.Note].Implied || slices.Contains(j.plan.Unsounded, pedal.Dropped{Moment: moment, Strike: k}) || half.Tremolo == finding.SecondHalf {
			continue
		}
		list = append(list, pluck{7*str.Octave + map[pedal.Letter]int{pedal.C: 0, pedal.D: 1, pedal.E: 2, pedal.F: 3, pedal.G: 4, pedal.A: 5, pedal.B: 6}[str.Letter], s.Note})
	}
	slices.SortFunc(list, func(a, b pluck) int { return a.string - b.string })
	return slices.CompactFunc(list, func(a, b pluck) bool { return a.string == b.string })
}

// Detectors of a few lines, written for this test, agree with the kinds of findings
// on all real scores, in both directions.
func TestDetectorsAgree(t *testing.T) {
	counts := map[string]int{}
	for _, j := range judgedParts(t) {
		for i := range j.part.Passage.Moments {
			list := j.plucks(i)
			agree := func(what string, is bool, kinds ...finding.Kind) {
				if is {
					counts[what]++
				}
				if says := j.has(i, kinds...); says != is {
					t.Errorf("%s, measure %d as played, moment %d: %s is %v, and findings say %v", j.name, j.part.Passage.Moments[i].Measure, i, what, is, says)
				}
			}
			agree("more than eight notes", len(list) > 8, "too-many-notes")
			rolled := slices.ContainsFunc(list, func(p pluck) bool { return j.part.Signs[p.note].Roll == finding.Rolled })
			if !rolled && len(list) <= 8 {
				agree("no two hands", !someHands(list), "wide-chord", "wide-chord-unbroken")
			}
			agree("out of compass", j.outside(i), "out-of-compass")
			if none, sure := j.noSetting(i); sure {
				agree("no setting", none, "string-clash")
			}
		}
		for _, again := range j.repeated() {
			counts["repetition"]++
			if !j.has(again, "repeated-string") {
				t.Errorf("%s: a string is plucked again at moment %d, and no finding says so", j.name, again)
			}
		}
		for _, f := range j.found {
			if f.Kind == "repeated-string" && !slices.ContainsFunc(j.repeated(), func(i int) bool { return i > f.Moment && i <= f.Last }) {
				t.Errorf("%s: at moment %d %s", j.name, f.Moment, f.Text)
			}
		}
	}
	t.Log(counts)
	for _, what := range []string{"more than eight notes", "no two hands", "out of compass", "repetition"} { // the one clash of these scores is on a string without discs
		if counts[what] == 0 {
			t.Errorf("%s was never met", what)
		}
	}
}

// someHands tries every sharing of strings between two hands: four a hand, a tenth
// wide.
func someHands(list []pluck) bool {
	for set := range 1 << len(list) {
		var hands [2][]int
		for i, p := range list {
			hands[set>>i&1] = append(hands[set>>i&1], p.string)
		}
		ok := true
		for _, h := range hands {
			ok = ok && len(h) <= 4 && (len(h) == 0 || h[len(h)-1]-h[0] < 10)
		}
		if ok {
			return true
		}
	}
	return false
}

// outside tells whether a note is below C flat 1 or above G sharp 7, which end the harp;
// C1, D1 and G7 have no pedals.
func (j *judgedPart) outside(moment int) bool {
	for _, s := range j.part.Passage.Moments[moment].Strikes {
		n := j.part.Passage.Notes[s.Note]
		cents := 1200*n.Pitch.Octave + 100*n.Pitch.Letter.Semitones() + n.Pitch.Cents
		if !n.Implied && cents%100 == 0 && (cents < 1200-100 || cents > 7*1200+700+100) {
			return true
		}
	}
	return false
}

// noSetting tells whether none of the 2187 settings gives all notes of a moment, when
// each may be on any string. It is sure only where no note lies so low or high that
// it might be on a string without discs, and none is fixed to its string.
func (j *judgedPart) noSetting(moment int) (none, sure bool) {
	var wanted uint
	for _, s := range j.part.Passage.Moments[moment].Strikes {
		n := j.part.Passage.Notes[s.Note]
		cents := 1200*n.Pitch.Octave + 100*n.Pitch.Letter.Semitones() + n.Pitch.Cents
		if cents%100 != 0 || cents < 1200+400 || cents > 7*1200+500 || n.Fixed {
			return false, false
		}
		wanted |= 1 << (cents / 100 % 12)
	}
	if none, ok := settingless[wanted]; ok {
		return none, true
	}
	naturals := [7]int{2, 0, 11, 4, 5, 7, 9}
	none = true
	for code := range 2187 {
		var sounds uint
		for l, c := 0, code; l < 7; l, c = l+1, c/3 {
			sounds |= 1 << ((naturals[l] + c%3 + 11) % 12)
		}
		none = none && wanted&^sounds != 0
	}
	settingless[wanted] = none
	return none, true
}

// settingless are sets of pitch classes that were tried.
var settingless = map[uint]bool{}

// repeated lists the moments at which a string is plucked again within 0.2 s, or 0.3 s
// up to G2, to a hundredth of a second.
func (j *judgedPart) repeated() (again []int) {
	before := map[int]int{} // by string, when it was plucked last
	for i, m := range j.part.Passage.Moments {
		if m.Grace {
			continue
		}
		for _, p := range j.plucks(i) {
			limit := 200 * time.Millisecond
			if p.string <= 7*2+4 {
				limit = 300 * time.Millisecond
			}
			sign := j.part.Signs[p.note]
			own := sign.Trill || sign.Plucks > 1 || sign.Tremolo != finding.NoTremolo
			if b, ok := before[p.string]; ok && !own && (m.At-j.part.Passage.Moments[b].At).Round(10*time.Millisecond) < limit {
				again = append(again, i)
			}
			before[p.string] = i
		}
	}
	return again
}

// Of thirty remedies drawn at random from all real scores, 29 hold when they are applied
// to the whole part and that is planned and judged anew: the finding has gone,
// and there are no more of its severity or a graver one.
func TestRemediesHoldInScores(t *testing.T) {
	type drawn struct {
		j   *judgedPart
		f   finding.Finding
		ops []revise.Op
	}
	var all []drawn
	parts := judgedParts(t)
	for i := range parts {
		j := &parts[i]
		remedies, err := remedy.Try(t.Context(), &j.part.Music, j.plan, finding.Options{}, j.found)
		if err != nil {
			t.Fatal(j.name, err)
		}
		for k, ops := range remedies {
			if ops != nil {
				all = append(all, drawn{j, j.found[k], ops})
			}
		}
	}
	r := rand.New(rand.NewPCG(19, 30))
	r.Shuffle(len(all), func(a, b int) { all[a], all[b] = all[b], all[a] })
	held := 0
	all = all[:min(30, len(all))]
	for _, d := range all {
		changed, err := revise.Apply(&d.j.part.Music, d.ops)
		if err != nil {
			t.Fatal(d.j.name, err)
		}
		plan, err := pedal.Solve(t.Context(), changed.Music.Passage, pedal.Options{})
		if err != nil {
			t.Fatal(d.j.name, err)
		}
		after, err := finding.All(changed.Music, plan, finding.Options{})
		if err != nil {
			t.Fatal(d.j.name, err)
		}
		if fewer(d.j.found, after, d.f, true) && fewer(d.j.found, after, d.f, false) {
			held++
		} else {
			t.Log(d.j.name, fmt.Sprintf("moment %d: %s %s", d.f.Moment, d.f.Text, d.f.Remedy))
		}
	}
	t.Logf("%d of %d remedies hold", held, len(all))
	if held*30 < len(all)*29 {
		t.Errorf("only %d of %d remedies hold", held, len(all))
	}
}

// fewer tells whether there are fewer findings as grave as one: of all, or of its kind at
// its moment.
func fewer(before, after []finding.Finding, f finding.Finding, here bool) bool {
	count := func(list []finding.Finding) (n int) {
		for _, g := range list {
			if g.Severity >= f.Severity && (!here || g.Kind == f.Kind && g.Moment == f.Moment) {
				n++
			}
		}
		return n
	}
	return count(after) < count(before)
}
