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
)

// An lp is rows of an integer program and its variables that are 0 or 1. All others
// are 0 or more.
type lp struct {
	rows   []string
	binary map[string]bool
}

func (g *lp) row(format string, args ...any) {
	g.rows = append(g.rows, fmt.Sprintf(format, args...))
}

func (g *lp) bin(format string, args ...any) string {
	name := fmt.Sprintf(format, args...)
	if g.binary == nil {
		g.binary = map[string]bool{}
	}
	g.binary[name] = true
	return name
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

// Solver is the solver that is installed, "" for none.
func Solver() string {
	for _, name := range []string{"cbc", "glpsol"} {
		if _, err := exec.LookPath(name); err == nil {
			return name
		}
	}
	return ""
}

// minimise finds the least value of a sum of whole numbers. It skips the test where
// there is no solver.
func (g *lp) minimise(t testing.TB, sum string) int {
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
	var cmd *exec.Cmd
	var objective *regexp.Regexp
	switch Solver() {
	case "cbc":
		cmd, objective = exec.Command("cbc", in, "solve", "solu", out), regexp.MustCompile(`objective value\s+(\S+)`)
	case "glpsol":
		cmd, objective = exec.Command("glpsol", "--cuts", "--lp", in, "-o", out), regexp.MustCompile(`Objective:\s+obj = (\S+)`)
	default:
		t.Skip("neither cbc nor glpsol is installed")
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
