package main

import (
	"encoding/json"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/pedal"
)

func TestMarkExitCodes(t *testing.T) {
	folder(t)
	writeFile(t, "easy.musicxml", easyScore("Easy"))
	writeFile(t, "hard.musicxml", hardScore("Hard"))
	writeFile(t, "cut.musicxml", easyScore("Cut")[:600])
	for _, tt := range []struct {
		name string
		args string
		code int
		out  string
		err  string
		why  string
	}{
		{"easy", "mark easy.musicxml", 0, "easy.musicxml: 3 changes", "", "everything can be played"},
		{"hard", "mark hard.musicxml", 1, "1 error", "", "no string for one note"},
		{"hard and easy", "mark --out o hard.musicxml easy.musicxml", 1, "2 scores", "", "the worst counts"},
		{"unread", "mark cut.musicxml", 3, "", "cut.musicxml:", "cannot be read"},
		{"unread and others", "mark --out p cut.musicxml hard.musicxml", 3, "not read: cut.musicxml", "cut.musicxml:", "the worst counts"},
		{"missing", "mark gone.musicxml", 3, "", "no such file", ""},
		{"no command", "", 2, "", "usage", ""},
		{"unknown command", "make easy.musicxml", 2, "", `no command "make"`, ""},
		{"unknown option", "mark --lowd easy.musicxml", 2, "", "--lowd", ""},
		{"unknown report", "mark --report pdf easy.musicxml", 2, "", `"pdf" is none of`, ""},
		{"empty report list", "mark --report= easy.musicxml", 2, "", "say none", "an empty list is likely a mistake in a script"},
		{"two places", "mark --out o --write easy.musicxml", 2, "", "exclude each other", ""},
		{"diff and json", "mark --diff --json easy.musicxml", 2, "", "exclude each other", "both would go to standard output"},
		{"no such order", "mark --sort size easy.musicxml", 2, "", "--sort", ""},
		{"no jobs", "mark --jobs 0 easy.musicxml", 2, "", "--jobs", ""},
		{"no such share", "mark --shard 3/2 easy.musicxml", 2, "", "K/N", ""},
		{"zero without a list", "mark -0 easy.musicxml", 2, "", "--files-from", ""},
		{"no such log", "mark --log xml easy.musicxml", 2, "", "--log", ""},
		{"resume without files", "mark --resume --json easy.musicxml", 2, "", "--resume needs", "nothing is written"},
		{"no such list", "mark --files-from gone.txt", 2, "", "no such file", ""},
		{"look", "look easy.musicxml hard.musicxml", 0, "title          Hard", "", "a conflict is no matter of reading"},
		{"look, unread", "look cut.musicxml", 3, "", "cut.musicxml:", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			typed(t, strings.Fields(tt.args)...).want(t, tt.code, tt.out, tt.err)
		})
	}
}

func TestHelp(t *testing.T) {
	option := regexp.MustCompile(`--[a-z][a-z-]*[a-z]`)
	described := regexp.MustCompile(`(?m)^ +(?:-., )?(--[a-z-]+)`)
	for _, c := range commands() {
		for _, help := range []string{"--help", "--help-all"} {
			r := typed(t, c.Name, help)
			r.want(t, exitDone, "example: pedalogue "+c.Name, "")
			for line := range strings.Lines(r.out) {
				if len([]rune(line)) > 84 {
					t.Errorf("%s %s has a long line: %s", c.Name, help, line)
				}
				if strings.Contains(line, " STRING") || strings.Contains(line, " INT") || strings.Contains(line, "default []") {
					t.Errorf("%s %s names a type, not what is wanted: %s", c.Name, help, line)
				}
			}
		}
		all := typed(t, c.Name, "--help-all").out
		known := map[string]bool{"--help": true, "--help-all": true}
		for _, match := range described.FindAllStringSubmatch(all, -1) {
			known[match[1]] = true
		}
		for _, name := range option.FindAllString(all, -1) {
			if !known[name] && c.Name != "schema" { // which speaks of the others
				t.Errorf("the help of %s speaks of %s, which it has not", c.Name, name)
			}
		}
	}
	r := typed(t, "mark", "--help-all")
	first, last := strings.Index(r.out, "\nresults:\n"), strings.Index(r.out, "\nmany scores:\n")
	if first < 0 || last < first || strings.Index(r.out, "--out FOLDER") < first || strings.Index(r.out, "--jobs N") < last {
		t.Errorf("the options do not stand under their headings:\n%s", r.out)
	}
}

// All kinds of report, and nothing else, are written where they belong.
func TestMarkFiles(t *testing.T) {
	for _, tt := range []struct {
		name, args string
		want       string // new files
	}{
		{"default", "mark a.musicxml", "a.pedals.json a.pedals.musicxml"},
		{"all reports", "mark --report text,json,html,csv a.musicxml",
			"a.pedals.changes.csv a.pedals.findings.csv a.pedals.html a.pedals.json a.pedals.musicxml"},
		{"none", "mark --report none a.musicxml", ".a.pedals.musicxml.made a.pedals.musicxml"},
		{"text", "mark --report text a.musicxml", ".a.pedals.musicxml.made a.pedals.musicxml"},
		{"json alone", "mark --json a.musicxml", ""},
		{"json and a folder", "mark --json --out o a.musicxml", "o/a.musicxml o/a.pedals.json"},
		{"diff", "mark --diff --report json,html a.musicxml", ""},
		{"diff of write", "mark --diff --write a.musicxml", ""},
		{"in place", "mark --write a.musicxml", "a.pedals.json"},
		{"out", "mark -o o/p a.musicxml d", "o/p/a.musicxml o/p/a.pedals.json o/p/b.pedals.json o/p/b.xml"},
		{"summary", "mark --out o --report json,html,csv a.musicxml d", "o/a.musicxml o/a.pedals.changes.csv o/a.pedals.findings.csv o/a.pedals.html o/a.pedals.json " +
			"o/b.pedals.changes.csv o/b.pedals.findings.csv o/b.pedals.html o/b.pedals.json o/b.xml o/pedals.csv o/pedals.html o/pedals.json"},
		{"summary beside", "mark --report html d e", ".pedals.made d/.b.pedals.xml.made d/b.pedals.html d/b.pedals.xml e/.c.pedals.xml.made e/c.pedals.html e/c.pedals.xml pedals.html"},
		{"summary in one folder", "mark --report csv d/b.xml d/b2.xml", "d/.b.pedals.xml.made d/.b2.pedals.xml.made d/.pedals.made d/b.pedals.changes.csv d/b.pedals.findings.csv d/b.pedals.xml " +
			"d/b2.pedals.changes.csv d/b2.pedals.findings.csv d/b2.pedals.xml d/pedals.csv"},
		{"pattern", "mark --report none *.musicxml", ".a.pedals.musicxml.made a.pedals.musicxml"},
		{"look", "look a.musicxml d", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			folder(t)
			writeFile(t, "a.musicxml", easyScore("A"))
			writeFile(t, "d/b.xml", easyScore("B"))
			writeFile(t, "e/c.xml", easyScore("C"))
			if strings.Contains(tt.args, "b2") {
				writeFile(t, "d/b2.xml", easyScore("B2"))
			}
			before := tree(t, ".")
			typed(t, strings.Fields(tt.args)...).want(t, exitDone, "", "")
			after := tree(t, ".")
			for path := range before {
				if before[path] != after[path] && !(tt.name == "in place" && path == "a.musicxml") {
					t.Errorf("%s has changed", path)
				}
				delete(after, path)
			}
			if got := strings.Join(slices.Sorted(maps.Keys(after)), " "); got != tt.want {
				t.Errorf("new files\n%s\nwant\n%s", got, tt.want)
			}
		})
	}
}

func TestMarkOutput(t *testing.T) {
	folder(t)
	writeFile(t, "a.musicxml", easyScore("A"))
	writeFile(t, "b.musicxml", hardScore("B"))
	r := typed(t, "mark", "--diff", "a.musicxml")
	r.want(t, exitDone, "--- a.musicxml\n+++ a.pedals.musicxml\n", "")
	if strings.Contains(r.out, "\n-") || !strings.Contains(r.out, "\n+") {
		t.Errorf("the diff takes something away, or puts nothing in:\n%s", r.out)
	}
	r = typed(t, "mark", "--quiet", "a.musicxml", "b.musicxml", "gone.xml")
	if r.out != "" || strings.Count(r.err, "\n") != 1 || r.code != exitFailed {
		t.Errorf("--quiet: %+v", r)
	}
	r = typed(t, "mark", "--ascii", "a.musicxml", "b.musicxml")
	if strings.ContainsFunc(r.out, func(c rune) bool { return c > 126 || c < ' ' && c != '\n' }) {
		t.Errorf("--ascii prints something else:\n%s", r.out)
	}
	r = typed(t, "mark", "--sort", "trouble", "--report", "json", "a.musicxml", "b.musicxml")
	if strings.Index(r.out, "b.musicxml") > strings.Index(r.out, "a.musicxml") {
		t.Errorf("--sort trouble: the troubled score is not the first:\n%s", r.out)
	}
	r = typed(t, "mark", "--json", "a.musicxml", "gone.xml", "b.musicxml")
	var paths []string
	for line := range strings.Lines(r.out) {
		var doc struct {
			Score, Error string
		}
		if err := json.Unmarshal([]byte(line), &doc); err != nil {
			t.Fatal(err)
		}
		if doc.Error != "" {
			doc.Score += "!"
		}
		paths = append(paths, doc.Score)
	}
	if got := strings.Join(paths, " "); got != "a.musicxml gone.xml! b.musicxml" {
		t.Errorf("--json: lines for %s", got)
	}
}

func TestMarkStream(t *testing.T) {
	folder(t)
	score := easyScore("Stream")
	r := typedOn(t, disk(), score, "mark")
	r.want(t, exitDone, "<words", "-: 3 changes")
	named := typedOn(t, disk(), score, "mark", "-")
	if named != r {
		t.Error("- does not do what no argument does")
	}
	writeFile(t, "a.musicxml", score)
	typed(t, "mark", "a.musicxml").want(t, exitDone, "", "")
	if copied, _ := os.ReadFile("a.pedals.musicxml"); string(copied) != r.out {
		t.Error("the copy on standard output is another than that in a file")
	}
	r = typedOn(t, disk(), score, "mark", "--quiet")
	if r.err != "" || !strings.HasPrefix(r.out, "<?xml") {
		t.Errorf("--quiet: says %q", r.err)
	}
	r = typedOn(t, disk(), score, "mark", "--json")
	if !json.Valid([]byte(r.err)) || !strings.HasPrefix(r.out, "<?xml") {
		t.Errorf("--json: the copy and its report are not apart: %q", r.err)
	}
	typedOn(t, disk(), "", "mark").want(t, exitFailed, "", "-:")
	typedOn(t, disk(), score, "mark", "--out", "o", "-").want(t, exitFailed, "", "no name")
	if files := tree(t, "."); len(files) != 3 {
		t.Errorf("files were written: %v", slices.Sorted(maps.Keys(files)))
	}
}

// Nothing is overwritten that an earlier run has not written, or that somebody
// has altered since.
func TestMarkOverwritesNothing(t *testing.T) {
	args := []string{"mark", "-q", "--report", "json,html,csv", "--respell", "free", "a.musicxml", "b.musicxml"}
	results := []string{"a.pedals.musicxml", "a.pedals.json", "a.pedals.html", "a.pedals.changes.csv", "a.pedals.findings.csv",
		"pedals.html", "pedals.csv", "pedals.json"}
	for _, path := range results {
		t.Run(path, func(t *testing.T) {
			folder(t)
			writeFile(t, "a.musicxml", easyScore("A"))
			writeFile(t, "b.musicxml", easyScore("B"))
			writeFile(t, path, "mine")
			r := typed(t, args...)
			r.want(t, exitFailed, "", path+": is there already")
			files := tree(t, ".")
			if files[path] != "mine" || files["b.pedals.musicxml"] == "" {
				t.Errorf("it was overwritten, or the other score was not done: %v", slices.Sorted(maps.Keys(files)))
			}
			if strings.HasPrefix(path, "a.") && len(files) != 3+5+3 {
				t.Errorf("some results were written: %v", slices.Sorted(maps.Keys(files)))
			}
		})
	}
	t.Run("own results", func(t *testing.T) {
		folder(t)
		writeFile(t, "a.musicxml", easyScore("A"))
		writeFile(t, "b.musicxml", easyScore("B"))
		typed(t, args...).want(t, exitDone, "", "")
		writeFile(t, "a.musicxml", easyScore("Another"))
		typed(t, append(args, "--respell", "written")...).want(t, exitDone, "", "")
		files := tree(t, ".")
		if !strings.Contains(files["a.pedals.json"], "Another") || !strings.Contains(files["pedals.html"], "Another") {
			t.Error("results of an earlier run were not replaced")
		}
		for _, path := range results[:5] {
			altered := files[path] + "\n"
			writeFile(t, path, altered)
			typed(t, args...).want(t, exitFailed, "", "is there already")
			if got := tree(t, ".")[path]; got != altered {
				t.Errorf("%s was overwritten, though somebody has altered it", path)
			}
			writeFile(t, path, files[path])
		}
	})
}

// A panic over one score is an error of that score.
func TestPanicStaysWithItsScore(t *testing.T) {
	_, stack, err := runs.Guarded("a.musicxml", func() (runs.Outcome, error) {
		var nobody *runs.Outcome
		return *nobody, nil
	})
	wantError(t, err, "a.musicxml", "internal error: runtime error", "report it")
	if !strings.Contains(stack, "TestPanicStaysWithItsScore") {
		t.Errorf("the stack does not lead here: %s", stack)
	}
	_, stack, err = runs.Guarded("a.musicxml", func() (runs.Outcome, error) {
		panic(&pedal.Panic{Value: "out of tune", Stack: []byte("a worker of the planner")})
	})
	wantError(t, err, "a.musicxml", "internal error: out of tune", "report it")
	if stack != "a worker of the planner" {
		t.Errorf("the stack is not that of the worker: %s", stack)
	}
	folder(t)
	writeFile(t, "a.musicxml", easyScore("A"))
	writeFile(t, "b.musicxml", easyScore("B"))
	sys := disk()
	sys.Create = func(path string) (store.File, error) {
		if strings.Contains(path, "sub") {
			panic("no such luck")
		}
		return disk().Create(path)
	}
	writeFile(t, "sub/c.musicxml", easyScore("C"))
	r := typedOn(t, sys, "", "mark", "--log", "json", "a.musicxml", "sub/c.musicxml", "b.musicxml")
	r.want(t, exitFailed, "not read: sub/c.musicxml: internal error: no such luck", `"stack":"`)
	if files := tree(t, "."); files["a.pedals.musicxml"] == "" || files["b.pedals.musicxml"] == "" || files["sub/c.pedals.musicxml"] != "" {
		t.Error("the other scores were not done")
	}
}
