// Pedalogue reads MusicXML scores, plans the pedals of the harp in them, writes
// diagrams and changes into a marked copy, and reports what cannot be played.
//
// Run it without arguments for its commands.
package main

import (
	"fmt"
	"io"
	"os"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// What run returns, and what it means to a calling program.
const (
	exitDone     = 0 // all is done and everything can be played
	exitConflict = 1 // all is done, and some score has a spot that cannot be played as planned
	exitUsage    = 2 // the command line was wrong; nothing was done
	exitFailed   = 3 // some file could not be read or written; the others are done

	exitInterrupted = 130 // interrupted: what is done is done, the rest is as it was
)

// streams are what a command reads and writes, and the system it writes files
// with.
type streams struct {
	in       io.Reader
	out, err io.Writer
	sys      fileSystem
}

// A command is one of the words that may follow the program's name.
type command struct {
	name    string
	summary string // one line, for the list of commands
	run     func(args []string, s streams) int
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
	return dispatch(args, streams{stdin, stdout, stderr, disk()})
}

func dispatch(args []string, s streams) int {
	if len(args) == 0 {
		usage(s.err)
		return exitUsage
	}
	switch args[0] {
	case "-h", "--help", "help":
		usage(s.out)
		return exitDone
	case "--version", "version":
		fmt.Fprintln(s.out, "pedalogue", version())
		return exitDone
	}
	for _, c := range commands() {
		if c.name == args[0] {
			return c.run(args[1:], s)
		}
	}
	complain(s.err, fmt.Errorf("there is no command %q", args[0]))
	fmt.Fprintln(s.err, "hint: pedalogue --help lists the commands")
	return exitUsage
}

func usage(w io.Writer) {
	fmt.Fprint(w, "Pedalogue plans the pedals of a concert harp and writes them into MusicXML scores.\n\n"+
		"usage: pedalogue COMMAND [OPTION...] [FILE...]\n\ncommands:\n")
	for _, c := range commands() {
		fmt.Fprintf(w, "  %-6s %s\n", c.name, c.summary)
	}
	fmt.Fprint(w, "\npedalogue COMMAND --help tells more. pedalogue --version prints the version.\n")
}
