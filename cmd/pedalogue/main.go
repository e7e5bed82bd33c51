// Pedalogue reads MusicXML scores, plans the pedals of the harp in them, writes
// diagrams and changes into a marked copy, and reports what cannot be played.
//
// Run it without arguments for its commands.
package main

import (
	"io"
	"os"

	"pedalogue/cmd/pedalogue/internal/build"
	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// run is the whole program but for the process around it.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return dispatch(args, runs.Streams{In: stdin, Out: stdout, Err: stderr, Sys: store.Disk(), Explain: opening.Explained})
}

// commands are all of them, in the order in which a newcomer meets them.
func commands() []cli.Command {
	return []cli.Command{
		demoCommand(), lookCommand(), markCommand(), checkCommand(), keysCommand(), reduceCommand(), partCommand(), glissCommand(), stripCommand(), schemaCommand(),
	}
}

// dispatch does what the arguments say.
func dispatch(args []string, s runs.Streams) int {
	return cli.Program{
		Name: "pedalogue", Version: build.Version(), Build: build.ID,
		About:    "Pedalogue plans the pedals of a concert harp and writes them into MusicXML scores.",
		Commands: commands(),
		Default:  "mark", IsInput: runs.IsScoreName, Inputs: []string{"musicxml", "xml", "mxl"},
		Writes: []string{"out", "write", "manifest", "choose", "fix", "apply"},
		Instead: map[string]string{
			"output": "--out FOLDER", "output-dir": "--out FOLDER", "outdir": "--out FOLDER", "o": "--out FOLDER", "dest": "--out FOLDER",
			"html": "--report html", "csv": "--report csv", "text": "--report text", "pdf": "--report html, a page that can be printed as PDF", "format": "--report",
			"dry-run": "--diff", "dryrun": "--diff", "preview": "--diff",
			"in-place": "--write", "inplace": "--write", "overwrite": "--write", "force": "not needed: results of an earlier run are replaced, scores only with --write",
			"recursive": "not needed: folders are searched to the bottom", "threads": "--jobs", "parallel": "--jobs", "verbose": "--log json",
			"instrument": "--part", "track": "--part", "staff": "--part", "bpm": "--tempo", "lang": "--language", "continue": "--resume",
			"silent": "--quiet", "stdin": "the name -", "input": "not needed: files are named without an option", "enharmonic": "--respell",
		},
	}.Run(args, s)
}
