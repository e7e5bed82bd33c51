package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Every console block of the README is run as it stands, in a folder that holds
// the scores of testdata; its output must be what the README shows.
func TestReadmeTranscripts(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	scores, err := filepath.Glob("../../testdata/*.musicxml")
	if err != nil || len(scores) == 0 {
		t.Fatal("no scores in testdata", err)
	}
	folder := t.TempDir()
	for _, path := range scores {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, filepath.Base(path)), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(folder)
	blocks := strings.Split(string(readme), "```console\n")[1:]
	if len(blocks) == 0 {
		t.Fatal("the README has no transcript")
	}
	for _, block := range blocks {
		block, _, _ = strings.Cut(block, "```")
		for _, step := range strings.Split("\n"+block, "\n$ ")[1:] {
			command, want, _ := strings.Cut(step, "\n")
			args := strings.Fields(command)
			if args[0] != "pedalogue" {
				t.Fatalf("%q: a transcript runs pedalogue", command)
			}
			var out bytes.Buffer
			run(args[1:], strings.NewReader(""), &out, &out)
			if got := strings.TrimRight(out.String(), "\n"); got != strings.TrimRight(want, "\n") {
				t.Errorf("%s\nprints\n%s\nand the README shows\n%s", command, got, want)
			}
		}
	}
}
