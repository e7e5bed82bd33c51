package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// What writes copies goes on where an earlier run has stopped, also where a score has
// several: the second run does only what is not there any more, and exits as the first.
func TestResumeOfEveryCommand(t *testing.T) {
	for _, tt := range []struct {
		name, args, score string
		made              []string // the copies
	}{
		{"a part", "part", hardScore("One"), []string{"o/a.harp.musicxml"}},
		{"two parts", "part", twoHarps(), []string{"o/a.harp-1.musicxml", "o/a.harp-2.musicxml"}},
		{"two parts, with a report", "part --report json", twoHarps(), []string{"o/a.harp-1.musicxml", "o/a.harp-2.musicxml"}},
		{"a reduction", "reduce --apply", hardScore("One"), []string{"o/a.reduced.musicxml"}},
		{"a marked copy", "mark --report none", hardScore("One"), []string{"o/a.musicxml"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			folder(t)
			writeFile(t, "a.musicxml", tt.score)
			writeFile(t, "b.musicxml", easyScore("B"))
			args := append(strings.Fields(tt.args), "-q", "--out", "o", "--manifest", "list.jsonl", "a.musicxml", "b.musicxml")
			again := append(slices.Clone(args), "--resume")
			code := typed(t, args...).code
			list := manifestOf(t, "list.jsonl")
			if got := append(slices.Clone(list[0].Outputs), list[0].Output); !slices.Equal(slices.DeleteFunc(got, func(s string) bool { return s == "" }), fromSlash(tt.made)) {
				t.Errorf("the manifest says %q, want %q", got, tt.made)
			}
			states := func(want string) {
				t.Helper()
				if got := typed(t, again...).code; got != code {
					t.Errorf("exit %d, the first run %d", got, code)
				}
				list := manifestOf(t, "list.jsonl")
				if got := list[len(list)-2].State + " " + list[len(list)-1].State; got != want {
					t.Errorf("then it says %s, want %s", got, want)
				}
			}
			states("skipped skipped")
			for _, name := range tt.made {
				if err := os.Remove(filepath.FromSlash(name)); err != nil {
					t.Fatal(err)
				}
				states("done skipped")
			}
			writeFile(t, "a.musicxml", tt.score+"<!-- a byte more -->\n")
			states("done skipped")
			again = append(again, "--tempo", "50")
			states("done done")
		})
	}
}

func fromSlash(names []string) (list []string) {
	for _, name := range names {
		list = append(list, filepath.FromSlash(name))
	}
	return list
}

// Every command over scores lists what became of each.
func TestManifestOfEveryCommand(t *testing.T) {
	for _, command := range []string{"look", "check", "keys", "strip", "part", "reduce", "mark"} {
		t.Run(command, func(t *testing.T) {
			folder(t)
			writeFile(t, "a.musicxml", easyScore("A"))
			if r := typed(t, command, "-q", "--manifest", "list.jsonl", "a.musicxml", "gone.musicxml"); r.code != exitFailed {
				t.Errorf("exit %d: %s", r.code, r.err)
			}
			if list := manifestOf(t, "list.jsonl"); len(list) != 2 || list[0].State != "done" || list[1].State != "failed" || list[1].Error == "" {
				t.Errorf("it says %+v", list)
			}
		})
	}
}

// Copies that any command has written are no scores to those that go through the folder
// later, whatever reports stand beside them and carry what tells.
func TestCopiesOfAllCommandsAreResults(t *testing.T) {
	// Somebody's setting, with which the F sharps are wrong: something to mend.
	score := strings.Replace(easyScore("A"), "</attributes>\n",
		"</attributes>\n<direction><direction-type><words>D C B | E F G A</words></direction-type></direction>\n", 1)
	for _, tt := range []struct{ args, copied string }{
		{"mark", "a.pedals.musicxml"},
		{"keys --choose F", "a.F.musicxml"},
		{"part", "a.harp.musicxml"},
		{"reduce --apply", "a.reduced.musicxml"},
		{"check --fix", "a.mended.musicxml"},
	} {
		for _, reports := range []string{"none", "text", "json"} {
			for _, next := range []string{"mark", "part", "reduce", "keys"} {
				t.Run(tt.args+" --report "+reports+", then "+next, func(t *testing.T) {
					folder(t)
					writeFile(t, "in/a.musicxml", score)
					typed(t, append(strings.Fields(tt.args), "-q", "--report", reports, "in/a.musicxml")...)
					if _, there := tree(t, "in")["in/"+tt.copied]; !there {
						t.Fatalf("%s is not written", tt.copied)
					}
					if r := typed(t, next, "--report", "none", "--out", "o", "in"); !strings.Contains(r.err, "a result of an earlier run") {
						t.Errorf("%s is taken for a score: %s", tt.copied, r.err)
					}
				})
			}
		}
	}
}
