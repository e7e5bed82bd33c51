package proof_test

import (
	"flag"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/internal/trial"
	"pedalogue/pedal/part"
	"pedalogue/pedal/part/parttest"
	"pedalogue/pedal/proof"
)

// damages is how often each page of marks is damaged; more for a long trial.
var damages = flag.Int("damages", 12, "how often each page of marks is damaged")

// A damage is what was done to marks.
type damage struct {
	what    string
	letters pedal.LetterSet // of the pedals it is about
	marks   []part.Mark
}

// harm damages marks in one way: a change is dropped, gets another sign or letter, comes a
// beat or a bar early or late, is swapped with the next one, or a letter of a setting is changed.
func harm(r *rand.Rand, p *part.Part, marks []part.Mark) (d damage, ok bool) {
	d.marks = slices.Clone(marks)
	i := r.IntN(len(d.marks))
	m := &d.marks[i]
	m.Pedals = maps.Clone(m.Pedals)
	letters := slices.Sorted(maps.Keys(m.Pedals))
	l := letters[r.IntN(len(letters))]
	d.letters = pedal.SetOf(l)
	other := func(p pedal.Position) pedal.Position { return (p+pedal.Position(1+r.IntN(2))+1)%3 - 1 }
	if m.Full {
		d.what = "letter of a setting"
		m.Pedals[l] = other(m.Pedals[l])
		return d, true
	}
	switch r.IntN(7) {
	case 0:
		d.what = "drop"
		delete(m.Pedals, l)
	case 1:
		d.what = "flip"
		m.Pedals[l] = other(m.Pedals[l])
	case 2:
		d.what = "wrong letter"
		to := (l + 1 + pedal.Letter(r.IntN(6))) % pedal.Letters
		if _, there := m.Pedals[to]; there {
			return d, false
		}
		m.Pedals[to] = m.Pedals[l]
		delete(m.Pedals, l)
		d.letters |= pedal.SetOf(to)
	case 3, 4, 5:
		d.what = "moved"
		at := p.Places.Playings(m.Place)[0]
		step := []int{-8, -3, -1, 1, 3, 8}[r.IntN(6)]
		if at += step; at < 0 || at >= len(p.Passage.Moments) {
			return d, false
		}
		d.marks = append(d.marks, part.Mark{Place: p.Places.Of(at), Pedals: map[pedal.Letter]pedal.Position{l: m.Pedals[l]}})
		delete(m.Pedals, l)
	default:
		d.what = "swapped"
		j := slices.IndexFunc(d.marks[i+1:], func(n part.Mark) bool { return !n.Full })
		if j < 0 {
			return d, false
		}
		n := &d.marks[i+1+j]
		m.Pedals, n.Pedals = n.Pedals, m.Pedals
		for _, q := range []*part.Mark{m, n} {
			for l := range q.Pedals {
				d.letters |= pedal.SetOf(l)
			}
		}
	}
	slices.SortStableFunc(d.marks, func(a, b part.Mark) int {
		switch {
		case a.Measure != b.Measure:
			return a.Measure - b.Measure
		case a.At != b.At:
			return a.At - b.At
		case a.Full == b.Full:
			return 0
		case a.Full:
			return -1
		}
		return 1
	})
	return d, true
}

// silences replays marks without anything of the judge: which strikes no string gives,
// by moment and note. Marks after the last moment of a measure are read before what is
// played next.
func silences(p *part.Part, o pedal.Options, marks []part.Mark) map[[2]int]bool {
	lost := map[[2]int]bool{}
	now := p.Passage.Key
	read := func(at part.Place) {
		for _, m := range marks {
			if m.Place == at {
				for l, position := range m.Pedals {
					now[l] = position
				}
			}
		}
	}
	harp := o.Instrument
	for step, played := range p.Passage.Measures {
		end := len(p.Passage.Moments)
		if step+1 < len(p.Passage.Measures) {
			end = p.Passage.Measures[step+1].First
		}
		for i := played.First; i < end; i++ {
			read(part.Place{Measure: played.Written, At: i - played.First})
			for _, s := range p.Passage.Moments[i].Strikes {
				n := p.Passage.Notes[s.Note]
				height := 12*n.Pitch.Octave + n.Pitch.Letter.Semitones()
				given, could := false, false
				for l := range pedal.Letter(pedal.Letters) {
					if n.Fixed && l != n.Pitch.Letter {
						continue
					}
					for octave := n.Pitch.Octave - 1; octave <= n.Pitch.Octave+1; octave++ {
						for position := pedal.Flat; position <= pedal.Sharp; position++ {
							name := pedal.StringName{Letter: l, Octave: octave}
							if 100*(12*octave+l.Semitones()+int(position)) != 100*height+n.Pitch.Cents || !harp.Has(name) {
								continue
							}
							if harp.Disced(name) || l == n.Pitch.Letter {
								could = true
								given = given || !harp.Disced(name) || now[l] == position
							}
						}
					}
				}
				if could && !given {
					lost[[2]int{i, s.Note}] = true
				}
			}
		}
		read(part.Place{Measure: played.Written, At: end - played.First})
	}
	return lost
}

// undisced tells whether a note may be had on a string without discs, which the replay
// does not know how to tune.
func undisced(p *part.Part, o pedal.Options, note int) bool {
	pitch := p.Passage.Notes[note].Pitch
	low := pitch.Octave == 1 && slices.Contains([]pedal.Letter{pedal.C, pedal.D, pedal.E}, pitch.Letter)
	return pitch.Octave < 1 || low || pitch.Octave >= 7
}

// Every note that damage makes sound wrong is found, the first of a run at its moment,
// and no fault is told that the damage has not caused.
func tryDamage(t *testing.T, name string, p *part.Part, o pedal.Options, r *rand.Rand, counts map[string]int) {
	t.Helper()
	done, err := p.Plan(t.Context(), part.Wishes{Options: o, Only: true})
	if err != nil {
		t.Fatal(err)
	}
	task := proof.Task{Part: p, Marks: done.Page.Marks, Options: o, Plan: done.Plan}
	task.Planned = proof.Judge(&task)
	before := silences(p, o, done.Page.Marks)
	for range *damages {
		d, ok := harm(r, p, done.Page.Marks)
		if !ok {
			continue
		}
		damaged := task
		damaged.Marks = d.marks
		found := proof.Judge(&damaged)
		tryMending(t, name, &damaged, done.Page.Marks, d, counts)
		after := silences(p, o, d.marks)
		counts[d.what]++
		told := map[[2]int]bool{} // wrong notes at which an error begins
		for _, f := range found.Faults {
			if f.Planned {
				continue
			}
			wrong := f.Severity == proof.Error && f.Kind != proof.OneFoot && f.Kind != proof.RushedFoot
			if wrong {
				at := [2]int{f.Moment, f.Notes[0]}
				told[at] = true
				if !undisced(p, o, f.Notes[0]) && (!after[at] || before[at]) {
					t.Errorf("%s, %s: %s at moment %d, where all was to be expected", name, d.what, f.Kind, f.Moment)
				}
			}
			mine := f.OfPedal && d.letters.Has(f.Pedal)
			for l := range pedal.Letter(pedal.Letters) {
				// A note that goes to its other string asks another pedal, and another foot.
				near := slices.Contains([]proof.Kind{proof.OneFoot, proof.RushedFoot, proof.OtherString}, f.Kind) ||
					f.Kind == proof.EarlyMark && f.Severity == proof.Warning || !f.OfPedal || wrong
				mine = mine || near && d.letters.Has(l)
			}
			if !mine {
				t.Errorf("%s, %s of %b: %s of %v at moment %d is not of its doing", name, d.what, d.letters, f.Kind, f.Pedal, f.Moment)
			}
		}
		made := 0
		for at := range after {
			if before[at] {
				continue
			}
			made++
			covered := told[at] || slices.ContainsFunc(found.Faults, func(f proof.Fault) bool {
				return !f.Planned && f.Severity == proof.Error && f.Moment <= at[0] && slices.ContainsFunc(f.Notes, func(n int) bool {
					return p.Passage.Notes[n].Pitch == p.Passage.Notes[at[1]].Pitch // one tone
				})
			})
			if !covered && !undisced(p, o, at[1]) {
				t.Errorf("%s, %s: note %d at moment %d sounds wrong and is not found", name, d.what, at[1], at[0])
			}
		}
		if made > 0 {
			counts["that are heard"]++
			first := -1
			for at := range after {
				if !before[at] && !undisced(p, o, at[1]) && (first < 0 || at[0] < first) {
					first = at[0]
				}
			}
			if first >= 0 && !slices.ContainsFunc(found.Faults, func(f proof.Fault) bool { return f.Moment == first && f.Severity == proof.Error && !f.Planned }) {
				t.Errorf("%s, %s: the first wrong note is at moment %d, where nothing is told", name, d.what, first)
			}
		}
	}
}

// Mended marks are clean, by no more alterations than the damage made: one, and two
// where two were swapped or a pedal was taken out of a list to stand elsewhere.
func tryMending(t *testing.T, name string, damaged *proof.Task, intended []part.Mark, d damage, counts map[string]int) {
	t.Helper()
	mended := proof.Mend(damaged, intended)
	if worst, _ := mended.Found.Worst(); worst != proof.Note {
		t.Errorf("%s, %s: mended, it is not clean", name, d.what)
	}
	made, most := 0, 1
	kept := map[int]bool{}
	for i, of := range mended.Of {
		if of < 0 {
			made++
			continue
		}
		kept[of] = true
		if was := damaged.Marks[of]; was.Place != mended.Marks[i].Place || !maps.Equal(was.Pedals, mended.Marks[i].Pedals) {
			made++
		}
	}
	for i, m := range damaged.Marks {
		if !kept[i] && len(m.Pedals) > 0 {
			made++
		}
	}
	if d.what == "swapped" || d.what == "moved" {
		most = 2
	}
	if counts["alterations"] += made; made > most {
		t.Errorf("%s, %s: %d alterations", name, d.what, made)
	}
}

func TestDamage(t *testing.T) {
	counts := map[string]int{}
	for seed := range uint64(12) {
		_, score := parttest.Read(t, parttest.Compose(parttest.Random(seed)...))
		p, err := part.New(score, score.Players()[0], part.Options{})
		if err != nil {
			t.Fatal(err)
		}
		mode := pedal.Modes()[seed%4]
		tryDamage(t, mode.String(), p, pedal.Options{Mode: mode}, rand.New(rand.NewPCG(seed, 3)), counts)
	}
	t.Log(counts)
}

// The same on real scores: every second, in the modes by turns; in short tests every
// eighth, with PEDALOGUE_WHOLE set all.
func TestDamageOfScores(t *testing.T) {
	var paths []string
	for _, pattern := range []string{"*.mxl", "*.xml", "*.musicxml"} {
		found, _ := filepath.Glob("../../../shared/scores/*/" + pattern)
		paths = append(paths, found...)
	}
	if len(paths) == 0 {
		t.Skip("the scores in ../shared are not here")
	}
	every := trial.Size(8, 2, 1)
	counts := map[string]int{}
	for n, path := range paths {
		if n%every != 0 {
			continue
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		p := harpOf(t, path, data)
		if p == nil {
			continue
		}
		mode := pedal.Modes()[n/every%4]
		tryDamage(t, filepath.Base(path)+" "+mode.String(), p, pedal.Options{Mode: mode}, rand.New(rand.NewPCG(uint64(n), 5)), counts)
	}
	t.Log(counts)
}

// harpOf is the harp of a score, else its first part on two staves or its first part;
// nil for a score that cannot be read.
func harpOf(t *testing.T, path string, data []byte) *part.Part {
	doc, err := musicxml.Open(t.Context(), path, data, musicxml.Limits{})
	if err != nil {
		return nil
	}
	score, err := musicxml.Read(t.Context(), doc, musicxml.Options{})
	if err != nil {
		return nil
	}
	if len(score.Players()) == 0 {
		name := score.Parts[0].ID
		if i := slices.IndexFunc(score.Parts, func(p *musicxml.Part) bool { return p.Staves > 1 }); i >= 0 {
			name = score.Parts[i].ID
		}
		if score, err = musicxml.Read(t.Context(), doc, musicxml.Options{Part: name}); err != nil {
			return nil
		}
	}
	if len(score.Players()) == 0 {
		return nil
	}
	p, err := part.New(score, score.Players()[0], part.Options{})
	if err != nil {
		return nil
	}
	return p
}
