package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/runs"
)

// The examples in the help do what they say: each is run in a folder in which the
// scores that it names lie.
func TestExamplesInHelp(t *testing.T) {
	tried := 0
	for _, help := range []string{lookHelp, markHelp, keysHelp, glissHelp, stripHelp, checkHelp, partHelp, reduceHelp, schemaHelp} {
		for _, line := range strings.Split(help, "\n") {
			_, command, found := strings.Cut(line, "example: pedalogue ")
			command, _, _ = strings.Cut(command, " > ") // which is the shell's
			if !found {
				continue
			}
			tried++
			folder(t)
			var args []string
			for i, piece := range strings.Split(command, `"`) {
				if i%2 == 1 { // between quotes
					args = append(args, piece)
				} else {
					args = append(args, strings.Fields(piece)...)
				}
			}
			score := easyScore("Example")
			if strings.Contains(command, "--part Piano") {
				score = strings.Replace(score, "<part-name>Harp<", "<part-name>Piano<", 1)
			}
			for _, arg := range args {
				switch {
				case strings.HasSuffix(arg, "/"):
					if err := os.Mkdir(arg, 0o777); err != nil {
						t.Fatal(err)
					}
					writeFile(t, filepath.Join(arg, "one.musicxml"), score)
				case filepath.Ext(arg) == ".mxl", filepath.Ext(arg) == ".musicxml":
					writeFile(t, arg, score)
				}
			}
			if r := typed(t, args...); r.code == runs.ExitUsage || r.code == runs.ExitFailed {
				t.Errorf("%s: exit %d: %s", command, r.code, r.err)
			}
		}
	}
	if tried < 9 {
		t.Errorf("only %d examples were found", tried)
	}
}
