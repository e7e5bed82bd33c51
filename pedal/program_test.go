package pedal

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// A program is the passage as an integer program, feet left out. It shares no
// idea with the search: pedals stand somewhere at every chord (p), change (c) or
// not, travel notches (n), let notes go (h); a note is given a string (x), and a
// strike sounds (s) or does not (u).
type program struct {
	rows   []string
	binary map[string]bool
	costs  [5]map[string]int // unsounded, held, respelt, changes, notches
}

func (g *program) row(format string, args ...any) {
	g.rows = append(g.rows, fmt.Sprintf(format, args...))
}

func (g *program) bin(format string, args ...any) string {
	name := fmt.Sprintf(format, args...)
	g.binary[name] = true
	return name
}

// newProgram writes the rules of plan costs down as inequalities. Notes of one
// pitch must not share a moment.
func newProgram(p *Passage, mode Mode) *program {
	g := &program{binary: map[string]bool{}}
	for i := range g.costs {
		g.costs[i] = map[string]int{}
	}
	type sound struct {
		name string
		k    int
		end  int64
	}
	var sounds [Letters][]sound
	for i := range p.Notes {
		var options []string
		for w := range g.ways(p, mode, i) {
			options = append(options, g.bin("x_%d_%d", i, w))
		}
		if len(options) > 0 {
			g.row("%s <= 1", strings.Join(options, " + "))
		}
	}
	for k, m := range p.Moments {
		for l := range Letter(Letters) {
			g.row("%s + %s + %s = 1", g.bin("p_%d_%d_0", k, l), g.bin("p_%d_%d_1", k, l), g.bin("p_%d_%d_2", k, l))
			if k == 0 {
				continue
			}
			c, n := g.bin("c_%d_%d", k, l), fmt.Sprintf("n_%d_%d", k, l)
			g.costs[3][c], g.costs[4][n] = 1, 1
			for pos := range 3 {
				g.row("%s - p_%d_%d_%d + p_%d_%d_%d >= 0", c, k, l, pos, k-1, l, pos)
			}
			for _, sign := range []string{"+", "-"} {
				other := map[string]string{"+": "-", "-": "+"}[sign]
				g.row("%s %s p_%d_%d_1 %s 2 p_%d_%d_2 %s p_%d_%d_1 %s 2 p_%d_%d_2 >= 0", n,
					sign, k, l, sign, k, l, other, k-1, l, other, k-1, l)
			}
			h := g.bin("h_%d_%d", k, l)
			g.costs[1][h] = 1
			for _, s := range sounds[l] {
				if s.end <= m.Onset {
					continue
				}
				row := fmt.Sprintf("%s - %s - %s", h, c, s.name)
				for between := s.k + 1; between < k; between++ {
					row += fmt.Sprintf(" + c_%d_%d", between, l)
				}
				g.row("%s >= -1", row)
			}
		}
		for si, s := range m.Strikes {
			u := g.bin("u_%d_%d", k, si)
			g.costs[0][u] = 1
			row := u
			for w, way := range g.ways(p, mode, s.Note) {
				name := g.bin("s_%d_%d_%d", k, si, w)
				row += " + " + name
				g.row("%s - x_%d_%d <= 0", name, s.Note, w)
				g.row("%s - p_%d_%d_%d <= 0", name, k, way.Letter, way.Position+1)
				if way.Letter != p.Notes[s.Note].Pitch.Letter {
					g.costs[2][name] = 1
				}
				sounds[way.Letter] = append(sounds[way.Letter], sound{name, k, s.End})
			}
			g.row("%s = 1", row)
		}
	}
	return g
}

func (g *program) ways(p *Passage, mode Mode, note int) (ways []String) {
	pitch := p.Notes[note].Pitch
	for l := range Letter(Letters) {
		for pos := Flat; pos <= Sharp; pos++ {
			apart := pitch.Letter.Semitones() + pitch.Cents/100 - l.Semitones() - int(pos)
			own := l == pitch.Letter
			if apart%12 == 0 && (own || mode != Written || !pitch.settable()) {
				ways = append(ways, String{Letter: l, Position: pos})
			}
		}
	}
	return ways
}

// solve finds the least cost with a solver of integer programs, one cost after
// another.
func (g *program) solve(t *testing.T, mode Mode) Cost {
	order := []int{0, 1, 2, 3, 4}
	if mode == Free {
		order = []int{0, 1, 3, 2, 4}
	}
	var found [5]int
	for _, i := range order {
		sum := sumOf(g.costs[i])
		if sum == "" {
			continue
		}
		found[i] = g.minimise(t, sum)
		g.row("%s <= %d", sum, found[i])
	}
	return Cost{Unsounded: found[0], Held: found[1], Respelt: found[2], Changes: found[3], Notches: found[4]}
}

func sumOf(costs map[string]int) string {
	var terms []string
	for name := range costs {
		terms = append(terms, name)
	}
	return strings.Join(terms, " + ")
}

func (g *program) minimise(t *testing.T, sum string) int {
	t.Helper()
	var b bytes.Buffer
	fmt.Fprintf(&b, "Minimize\n obj: %s\nSubject To\n", wrap(sum))
	for i, row := range g.rows {
		fmt.Fprintf(&b, " r%d: %s\n", i, wrap(row))
	}
	b.WriteString("Binary\n")
	for name := range g.binary {
		fmt.Fprintf(&b, " %s\n", name)
	}
	b.WriteString("End\n")
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.lp"), filepath.Join(dir, "out.txt")
	if err := os.WriteFile(in, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd, objective := exec.Command("cbc", in, "solve", "solu", out), regexp.MustCompile(`objective value\s+(\S+)`)
	if _, err := exec.LookPath("cbc"); err != nil {
		cmd, objective = exec.Command("glpsol", "--lp", in, "-o", out), regexp.MustCompile(`Objective:\s+obj = (\S+)`)
	}
	if text, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %v\n%s", cmd, err, text)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	m := objective.FindSubmatch(text)
	if m == nil || bytes.Contains(text, []byte("nfeasible")) {
		t.Fatalf("no optimum in\n%.300s", text)
	}
	v, err := strconv.ParseFloat(string(m[1]), 64)
	if err != nil {
		t.Fatal(err)
	}
	return int(v + 0.5)
}

// wrap breaks a row into lines that the file format allows.
func wrap(row string) string {
	words := strings.Fields(row)
	for i := 20; i < len(words); i += 20 {
		words[i] = "\n  " + words[i]
	}
	return strings.Join(words, " ")
}

// TestIntegerProgram asks an outside solver for a second opinion on passages too
// long for brute force.
func TestIntegerProgram(t *testing.T) {
	_, cbc := exec.LookPath("cbc")
	_, glpsol := exec.LookPath("glpsol")
	if cbc != nil && glpsol != nil {
		t.Skip("neither cbc nor glpsol is installed")
	}
	if testing.Short() {
		t.Skip("takes seconds")
	}
	for seed := range uint64(4) {
		p := heldPassage(seed, 14)
		for _, mode := range []Mode{Written, Needed, Free} {
			o := Options{Mode: mode, FootTime: -1, Instrument: AllStrings()}
			plan := mustSolve(t, p, o)
			if want := newProgram(p, mode).solve(t, mode); plan.Cost != want {
				t.Errorf("seed %d, %v: cost %+v, the integer program %+v", seed, mode, plan.Cost, want)
			}
		}
	}
}

// heldPassage is random chromatic music in two or three voices with long notes
// and a repeat.
func heldPassage(seed uint64, moments int) *Passage {
	r := rand.New(rand.NewPCG(seed, 2))
	p := &Passage{}
	var first [][]int
	for i := range moments {
		m := Moment{Onset: int64(i), At: time.Duration(i) * time.Second}
		var notes []int
		if i >= moments-3 {
			notes = first[i-(moments-3)] // the beginning once more
		} else {
			for v := range 2 + r.IntN(2) {
				pitch := spelling(r.IntN(12), r.IntN(2) == 0)
				pitch.Octave += v
				notes = append(notes, len(p.Notes))
				p.Notes = append(p.Notes, Note{Pitch: pitch})
			}
			first = append(first, notes)
		}
		for _, n := range notes {
			end := int64(i + 1 + r.IntN(3))
			m.Strikes = append(m.Strikes, Strike{Note: n, End: end, Until: time.Duration(end) * time.Second})
		}
		p.Moments = append(p.Moments, m)
	}
	return p
}
