// Package pedaltest finds the least cost of a passage with a general-purpose
// solver of integer programs, for tests to compare the planner with.
package pedaltest

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pedalogue/pedal"
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

// Optimum returns the least that the passage can cost in a mode, feet left out,
// on a harp that has every string. It skips the test if neither cbc nor glpsol is
// installed. Notes of one pitch must not share a moment.
func Optimum(t testing.TB, p *pedal.Passage, mode pedal.Mode, changePrice int) pedal.Cost {
	t.Helper()
	_, cbc := exec.LookPath("cbc")
	_, glpsol := exec.LookPath("glpsol")
	if cbc != nil && glpsol != nil {
		t.Skip("neither cbc nor glpsol is installed")
	}
	return newProgram(p, mode).solve(t, mode, changePrice)
}

// newProgram writes the rules of plan costs down as inequalities. Notes of one
// pitch must not share a moment.
func newProgram(p *pedal.Passage, mode pedal.Mode) *program {
	g := &program{binary: map[string]bool{}}
	for i := range g.costs {
		g.costs[i] = map[string]int{}
	}
	type sound struct {
		name string
		k    int
		end  int64
	}
	var sounds [pedal.Letters][]sound
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
		for l := range pedal.Letter(pedal.Letters) {
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

func (g *program) ways(p *pedal.Passage, mode pedal.Mode, note int) (ways []pedal.String) {
	pitch := p.Notes[note].Pitch
	for l := range pedal.Letter(pedal.Letters) {
		for pos := pedal.Flat; pos <= pedal.Sharp; pos++ {
			apart := pitch.Letter.Semitones() + pitch.Cents/100 - l.Semitones() - int(pos)
			own := l == pitch.Letter
			if apart%12 == 0 && (own || mode != pedal.Written || !onePosition(pitch)) {
				ways = append(ways, pedal.String{Letter: l, Position: pos})
			}
		}
	}
	return ways
}

// onePosition reports whether a pedal has a notch for the written alteration.
func onePosition(p pedal.Pitch) bool { return p.Cents%100 == 0 && p.Cents >= -100 && p.Cents <= 100 }

// solve finds the least cost, one cost after another in the order of the mode.
func (g *program) solve(t testing.TB, mode pedal.Mode, changePrice int) pedal.Cost {
	const unsounded, held, respelt, changes, notches = 0, 1, 2, 3, 4
	weighed := map[string]int{}
	for name, n := range g.costs[respelt] {
		weighed[name] = n
	}
	for name, n := range g.costs[changes] {
		weighed[name] = n * changePrice
	}
	order := []map[string]int{g.costs[unsounded], g.costs[held], g.costs[respelt], g.costs[changes], g.costs[notches]}
	switch mode {
	case pedal.Free:
		order[2], order[3] = order[3], order[2]
	case pedal.Balanced:
		order[2] = weighed
	}
	var found [5]int
	for i, costs := range order {
		if sum := sumOf(costs); sum != "" {
			found[i] = g.minimise(t, sum)
			g.row("%s <= %d", sum, found[i])
		}
	}
	c := pedal.Cost{Unsounded: found[unsounded], Held: found[held], Respelt: found[respelt], Changes: found[changes], Notches: found[notches]}
	switch mode {
	case pedal.Free:
		c.Respelt, c.Changes = c.Changes, c.Respelt
	case pedal.Balanced:
		c.Respelt = found[respelt] - changePrice*c.Changes
	}
	return c
}

func sumOf(costs map[string]int) string {
	var terms []string
	for _, name := range slices.Sorted(maps.Keys(costs)) {
		term := name
		if n := costs[name]; n != 1 {
			term = fmt.Sprintf("%d %s", n, name)
		}
		terms = append(terms, term)
	}
	return strings.Join(terms, " + ")
}

func (g *program) minimise(t testing.TB, sum string) int {
	t.Helper()
	var b bytes.Buffer
	fmt.Fprintf(&b, "Minimize\n obj: %s\nSubject To\n", wrap(sum))
	for i, row := range g.rows {
		fmt.Fprintf(&b, " r%d: %s\n", i, wrap(row))
	}
	b.WriteString("Binary\n")
	for _, name := range slices.Sorted(maps.Keys(g.binary)) {
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
