package main

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/build"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/storetest"
)

// The same is written, printed and returned whatever the number of jobs, and
// however little memory they may take.
func TestJobsMakeNoDifference(t *testing.T) {
	for _, args := range [][]string{
		{"mark", "--report", "text,json,html,sheet,csv", "--out", "o", "in"},
		{"mark", "--json", "--out", "o", "in"},
		{"mark", "--diff", "in"},
		{"look", "--json", "in"},
	} {
		t.Run(strings.Join(args, " "), func(t *testing.T) {
			season(t)
			first := typed(t, append(args, "--jobs", "1")...)
			files := tree(t, ".")
			if first.code != exitFailed || strings.Count(first.err, "\npedalogue:")+1 < 2 {
				t.Fatalf("exit %d: %s", first.code, first.err)
			}
			for _, more := range [][]string{{"--jobs", "8"}, {"--jobs", "3", "--memory", "1K"}} {
				if err := os.RemoveAll("o"); err != nil {
					t.Fatal(err)
				}
				if got := typed(t, append(args, more...)...); got != first {
					t.Errorf("%v: printed\n%s%s\nwant\n%s%s", more, got.out, got.err, first.out, first.err)
				}
				if !maps.Equal(tree(t, "."), files) {
					t.Errorf("%v: other files", more)
				}
			}
		})
	}
}

// Several shares together do what one run does.
func TestShardsAddUp(t *testing.T) {
	season(t)
	whole := typed(t, "mark", "--json", "--out", "o", "in")
	files := tree(t, "o")
	for _, n := range []int{1, 2, 3, 40} {
		if err := os.RemoveAll("o"); err != nil {
			t.Fatal(err)
		}
		code := 0
		var lines, errs []string
		for k := n; k >= 1; k-- {
			r := typed(t, "mark", "--json", "--out", "o", "--shard", fmt.Sprintf("%d/%d", k, n), "in")
			code = max(code, r.code)
			lines = append(lines, strings.Split(r.out, "\n")...)
			errs = append(errs, strings.Split(r.err, "\n")...)
		}
		same := func(what string, got []string, want string) {
			t.Helper()
			full := slices.DeleteFunc(strings.Split(want, "\n"), func(s string) bool { return s == "" })
			got = slices.DeleteFunc(got, func(s string) bool { return s == "" })
			slices.Sort(full)
			slices.Sort(got)
			if !slices.Equal(got, full) {
				t.Errorf("%d shares: other %s", n, what)
			}
		}
		same("output", lines, whole.out)
		same("messages", errs, whole.err)
		if code != whole.code || !maps.Equal(tree(t, "o"), files) {
			t.Errorf("%d shares: exit %d, want %d, or other files", n, code, whole.code)
		}
	}
}

// A last run over all shares leaves out what they did and sums up, and then the
// folder is as after one run.
func TestShardsThenResume(t *testing.T) {
	season(t)
	args := []string{"mark", "--report", "json,html,csv", "--out", "o", "in"}
	typed(t, args...)
	files := tree(t, "o")
	if err := os.RemoveAll("o"); err != nil {
		t.Fatal(err)
	}
	for _, k := range []string{"1/2", "2/2"} {
		typed(t, append(args, "--shard", k)...)
	}
	if _, err := os.Stat("o/pedals.html"); err == nil {
		t.Error("a share has written the summary of all")
	}
	sys := disk()
	sys.Create = func(path string) (store.File, error) {
		if filepath.Dir(path) != "o" {
			t.Errorf("%s: written again", path)
		}
		return disk().Create(path)
	}
	typedOn(t, sys, "", append(args, "--resume")...).want(t, exitFailed, "13 scores were done by an earlier run", "")
	if !maps.Equal(tree(t, "o"), files) {
		t.Error("other files than one run writes")
	}
}

func TestResume(t *testing.T) {
	args := []string{"mark", "--quiet", "--log", "json", "--report", "json,html", "--resume", "a.xml", "b.xml"}
	for _, tt := range []struct {
		name   string
		change func() error
		args   []string
		want   string // scores that are done again
		why    string
	}{
		{"nothing", func() error { return nil }, nil, "", "it is all there"},
		{"time", func() error { return os.Chtimes("a.xml", longAgo(), longAgo()) }, nil, "", "content counts, not the clock"},
		{"score", func() error { return os.WriteFile("a.xml", []byte(easyScore("New")), 0o666) }, nil, "a.xml", ""},
		{"copy gone", func() error { return os.Remove("a.pedals.xml") }, nil, "a.xml", ""},
		{"page gone", func() error { return os.Remove("b.pedals.html") }, nil, "b.xml", ""},
		{"report gone", func() error {
			return errors.Join(os.Remove("b.pedals.html"), os.Remove("b.pedals.xml"), os.Remove("b.pedals.json"))
		}, nil, "b.xml", ""},
		{"options", nil, []string{"--respell", "free"}, "a.xml b.xml", "another plan"},
		{"jobs", nil, []string{"--jobs", "1", "--ascii", "--sort", "trouble"}, "", "they do not change the results"},
		{"another report", nil, []string{"--report", "json,html,csv"}, "a.xml b.xml", "it is not there yet"},
		{"one report less", nil, []string{"--report", "json"}, "", "what is asked for is there"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			folder(t)
			writeFile(t, "a.xml", easyScore("A"))
			writeFile(t, "b.xml", hardScore("B"))
			typed(t, args...).want(t, exitConflict, "", "")
			if tt.change != nil {
				if err := tt.change(); err != nil {
					t.Fatal(err)
				}
			}
			var again []string
			sys := disk()
			sys.Rename = func(from, to string) error {
				if strings.HasSuffix(to, ".pedals.xml") {
					again = append(again, strings.Replace(to, ".pedals", "", 1))
				}
				return disk().Rename(from, to)
			}
			r := typedOn(t, sys, "", append(args, append([]string{"--jobs", "1"}, tt.args...)...)...)
			r.want(t, exitConflict, "", "")
			if got := strings.Join(again, " "); got != tt.want {
				t.Errorf("done again: %q, want %q (%s)", got, tt.want, tt.why)
			}
		})
	}
}

func TestResumeInPlace(t *testing.T) {
	folder(t)
	writeFile(t, "a.xml", easyScore("A"))
	args := []string{"mark", "--quiet", "--write", "--resume", "a.xml"}
	typed(t, args...).want(t, exitDone, "", "")
	files := tree(t, ".")
	sys := disk()
	sys.Create = func(path string) (store.File, error) { return nil, storetest.ErrBroken }
	typedOn(t, sys, "", args...).want(t, exitDone, "", "")
	if !maps.Equal(tree(t, "."), files) {
		t.Error("a score that was done has changed")
	}
	writeFile(t, "a.xml", easyScore("New"))
	typed(t, args...).want(t, exitDone, "", "")
	if got := tree(t, ".")["a.xml"]; !strings.Contains(got, "New") || !strings.Contains(got, "<words") {
		t.Error("a changed score was not done")
	}
}

func TestFilesFrom(t *testing.T) {
	folder(t)
	for _, name := range []string{"a.xml", "b c.xml", "d/e.xml", "line\nend.xml", "x[1].xml"} {
		writeFile(t, name, easyScore(name))
	}
	writeFile(t, "list", "a.xml\r\n\nb c.xml\nd\n")
	for _, tt := range []struct {
		name, stdin string
		args        []string
		want        string
		code        int
		err         string
	}{
		{"file", "", []string{"--files-from", "list"}, `a.xml b c.xml d/e.xml`, 0, ""},
		{"standard input", "a.xml\nd", []string{"--files-from", "-"}, "a.xml d/e.xml", 0, ""},
		{"zero bytes", "a.xml\x00line\nend.xml\x00", []string{"-0", "--files-from", "-"}, "a.xml line\nend.xml", 0, ""},
		{"arguments first", "a.xml\n", []string{"--files-from", "-", "d"}, "d/e.xml a.xml", 0, ""},
		{"no patterns", "x[1].xml\n*.xml\n", []string{"--files-from", "-"}, "x[1].xml", 3, "*.xml: there is no such file"},
		{"named twice", "a.xml\n./a.xml\n", []string{"--files-from", "-"}, "a.xml", 0, ""},
		{"empty", "\n", []string{"--files-from", "-"}, "", 2, "names no file"},
		{"stream in the list", "-\n", []string{"--files-from", "-"}, "", 2, "cannot be named in a list"},
		{"stream for both", "a.xml\n", []string{"--files-from", "-", "-"}, "", 2, "not both"},
		{"folder", "", []string{"--files-from", "d"}, "", 2, "is a folder"},
		{"pattern", "", []string{"[ab]*.xml"}, "a.xml b c.xml", 0, ""},
		{"pattern for nothing", "", []string{"q*"}, "", 3, "no file fits"},
		{"broken pattern", "", []string{"[a"}, "", 3, "neither a file nor a pattern"},
		{"file that looks like a pattern", "", []string{"x[1].xml"}, "x[1].xml", 0, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := typedOn(t, disk(), tt.stdin, append([]string{"mark", "--json", "--diff=false", "--out", t.TempDir()}, tt.args...)...)
			r.want(t, tt.code, "", tt.err)
			var got []string
			for line := range strings.Lines(r.out) {
				if !strings.Contains(line, `"error":`) {
					got = append(got, scoreOf(t, line))
				}
			}
			if strings.Join(got, " ") != tt.want {
				t.Errorf("scores %q, want %q", got, tt.want)
			}
		})
	}
}

// Tens of thousands of paths are placed without trouble. None is there, which is
// told for each.
func TestManyPaths(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	folder(t)
	var list bytes.Buffer
	const n = 20_000
	for i := range n {
		fmt.Fprintf(&list, "folder%d/score%d.xml\n", i%100, i)
	}
	r := typedOn(t, disk(), list.String(), "look", "--files-from", "-")
	if r.code != exitFailed || strings.Count(r.err, "\npedalogue:") != n-1 {
		t.Errorf("exit %d, %d messages", r.code, strings.Count(r.err, "\npedalogue:"))
	}
	inputs := make([]store.Source, n/5) // the rest would only take longer
	for i := range inputs {
		inputs[i] = store.Source{Path: fmt.Sprintf("folder%d/score%d.xml", i%100, i), Root: "."}
	}
	targets, err := store.Placement{Out: "o", Reports: []string{".json"}}.Targets(inputs)
	if err != nil {
		t.Fatal(err)
	}
	for i := range targets.Len() {
		if err := targets.At(i).Err; err != nil {
			t.Fatal("not placed", err)
		}
	}
}

// The document about a summary has the head of every report, and how many scores there
// were, those that could not be read among them.
func TestSummaryIsRecorded(t *testing.T) {
	for command, file := range map[string]string{"mark": "pedals.json", "check": "check.json"} {
		folder(t)
		writeFile(t, "in/a.musicxml", easyScore("A"))
		writeFile(t, "in/b.musicxml", easyScore("B"))
		writeFile(t, "in/cut.musicxml", easyScore("Cut")[:600])
		typed(t, command, "--out", "o", "--report", "json,csv", "in")
		want := fmt.Sprintf("{\n  \"format\": 1,\n  \"tool\": \"pedalogue\",\n  \"version\": %q,\n  \"scores\": 3,\n  \"made\": ", build.Version())
		if got := readFile(t, filepath.Join("o", file)); !strings.HasPrefix(got, want) {
			t.Errorf("%s: %s\nis not\n%s", command, got, want)
		}
	}
}
