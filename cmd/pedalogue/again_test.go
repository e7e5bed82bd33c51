package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// What a run has written can be written again with other options, whatever reports
// it made; and once somebody has altered a result, not.
func TestRunAgain(t *testing.T) {
	for _, reports := range []string{"none", "text", "json", "html", "csv", "html,csv", "text,html", "text,json,html,csv"} {
		t.Run(reports, func(t *testing.T) {
			folder(t)
			writeFile(t, "in/a.musicxml", easyScore("A"))
			writeFile(t, "in/sub/b.musicxml", easyScore("B"))
			args := []string{"mark", "-q", "--report", reports, "--out", "o", "in"}
			typed(t, append(args, "--respell", "written")...).want(t, exitDone, "", "")
			first := tree(t, "o")
			again := append(args, "--respell", "free")
			typed(t, again...).want(t, exitDone, "", "")
			second := tree(t, "o")
			if first["o/a.musicxml"] == second["o/a.musicxml"] || !slices.Equal(slices.Sorted(maps.Keys(first)), slices.Sorted(maps.Keys(second))) {
				t.Fatal("the results were not replaced")
			}
			for path, text := range second {
				if strings.HasPrefix(filepath.Base(path), ".") {
					continue // the seal; without it results are anybody's
				}
				writeFile(t, path, text+" ")
				typed(t, append(args, "--respell", "written")...).want(t, exitFailed, "", ": is there already")
				if tree(t, "o")[path] != text+" " {
					t.Errorf("%s was replaced, though somebody had altered it", path)
				}
				writeFile(t, path, text)
				typed(t, again...).want(t, exitDone, "", "") // as it was
			}
		})
	}
}

// The kinds of reports may change from run to run.
func TestRunAgainWithOtherReports(t *testing.T) {
	folder(t)
	writeFile(t, "a.musicxml", easyScore("A"))
	for i, reports := range []string{"json", "html", "json,csv", "none", "html,csv", "json", "text,json,html,csv", "none"} {
		mode := []string{"written", "free"}[i%2]
		typed(t, "mark", "-q", "--report", reports, "--respell", mode, "a.musicxml").want(t, exitDone, "", "")
	}
}

// A table of numbers holds nothing but the table.
func TestTablesStayClean(t *testing.T) {
	folder(t)
	writeFile(t, "a.musicxml", easyScore("A"))
	typed(t, "mark", "-q", "--report", "csv", "a.musicxml").want(t, exitDone, "", "")
	for path, text := range tree(t, ".") {
		if !strings.HasSuffix(path, ".csv") {
			continue
		}
		records, err := csv.NewReader(strings.NewReader(text)).ReadAll() // which wants as many fields in each line
		if err != nil {
			t.Errorf("%s: %v", path, err)
		}
		for _, r := range records {
			if strings.HasPrefix(r[0], "#") {
				t.Errorf("%s: a line that belongs to no table: %q", path, r)
			}
		}
	}
}

// A folder that holds results of earlier runs is taken without them; they are taken
// when they are named, and by what reads only.
func TestEarlierOutputIsNoInput(t *testing.T) {
	for _, tt := range []struct {
		name  string
		first []string // leaves results in the folder
		then  func(t *testing.T)
		want  string // what is marked then
		told  string
		why   string
	}{
		{"folder of copies", []string{"mark", "-q", "--out", "marked", "."}, nil, "a.musicxml b.musicxml", `left out "marked/a.musicxml" and 1 more`, ""},
		{"without the JSON report", []string{"mark", "-q", "--out", "marked", "--report", "html", "."}, nil, "a.musicxml b.musicxml", `left out "marked/a.musicxml" and 1 more`, ""},
		{"beside", []string{"mark", "-q", "."}, nil, "a.musicxml b.musicxml", `left out "a.pedals.musicxml" and 1 more`, ""},
		{"plain copies", []string{"mark", "-q", "--out", "marked", "a.musicxml"}, func(t *testing.T) {
			typed(t, "strip", "-q", "--out", "plain", "marked").want(t, exitDone, "", "")
		}, "a.musicxml b.musicxml", `left out "marked/a.musicxml" and 1 more`, ""},
		{"in place", []string{"mark", "-q", "--write", "."}, nil, "a.musicxml b.musicxml", "", "the scores themselves are no copies"},
		{"altered", []string{"mark", "-q", "--out", "marked", "a.musicxml"}, func(t *testing.T) {
			writeFile(t, "marked/a.musicxml", tree(t, "marked")["marked/a.musicxml"]+"<!-- mine -->")
		}, "a.musicxml b.musicxml", `left out "marked/a.musicxml", a result of an earlier run; to take it, name it`, "it still has our marks"},
		{"another in its place", []string{"mark", "-q", "--out", "marked", "a.musicxml"}, func(t *testing.T) {
			writeFile(t, "marked/a.musicxml", easyScore("Mine"))
		}, "a.musicxml b.musicxml marked/a.musicxml", "", "it is a person's score"},
		{"copy that went elsewhere", []string{"mark", "-q", "--out", "marked", "a.musicxml"}, func(t *testing.T) {
			writeFile(t, "from-a-friend.musicxml", tree(t, "marked")["marked/a.musicxml"])
			if err := os.RemoveAll("marked"); err != nil {
				t.Fatal(err)
			}
		}, "a.musicxml b.musicxml from-a-friend.musicxml", "", "nothing says that it is ours to leave out"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			folder(t)
			writeFile(t, "a.musicxml", easyScore("A"))
			writeFile(t, "b.musicxml", easyScore("B"))
			typed(t, tt.first...).want(t, exitDone, "", "")
			if tt.then != nil {
				tt.then(t)
			}
			r := typed(t, "mark", "--report", "none", "--log", "json", "--out", "../out", ".")
			var got []string
			for line := range strings.Lines(r.err) {
				if _, rest, found := strings.Cut(line, `"msg":"done","score":"`); found {
					path, _, _ := strings.Cut(rest, `"`)
					got = append(got, path)
				}
			}
			if strings.Join(got, " ") != tt.want {
				t.Errorf("marked %q, want %q (%s)", got, tt.want, tt.why)
			}
			if told := strings.Contains(strings.ReplaceAll(r.err, `\"`, `"`), "left out"); told != (tt.told != "") ||
				!strings.Contains(strings.ReplaceAll(r.err, `\"`, `"`), tt.told) {
				t.Errorf("says %s, want %q", r.err, tt.told)
			}
			os.RemoveAll("../out")
		})
	}
	folder(t)
	writeFile(t, "a.musicxml", easyScore("A"))
	typed(t, "mark", "-q", "--out", "marked", "a.musicxml").want(t, exitDone, "", "")
	typed(t, "look", "marked").want(t, exitDone, "marked/a.musicxml", "")
	typed(t, "strip", "marked").want(t, exitDone, "taken out", "")
	typed(t, "mark", "--out", "again", "marked/a.musicxml").want(t, exitDone, "", "")
	typed(t, "mark", "--out", "third", "marked").want(t, exitFailed, "", "no scores in this folder")
}

// The same command twice takes what it took, and says what it has left out.
func TestSameCommandTwice(t *testing.T) {
	for _, args := range [][]string{
		{"mark", "--report", "json", "--out", "marked", "."}, {"mark", "--report", "none", "--out", "./marked/", "."}, {"strip", "--out", "marked", "."},
		{"look", "--report", "json", "--out", "marked", "."}, {"mark", "--report", "none", "--write", "."}, {"mark", "."},
	} {
		folder(t)
		writeFile(t, "a.musicxml", easyScore("A"))
		writeFile(t, "sub/b.musicxml", easyScore("B"))
		typed(t, args...).want(t, exitDone, "", "")
		if slices.Contains(args, "--out") {
			writeFile(t, "marked/mine.musicxml", easyScore("A person's"))
		}
		before := tree(t, ".")
		r := typed(t, args...)
		r.want(t, exitDone, "", "")
		if after := tree(t, "."); !maps.Equal(before, after) {
			t.Errorf("%v: done again, there are %q, not %q", args, slices.Sorted(maps.Keys(after)), slices.Sorted(maps.Keys(before)))
		}
		scores := 0
		for path := range before {
			if strings.HasPrefix(path, "marked/") && strings.HasSuffix(path, ".musicxml") && !strings.HasPrefix(path, "marked/.") {
				scores++
			}
		}
		if !slices.Contains(args, "--out") {
			continue
		}
		if told := fmt.Sprintf("left out what is in %q, where results go (scores: %d)", args[len(args)-2], scores); !strings.Contains(r.err, told) {
			t.Errorf("%v: says %q, not %q", args, r.err, told)
		}
	}
}

// The README's list of files keeps apart what has one name in different folders.
func TestListKeepsFoldersApart(t *testing.T) {
	folder(t)
	for _, path := range []string{"season/spring/one.musicxml", "season/autumn/one.musicxml", "season/autumn/two.musicxml"} {
		writeFile(t, path, easyScore(path))
	}
	list := "season/spring/one.musicxml\x00season/autumn/one.musicxml\x00season/autumn/two.musicxml\x00"
	typedOn(t, disk(), list, "mark", "-q", "--report", "none", "--out", "marked", "-0", "--files-from", "-").want(t, exitDone, "", "")
	files := tree(t, "marked")
	for path, title := range map[string]string{
		"marked/spring/one.musicxml": "season/spring/one.musicxml", "marked/autumn/one.musicxml": "season/autumn/one.musicxml",
		"marked/two.musicxml": "season/autumn/two.musicxml",
	} {
		if !strings.Contains(files[path], title) {
			t.Errorf("%s is not the copy of %s: %q", path, title, slices.Sorted(maps.Keys(files)))
		}
	}
	typed(t, "mark", "-q", "--report", "none", "--out", "trees", "season/spring", "season/autumn").want(t, exitDone, "", "")
	if files := tree(t, "trees"); files["trees/spring/one.musicxml"] == "" || files["trees/autumn/one.musicxml"] == "" || files["trees/autumn/two.musicxml"] == "" {
		t.Errorf("two folders gave %q", slices.Sorted(maps.Keys(files)))
	}
}

// --write gives one name of a file to the copy; who has other names for it is told.
func TestHardLinkIsTold(t *testing.T) {
	folder(t)
	writeFile(t, "a.musicxml", easyScore("A"))
	writeFile(t, "alone.musicxml", easyScore("Alone"))
	if err := os.Link("a.musicxml", "second.musicxml"); err != nil {
		t.Skip("no second names here: ", err)
	}
	before := tree(t, ".")["a.musicxml"]
	r := typed(t, "mark", "-q", "--write", "a.musicxml", "alone.musicxml")
	r.want(t, exitDone, "", "a.musicxml had 2 names on the disk; the copy has this one")
	if strings.Contains(r.err, "alone") {
		t.Errorf("says %s", r.err)
	}
	if files := tree(t, "."); files["second.musicxml"] != before || files["a.musicxml"] == before {
		t.Error("the other name has not kept the score, or this one has no copy")
	}
}

// A run leaves no file behind that a killed one had in hand.
func TestStaleFilesGo(t *testing.T) {
	folder(t)
	writeFile(t, "a.musicxml", easyScore("A"))
	writeFile(t, ".pedalogue-new-00000000-4-1-AAAAAAAAAAAAAAAAAAAAAAAAAA", "left behind long ago")
	writeFile(t, ".pedalogue-notes", "a person's")
	typed(t, "mark", "-q", "a.musicxml").want(t, exitDone, "", "")
	for path, stays := range map[string]bool{".pedalogue-new-00000000-4-1-AAAAAAAAAAAAAAAAAAAAAAAAAA": false, ".pedalogue-notes": true} {
		if _, err := os.Lstat(path); errors.Is(err, os.ErrNotExist) == stays {
			t.Errorf("%s: is there: %v, want %v", path, !stays, stays)
		}
	}
}
