// Pedalogue reads MusicXML scores, plans the pedals of the harp in them, writes
// diagrams and changes into a marked copy, and reports what cannot be played.
//
// Run it without arguments for its commands.
package main

import (
	"fmt"
	"io"
	"os"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// A command is one of the words that may follow the program's name.
type command struct {
	name    string
	summary string // one line, for the list of commands
	run     func(args []string, s runs.Streams) int
}

// commands are listed in the order in which a newcomer meets them.
func commands() []command {
	return []command{
		{"demo", "mark a small score that is built in, to see what comes out", runDemo},
		{"look", "say what is read in a score, and change nothing", runLook},
		{"mark", "plan the pedals and write them into a marked copy", runMark},
		{"strip", "take our marks out again, byte for byte", runStrip},
	}
}

// run is the whole program but for the process around it.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return dispatch(args, runs.Streams{In: stdin, Out: stdout, Err: stderr, Sys: store.Disk(), Explain: explained})
}

func dispatch(args []string, s runs.Streams) int {
	if len(args) == 0 {
		usage(s.Err)
		return runs.ExitUsage
	}
	switch args[0] {
	case "-h", "--help", "help":
		usage(s.Out)
		return runs.ExitDone
	case "--version", "version":
		fmt.Fprintln(s.Out, "pedalogue", version())
		return runs.ExitDone
	}
	for _, c := range commands() {
		if c.name == args[0] {
			return c.run(args[1:], s)
		}
	}
	complainOf(s, fmt.Errorf("there is no command %q", args[0]))
	fmt.Fprintln(s.Err, "hint: pedalogue --help lists the commands")
	return runs.ExitUsage
}

func usage(w io.Writer) {
	fmt.Fprint(w, "Pedalogue plans the pedals of a concert harp and writes them into MusicXML scores.\n\n"+
		"usage: pedalogue COMMAND [OPTION...] [FILE...]\n\ncommands:\n")
	for _, c := range commands() {
		fmt.Fprintf(w, "  %-6s %s\n", c.name, c.summary)
	}
	fmt.Fprint(w, "\npedalogue COMMAND --help tells more. pedalogue --version prints the version.\n")
}
