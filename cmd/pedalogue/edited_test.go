package main

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"
)

// What somebody has written into a mark, or put beside it, is in the file after
// every command that writes, and each says where it stands.
func TestEditedMarksStay(t *testing.T) {
	data, err := os.ReadFile("demo.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	_, marked, err := marking("a.musicxml", data, defaultSettings())
	if err != nil {
		t.Fatal(err)
	}
	const words, foreign = "see the conductor's score!", "<direction><direction-type><words>MINE</words></direction-type></direction>"
	edited := withWords(string(marked), words)
	last := strings.LastIndex(edited, "<!--pedalogue:end-->")
	edited = edited[:last] + foreign + edited[last:]
	writeFile(t, "a.musicxml", edited)
	for _, args := range [][]string{
		{"strip", "--write", "a.musicxml"},
		{"mark", "--write", "--report", "text", "a.musicxml"},
		{"mark", "--write", "--report", "text", "a.musicxml"},
		{"strip", "--write", "a.musicxml"},
	} {
		var out, errs bytes.Buffer
		if code := run(args, strings.NewReader(""), &out, &errs); code != exitDone && code != exitConflict {
			t.Fatalf("%v: exit %d: %s", args, code, errs.String())
		}
		if said := strings.Join(strings.Fields(out.String()), " "); !strings.Contains(said, "was edited") || !strings.Contains(said, words+`"`) || !strings.Contains(said, "part P1") {
			t.Errorf("%v says %s", args, said)
		}
		now, err := os.ReadFile("a.musicxml")
		if err != nil || strings.Count(string(now), words) != 1 || strings.Count(string(now), ">MINE<") != 1 {
			t.Errorf("%v loses words, %v", args, err)
		}
	}
	now, err := os.ReadFile("a.musicxml")
	if err != nil || strings.Count(string(now), "pedalogue:begin") != 1 {
		t.Errorf("not all of our marks but the edited one have gone: %s", now)
	}
}

// withWords adds words to the first mark of a copy that has any.
func withWords(marked, words string) string {
	at := strings.Index(marked, "pedalogue:begin")
	return marked[:at] + strings.Replace(marked[at:], "</words>", " - "+words+"</words>", 1)
}

// In a pipe it is told on standard error, and in JSON as a warning.
func TestEditedMarksAreTold(t *testing.T) {
	data, err := os.ReadFile("demo.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	_, marked, err := marking("-", data, defaultSettings())
	if err != nil {
		t.Fatal(err)
	}
	edited := withWords(string(marked), "mine")
	var out, errs bytes.Buffer
	if code := run([]string{"strip"}, strings.NewReader(edited), &out, &errs); code != exitDone || !strings.Contains(out.String(), " - mine<") || !strings.Contains(errs.String(), "- mine") {
		t.Errorf("strip says %q", errs.String())
	}
	for _, args := range [][]string{{"mark", "--json", "--quiet"}, {"look", "--json"}} {
		out.Reset()
		errs.Reset()
		run(args, strings.NewReader(edited), &out, &errs)
		var got struct {
			Warnings []struct {
				Code, Part, Measure, Text string
				Line                      int
			}
		}
		text := out.Bytes()
		if args[0] == "mark" && !json.Valid(text) {
			text = errs.Bytes()
		}
		if err := json.Unmarshal(text, &got); err != nil {
			t.Fatalf("%v: %v\n%s", args, err, text)
		}
		if len(got.Warnings) == 0 || got.Warnings[len(got.Warnings)-1].Code != "edited-mark" && got.Warnings[0].Code != "edited-mark" {
			t.Errorf("%v warns of %+v", args, got.Warnings)
		}
	}
}
