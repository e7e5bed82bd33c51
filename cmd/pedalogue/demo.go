package main

import (
	_ "embed"
	"fmt"
	"os"
	"path/filepath"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
)

// demoScore is a short piece for harp, invented for this program: two staves, a
// repeat, key changes, a glissando, and a chord that no harp can play.
//
//go:embed demo.musicxml
var demoScore []byte

const demoHelp = `usage: pedalogue demo [--out FOLDER]

Writes a short score that is built in, marks it and prints the report: the score
as demo.musicxml, its marked copy as demo.pedals.musicxml and the JSON report as
demo.pedals.json.

example: pedalogue demo --out /tmp/ferry
`

// runDemo is the command demo.
func runDemo(args []string, s runs.Streams) int {
	f := newFlags("demo", demoHelp)
	folder := f.String("out", "pedalogue-demo", "write into this `FOLDER`")
	if done, code := parse(f, args, demoHelp, s); done {
		return code
	}
	if f.NArg() > 0 {
		return usageError(s, f, fmt.Errorf("the demo takes no file, and %q was given", f.Arg(0)))
	}
	score := filepath.Join(*folder, "demo.musicxml")
	if err := os.MkdirAll(*folder, 0o777); err != nil {
		complainOf(s, store.NewError(*folder, err, ""))
		return runs.ExitFailed
	}
	if err := store.Disk().Save(store.Target{Path: score, Within: *folder}, demoScore, nil, store.Reading{}); err != nil {
		complainOf(s, err)
		return runs.ExitFailed
	}
	if code := runMark([]string{score}, s); code != runs.ExitConflict {
		return code
	}
	return runs.ExitDone // the piece has one conflict on purpose
}
